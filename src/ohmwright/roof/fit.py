"""Whether modules fit on their surface: inside the outline, clear of obstacles and of each other. Facts, no verdicts."""

from dataclasses import dataclass

from ohmwright.rig.model import Part, Rig
from ohmwright.roof.layout import Laid, OnSurface, arrays_of, members_of, on_surface
from ohmwright.working import Figure

#: Two rectangles that share less than this touch and do not overlap.
TOUCH_m = 1e-6


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A footprint on the outline, metres."""

    id: str
    low: tuple[float, float]
    high: tuple[float, float]

    @property
    def area_m2(self) -> float:
        """Its area."""
        return (self.high[0] - self.low[0]) * (self.high[1] - self.low[1])

    def clear_m(self, other: "Rectangle") -> float:
        """Free distance to another; negative is how deep they overlap."""
        gaps = [max(other.low[k] - self.high[k], self.low[k] - other.high[k]) for k in (0, 1)]
        apart = [max(g, 0.0) for g in gaps]
        return (apart[0] ** 2 + apart[1] ** 2) ** 0.5 if max(gaps) > 0.0 else max(gaps)


@dataclass(frozen=True, slots=True)
class ModuleFit:
    """How one module lies. None where a figure for it is missing."""

    module: str
    place: str
    footprint: Rectangle
    area_m2: float
    """Of the module itself: wind and snow act on it."""
    overhang_m: float | None
    """How far it reaches over the outline; 0 when it lies inside."""
    nearest: str
    clear_m: float | None
    """To the nearest obstacle, as it stands closed; negative when it lies on it."""
    overlaps: tuple[str, ...]
    """Other modules it lies on."""
    mass_kg_per_m2: float | None


@dataclass(frozen=True, slots=True)
class SurfaceFit:
    """How much of a surface its modules take."""

    place: str
    outline_m2: float | None
    modules_m2: float
    mass_kg: float | None
    """Of its modules; None when one has none told."""
    unknown: tuple[str, ...] = ()


def roof_fit(rig: Rig) -> tuple[tuple[ModuleFit, ...], tuple[SurfaceFit, ...]]:
    """The facts of every module that lies somewhere, and of every surface that carries some."""
    placed = [(a, p) for a in arrays_of(rig) if (p := on_surface(rig, a, "closed")) is not None]
    prints = [(p, m, _footprint(m)) for _, p in placed for m in p.modules]
    modules = tuple(_module(rig, p, m, f, [o for q, _, o in prints if q.place == p.place and o is not f]) for p, m, f in prints)  # fmt: skip
    places = dict.fromkeys(p.place for _, p in placed)
    return modules, tuple(_surface(rig, place, placed) for place in places)


def _footprint(m: Laid) -> Rectangle:
    xs, ys = [c[0] for c in m.corners], [c[1] for c in m.corners]
    return Rectangle(m.id, (min(xs), min(ys)), (max(xs), max(ys)))


def _module(rig: Rig, p: OnSurface, m: Laid, f: Rectangle, others: list[Rectangle]) -> ModuleFit:
    mass = rig.parts[m.id].figure("mass")
    overhang = None
    if p.outline is not None:
        overhang = max(0.0, *(max(-f.low[k], f.high[k] - p.outline[k]) for k in (0, 1)))
    around = [(f.clear_m(Rectangle(b.id, b.low[:2], b.high[:2])), b.id) for b in p.boxes if b.low[2] <= m.corner[2]]  # fmt: skip
    clear, nearest = min(around) if around else (None, "")
    return ModuleFit(
        m.id, p.place, f, m.length_m * m.width_m, overhang, nearest, clear,
        tuple(o.id for o in others if o.clear_m(f) < -TOUCH_m),
        mass.value / (m.length_m * m.width_m) if isinstance(mass, Figure) else None,
    )  # fmt: skip


def _surface(rig: Rig, place: str, placed: list[tuple[Part, OnSurface]]) -> SurfaceFit:
    here = [(a, p) for a, p in placed if p.place == place]
    outline = here[0][1].outline
    masses = [m.figure("mass") for a, _ in here for m in members_of(rig, a)]
    known = [m.value for m in masses if isinstance(m, Figure)]
    return SurfaceFit(
        place, outline[0] * outline[1] if outline else None,
        sum(m.length_m * m.width_m for _, p in here for m in p.modules),
        sum(known) if len(known) == len(masses) else None,
        tuple(dict.fromkeys(u for _, p in here for u in p.unknown)),
    )  # fmt: skip
