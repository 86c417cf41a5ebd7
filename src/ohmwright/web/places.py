"""The places sheet: bays and what sits in them, to one scale; the ways between them."""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from ohmwright.checks.heat import Air
from ohmwright.checks.heat import bays as airs
from ohmwright.drawing.sizes import clearance_mm, extent_of, opening_mm
from ohmwright.rig.edit import set_value
from ohmwright.rig.entries import flow, remove_entry
from ohmwright.rig.model import ABSENT, Part, Place, Rig
from ohmwright.services.desk import ConflictError, Look, Put
from ohmwright.services.new import REGIMES
from ohmwright.web.bench import Bench
from ohmwright.web.circuit import Field, Mark, margin_of, marks_of
from ohmwright.web.forms import fields, needed, word
from ohmwright.web.render import path, written
from ohmwright.working import NOWHERE, Figure, OhmwrightError, tell

#: Millimetres of the host for one pixel of the screen.
MM_PER_PX = 4.0
GAP_MM = 20.0
PLACE_WORDS = (
    ("size", "width x depth x height: 0.9 x 0.5 x 0.6 m"),
    ("opening", "clear opening, width x height: 0.45 x 0.5 m"),
    ("vapour", "none, petrol, lp-gas, hydrogen, unknown"),
    ("inside", "the place it is inside of"),
    ("note", "a remark"),
)
PLACE_FIGURES = (
    ("vents", "free area of its vents: 240 cm2"),
    ("coldest", "coldest it gets: -5 degC"),
    ("hottest", "hottest it gets: 45 degC"),
    ("kept-above", "heated to stay above"),
    ("UA", "heat conductance of its walls: 4 W/K"),
    ("volume", "air in it: 300 L"),
)
WAY_FLAGS = ("rooftop", "underbody", "engine", "buried", "conduit")
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9-]{0,40}")


@dataclass(frozen=True, slots=True)
class Outline:
    """A part's outline, in pixels of the bay's drawing; `free` is the room it asks for around it."""

    id: str
    x: float
    y: float
    width: float
    height: float
    free: float = 0.0


@dataclass(frozen=True, slots=True)
class Bay:
    """A place with its parts. Outlines stand side by side on the floor of the bay: sizes to scale, not where they are."""

    place: Place
    parts: tuple[Part, ...]
    width: float
    height: float
    outlines: tuple[Outline, ...]
    unsized: tuple[str, ...]
    over: tuple[str, ...]
    opening: tuple[float, float] | None
    wants: tuple[str, ...]
    fields: tuple[Field, ...]
    marks: tuple[Mark, ...]
    heat_W: float
    """What its parts and runs give off in the hottest case that lasts, and what its air gets to by that."""
    air_degC: float | None
    case: str


@dataclass(frozen=True, slots=True)
class WayRow:
    """A cable way and the runs that lie in it."""

    id: str
    length: str
    marks: str
    runs: tuple[str, ...]


def places(bench: Bench, request: Request) -> Response:
    """The sheet."""
    return _sheet(bench, bench.desk.look(request.path_params["job"]), request)


def _sheet(
    bench: Bench, look: Look, request: Request, status: int = 200, error: OhmwrightError | None = None
) -> Response:
    rig = look.rig
    marks = marks_of(look, bench.drawn(look) or bench.circuits(look))
    warm = airs(look.study)
    bays = [_bay(rig, p, marks, warm[p.id]) for p in rig.host.places.values()]
    loose = [p.id for p in rig.parts.values() if not p.place and not p.group]
    return bench.sheet(
        request,
        look,
        "places",
        status,
        bays=bays,
        ways=[_way(rig, w) for w in rig.host.ways],
        loose=loose,
        written=written,
        regimes=REGIMES,
        error=error,
        **margin_of(bench, look),
    )


def _bay(rig: Rig, place: Place, marks: tuple[Mark, ...], air: Air) -> Bay:
    parts = tuple(p for p in rig.parts.values() if p.place == place.id and not p.group)
    ids = {place.id, *(p.id for p in parts)}
    about = tuple(
        m
        for m in marks
        if m.finding.rule.startswith("place/")
        and (m.finding.subject in ids or m.finding.subject.partition(".")[0] in ids)
        and m.word != "CANNOT TELL"
    )
    outlines: tuple[list[Outline], list[str], list[str]] = ([], [], [p.id for p in parts])
    wide = high = 0.0
    if place.size is not None:
        wide, high = place.size[0] * 1000.0 / MM_PER_PX, place.size[2] * 1000.0 / MM_PER_PX
        outlines = _stood(parts, wide, high)
    opening = opening_mm(place.words.get("opening", ""))
    return Bay(
        place,
        parts,
        wide,
        high,
        tuple(outlines[0]),
        tuple(outlines[2]),
        tuple(outlines[1]),
        (opening[0] / MM_PER_PX, opening[1] / MM_PER_PX) if opening else None,
        tuple(_wants(parts)),
        tuple(_fields(place)),
        about,
        air.loss_W,
        air.air.value if air.air is not None else None,
        air.case,
    )


def _stood(parts: tuple[Part, ...], wide: float, high: float) -> tuple[list[Outline], list[str], list[str]]:
    """Outlines side by side from the floor up, the tallest first; those that stand over, and those without a size."""
    gap = GAP_MM / MM_PER_PX
    x, shelf_top, floor = gap, high, high
    outlines: list[Outline] = []
    over: list[str] = []
    sized = [(p, e) for p in parts if (e := extent_of(p)) is not None]
    for part, extent in sorted(sized, key=lambda item: -item[1].height_mm):
        clear, where = clearance_mm(part)
        free = clear / MM_PER_PX if "around" in where or not where else 0.0
        for n in range(max(1, part.count)):
            w, h = extent.width_mm / MM_PER_PX, extent.height_mm / MM_PER_PX
            if x + w + 2 * free + gap > wide:
                x, floor = gap, shelf_top - gap
            name = f"{part.id}.{n + 1}" if part.count > 1 else part.id
            if floor - h - 2 * free < 0 or w > wide:
                over.append(name)
                continue
            outlines.append(Outline(name, x + free, floor - free - h, w, h, free))
            x, shelf_top = x + w + 2 * free + gap, min(shelf_top, floor - h - 2 * free)
    return outlines, over, [p.id for p in parts if extent_of(p) is None]


def _wants(parts: tuple[Part, ...]) -> Iterator[str]:
    """What parts ask of the place: free space, and air moved through it."""
    for part in parts:
        free, where = clearance_mm(part)
        air = part.figure("airflow")
        told = [f"{free:.0f} mm free {where}".strip()] if free else []
        if isinstance(air, Figure):
            told.append(f"{tell(air.value, air.unit, 3)} of air")
        if told:
            yield f"{part.id}: {', '.join(told)}"


def _fields(place: Place) -> Iterator[Field]:
    """What the file may say of a place."""
    at = f"host.places.{place.id}"
    size = " x ".join(f"{v:g}" for v in place.size) + " m" if place.size else ""
    words = {"size": size, "regime": place.regime, **place.words}
    yield Field(f"{at}.regime", "heat and wet", place.regime, choices=tuple((r, r) for r in REGIMES))
    for key, hint in PLACE_WORDS:
        yield Field(f"{at}.{key}", key, words.get(key, ""), hint)
    for key, hint in PLACE_FIGURES:
        given = place.figures.get(key.replace("-", "_"), place.figures.get(key, ABSENT))
        yield Field(f"{at}.{key}", key.replace("-", " "), written(given), hint)


async def put(bench: Bench, request: Request) -> Response:
    """A new place, a new way, or one taken out."""
    form = await fields(bench, request)
    job = request.path_params["job"]
    look = await run_in_threadpool(bench.desk.look, job)
    try:
        edited, puts = _asked(form, look.rig)
        await run_in_threadpool(bench.desk.edit, job, word(form, "opened"), edited, puts)
    except ConflictError:
        raise
    except OhmwrightError as error:
        look = await run_in_threadpool(bench.desk.look, job)
        return await run_in_threadpool(_sheet, bench, look, request, 422, error)
    return RedirectResponse(path("jobs", job, "places") + f"#{word(form, 'back')}", 303)


def _asked(form: FormData, rig: Rig) -> tuple[Callable[[str, str], str], tuple[Put, ...]]:
    how = word(form, "how")
    if how == "place":
        return _new_place(form, rig)
    if how == "way":
        return _new_way(form, rig)
    where, name = ("ways" if how == "take-way" else "places"), word(form, "name")
    if where == "places" and (sits := [p.id for p in rig.parts.values() if p.place == name and not p.group]):
        raise OhmwrightError(f"{', '.join(sits[:6])} sits in {name}", remedy="move what sits there first")
    return (
        lambda text, file: remove_entry(text, file, ("host", where, name)),
        (Put(f"host.{where}.{name}", "taken out"),),
    )


def _new_place(form: FormData, rig: Rig) -> tuple[Callable[[str, str], str], tuple[Put, ...]]:
    name = needed(form, "name", "the name of the place")
    if not _NAME.fullmatch(name):
        raise OhmwrightError(
            f"'{name[:40]}' is no name of a place", remedy="write letters, figures and hyphens: rear-locker"
        )
    if name in rig.host.places:
        raise OhmwrightError(f"there is a place {name} already", remedy="give the new one another name")
    entry = flow({k: word(form, k) for k in ("regime", "size", "opening", "hottest", "coldest")}, NOWHERE)
    return (
        lambda text, file: set_value(text, file, f"host.places.{name}", entry),
        (Put(f"host.places.{name}", entry),),
    )


def _new_way(form: FormData, rig: Rig) -> tuple[Callable[[str, str], str], tuple[Put, ...]]:
    a, b = word(form, "from"), word(form, "to")
    if a == b or not {a, b} <= set(rig.host.places):
        raise OhmwrightError("a way leads from one place to another", remedy="choose two places")
    name = f"{a} - {b}"
    if name in rig.host.ways or f"{b} - {a}" in rig.host.ways:
        raise OhmwrightError(f"there is a way {name} already", remedy="change its length below")
    passes = {k: "true" for k in WAY_FLAGS if word(form, k)}
    entry = flow(
        {"length": needed(form, "length", "the length of the way"), "glands": word(form, "glands")}, NOWHERE
    )
    entry = entry[:-1] + "".join(f", {k}: {v}" for k, v in passes.items()) + "}"
    return (
        lambda text, file: set_value(text, file, f"host.ways.{name}", entry),
        (Put(f"host.ways.{name}", entry),),
    )


def _way(rig: Rig, name: str) -> WayRow:
    way = rig.host.ways[name]
    marks = [f"{way.glands} gland{'s' if way.glands > 1 else ''}"] if way.glands else []
    marks += [k if v in ("true", "yes") else f"{k} {v}" for k, v in way.words.items() if k != "note"]
    return WayRow(
        name,
        written(way.length),
        ", ".join(marks),
        tuple(r.id for r in rig.runs.values() if name in r.route and not r.part_of),
    )
