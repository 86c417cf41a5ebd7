"""One writer at a time, by a lock that the system lets go when its holder dies."""

import fcntl
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ohmwright.working import OhmwrightError

PATIENCE_S = 10.0


@contextmanager
def locked(path: str | Path, patience_s: float = PATIENCE_S) -> Iterator[None]:
    """Hold the lock beside `path`, waiting for another writer for a while."""
    handle = os.open(
        Path(path).with_name(f".{Path(path).name}.lock"), os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o666
    )
    try:
        _take(handle, path, patience_s)
        yield
    finally:
        os.close(handle)  # and with it the lock


def _take(handle: int, path: str | Path, patience_s: float) -> None:
    until = time.monotonic() + patience_s
    while True:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            return
        except BlockingIOError:
            if time.monotonic() > until:
                raise OhmwrightError(
                    f"{path} is being written by another program",
                    remedy="wait for it to finish, then try again",
                ) from None
            time.sleep(0.005)
