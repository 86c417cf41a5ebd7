"""The texts that a working file had, kept in the job folder so that a change can be undone after a restart.

larkspur/history/trail.json          the hashes in the order in which they were written
                 0f3c....yaml        each text once, under its hash

The working file itself is never read from here.  A text is written before the index that names it, and held against
its hash when it is wanted, so that whatever a power cut leaves is either whole or not offered.
"""

import json
import os
from dataclasses import dataclass
from pathlib import Path

from ohmwright.store.reading import MOST_RIG_BYTES, read, sha256_of
from ohmwright.working import OhmwrightError

ROOM = "history"
INDEX = "trail.json"
MOST_TEXTS = 60
MOST_BYTES = 20_000_000


@dataclass(frozen=True, slots=True)
class Trail:
    """Hashes of texts, oldest first; `at` is where the working file stood when the index was written."""

    marks: tuple[str, ...] = ()
    at: int = 0

    def place_of(self, sha256: str) -> int | None:
        """Where a text stands in the trail, nearest to where the file last stood; None when it is not there."""
        places = [n for n, mark in enumerate(self.marks) if mark == sha256]
        return min(places, key=lambda n: abs(n - self.at), default=None)


def read_trail(folder: str | Path) -> Trail:
    """The trail of a job; an empty one where there is none or it cannot be read."""
    path = Path(folder, ROOM, INDEX)
    try:
        told = json.loads(path.read_bytes())
        marks = tuple(m for m in told["marks"] if isinstance(m, str) and len(m) == 64 and m.isalnum())
        return Trail(marks[-MOST_TEXTS:], int(told["at"]))
    except (OSError, ValueError, KeyError, TypeError):
        return Trail()


def text_of(folder: str | Path, sha256: str) -> str | None:
    """The text of that hash, or None where it is not whole any more."""
    try:
        loaded = read(_file(folder, sha256))
        return loaded.data.decode() if loaded.sha256 == sha256 else None
    except (OhmwrightError, UnicodeDecodeError):
        return None


def keep(folder: str | Path, trail: Trail, texts: tuple[str, ...]) -> Trail:
    """The trail with texts behind where it stands, each on the disk; what was ahead of it is given up."""
    Path(folder, ROOM).mkdir(exist_ok=True)
    marks = list(trail.marks[: trail.at + 1])
    for text in texts:
        data = text.encode()
        sha256 = sha256_of(data)
        if not marks or marks[-1] != sha256:
            if len(data) <= MOST_RIG_BYTES and not _file(folder, sha256).exists():
                _write(_file(folder, sha256), data)
            marks.append(sha256)
    return stand(folder, _bounded(folder, marks))


def stand(folder: str | Path, trail: Trail) -> Trail:
    """Write the index, and take away the texts that it no longer names."""
    told = {"marks": list(trail.marks), "at": trail.at}
    _write(Path(folder, ROOM, INDEX), json.dumps(told).encode())
    wanted = set(trail.marks)
    for name in os.listdir(Path(folder, ROOM)):  # noqa: PTH208 - names are enough
        if name.endswith(".yaml") and name.removesuffix(".yaml") not in wanted:
            Path(folder, ROOM, name).unlink(missing_ok=True)
    return trail


def _bounded(folder: str | Path, marks: list[str]) -> Trail:
    """As many of the last texts as the room may hold."""
    marks = marks[-MOST_TEXTS:]
    sizes = [f.stat().st_size if (f := _file(folder, m)).exists() else 0 for m in marks]
    while len(marks) > 2 and sum(sizes) > MOST_BYTES:
        marks, sizes = marks[1:], sizes[1:]
    return Trail(tuple(marks), len(marks) - 1)


def _file(folder: str | Path, sha256: str) -> Path:
    return Path(folder, ROOM, f"{sha256}.yaml")


def _write(path: Path, data: bytes) -> None:
    """Whole or not at all; not forced to the disk, since nothing is acknowledged by it."""
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    part.write_bytes(data)
    part.replace(path)
