"""A bay as the places sheet draws it: parts, board, clear opening and vents to one scale, seen from the front."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ohmwright.checks.heat import Air
from ohmwright.drawing.bays import Front, Pane, Stood, front_of, hidden_by
from ohmwright.rig.bay_fit import amiss
from ohmwright.rig.model import Part, Place, Rig
from ohmwright.rig.placing import told_of
from ohmwright.rig.standing import Free, clearance_mm, extent_of, free_of, standing_text
from ohmwright.web.circuit import Field, Mark
from ohmwright.working import Figure, tell

#: Millimetres of the host for one pixel of the screen.
MM_PER_PX = 4.0


@dataclass(frozen=True, slots=True)
class Outline:
    """A part's outline, in pixels of the bay's drawing; `free` is the room it asks for on each side, in pixels."""

    id: str
    x: float
    y: float
    width: float
    height: float
    free: Free
    proposed: bool
    amiss: tuple[str, ...]
    stood: Stood
    sides: tuple[float, float, float]
    """Width, height and depth as its record words them, metres."""
    label: str
    """Its name, and what it hides; "" where another hides it."""

    @property
    def words(self) -> str:
        """Where it stands, as the file would say it."""
        return standing_text(self.stood.standing)


@dataclass(frozen=True, slots=True)
class Hole:
    """A clear opening, a board or a vent in the front of a bay, in pixels of its drawing; `told` where the file says where it sits."""

    name: str
    x: float
    y: float
    width: float
    height: float
    told: bool
    area_cm2: float = 0.0


@dataclass(frozen=True, slots=True)
class Row:
    """A part of a bay in the table of where it stands."""

    part: Part
    written: str
    """What the field holds: where the file stands it."""
    offered: str
    """Where the drawing proposes it."""
    found: tuple[str, ...]
    """What is the matter with it there."""
    size: str


@dataclass(frozen=True, slots=True)
class Bay:
    """A place with its parts: what the file places stands there, the rest where there was room."""

    place: Place
    parts: tuple[Part, ...]
    width: float
    height: float
    outlines: tuple[Outline, ...]
    unsized: tuple[str, ...]
    over: tuple[str, ...]
    proposed: tuple[str, ...]
    opening: Hole | None
    board: Hole | None
    vents: tuple[Hole, ...]
    vents_said: str
    wants: tuple[str, ...]
    rows: tuple[Row, ...]
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
        and (about_it := m.finding.subject.removeprefix("host."))
        and (about_it in ids or about_it.partition(".")[0] in ids)
        and m.word != "CANNOT TELL"
    )
    front = front_of(rig, place)
    high = front.height_mm / MM_PER_PX
    behind = {s.part: hidden_by(s, front) for s in front.stood}
    outlines = tuple(_outline(rig, s, high, behind) for s in front.stood)
    return Bay(
        place,
        parts,
        front.width_mm / MM_PER_PX,
        high,
        outlines,
        front.unsized,
        front.left_over,
        front.proposed,
        _hole(front.opening, high),
        _hole(front.board, high),
        tuple(h for v in front.vents if (h := _hole(v, high)) is not None),
        front.amiss,
        tuple(_wants(parts)),
        tuple(_rows(rig, front, {o.id: o for o in outlines})),
        tuple(fields),
        about,
        air.loss_W,
        air.air.value if air.air is not None else None,
        air.case,
        air.flow_m3_per_h,
    )


def _outline(rig: Rig, s: Stood, high: float, behind: dict[str, str]) -> Outline:
    extent = extent_of(rig.parts[s.part])
    assert extent is not None
    px = [v / MM_PER_PX for v in (s.x_mm, s.y_mm, s.width_mm, s.height_mm)]
    f = s.free
    free = Free(*(1000.0 * v / MM_PER_PX for v in (f.left, f.right, f.down, f.up)))
    sides = (extent.width_mm / 1000.0, extent.height_mm / 1000.0, extent.depth_mm / 1000.0)
    hides = [p for p, by in behind.items() if by == s.part]
    label = "" if behind[s.part] else f"{s.part}, {', '.join(hides)} behind" if hides else s.part
    return Outline(
        s.part, px[0], high - px[1] - px[3], px[2], px[3], free, s.proposed, amiss(s.fit), s, sides, label
    )  # fmt: skip


def _hole(pane: Pane | None, high: float) -> Hole | None:
    if pane is None:
        return None
    x, y, w, h = (v / MM_PER_PX for v in (pane.x_mm, pane.y_mm, pane.width_mm, pane.height_mm))
    return Hole(pane.name, x, high - y - h, w, h, pane.told, pane.area_cm2)


def _rows(rig: Rig, front: Front, outlines: dict[str, Outline]) -> Iterator[Row]:
    """Every part that takes room there, in the order of the file."""
    names = {*outlines, *front.left_over, *front.unsized}
    for part in rig.parts.values():
        if part.id in names:
            drawn, extent = outlines.get(part.id), extent_of(part)
            offered = drawn.words if drawn is not None and drawn.proposed else ""
            size = f"{extent.width_mm:.0f} × {extent.height_mm:.0f} × {extent.depth_mm:.0f}" if extent else ""
            yield Row(part, told_of(part, rig), offered, drawn.amiss if drawn is not None else (), size)


def _wants(parts: tuple[Part, ...]) -> Iterator[str]:
    """What parts ask of the place: free space, and air moved through it."""
    for part in parts:
        free, where = clearance_mm(part)
        air = part.figure("airflow")
        told = [f"{free:.0f} mm free {where}".strip()] if free_of(part).any else []
        if isinstance(air, Figure):
            told.append(f"{tell(air.value, air.unit, 3)} of air")
        if told:
            yield f"{part.id}: {', '.join(told)}"
