"""A save in two steps: forced to the disk while it is still looked at, in its place once it will do."""

import os
import threading
from pathlib import Path

from ohmwright.store.save import mode_of, write_part


class Ahead:
    """New bytes of a file on their way to the disk while somebody still looks whether they will do.

    They lie beside the file, which stays as it is until they are handed to `save`; left without that they are taken away.
    """

    def __init__(self, path: str | os.PathLike[str], data: bytes) -> None:
        self.data = data
        self._part = ""
        self._error: OSError | None = None
        self._thread = threading.Thread(target=self._write, args=(os.path.realpath(path),))

    def _write(self, target: str) -> None:
        try:
            self._part = write_part(target, self.data, mode_of(target))
        except OSError as error:
            self._error = error

    def __enter__(self) -> "Ahead":
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._thread.join()
        if self._part:
            Path(self._part).unlink(missing_ok=True)

    @property
    def part(self) -> str:
        """The name under which they lie on the disk."""
        self._thread.join()
        if self._error is not None:
            raise self._error
        return self._part
