"""A bay as the places sheet draws it: parts, clear opening and vents to one scale, seen from the front."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ohmwright.checks.heat import Air
from ohmwright.drawing.sizes import clearance_mm, extent_of, opening_mm
from ohmwright.rig.bay_air import between_vents_m
from ohmwright.rig.model import Part, Place, Rig
from ohmwright.web.circuit import Field, Mark
from ohmwright.working import Figure, known, tell

#: Millimetres of the host for one pixel of the screen.
MM_PER_PX = 4.0
GAP_MM = 20.0


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
class Hole:
    """A clear opening or a vent in the front of a bay, in pixels of its drawing; `told` where the file says where it sits."""

    x: float
    y: float
    width: float
    height: float
    told: bool


@dataclass(frozen=True, slots=True)
class Vents:
    """The vents of a bay, the lower one first, each with half of the free area, drawn as a square of that area."""

    holes: tuple[Hole, ...]
    each_cm2: float
    said: str
    """What is the matter with where they sit."""


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
    opening: Hole | None
    vents: Vents | None
    wants: tuple[str, ...]
    fields: tuple[Field, ...]
    marks: tuple[Mark, ...]
    heat_W: float
    """What its parts and runs give off in the hottest case that lasts, and what its air gets to by that."""
    air_degC: float | None
    case: str
    flow_m3_per_h: float


def bay_of(rig: Rig, place: Place, marks: tuple[Mark, ...], air: Air, fields: Iterable[Field]) -> Bay:
    """A place as it is drawn."""
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
    return Bay(
        place,
        parts,
        wide,
        high,
        tuple(outlines[0]),
        tuple(outlines[2]),
        tuple(outlines[1]),
        _opening(place, high),
        _vents(place),
        tuple(_wants(parts)),
        tuple(fields),
        about,
        air.loss_W,
        air.air.value if air.air is not None else None,
        air.case,
        air.flow_m3_per_h,
    )


def _opening(place: Place, high: float) -> Hole | None:
    """The clear opening: where the file has it, else at the lower left corner."""
    size = opening_mm(place.words.get("opening", ""))
    if size is None:
        return None
    at = place.opening_at or (0.0, 0.0)
    w, h = size[0] / MM_PER_PX, size[1] / MM_PER_PX
    return Hole(
        at[0] * 1000.0 / MM_PER_PX, high - at[1] * 1000.0 / MM_PER_PX - h, w, h, place.opening_at is not None
    )


def _vents(place: Place) -> Vents | None:
    """Two vents: where the file has them, else as the draught counts them, one on the floor and one under the top."""
    area = known(place.figures["vents"]) if "vents" in place.figures else None
    if area is None or area.value <= 0.0 or place.size is None:
        return None
    side_m = math.sqrt(area.value / 2.0) / 1000.0
    wide, _, high = place.size
    half = min(side_m, wide, high) / 2.0
    holes = []
    for at, usual in ((place.vent_low, (half, half)), (place.vent_high, (wide - half, high - half))):
        x, y = at or usual
        left, top, side = (
            v * 1000.0 / MM_PER_PX for v in (x - side_m / 2.0, high - y - side_m / 2.0, side_m)
        )
        holes.append(Hole(left, top, side, side, at is not None))
    return Vents(tuple(holes), area.value / 200.0, _amiss(place, wide, high))


def _amiss(place: Place, wide: float, high: float) -> str:
    for name, at in (("lower", place.vent_low), ("upper", place.vent_high)):
        if at is not None and not (0.0 <= at[0] <= wide and 0.0 <= at[1] <= high):
            return f"The {name} vent is told to sit outside the size of the place."
    if between_vents_m(place) <= 0.0:
        return "The upper vent sits no higher than the lower one: warm air draws nothing through them."
    return ""


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
