"""A job folder: the working file, the issued revisions, the ledger, and the rooms for what belongs to them.

larkspur/rig.yaml              the working file
         issued/A.rig.yaml     a revision: complete alone, read-only, never rewritten
         ledger.jsonl          what happened
         shelf/ docs/ readings/ logs/ papers/A/
         history/ works/       of the bench: texts that can be gone back to, long work that has not ended
"""

import os
import re
import shutil
from dataclasses import dataclass
from pathlib import Path

from ohmwright.store.ledger import read_ledger
from ohmwright.store.locked import locked
from ohmwright.store.reading import MOST_RIG_BYTES, Loaded, read, refused
from ohmwright.store.save import save_new
from ohmwright.working import FileError, OhmwrightError, Position

WORKING = "rig.yaml"
LEDGER = "ledger.jsonl"
ISSUED = "issued"
ROOMS = (ISSUED, "shelf", "docs", "readings", "logs", "papers")

#: I and O are left out: on a drawing they are read as one and nought.
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
_LETTER = re.compile(f"[{LETTERS}]{{1,3}}")
_ISSUED_FILE = re.compile(rf"({_LETTER.pattern})\.rig\.yaml")


@dataclass(frozen=True, slots=True)
class Job:
    """A job folder."""

    folder: str

    @property
    def working(self) -> str:
        """The working file."""
        return self._at(WORKING)

    @property
    def ledger(self) -> str:
        """The ledger."""
        return self._at(LEDGER)

    def issued(self, letter: str) -> str:
        """The file of an issued revision."""
        return self._at(ISSUED, f"{letter}.rig.yaml")

    def room(self, name: str) -> str:
        """One of the folders of the job."""
        if name not in ROOMS:
            raise KeyError(name)
        return self._at(name)

    def papers(self, letter: str | None) -> str:
        """Where the papers of a revision lie, or those of the working file."""
        return self._at("papers", letter or "working")

    def _at(self, *names: str) -> str:
        return str(Path(self.folder, *names))


@dataclass(frozen=True, slots=True)
class Found:
    """What a RIG argument leads to: the file as read, its job folder and revision where it has them."""

    loaded: Loaded
    job: Job | None
    letter: str | None


def create(folder: str | Path, text: str) -> Job:
    """A new job folder around a working file; it appears whole or not at all."""
    target = Path(folder).absolute()
    part = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        if target.exists() and not (target.is_dir() and not list(target.iterdir())):
            raise _whole(folder, "there is something here already", "write the name of a new folder")
        for room in ROOMS:
            (part / room).mkdir(parents=True)
        save_new(part / WORKING, text.encode())
        part.rename(target)
    except OSError as error:
        shutil.rmtree(part, ignore_errors=True)
        raise refused(folder, error) from None
    return Job(str(folder))


def open_job(folder: str | Path) -> Job:
    """The job in a folder; a FileError when there is no working file in it."""
    job = Job(str(folder))
    if not Path(folder).is_dir():
        raise _whole(
            folder, "there is no such job folder", "look at its name, or make one with `ohmwright new`"
        )
    if not Path(job.working).is_file():
        raise _whole(folder, f"the folder holds no {WORKING}", "name a job folder, a rig file, or DIR@B")
    return job


def _whole(path: str | Path, message: str, remedy: str) -> FileError:
    return FileError(message, at=Position(str(path), 1, 1), remedy=remedy)


def resolve(rig: str | Path, *, most: int = MOST_RIG_BYTES) -> Found:
    """The file that a RIG argument means: a rig file, a job folder (its working file), or `DIR@B`."""
    path = Path(rig)
    if _is_folder(path):
        job = open_job(path)
        return Found(read(job.working, most=most), job, None)
    folder, at, letter = str(rig).rpartition("@")
    if at and _is_folder(Path(folder)) and not path.exists():
        job = open_job(folder)
        return Found(read(_revision(job, letter.upper()), most=most), job, letter.upper())
    return Found(read(path, most=most), *_whereabouts(path))


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except (OSError, ValueError):  # a name too long, or with a null in it
        return False


def _whereabouts(path: Path) -> tuple[Job | None, str | None]:
    """The job folder and revision of a file that was named by its path."""
    if path.name == WORKING:
        return Job(str(path.parent)), None
    issued = path.absolute().parent
    job = Job(str(issued.parent))
    if issued.name == ISSUED and (letter := _letter_of(path.name)) and Path(job.working).is_file():
        return job, letter
    return None, None


def _revision(job: Job, letter: str) -> str:
    there = revisions(job)
    if letter not in there:
        have = f"issued are {', '.join(there)}" if there else "nothing has been issued yet"
        raise _whole(
            job.folder,
            f"there is no revision {letter or '(no letter)'}",
            f"{have}: write one of them behind the @, or leave the @ out",
        )
    return job.issued(letter)


def _letter_of(name: str) -> str | None:
    found = _ISSUED_FILE.fullmatch(name)
    return found[1] if found else None


def order(letter: str) -> tuple[int, str]:
    """The key by which letters sort: Z before AA."""
    return len(letter), letter


def revisions(job: Job) -> tuple[str, ...]:
    """The letters of the issued revisions, oldest first."""
    folder = Path(job.room(ISSUED))
    names = [path.name for path in folder.iterdir()] if folder.is_dir() else []
    return tuple(sorted((letter for name in names if (letter := _letter_of(name))), key=order))


def letter_after(letter: str | None) -> str:
    """The letter behind `letter`; A behind nothing.

    >>> letter_after(None), letter_after("H"), letter_after("N"), letter_after("Z"), letter_after("AZ")
    ('A', 'J', 'P', 'AA', 'BA')
    """
    if letter is None:
        return LETTERS[0]
    rest, last = letter[:-1], letter[-1]
    if last != LETTERS[-1]:
        return rest + LETTERS[LETTERS.index(last) + 1]
    return letter_after(rest or None) + LETTERS[0]


def next_letter(job: Job) -> str:
    """The letter of the revision to come: behind every one that lies there or that the ledger knows."""
    told = (str(e.facts.get("revision", "")) for e in read_ledger(job.ledger) if e.event == "issued")
    used = {*revisions(job), *(letter for letter in told if _LETTER.fullmatch(letter))}
    return letter_after(max(used, key=order, default=None))


def freeze(job: Job, letter: str, text: str) -> str:
    """Write an issued revision, once: its path. What was issued is never written again."""
    if not _LETTER.fullmatch(letter):
        raise ValueError(f"{letter!r} is no letter of a revision")
    path = job.issued(letter)
    with locked(job.working):
        try:
            Path(job.room(ISSUED)).mkdir(exist_ok=True)
            save_new(path, text.encode(), 0o444)
        except FileExistsError:
            raise OhmwrightError(
                f"revision {letter} is issued already",
                remedy=f"issue {next_letter(job)}; what was issued is never rewritten",
            ) from None
        except OSError as error:
            raise refused(path, error) from None
    return path


def shelf_files(job: Job) -> tuple[Loaded, ...]:
    """The job's own part records, by name."""
    return tuple(read(path) for path in sorted(Path(job.room("shelf")).glob("[!.]*.yaml")))
