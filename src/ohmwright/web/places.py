"""The places sheet: bays and what sits in them, to one scale; the ways between them."""

import re
from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import Response

from ohmwright.rig.model import Part, Place, Rig
from ohmwright.web.bench import Bench
from ohmwright.web.render import written
from ohmwright.working import QuantityError, parse_lengths

#: Millimetres of the host for one pixel of the screen.
MM_PER_PX = 4.0
GAP_MM = 20.0


@dataclass(frozen=True, slots=True)
class Outline:
    """A part's outline, in pixels of the bay's drawing."""

    id: str
    x: float
    y: float
    width: float
    height: float


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


@dataclass(frozen=True, slots=True)
class WayRow:
    """A cable way and the runs that lie in it."""

    id: str
    length: str
    marks: str
    runs: tuple[str, ...]


def places(bench: Bench, request: Request) -> Response:
    """The sheet."""
    look = bench.desk.look(request.path_params["job"])
    rig = look.rig
    bays = [_bay(rig, p) for p in rig.host.places.values()]
    loose = [p.id for p in rig.parts.values() if not p.place and not p.group]
    return bench.sheet(
        request,
        look,
        "places",
        bays=bays,
        ways=[_way(rig, w) for w in rig.host.ways],
        loose=loose,
        written=written,
        mm_per_px=MM_PER_PX,
    )


def _bay(rig: Rig, place: Place) -> Bay:
    parts = tuple(p for p in rig.parts.values() if p.place == place.id and not p.group)
    if place.size is None:
        return Bay(place, parts, 0.0, 0.0, (), tuple(p.id for p in parts), ())
    wide, high = place.size[0] * 1000.0 / MM_PER_PX, place.size[2] * 1000.0 / MM_PER_PX
    gap = GAP_MM / MM_PER_PX
    x, shelf_top, floor = gap, high, high
    outlines, unsized, over = [], [], []
    for part in sorted((p for p in parts), key=lambda p: -(_size_mm(p) or (0.0, 0.0))[1]):
        size = _size_mm(part)
        if size is None:
            unsized.append(part.id)
            continue
        for n in range(max(1, part.count)):
            w, h = size[0] / MM_PER_PX, size[1] / MM_PER_PX
            if x + w + gap > wide:
                x, floor = gap, shelf_top - gap
            name = f"{part.id}.{n + 1}" if part.count > 1 else part.id
            if floor - h < 0 or w > wide:
                over.append(name)
                continue
            outlines.append(Outline(name, x, floor - h, w, h))
            x, shelf_top = x + w + gap, min(shelf_top, floor - h)
    return Bay(place, parts, wide, high, tuple(outlines), tuple(unsized), tuple(over))


def _size_mm(part: Part) -> tuple[float, float] | None:
    """Width and height of a part, where its record tells its size."""
    text = part.word("size")
    if not text or not re.search(r"\d", text):
        return None
    try:
        width, height, _ = parse_lengths(text, 3)
    except (QuantityError, ValueError):
        return None
    return width * 1000.0, height * 1000.0


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
