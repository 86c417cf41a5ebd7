"""A year that was run once is kept for the next paper: the same file, parts, program and number of years give the same year.

It lies in the user's cache beside the compiled years. What cannot be read is run again.
"""

import hashlib
import os
import pickle
from contextlib import suppress
from functools import lru_cache
from pathlib import Path

import ohmwright
from ohmwright.energy.types import Year
from ohmwright.services.opening import Opened
from ohmwright.services.year import kernel_folder, year_of_opened
from ohmwright.shelf.freeze import entry_text
from ohmwright.store.save import save

#: So many years are kept, the oldest go first.
MOST_KEPT = 40
KINDS = (".py", ".yaml", ".npz", ".npy", ".txt", ".csv")


def year_kept(opened: Opened, *, years: int = 0, for_page: bool = False) -> Year:
    """The year of a rig in made weather (0: as many years as its chances take), from the last time or run now.

    One with what a page draws (`for_page`) is kept apart from one without.
    """
    folder = _folder()
    path = folder / f"{_key(opened, years, for_page)}.year" if folder else None
    kept = _read(path) if path else None
    if kept is not None:
        return kept
    told = year_of_opened(opened, years=years, for_page=for_page).year
    if path is not None:
        with suppress(OSError):
            save(path, pickle.dumps(told))
            _sweep(path.parent)
    return told


def _read(path: Path) -> Year | None:
    try:
        found = pickle.loads(path.read_bytes())
    except Exception:  # noqa: BLE001 - a spoilt file is no reason to stop: the year is run again
        return None
    return found if isinstance(found, Year) else None


def _folder() -> Path | None:
    beside = kernel_folder()
    if not beside:
        return None
    folder = Path(beside).parent / "years"
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
    except OSError:
        return None
    return folder


def _key(opened: Opened, years: int, for_page: bool) -> str:
    """Everything that a year depends on: the file, each part as the shelf has it, the program and its tables, how many, what for."""
    parts = sorted({entry_text(p.record) for p in opened.rig.parts.values()})
    told = "\n".join((_program(), opened.sha256, str(years), str(for_page), *parts))
    return hashlib.sha256(told.encode()).hexdigest()


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


def _sweep(folder: Path) -> None:
    kept = sorted(folder.glob("*.year"), key=lambda p: p.stat().st_mtime_ns, reverse=True)
    for old in kept[MOST_KEPT:]:
        old.unlink(missing_ok=True)
