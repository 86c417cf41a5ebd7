"""What lies on the bench: the jobs of a folder, the studies at hand, and the texts each job was changed from.

Nothing that reckons is imported before the first job is looked at, so that the register stands at once.
"""

import os
from collections import OrderedDict
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext, suppress
from dataclasses import dataclass
from pathlib import Path
from threading import Lock, RLock
from typing import TYPE_CHECKING

from ohmwright.store import history, jobs
from ohmwright.store.ahead import Ahead
from ohmwright.store.conflict import ChangedUnderneathError, save_unless_changed
from ohmwright.store.reading import read, sha256_of
from ohmwright.working import OhmwrightError

if TYPE_CHECKING:
    from ohmwright.rig.model import Rig
    from ohmwright.services.almanac import Typical
    from ohmwright.services.check import Checked
    from ohmwright.services.opening import Opened
    from ohmwright.shelf.record import Shelf
    from ohmwright.study import Study

MOST_LOOKS = 24
#: With all their hours: some 10 MB each.
MOST_TYPICALS = 6


@dataclass(frozen=True, slots=True)
class Look:
    """A rig as it lies on the bench: everything that its pages are made from. `letter` is "" for the working file."""

    job: str
    letter: str
    opened: "Opened"
    study: "Study"
    checked: "Checked"

    @property
    def rig(self) -> "Rig":
        """The rig."""
        return self.opened.rig

    @property
    def sha256(self) -> str:
        """The hash of the text that was read."""
        return self.opened.sha256

    @property
    def address(self) -> str:
        """How a page names it: the job, or the job and the letter."""
        return f"{self.job}@{self.letter}" if self.letter else self.job


@dataclass(frozen=True, slots=True)
class Put:
    """One value that was asked for: an address and what it shall say; "" takes it out."""

    address: str
    value: str


@dataclass(frozen=True, slots=True)
class Change:
    """An edit that was done: the rig before and after, and what was put."""

    before: Look
    after: Look
    puts: tuple[Put, ...]
    how: str = "changed"


class ConflictError(OhmwrightError):
    """The working file is no longer the one that the page was made from; `now` is how it lies there."""

    def __init__(self, opened: Look | None, now: Look, puts: tuple[Put, ...]) -> None:
        self.opened, self.now, self.puts = opened, now, puts
        super().__init__(
            "the working file was changed by someone else since this sheet was opened",
            remedy="look at what they changed, then put yours again; nothing was overwritten",
        )


class Desk:
    """The jobs of one folder. All methods may be called from several threads; on one job, one works at a time."""

    def __init__(self, folder: str) -> None:
        base = Path(folder).absolute()
        self.alone = base.name if (base / jobs.WORKING).is_file() else ""
        self.base = base.parent if self.alone else base
        self._looks: OrderedDict[tuple[object, ...], Look] = OrderedDict()
        self._typicals: OrderedDict[str, Typical] = OrderedDict()
        self._last: dict[str, Change] = {}
        self._shelves: dict[tuple[object, ...], Shelf] = {}
        self._lock = Lock()
        self._turns: dict[str, RLock] = {}
        #: Entered around every change, so that work that gives way to changes can.
        self.changing: Callable[[], AbstractContextManager[None]] = nullcontext

    # ------------------------------------------------------------------------------------------------ looking

    def names(self) -> tuple[str, ...]:
        """The job folders, by name."""
        if not self.base.is_dir():
            return ()
        found = (
            p.name for p in self.base.iterdir() if not p.name.startswith(".") and (p / jobs.WORKING).is_file()
        )
        return tuple(sorted(found))

    def folder(self, job: str) -> str:
        """The folder of a job; an error when there is none of that name here."""
        if not job or job.startswith(".") or "/" in job or os.sep in job or "\0" in job or "@" in job:
            raise OhmwrightError(f"'{job[:60]}' is no name of a job", remedy="look at the register")
        where = self.base / job
        if not (where / jobs.WORKING).is_file():
            raise OhmwrightError(f"there is no job '{job[:60]}' here", remedy="look at the register")
        return str(where)

    def look(self, address: str) -> Look:
        """The working file of a job, or `JOB@A`: as it lies on the disk now, derived only when it is new."""
        job, _, letter = address.partition("@")
        folder = self.folder(job)
        where = f"{folder}@{letter}" if letter else folder
        key = self._key(folder, jobs.resolve(where).loaded.sha256, letter)
        if (kept := self._at_hand(key)) is not None:
            return kept
        from ohmwright.services.opening import open_study

        with self._turn(job):
            return self._kept(key, lambda: self._made(job, letter, *open_study(where)))

    def _turn(self, job: str) -> RLock:
        """Whoever works on a job holds this."""
        with self._lock:
            return self._turns.setdefault(job, RLock())

    def _at_hand(self, key: tuple[object, ...]) -> Look | None:
        with self._lock:
            if key in self._looks:
                self._looks.move_to_end(key)
            return self._looks.get(key)

    def _key(self, folder: str, sha256: str, letter: str) -> tuple[object, ...]:
        from ohmwright.services.opening import today

        return folder, letter, sha256, _files_in(str(Path(folder, "shelf"))), today()

    def _shelf(self, job: jobs.Job) -> "Shelf":
        """The shelf of a job, read again only when one of its files has changed."""
        shop = os.environ.get("OHMWRIGHT_SHELF", "")
        key = (job.folder, _files_in(job.room("shelf")), shop, _files_in(shop) if shop else ())
        if key not in self._shelves:
            from ohmwright.services.opening import shop_shelf

            self._shelves = {k: v for k, v in self._shelves.items() if k[0] != job.folder}
            self._shelves[key] = shop_shelf(job)
        return self._shelves[key]

    def _kept(self, key: tuple[object, ...], make: Callable[[], Look]) -> Look:
        if (kept := self._at_hand(key)) is not None:
            return kept
        made = make()
        with self._lock:
            self._looks[key] = made
            while len(self._looks) > MOST_LOOKS:
                self._looks.popitem(last=False)
        return made

    def _made(self, job: str, letter: str, opened: "Opened", study: "Study") -> Look:
        from ohmwright.services.check import checked

        return Look(job, letter, opened, study, checked(opened, study))

    def at_hand(self, address: str) -> bool:
        """True when that text has been looked at already."""
        job, _, letter = address.partition("@")
        folder = self.folder(job)
        with self._lock:
            if not any(k[0] == folder for k in self._looks):
                return False
        where = f"{folder}@{letter}" if letter else folder
        return self._at_hand(self._key(folder, jobs.resolve(where).loaded.sha256, letter)) is not None

    def lies(self, job: str) -> tuple[object, ...]:
        """How the files of a job lie on the disk, without reading them: another answer means that something was changed."""
        from ohmwright.services.opening import today

        folder = self.folder(job)
        try:
            stat = Path(folder, jobs.WORKING).stat()
        except FileNotFoundError:
            raise OhmwrightError(
                f"there is no job '{job[:60]}' here", remedy="look at the register"
            ) from None
        shop = os.environ.get("OHMWRIGHT_SHELF", "")
        return (
            stat.st_mtime_ns,
            stat.st_size,
            _files_in(str(Path(folder, "shelf"))),
            _files_in(shop) if shop else (),
            today(),
        )

    def newest(self) -> tuple[str, ...]:
        """The job folders, the one that was changed last first."""

        def age(name: str) -> int:
            try:
                return -(self.base / name / jobs.WORKING).stat().st_mtime_ns
            except OSError:  # taken away meanwhile
                return 0

        return tuple(sorted(self.names(), key=age))

    def seen(self, job: str, sha256: str) -> Look | None:
        """A text of the job that was looked at before, by its hash."""
        folder = self.folder(job)
        with self._lock:
            return next((v for k, v in self._looks.items() if k[0] == folder and k[2] == sha256), None)

    def typical_at_hand(self, look: Look) -> "Typical | None":
        """The typical year of a rig, if it was run already: here, or before the last start."""
        from ohmwright.services.almanac import kept_typical
        from ohmwright.services.kept import name_of_rig

        key = name_of_rig(look.opened)
        with self._lock:
            if key in self._typicals:
                self._typicals.move_to_end(key)
                return self._typicals[key]
        kept = kept_typical(look.opened)
        return self.keep_typical(look, kept) if kept is not None else None

    def keep_typical(self, look: Look, made: "Typical") -> "Typical":
        """Have a year that was run at hand."""
        from ohmwright.services.kept import name_of_rig

        key = name_of_rig(look.opened)
        with self._lock:
            self._typicals[key] = made
            while len(self._typicals) > MOST_TYPICALS:
                self._typicals.popitem(last=False)
        return made

    def lies_as(self, look: Look) -> bool:
        """Whether the file that was looked at is still the one of the job."""
        folder = self.folder(look.job)
        return jobs.resolve(f"{folder}@{look.letter}" if look.letter else folder).loaded.sha256 == look.sha256

    # ------------------------------------------------------------------------------------------------ changing

    def put(self, job: str, opened: str, puts: Sequence[Put]) -> Change:
        """Write values into the working file, all or none, if it still is the one that was `opened`."""
        from ohmwright.rig.edit import clear_value, set_value

        asked = tuple(puts)

        def edited(text: str, path: str) -> str:
            for p in asked:
                text = (
                    set_value(text, path, p.address, p.value)
                    if p.value
                    else clear_value(text, path, p.address)
                )
            return text

        return self.edit(job, opened, edited, asked)

    def edit(
        self,
        job: str,
        opened: str,
        edited: Callable[[str, str], str],
        puts: tuple[Put, ...],
        how: str = "changed",
    ) -> Change:
        """Write what `edited` makes of the working text; it must read back as a rig before it is saved."""
        with self.changing(), self._turn(job):
            before = self._as_opened(job, opened, puts)
            change = self._written(before, edited(before.rig.text, before.opened.path), puts, how)
            if change.after is not before:
                self._remember(change)
            return change

    def _remember(self, change: Change) -> None:
        """Keep both texts of a change that is saved; without room for them it only cannot be undone."""
        folder = self.folder(change.after.job)
        trail = history.read_trail(folder)
        place = trail.place_of(change.before.sha256)
        at = len(trail.marks) - 1 if place is None else place
        texts = (change.before.rig.text, change.after.rig.text)
        with suppress(OSError):
            history.keep(folder, history.Trail(trail.marks, at), texts)
        self._last[change.after.job] = change

    def _as_opened(self, job: str, opened: str, puts: tuple[Put, ...]) -> Look:
        now = self.look(job)
        if now.sha256 != opened:
            raise ConflictError(self.seen(job, opened), now, puts)
        return now

    def _written(self, before: Look, text: str, puts: tuple[Put, ...], how: str) -> Change:
        if text == before.rig.text:
            return Change(before, before, puts, how)
        path = before.opened.path
        opened = self._read_text(before.job, text)
        try:
            with Ahead(path, text.encode()) as ahead:  # while the rules look at it
                after = self._looked(before.job, opened)
                save_unless_changed(path, text, before.sha256, ahead)
        except ChangedUnderneathError:
            raise ConflictError(before, self.look(before.job), puts) from None
        return Change(
            before, self._kept(self._key(self.folder(before.job), after.sha256, ""), lambda: after), puts, how
        )

    def _of_text(self, job: str, text: str) -> Look:
        """A text as if it were the working file of a job."""
        return self._looked(job, self._read_text(job, text))

    def _read_text(self, job: str, text: str) -> "Opened":
        folder = jobs.Job(self.folder(job))
        return _opened(folder, text, self._shelf(folder))

    def _looked(self, job: str, opened: "Opened") -> Look:
        from ohmwright.services.opening import today
        from ohmwright.study import Study

        return self._made(job, "", opened, Study(opened.rig, today=today()))

    def _stands(self, job: str) -> tuple[history.Trail, int]:
        """The trail of a job and where the working file stands in it: behind its end when somebody else wrote it."""
        trail = history.read_trail(self.folder(job))
        place = trail.place_of(read(jobs.Job(self.folder(job)).working).sha256)
        return trail, len(trail.marks) if place is None else place

    def steps(self, job: str) -> tuple[int, int]:
        """How many changes can be undone and done again."""
        with self._turn(job):
            trail, at = self._stands(job)
            return at, max(0, len(trail.marks) - 1 - at)

    def step(self, job: str, opened: str, by: int) -> Change:
        """Undo (-1) or do again (+1) the last change; what somebody else wrote meanwhile is kept as a step of its own."""
        with self.changing(), self._turn(job):
            before = self._as_opened(job, opened, ())
            folder = self.folder(job)
            trail, at = self._stands(job)
            to = at + by
            if not 0 <= to < len(trail.marks):
                raise OhmwrightError(
                    "there is nothing to undo" if by < 0 else "there is nothing to do again",
                    remedy="the sheet stays as it is",
                )
            text = history.text_of(folder, trail.marks[to])
            if text is None:
                raise OhmwrightError(
                    "that earlier text is no longer whole on the disk",
                    remedy="go back to an issued revision, or change the sheet by hand",
                )
            change = self._written(before, text, (), "undone" if by < 0 else "done again")
            with suppress(OSError):
                if at == len(trail.marks):
                    trail = history.keep(folder, history.Trail(trail.marks, at - 1), (before.rig.text,))
                    to = len(trail.marks) - 2
                history.stand(folder, history.Trail(trail.marks, to))
            self._last[job] = change
            return change

    def last_change(self, job: str) -> Change | None:
        """The last change of the working file, while the file is what it made; after a restart as its history tells it."""
        with self._turn(job):
            now = self.look(job)
            last = self._last.get(job)
            if last is None and (last := self._remembered(job, now)) is not None:
                self._last[job] = last
            return last if last is not None and last.after.sha256 == now.sha256 else None

    def _remembered(self, job: str, now: Look) -> Change | None:
        folder = self.folder(job)
        trail, at = self._stands(job)
        text = history.text_of(folder, trail.marks[at - 1]) if 0 < at < len(trail.marks) else None
        if text is None:
            return None
        try:
            key = self._key(folder, trail.marks[at - 1], "")
            return Change(self._kept(key, lambda: self._of_text(job, text)), now, ())
        except OhmwrightError:  # a part that it names has left the shelf since
            return None


def _opened(folder: jobs.Job, text: str, shelf: "Shelf") -> "Opened":
    """A text as if it were the working file of that folder."""
    from ohmwright.rig.read import read_rig
    from ohmwright.services.opening import Opened

    rig = read_rig(text, folder.working, shelf)
    return Opened(rig, folder.working, sha256_of(text.encode()), folder, "", shelf)


def opened_text(folder: str, text: str) -> "Opened":
    """A text as the working file of that folder; for a process that knows nothing else of the desk."""
    from ohmwright.services.opening import shop_shelf

    job = jobs.Job(folder)
    return _opened(job, text, shop_shelf(job))


def typical_of_text(folder: str, text: str) -> "Typical":
    """The typical year of a text as the working file of that folder."""
    from ohmwright.services.almanac import typical

    return typical(opened_text(folder, text))


def typical_at(where: str) -> "Typical":
    """The typical year of what a command would call RIG."""
    from ohmwright.services.almanac import typical
    from ohmwright.services.opening import open_rig

    return typical(open_rig(where))


def _files_in(folder: str) -> tuple[tuple[str, int, int], ...]:
    """The part files of a folder, by what tells that one of them has changed."""
    found = ((p.name, p.stat()) for p in sorted(Path(folder).glob("[!.]*.yaml")))
    return tuple((name, s.st_mtime_ns, s.st_size) for name, s in found)


__all__ = ["Change", "ConflictError", "Desk", "Look", "Put", "opened_text", "typical_at", "typical_of_text"]
