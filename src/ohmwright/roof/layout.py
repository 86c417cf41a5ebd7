"""A rig's array on its surface: every module as a rectangle of cells, every obstacle as a box, and what is not known."""

from dataclasses import dataclass
from typing import Literal

from ohmwright.physics.diode import ModuleDiode, max_power_point
from ohmwright.physics.diode_fit import NotFitted
from ohmwright.rig.diode import diode_of
from ohmwright.rig.model import Obstacle, Part, Place, Rig
from ohmwright.roof.boxes import Box
from ohmwright.roof.frame import Facing, Frame, Vector, bearing_of_x_deg, facing_of, is_compass
from ohmwright.roof.modules import CellPlan, cell_plan
from ohmwright.working import Figure

Standing = Literal["closed", "open"]
#: Air behind a module whose gap is not given: close to the surface.
GAP_m = 0.03


@dataclass(frozen=True, slots=True)
class Laid:
    """A module on the surface: corner, its long and short side as vectors of unit length, in the surface's frame."""

    id: str
    string: int
    corner: Vector
    long: Vector
    short: Vector
    length_m: float
    width_m: float
    cells: CellPlan
    diode: ModuleDiode
    rated_W: float

    def at(self, along_m: float, across_m: float) -> Vector:
        """A point of the module in the surface's frame."""
        c, a, b = self.corner, self.long, self.short
        return (
            c[0] + along_m * a[0] + across_m * b[0],
            c[1] + along_m * a[1] + across_m * b[1],
            c[2] + along_m * a[2] + across_m * b[2],
        )

    @property
    def corners(self) -> tuple[Vector, Vector, Vector, Vector]:
        """Its four corners, around."""
        return (self.at(0, 0), self.at(self.length_m, 0), self.at(self.length_m, self.width_m), self.at(0, self.width_m))  # fmt: skip


@dataclass(frozen=True, slots=True)
class OnSurface:
    """One array on one surface."""

    array: str
    place: str
    facing: Facing
    """Of the modules."""
    surface: Facing
    modules: tuple[Laid, ...]
    boxes: tuple[Box, ...]
    outline: tuple[float, float] | None
    bearing_of_x_deg: float | None
    """None: the host lies as it likes."""
    unknown: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()

    @property
    def strings(self) -> tuple[int, ...]:
        """The string of each module."""
        return tuple(m.string for m in self.modules)


def arrays_of(rig: Rig) -> tuple[Part, ...]:
    """The arrays of a rig, and modules that stand alone."""
    return tuple(
        p
        for p in rig.parts.values()
        if p.kind.name == "module" and (p.strings or not p.group or p.group not in rig.parts)
    )


def members_of(rig: Rig, array: Part) -> tuple[Part, ...]:
    """Modules of an array in order of strings; the part itself when it is one module."""
    return (
        tuple(p for p in rig.parts.values() if p.group == array.id and p.kind.name == "module")
        if array.strings
        else (array,)
    )


def boxes_of(place: Place, standing: Standing) -> tuple[tuple[Box, ...], tuple[str, ...]]:
    """The obstacles of a place as boxes, closed or with everything open that opens; and what is not known of them."""
    out: list[Box] = []
    unknown: list[str] = []
    for o in place.obstacles.values():
        box, missing = _box(o, standing, place.id)
        if box is not None:
            out.append(box)
        unknown += missing
    return tuple(out), tuple(unknown)


def _box(o: Obstacle, standing: Standing, place: str) -> tuple[Box | None, tuple[str, ...]]:
    height = o.open if standing == "open" and isinstance(o.open, Figure) else o.height
    if o.at is None or o.size is None or not isinstance(height, Figure):
        return None, (f"{place}.obstacles.{o.id} is not counted: where it stands or how high is not known",)
    under = o.above.value if isinstance(o.above, Figure) else 0.0
    top = max(height.value, under)
    return Box(o.id, (o.at[0], o.at[1], under), (o.at[0] + o.size[0], o.at[1] + o.size[1], top)), ()


def on_surface(rig: Rig, array: Part, standing: Standing = "open") -> OnSurface | None:
    """The array on its surface, or None where nothing says how it faces."""
    place = rig.host.places.get(array.place)
    x_deg = bearing_of_x_deg(rig)
    common = dict(place.planes.get("all", {})) if place else {}
    own = dict(array.plane) or common
    facing = facing_of(own, x_deg)
    if facing is None and array.words.get("flat") == "yes":
        facing = Facing(0.0, 0.0)
    assumed: list[str] = []
    if facing is None and not own:
        facing = Facing(0.0, 0.0)
        assumed.append(f"{array.id}: taken as lying flat, its tilt not given")
    if facing is None:
        return None
    surface = facing_of(common, x_deg) or facing
    if x_deg is None and is_compass(own):
        x_deg = 0.0
    boxes, unknown = boxes_of(place, standing) if place else ((), ())
    modules, missing, more = _laid(rig, array, facing, surface)
    return OnSurface(
        array.id, array.place, facing, surface, modules, boxes, place.outline if place else None, x_deg,
        (*unknown, *missing), (*assumed, *more),
    )  # fmt: skip


def _laid(rig: Rig, array: Part, facing: Facing, surface: Facing) -> tuple[tuple[Laid, ...], tuple[str, ...], tuple[str, ...]]:  # fmt: skip
    out: list[Laid] = []
    unknown: list[str] = []
    assumed: list[str] = []
    for number, part in enumerate(members_of(rig, array)):
        plan, gaps = cell_plan(part)
        diode = diode_of(part)
        assumed += [a for a in gaps.assumed if a not in assumed]
        if part.laid is None:
            unknown.append(f"{part.id}: where it lies is not given (laid:)")
        unknown += [f"{m} is not known" for m in gaps.missing]
        if isinstance(diode, NotFitted):
            unknown.append(f"{part.id}: {diode.why}")
        if part.place != array.place:
            unknown.append(f"{part.id} lies at {part.place}, not with the rest of {array.id}: not counted")
        elif plan is not None and part.laid is not None and not isinstance(diode, NotFitted):
            string = 1 + number // (array.per_string or 1)
            out.append(_rectangle(part, string, part.laid, plan, diode.module, facing.frame, surface.frame))
    return tuple(out), tuple(unknown), tuple(assumed)


def _rectangle(
    part: Part,
    string: int,
    at: tuple[float, float],
    plan: CellPlan,
    diode: ModuleDiode,
    own: Frame,
    surface: Frame,
) -> Laid:
    gap, length, width = (part.figure(n) for n in ("gap", "length", "width"))
    assert isinstance(length, Figure)
    assert isinstance(width, Figure)
    right, up = surface.inside(own.right), surface.inside(own.up)
    long, short = (up, right) if part.turned else (right, up)
    high = gap.value if isinstance(gap, Figure) else GAP_m
    rated = max_power_point(diode.at_standard).power_W
    return Laid(
        part.id, string, (at[0], at[1], high), long, short, length.value, width.value, plan, diode, rated
    )
