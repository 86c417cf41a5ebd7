"""Open what a command calls RIG: a file, a job folder, or FOLDER@B."""

import os
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from ohmwright.rig.model import Rig
from ohmwright.shelf.load import Shelf
from ohmwright.shelf.record import Shelf as AnyShelf
from ohmwright.store import jobs, reading
from ohmwright.store.jobs import Job
from ohmwright.study import Study
from ohmwright.working import FileError, Position
from ohmwright.working.tree import read_tree

if TYPE_CHECKING:
    from ohmwright.energy.types import Year


@dataclass(frozen=True, slots=True)
class Opened:
    """A rig with where it came from. `job` is the job folder it lies in, `revision` the issued letter."""

    rig: Rig
    path: str
    sha256: str
    job: Job | None
    revision: str
    shelf: AnyShelf


def now() -> datetime:
    """The time on the wall; `SOURCE_DATE_EPOCH` rules so that papers can be made again."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    return datetime.fromtimestamp(int(epoch), UTC) if epoch else datetime.now(UTC)


def today() -> str:
    """The date on the wall, ISO."""
    return now().date().isoformat()


def open_rig(where: str) -> Opened:
    """Read a rig with its shelf. An issued revision brings its own; else the job's parts win over the shop's over ours."""
    from ohmwright.rig.read import read_rig

    found = jobs.resolve(where)
    text = found.loaded.text
    job = found.job or _around(found.loaded.path)
    shelf: AnyShelf = _frozen(text, found.loaded.path) or shop_shelf(job)
    rig = read_rig(text, found.loaded.path, shelf)
    revision = found.letter or str(rig.frozen.get("letter", ""))
    return Opened(rig, found.loaded.path, found.loaded.sha256, job, revision, shelf)


def _around(path: str) -> Job | None:
    """The job folder of a rig file that is not its working file."""
    folder = Path(path).absolute().parent
    return Job(str(folder)) if (folder / jobs.WORKING).is_file() else None


def _frozen(text: str, path: str) -> AnyShelf | None:
    if "\nfrozen:" not in text:
        return None
    from ohmwright.shelf.freeze import FrozenShelf, frozen_parts

    parts = frozen_parts(read_tree(text, path))
    return FrozenShelf(parts, path) if parts is not None else None


def shop_shelf(job: Job | None = None) -> Shelf:
    """Our generic parts, over them the shop's (folder OHMWRIGHT_SHELF), over them the job's own."""
    shop = os.environ.get("OHMWRIGHT_SHELF")
    if shop and not Path(shop).is_dir():
        raise FileError(
            "OHMWRIGHT_SHELF names no folder",
            at=Position(shop, 1, 1),
            remedy="name the shop's folder of parts, or unset it",
        )
    ours = {str(f): reading.read(str(f)).text for f in sorted(Path(shop).glob("*.yaml"))} if shop else {}
    theirs = {f.path: f.text for f in jobs.shelf_files(job)} if job else {}
    return Shelf(shop=ours, job=theirs)


def open_study(where: str, *, deep: bool = False) -> tuple[Opened, Study]:
    """Open a rig and the study of it; `deep` runs as many energy years as chances take first, so that rules that need them speak."""
    opened = open_rig(where)
    year: Year | None = None
    if deep:
        from ohmwright.services.year_kept import year_kept

        year = year_kept(opened)
    return opened, Study(opened.rig, year=year, today=today())
