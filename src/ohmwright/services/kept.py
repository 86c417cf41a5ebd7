"""What took long to work out lies in the user's cache, found again by all that it depends on; what cannot be read there is worked out again.

It lies beside the compiled years and never in a job folder: a job folder may come from somebody else.
"""

import hashlib
import os
import pickle
import zlib
from contextlib import suppress
from functools import lru_cache
from pathlib import Path
from typing import TypeVar

import ohmwright
from ohmwright.services.opening import Opened
from ohmwright.services.year import kernel_folder
from ohmwright.shelf.freeze import entry_text
from ohmwright.store.save import save

T = TypeVar("T")
#: So many results of one kind are kept, the oldest go first.
MOST_KEPT = 40
KINDS = (".py", ".yaml", ".npz", ".npy", ".txt", ".csv")


def found(kind: type[T], room: str, name: str) -> T | None:
    """What was kept under that name in a room of the cache; None where nothing of that kind can be read."""
    path = _path(room, name)
    try:
        value = pickle.loads(zlib.decompress(path.read_bytes())) if path else None
    except Exception:  # noqa: BLE001 - a spoilt file is no reason to stop
        return None
    return value if isinstance(value, kind) else None


def keep(room: str, name: str, value: object) -> None:
    """Keep a result; where nothing can be written it is not kept."""
    path = _path(room, name)
    if path is not None:
        with suppress(OSError):
            save(path, zlib.compress(pickle.dumps(value), 1))
            _sweep(path.parent, path.suffix)


def name_of(*facts: str) -> str:
    """A name that changes with any of the facts, and with the program."""
    return hashlib.sha256("\n".join((_program(), *facts)).encode()).hexdigest()


def name_of_rig(opened: Opened, *facts: str) -> str:
    """A name that changes with the file, each part as the shelf has it, the program, and any of the facts."""
    return name_of(opened.sha256, *facts, *sorted({entry_text(p.record) for p in opened.rig.parts.values()}))


def _path(room: str, name: str) -> Path | None:
    beside = kernel_folder()
    if not beside:
        return None
    folder = Path(beside).parent / room
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
    except OSError:
        return None
    return folder / f"{name}.{room.rstrip('s')}"


@lru_cache(maxsize=1)
def _program() -> str:
    """Name, size and time of every file of the program."""
    root = Path(ohmwright.__file__).parent
    told = []
    for folder, _, files in os.walk(root):
        for name in files:
            if name.endswith(KINDS):
                known = Path(folder, name).stat()
                told.append(f"{folder}/{name} {known.st_size} {known.st_mtime_ns}")
    return hashlib.sha256("\n".join(sorted(told)).encode()).hexdigest()


def _sweep(folder: Path, suffix: str) -> None:
    kept = sorted(folder.glob(f"*{suffix}"), key=lambda p: p.stat().st_mtime_ns, reverse=True)
    for old in kept[MOST_KEPT:]:
        old.unlink(missing_ok=True)
