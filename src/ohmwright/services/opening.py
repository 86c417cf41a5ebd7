"""Open what a command calls RIG: a file, a job folder, or FOLDER@B."""

import os
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from ohmwright.rig.model import Rig
from ohmwright.shelf.load import Shelf
from ohmwright.store import jobs
from ohmwright.study import Study
from ohmwright.working import FileError, Position

if TYPE_CHECKING:
    from ohmwright.energy.types import Year


@dataclass(frozen=True, slots=True)
class Opened:
    """A rig with where it came from. `folder` is the job folder, if it lies in one; `revision` the issued letter."""

    rig: Rig
    path: Path
    folder: Path | None
    revision: str
    shelf: Shelf


def today() -> str:
    """The date on the wall, ISO; `SOURCE_DATE_EPOCH` rules so that papers can be made again."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    now = datetime.fromtimestamp(int(epoch), UTC) if epoch else datetime.now(UTC)
    return now.date().isoformat()


def open_rig(where: str) -> Opened:
    """Read a rig with its shelf: the shop's folder (OHMWRIGHT_SHELF) and the job's own `shelf/` win over ours."""
    found = jobs.find(where)
    text = jobs.read_text(found.path)
    shelf = shop_shelf(found.folder)
    from ohmwright.rig.read import read_rig

    rig = read_rig(text, str(found.path), shelf)
    return Opened(rig, found.path, found.folder, found.revision, shelf)


def shop_shelf(folder: Path | None = None) -> Shelf:
    """Our generic parts, over them the shop's (OHMWRIGHT_SHELF), over them the job's own."""
    return Shelf(shop=_folder_texts(os.environ.get("OHMWRIGHT_SHELF")), job=_folder_texts(folder and folder / "shelf"))


def _folder_texts(folder: "str | Path | None") -> dict[str, str]:
    if not folder:
        return {}
    path = Path(folder)
    if not path.is_dir():
        if isinstance(folder, str):
            raise FileError("OHMWRIGHT_SHELF names no folder", at=Position(folder, 0, 0), remedy="name the shop's folder of parts, or unset it")
        return {}
    return {str(f): jobs.read_text(f) for f in sorted(path.glob("*.yaml"))}


def open_study(where: str, *, deep: bool = False) -> tuple[Opened, Study]:
    """Open a rig and the study of it; `deep` runs the energy year first, so that rules that need it speak."""
    opened = open_rig(where)
    year: Year | None = None
    if deep:
        from ohmwright.services.year import year_of_opened

        year = year_of_opened(opened).year
    return opened, Study(opened.rig, year=year, today=today())
