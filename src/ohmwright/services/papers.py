"""Make the papers of a rig into a folder, and papers.json that says what was made."""

import hashlib
import json
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

import ohmwright.papers
from ohmwright import __version__
from ohmwright.checks import engine
from ohmwright.energy.types import Year
from ohmwright.papers.catalogue import words
from ohmwright.papers.material import Material
from ohmwright.papers.options import MOST_OPTIONS
from ohmwright.papers.pack import Planned, pack_of
from ohmwright.papers.press import Press
from ohmwright.papers.stamp import Stamp
from ohmwright.services.answers import envelope
from ohmwright.services.check import Checked, checked
from ohmwright.services.ledger import cut_of, events_of
from ohmwright.services.opening import Opened, open_rig, today
from ohmwright.services.shop import shop_stock, shop_tasks
from ohmwright.store.save import save
from ohmwright.study import Study
from ohmwright.takeoff.order import bench_of
from ohmwright.working import OhmwrightError

INDEX = "papers.json"
#: What a run that was ended in the middle had made: the next one goes on from there.
GOING = ".going.json"
LONGEST, WORKERS = "binder", 2
FONTS = Path(ohmwright.papers.__file__).parent / "fonts"


@dataclass(frozen=True, slots=True)
class Done:
    """What was made (or was there already and still holds), with the checks and the year it rests on."""

    made: list[dict[str, Any]]
    checked: Checked
    year: Year | None
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Look:
    """How papers are made; what is "" is as the job says."""

    language: str = ""
    sheet: Literal["", "a4", "letter"] = ""
    units: Literal["", "metric", "us"] = ""


def papers(
    where: str,
    out: str,
    *,
    weather: str | None = None,
    years: int = 0,
    look: Look = Look(),
    options: Sequence[str] = (),
    heed: Callable[[str], None] = lambda _: None,
) -> Done:
    """Make every paper of a rig into the folder `out`. A paper there whose contents did not change stays as it is.

    The energy page rests on as many made years as its chances take (`years` 0), or on the one year of a
    weather file: an owner is told a likelihood, not an average.  `options` are rigs that the quote sets beside this
    one; without any, those that the job names.  `heed` hears what is at work.
    """
    opened = open_rig(where)
    heed("the energy year")
    year, note = _year(opened, weather, years, for_page=True)
    heed("the rules")
    done = checked(opened, Study(opened.rig, year=year, today=today()))
    material = material_of(done, year, note, look)
    others, lacking = _options(opened, options, weather, years, look)
    told = tuple(material.words.say("bids.lacking", name=n, why=why) for n, why in lacking)
    material = replace(material, options=others, options_note=told)
    press = Press(str(FONTS), Stamp(material.dated, opened.rig.sha256, opened.revision))
    folder = folder_of(out)
    before = _before(folder)
    pack = list(pack_of(material))
    holding = {p.file: t for p in pack if (t := before.get(p.file)) and _holds(folder, p, t)}
    new = _all_made(folder, [p for p in pack if p.file not in holding], press, heed, holding)
    made, kept = [holding.get(p.file) or new[p.file] for p in pack], len(holding)
    notes = [note] if note else []
    if kept:
        notes.append(f"{kept} of {len(made)} papers did not change and were left as they are.")
    _sweep(folder, before, made)
    finished = Done(made, done, year, tuple(notes))
    save(folder / INDEX, (json.dumps(papers_json(finished), ensure_ascii=False, indent=1) + "\n").encode())
    (folder / GOING).unlink(missing_ok=True)
    return finished


def _year(
    opened: Opened, weather: str | None, years: int, *, for_page: bool = False
) -> tuple[Year | None, str]:
    """The year, or the reason why it cannot be told; a weather file that cannot be used is a mistake of the call."""
    from ohmwright.services.year import year_of_opened
    from ohmwright.services.year_kept import year_kept

    try:
        if weather is not None:
            return year_of_opened(opened, weather=weather, years=1).year, ""
        return year_kept(opened, years=years, for_page=for_page), ""
    except OhmwrightError as error:
        if weather is not None:
            raise
        return None, f"The year cannot be told: {error.message}" + (
            f"; {error.remedy}." if error.remedy else "."
        )


def _options(
    opened: Opened, named: Sequence[str], weather: str | None, years: int, look: Look
) -> tuple[tuple[Material, ...], list[tuple[str, str]]]:
    """What the quote offers as well. What the call names must be there; what the file names and is not, is told on the quote."""
    wanted = [(x, x) for x in named] or [(x, _beside(opened, x)) for x in opened.rig.job.options]
    if len(wanted) > MOST_OPTIONS:
        raise OhmwrightError(
            f"{len(wanted)} options beside the rig itself",
            remedy=f"name at most {MOST_OPTIONS}: a quote is two pages",
        )
    made: list[Material] = []
    lacking: list[tuple[str, str]] = []
    for name, where in wanted:
        try:
            other = open_rig(where)
        except OhmwrightError as error:
            if named:
                raise
            lacking.append((name, error.message))
            continue
        year, note = _year(other, weather, years)
        study = Study(other.rig, year=year, today=today())
        made.append(material_of(checked(other, study), year, note, look))
    return tuple(made), lacking


def _beside(opened: Opened, name: str) -> str:
    """Where an option of the file lies: in the job's folder, never elsewhere."""
    folder = Path(opened.job.folder if opened.job else Path(opened.path).parent)
    if name.startswith("@"):
        return f"{folder}{name}"
    return str(folder / Path(name).name)


def material_of(done: Checked, year: Year | None, note: str = "", look: Look = Look()) -> Material:
    """What the papers of a checked rig are made from."""
    opened, rig = done.opened, done.opened.rig
    units = look.units or rig.job.units
    sheet = look.sheet or rig.job.paper
    letter = sheet == "letter" or (not sheet and (units == "us" or rig.job.rules.startswith("us")))
    return Material(
        study=done.study,
        findings=done.findings,
        statement=done.statement(),
        not_applied=done.not_applied,
        year=year,
        year_note=note,
        shelf=opened.shelf,
        words=words(look.language or rig.job.language or "en"),
        program=f"ohmwright {__version__}",
        dated=str(rig.frozen.get("issued", "")) or today(),
        revision=opened.revision,
        stage=str(rig.frozen.get("stage", "")) or rig.job.stage,
        missing=engine.group_cannot_tells(done.findings),
        size="us-letter" if letter else "a4",
        bench=bench_of(done.study.takeoff, cut_of(opened.job)),
        tasks=shop_tasks(opened.job),
        stock=shop_stock(opened.job),
        bought=frozenset(e.address for e in events_of(opened.job) if e.event in ("ordered", "bought")),
        view=look.units,
    )


def folder_of(out: str) -> Path:
    """A folder to write papers into, made if it is not there."""
    folder = Path(out)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError):
        raise OhmwrightError(f"{out} is a file", remedy="name a folder for the papers") from None
    return folder


def _before(folder: Path) -> dict[str, dict[str, Any]]:
    """What earlier runs left, by file; nothing when there was none or its list cannot be read."""
    left: dict[str, dict[str, Any]] = {}
    for index in (INDEX, GOING):
        try:
            left |= {p["file"]: p for p in json.loads((folder / index).read_bytes())["papers"]}
        except (OSError, ValueError, KeyError, TypeError):
            continue
    return left


def _holds(folder: Path, planned: Planned, there: dict[str, Any]) -> bool:
    if there.get("fingerprint") != planned.fingerprint:
        return False
    try:
        return hashlib.sha256((folder / planned.file).read_bytes()).hexdigest() == there.get("sha256")
    except OSError:
        return False


def _all_made(
    folder: Path,
    pack: list[Planned],
    press: Press,
    heed: Callable[[str], None],
    holding: dict[str, dict[str, Any]],
) -> dict[str, dict[str, Any]]:
    """The papers that are wanted, two at a time: the typesetter works while another paper is written. The longest begins."""
    if not pack:
        return {}
    order = sorted(pack, key=lambda p: p.paper != LONGEST)
    with ThreadPoolExecutor(WORKERS) as hands:
        done = []
        for d in hands.map(lambda p: _made(folder, p, press), order):
            done.append(d)
            told = {"papers": [*holding.values(), *done]}
            save(folder / GOING, json.dumps(told, ensure_ascii=False).encode())
            heed(f"paper {len(done)} of {len(order)}")
    return {d["file"]: d for d in done}


def _made(folder: Path, planned: Planned, press: Press) -> dict[str, Any]:
    paper = planned.make(press)
    save(folder / paper.file, paper.data)
    return {
        "paper": paper.paper,
        "title": paper.title,
        "file": paper.file,
        "format": paper.format,
        "pages": paper.pages,
        "sha256": hashlib.sha256(paper.data).hexdigest(),
        "fingerprint": paper.fingerprint,
    }


def _sweep(folder: Path, before: dict[str, dict[str, Any]], made: list[dict[str, Any]]) -> None:
    """Papers of an earlier run that this rig no longer has go; what somebody changed by hand stays."""
    now = {p["file"] for p in made}
    for name, there in before.items():
        path = folder / name
        if name in now or Path(name).name != name or not path.is_file():
            continue
        if hashlib.sha256(path.read_bytes()).hexdigest() == there.get("sha256"):
            path.unlink()


def papers_json(done: Done) -> dict[str, Any]:
    """The answer of `papers --json`, and papers.json."""
    return {
        **envelope(done.checked.opened),
        "statement": done.checked.statement(),
        "papers": done.made,
        "notes": list(done.notes),
    }
