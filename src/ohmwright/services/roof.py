"""Surfaces with what lies and stands on them: the facts of a roof plan, its shadows, and what shade costs."""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, replace

from ohmwright.physics.sun import azimuth_deg, zenith_deg
from ohmwright.rig.laying import lay, place_of
from ohmwright.rig.model import Obstacle, Part, Place, Rig, Stay
from ohmwright.rig.surface import laid_text
from ohmwright.roof.array import ArrayShade, shade_losses
from ohmwright.roof.fit import ModuleFit, TOUCH_m, roof_fit
from ohmwright.roof.layout import GAP_m, OnSurface, arrays_of, members_of, on_surface
from ohmwright.roof.outline import Polygon, shadow_polygons
from ohmwright.services.opening import Opened
from ohmwright.services.year import normal_weather
from ohmwright.sky.months import day_sun, noon_days_since_j2000
from ohmwright.working import Figure, OhmwrightError, known

#: Days on which shadows are drawn: a solstice, an equinox, a solstice, by day of the year.
DESIGN_DAYS = {"21 Mar": 80, "21 Jun": 172, "21 Dec": 355}
#: Hours of true solar time.
HOURS = (9, 12, 15)
STEP_m = 0.025
_SEARCH_m = 0.05
_MOST_SPOTS = 20_000
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_-]{0,30}")
OBSTACLE_KEYS = ("at", "size", "height", "open", "above", "note")

Spot = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Module:
    """A module of a surface; without a corner where the file does not say where it lies, or its size is not known."""

    id: str
    array: str
    string: int
    written: str
    """Its place as a field holds it; "" where none is given."""
    corner: Spot | None
    right: Spot
    up: Spot
    length_m: float | None
    width_m: float | None
    turned: bool
    fit: ModuleFit | None
    offered: str = ""
    """A free place, where it has none."""

    @property
    def corners(self) -> tuple[Spot, ...]:
        """Its four corners on the outline."""
        if self.corner is None or self.length_m is None or self.width_m is None:
            return ()
        (x, y), l_m, w_m = self.corner, self.length_m, self.width_m
        long, short = (self.up, self.right) if self.turned else (self.right, self.up)
        a = (x + long[0] * l_m, y + long[1] * l_m)
        b = (short[0] * w_m, short[1] * w_m)
        return (x, y), a, (a[0] + b[0], a[1] + b[1]), (x + b[0], y + b[1])


@dataclass(frozen=True, slots=True)
class Surface:
    """A place that carries modules, with what stands on it and around it."""

    place: Place
    modules: tuple[Module, ...]
    obstacles: tuple[Obstacle, ...]
    placed: tuple[OnSurface, ...]
    tilt_deg: float
    bearing_of_x_deg: float | None
    glass_m: float
    unknown: tuple[str, ...]
    assumed: tuple[str, ...]

    @property
    def outline(self) -> Spot | None:
        """Its size along x and y."""
        return self.place.outline


@dataclass(frozen=True, slots=True)
class Shadow:
    """The shadow of an obstacle at an hour."""

    hour: int
    obstacle: str
    polygon: Polygon


@dataclass(frozen=True, slots=True)
class Cost:
    """What shade takes from one array, with the energy that its rating would have made of that light."""

    shade: ArrayShade
    rated_W: float | None
    wired: str
    """How it is wired, in words."""
    strings: int

    @property
    def lost_kWh(self) -> float | None:
        """Energy lost in a year of such days at the plate's rating: light times rating, the reference yield of IEC 61724-1."""
        year = self.shade.year
        return None if self.rated_W is None else year.light_kWh_m2 * self.rated_W / 1000.0 * year.lost_ratio


def surfaces(rig: Rig) -> tuple[Surface, ...]:
    """Every place that carries modules or has an outline, in the order of the file."""
    fits = {f.module: f for f in roof_fit(rig)[0]}
    carried: dict[str, list[Part]] = {}
    for array in arrays_of(rig):
        for member in members_of(rig, array):
            if array not in carried.setdefault(member.place, []):
                carried[member.place].append(array)
    return tuple(
        _surface(rig, place, carried.get(place.id, []), fits)
        for place in rig.host.places.values()
        if place.id in carried or place.outline is not None
    )


def _surface(rig: Rig, place: Place, arrays: list[Part], fits: dict[str, ModuleFit]) -> Surface:
    placed = tuple(p for a in arrays if a.place == place.id and (p := on_surface(rig, a)) is not None)
    modules = [
        _module(a, n, member, next((p for p in placed if p.array == a.id), None), fits)
        for a in arrays
        for n, member in enumerate(members_of(rig, a))
        if member.place == place.id
    ]
    heights = [m.corner[2] for p in placed for m in p.modules]
    first = placed[0] if placed else None
    unknown = [u for p in placed for u in p.unknown]
    unknown += [
        f"{a.id}: how it faces is not given"
        for a in arrays
        if a.place == place.id and not any(p.array == a.id for p in placed)
    ]
    surface = Surface(
        place, tuple(modules), tuple(place.obstacles.values()), placed,
        first.surface.tilt_deg if first else 0.0,
        first.bearing_of_x_deg if first else None,
        sum(heights) / len(heights) if heights else GAP_m,
        tuple(dict.fromkeys(unknown)), tuple(dict.fromkeys(a for p in placed for a in p.assumed)),
    )  # fmt: skip
    return _with_offers(surface)


def _module(array: Part, n: int, part: Part, placed: OnSurface | None, fits: dict[str, ModuleFit]) -> Module:  # fmt: skip
    right, up = (1.0, 0.0), (0.0, 1.0)
    if placed is not None:
        own, surface = placed.facing.frame, placed.surface.frame
        a, b = surface.inside(own.right), surface.inside(own.up)
        right, up = (a[0], a[1]), (b[0], b[1])
    length, width = known(part.figure("length")), known(part.figure("width"))
    return Module(
        part.id, array.id, 1 + n // (array.per_string or 1),
        laid_text(part.laid, part.turned) if part.laid is not None else "",
        part.laid, right, up, length.value if length else None, width.value if width else None,
        part.turned, fits.get(part.id),
    )  # fmt: skip


def _with_offers(surface: Surface) -> Surface:
    """Modules without a place get a free one told, each beside the ones before it."""
    taken = [_bounds(m.corners) for m in surface.modules if m.corners]
    taken += [((o.at[0], o.at[1]), (o.at[0] + o.size[0], o.at[1] + o.size[1])) for o in surface.obstacles if o.at and o.size and known(o.above) is None]  # fmt: skip
    out = []
    for m in surface.modules:
        spot = None if m.written or surface.outline is None else _free(m, surface.outline, taken)
        if spot is not None:
            there = replace(m, corner=spot)
            taken.append(_bounds(there.corners))
            m = replace(m, offered=f"{spot[0]:.10g} {spot[1]:.10g} m")
        out.append(m)
    return replace(surface, modules=tuple(out))


def _bounds(corners: tuple[Spot, ...]) -> tuple[Spot, Spot]:
    xs, ys = [c[0] for c in corners], [c[1] for c in corners]
    return (min(xs), min(ys)), (max(xs), max(ys))


def _free(m: Module, outline: Spot, taken: list[tuple[Spot, Spot]]) -> Spot | None:
    shape = replace(m, corner=(0.0, 0.0)).corners
    if not shape:
        return None
    low, high = _bounds(shape)
    size = (high[0] - low[0], high[1] - low[1])
    nx, ny = (int((outline[k] - size[k]) / _SEARCH_m + 1e-9) for k in (0, 1))
    if nx < 0 or ny < 0 or (nx + 1) * (ny + 1) > _MOST_SPOTS:
        return None
    for j in range(ny + 1):
        for i in range(nx + 1):
            a = (i * _SEARCH_m, j * _SEARCH_m)
            b = (a[0] + size[0], a[1] + size[1])
            if all(
                a[0] >= t[1][0] - TOUCH_m or t[0][0] >= b[0] - TOUCH_m or a[1] >= t[1][1] - TOUCH_m or t[0][1] >= b[1] - TOUCH_m
                for t in taken
            ):  # fmt: skip
                return round(a[0] - low[0], 6), round(a[1] - low[1], 6)
    return None


def shadows(surface: Surface, latitude_deg: float, day: int, heading_deg: float) -> tuple[Shadow, ...]:
    """Shadows on the plane of the glass at 9, 12 and 15 h of true solar time; none while the sun is down."""
    if not surface.placed:
        return ()
    declination_deg, _, _ = day_sun(noon_days_since_j2000(day))
    out = []
    for hour in HOURS:
        turned_deg = 15.0 * (hour - 12)
        high_deg = 90.0 - zenith_deg(latitude_deg, declination_deg, turned_deg)
        compass_deg = azimuth_deg(latitude_deg, declination_deg, turned_deg)
        found = shadow_polygons(
            surface.placed[0], compass_deg, high_deg, height_m=surface.glass_m, heading_deg=heading_deg
        )
        out += [Shadow(hour, name, polygon) for name, polygon in found.items()]
    return tuple(out)


def stays_of(rig: Rig) -> tuple[tuple[int, Stay], ...]:
    """The stays whose place on the globe can be told, by their number in the file."""
    out = []
    for n, stay in enumerate(rig.use.stays, 1):
        try:
            normal_weather(stay)
        except OhmwrightError:
            continue
        out.append((n, stay))
    return tuple(out)


def spot_latitude_deg(stay: Stay | None) -> float | None:
    """How far north a stay is."""
    return None if stay is None else normal_weather(stay).spot.latitude_deg


def shade_of(opened: Opened, stay: Stay) -> tuple[Cost, ...]:
    """What shade takes from every array in a normal year of the stay's place."""
    rig = opened.rig
    arrays = {a.id: a for a in arrays_of(rig)}
    return tuple(_cost(rig, arrays[s.array], s) for s in shade_losses(rig, normal_weather(stay), stay))


def _cost(rig: Rig, array: Part, shade: ArrayShade) -> Cost:
    rated = [known(m.figure("power")) for m in members_of(rig, array)]
    strings, each = array.strings or 1, array.per_string or 1
    wired = (
        "one module" if strings * each == 1
        else f"{each} in series" if strings == 1
        else f"{strings} in parallel" if each == 1
        else f"{strings} strings of {each}"
    )  # fmt: skip
    told = [r.value for r in rated if r is not None]
    return Cost(shade, sum(told) if len(told) == len(rated) else None, wired, strings)


# ---------------------------------------------------------------------------------------------------- changing


def laid(rig: Rig, module: str, place: str) -> Callable[[str, str], str]:
    """An edit that lays a module."""
    return lambda text, file: lay(text, file, rig, module, place)


def address_of(rig: Rig, module: str) -> str:
    """The address of a module's place in the file."""
    owner, member = place_of(rig, module)
    return f"parts.{owner}.laid" + (f".{member}" if member else "")


def outlined(place: str, size: str) -> Callable[[str, str], str]:
    """An edit that tells the outline of a place."""
    from ohmwright.rig.edit import set_value

    return lambda text, file: set_value(text, file, f"host.places.{place}.outline", size)


def obstacle_put(rig: Rig, place: str, name: str, told: dict[str, str], *, new: bool) -> Callable[[str, str], str]:  # fmt: skip
    """An edit that puts an obstacle on a place, or tells one otherwise; what is empty is left out of the file."""
    from ohmwright.rig.edit import set_value
    from ohmwright.rig.insert import take_keys

    there = _obstacles(rig, place)
    if new and name in there:
        raise OhmwrightError(
            f"there is an obstacle '{name}' on {place} already", remedy="give it another name"
        )
    if new and not _NAME.fullmatch(name):
        raise OhmwrightError(
            f"'{name[:40]}' is no name of an obstacle",
            remedy="write letters, figures and hyphens, for instance hatch",
        )
    if not new and name not in there:
        raise OhmwrightError(
            f"there is no obstacle '{name[:40]}' on {place}", remedy="look at the sheet again"
        )

    def edited(text: str, file: str) -> str:
        path = ("host", "places", place, "obstacles", name)
        for key in OBSTACLE_KEYS:
            if told.get(key):
                text = set_value(text, file, ".".join((*path, key)), told[key])
        gone = frozenset(k for k in OBSTACLE_KEYS if k in told and not told[k])
        return take_keys(text, file, path, gone) if gone and not new else text

    return edited


def obstacle_taken(rig: Rig, place: str, name: str) -> Callable[[str, str], str]:
    """An edit that takes an obstacle away."""
    from ohmwright.rig.entries import remove_entry

    if name not in _obstacles(rig, place):
        raise OhmwrightError(
            f"there is no obstacle '{name[:40]}' on {place}", remedy="look at the sheet again"
        )
    return lambda text, file: remove_entry(text, file, ("host", "places", place, "obstacles", name))


def _obstacles(rig: Rig, place: str) -> dict[str, Obstacle]:
    if place not in rig.host.places:
        raise OhmwrightError(f"there is no place '{place[:40]}'", remedy="look at the sheet again")
    return dict(rig.host.places[place].obstacles)


def amiss(fit: ModuleFit | None) -> tuple[str, ...]:
    """What is wrong with where a module lies: over the outline, on an obstacle, on other modules."""
    if fit is None:
        return ()
    out = []
    if fit.overhang_m is not None and fit.overhang_m > TOUCH_m:
        out.append(f"reaches {1000 * fit.overhang_m:.0f} mm over the outline")
    if fit.clear_m is not None and fit.clear_m < -TOUCH_m:
        out.append(f"lies on {fit.nearest}, {-1000 * fit.clear_m:.0f} mm deep")
    if fit.overlaps:
        out.append(f"lies on {', '.join(fit.overlaps)}")
    return tuple(out)


def worsened(before: Rig, after: Rig, moved: tuple[str, ...]) -> tuple[str, ...]:
    """What moving some modules has made amiss that was not so, or less so, before."""
    was = {f.module: f for f in roof_fit(before)[0]}
    out = []
    for f in roof_fit(after)[0]:
        if f.module not in moved:
            continue
        old = was.get(f.module)
        over = (f.overhang_m or 0.0) > (old.overhang_m or 0.0 if old else 0.0) + TOUCH_m
        on = f.clear_m is not None and f.clear_m < min(0.0, old.clear_m if old and old.clear_m is not None else 0.0) - TOUCH_m  # fmt: skip
        under = set(f.overlaps) - set(old.overlaps if old else ())
        if over or on or under:
            out.append(f"{f.module} {' and '.join(amiss(f))}")
    return tuple(out)


def heading_told(stay: Stay | None) -> float | None:
    """The heading that the file gives for a stay."""
    return stay.heading.value if stay is not None and isinstance(stay.heading, Figure) else None


def compass_of(deg: float) -> str:
    """A bearing in words, to the eighth."""
    names = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
    return names[math.floor((deg % 360.0) / 45.0 + 0.5) % 8]
