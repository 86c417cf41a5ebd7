"""What lies on the bench: the jobs of a folder, the studies at hand, and the texts each job was changed from."""

import os
from collections import OrderedDict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from threading import RLock

from ohmwright.energy.types import Year
from ohmwright.rig.model import Rig
from ohmwright.services.check import Checked, checked
from ohmwright.services.opening import Opened, open_study, shop_shelf, today
from ohmwright.store import jobs
from ohmwright.store.conflict import ChangedUnderneathError, save_unless_changed
from ohmwright.store.reading import read, sha256_of
from ohmwright.study import Study
from ohmwright.working import OhmwrightError

MOST_LOOKS = 24
MOST_TEXTS = 60


@dataclass(frozen=True, slots=True)
class Look:
    """A rig as it lies on the bench: everything that its pages are made from. `letter` is "" for the working file."""

    job: str
    letter: str
    opened: Opened
    study: Study
    checked: Checked

    @property
    def rig(self) -> Rig:
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
    """One value that was asked for: an address and what it shall say."""

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


@dataclass(slots=True)
class _Trail:
    """The texts of a working file in the order in which the bench wrote them; `at` is the one that lies there."""

    texts: list[str] = field(default_factory=list)
    at: int = 0
    last: Change | None = None

    def begin(self, text: str) -> None:
        if not self.texts or self.texts[self.at] != text:
            self.texts, self.at = [text], 0

    def push(self, text: str) -> None:
        self.texts = [*self.texts[: self.at + 1], text][-MOST_TEXTS:]
        self.at = len(self.texts) - 1


class Desk:
    """The jobs of one folder. All methods may be called from several threads; one works at a time."""

    def __init__(self, folder: str) -> None:
        base = Path(folder).absolute()
        self.alone = base.name if (base / jobs.WORKING).is_file() else ""
        self.base = base.parent if self.alone else base
        self._looks: OrderedDict[tuple[object, ...], Look] = OrderedDict()
        self._years: OrderedDict[str, Year] = OrderedDict()
        self._trails: dict[str, _Trail] = {}
        self._lock = RLock()

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
        with self._lock:
            key = self._key(folder, jobs.resolve(where).loaded.sha256, letter)
            return self._kept(key, lambda: self._made(job, letter, *open_study(where)))

    def _key(self, folder: str, sha256: str, letter: str) -> tuple[object, ...]:
        shelf = [
            (p.name, (s := p.stat()).st_mtime_ns, s.st_size)
            for p in sorted(Path(folder, "shelf").glob("[!.]*.yaml"))
        ]
        return folder, letter, sha256, tuple(shelf), today()

    def _kept(self, key: tuple[object, ...], make: Callable[[], Look]) -> Look:
        if key in self._looks:
            self._looks.move_to_end(key)
            return self._looks[key]
        made = self._looks[key] = make()
        while len(self._looks) > MOST_LOOKS:
            self._looks.popitem(last=False)
        return made

    def _made(self, job: str, letter: str, opened: Opened, study: Study) -> Look:
        return Look(job, letter, opened, study, checked(opened, study))

    def at_hand(self, address: str) -> bool:
        """True when that text has been looked at already."""
        job, _, letter = address.partition("@")
        folder = self.folder(job)
        with self._lock:
            where = f"{folder}@{letter}" if letter else folder
            return self._key(folder, jobs.resolve(where).loaded.sha256, letter) in self._looks

    def seen(self, job: str, sha256: str) -> Look | None:
        """A text of the job that was looked at before, by its hash."""
        folder = self.folder(job)
        with self._lock:
            return next((v for k, v in self._looks.items() if k[0] == folder and k[2] == sha256), None)

    def year(self, look: Look) -> Year:
        """The energy year of a rig, kept by the hash of its text."""
        key = f"{look.address} {look.sha256}"
        with self._lock:
            kept = self._years.get(key)
        if kept is None:
            from ohmwright.services.year import year_of_opened

            kept = year_of_opened(look.opened).year
            with self._lock:
                self._years[key] = kept
                while len(self._years) > MOST_LOOKS:
                    self._years.popitem(last=False)
        return kept

    # ------------------------------------------------------------------------------------------------ changing

    def put(self, job: str, opened: str, puts: Sequence[Put]) -> Change:
        """Write values into the working file, all or none, if it still is the one that was `opened`."""
        from ohmwright.rig.edit import set_value

        asked = tuple(puts)

        def edited(text: str, path: str) -> str:
            for p in asked:
                text = set_value(text, path, p.address, p.value)
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
        with self._lock:
            before = self._as_opened(job, opened, puts)
            trail = self._trails.setdefault(job, _Trail())
            trail.begin(before.rig.text)
            change = self._written(before, edited(before.rig.text, before.opened.path), puts, how)
            if change.after is not before:
                trail.push(change.after.rig.text)
                trail.last = change
            return change

    def _as_opened(self, job: str, opened: str, puts: tuple[Put, ...]) -> Look:
        now = self.look(job)
        if now.sha256 != opened:
            raise ConflictError(self.seen(job, opened), now, puts)
        return now

    def _written(self, before: Look, text: str, puts: tuple[Put, ...], how: str) -> Change:
        if text == before.rig.text:
            return Change(before, before, puts, how)
        from ohmwright.rig.read import read_rig

        path, job = before.opened.path, before.opened.job
        shelf = shop_shelf(job)
        rig = read_rig(text, path, shelf)
        after = self._made(
            before.job,
            "",
            Opened(rig, path, sha256_of(text.encode()), job, "", shelf),
            Study(rig, today=today()),
        )
        try:
            save_unless_changed(path, text, before.sha256)
        except ChangedUnderneathError:
            raise ConflictError(before, self.look(before.job), puts) from None
        return Change(
            before, self._kept(self._key(self.folder(before.job), after.sha256, ""), lambda: after), puts, how
        )

    def steps(self, job: str) -> tuple[int, int]:
        """How many changes can be undone and done again."""
        with self._lock:
            trail = self._trails.get(job)
            if (
                trail is None
                or not trail.texts
                or sha256_of(trail.texts[trail.at].encode())
                != read(jobs.Job(self.folder(job)).working).sha256
            ):
                return 0, 0
            return trail.at, len(trail.texts) - 1 - trail.at

    def step(self, job: str, opened: str, by: int) -> Change:
        """Undo (-1) or do again (+1) the last change that the bench made."""
        back, on = self.steps(job)
        with self._lock:
            before = self._as_opened(job, opened, ())
            trail = self._trails.get(job)
            if trail is None or (by < 0 and not back) or (by > 0 and not on):
                raise OhmwrightError(
                    "there is nothing to undo" if by < 0 else "there is nothing to do again",
                    remedy="the sheet stays as it is",
                )
            change = self._written(
                before, trail.texts[trail.at + by], (), "undone" if by < 0 else "done again"
            )
            trail.at += by
            trail.last = change
            return change

    def last_change(self, job: str) -> Change | None:
        """The last change of the working file, while the file is what it made."""
        with self._lock:
            trail = self._trails.get(job)
            last = trail.last if trail else None
            return last if last is not None and last.after.sha256 == self.look(job).sha256 else None


__all__ = ["Change", "ConflictError", "Desk", "Look", "Put"]
