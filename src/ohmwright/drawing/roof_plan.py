"""Roof plans: the surface to scale with its modules, obstacles and dimensions, and its shadows on the design dates."""

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.frame import Title, plan_sizes, sizes_for
from ohmwright.drawing.lettering import in_inches, plain, text_width
from ohmwright.drawing.page import BIG, EM, STEP, Binding, Page, bound, holds
from ohmwright.drawing.scales import chain, length_words, scale_bar, scale_for, sheet_and_scale
from ohmwright.drawing.shapes import SYMBOL, THIN, Box, Dash, Polyline, Sheet
from ohmwright.physics.sun import azimuth_deg, declination_deg, obliquity_deg, sun_longitude_deg, zenith_deg
from ohmwright.rig.model import Obstacle, Part, Place, Rig
from ohmwright.roof.fit import ModuleFit, roof_fit
from ohmwright.roof.layout import OnSurface, arrays_of, members_of, on_surface
from ohmwright.roof.outline import Polygon, area_m2, shadow_polygons
from ohmwright.working import Figure, known

CAUTIONS = (
    "A roof kills: ladder, footing and fall arrest before anything else; no work in wind, wet or ice.",
    "The array cannot be switched off: cover it. Never unplug a connector under load.",
    "Know what is under a screw before it goes in: members, cables, gas lines.",
    "Local codes and a licensed person's judgement rule over this sheet.",
)

READING = (
    "A module is an outline with a diagonal; the figure behind its name is its string. Chains at the left and below are of modules, over the plan and at its right of obstacles. Lengths are measured on the surface's own outline.",
    "An obstacle bears its height above the surface; open: with its lid up.",
    "Shadows are those of the obstacles, with lids open, on the plane of the modules, at 9, 12 and 15 h solar time.",
    "Cable feet, glands and walk path have no position in the file: they are listed and have to be measured.",
)

IN_METRES = "A length without a unit is in metres."

#: Design dates, with days from the epoch J2000 to noon of that day in 2026 (computed from the calendar).
DATES = (("21 June", 9668.0), ("21 March", 9576.0), ("21 December", 9851.0))
HOURS = (9, 12, 15)
#: What chains and words take of a sheet's width and height beside the plan.
PADS = (44.0, 62.0)
_DASHES: dict[int, Dash] = {9: "data", 12: "", 15: "tell"}


@dataclass(frozen=True, slots=True)
class RoofPlan:
    """What the plans are made from."""

    rig: Rig
    title: Title | None = None


@dataclass(frozen=True, slots=True)
class Surface:
    """A place that carries modules: its arrays as laid, and how they fit."""

    place: Place
    arrays: tuple[Part, ...]
    laid: tuple[OnSurface, ...]
    fits: tuple[ModuleFit, ...]

    @property
    def outline(self) -> tuple[float, float] | None:
        """Its two lengths."""
        return self.place.outline


def surfaces_of(rig: Rig) -> tuple[Surface, ...]:
    """Every place that carries modules."""
    fits, _ = roof_fit(rig)
    out = []
    for place in rig.host.places.values():
        arrays = tuple(a for a in arrays_of(rig) if a.place == place.id)
        if arrays:
            laid = tuple(s for a in arrays if (s := on_surface(rig, a)) is not None)
            out.append(Surface(place, arrays, laid, tuple(f for f in fits if f.place == place.id)))
    return tuple(out)


def roof_sheets(made_from: RoofPlan) -> tuple[Sheet, ...]:
    """A plan of every surface, and its shadows where it has obstacles; none for a rig without modules."""
    rig = made_from.rig
    pages: list[Page] = []
    for surface in surfaces_of(rig):
        pages.append(_plan(rig, surface, first=not pages))
        shadows = _shadows(rig, surface)
        if shadows is not None:
            pages.append(shadows)
    if not pages:
        return ()
    told = {p.id: f"{p.id}, {p.record.title}" for p in rig.parts.values()}
    binding = Binding(
        made_from.title or Title(rig.job.title or rig.job.id), "Roof plan", "seen square on", "R",
        f"{len(pages)} views of the surfaces that carry modules.", CAUTIONS, told,
    )  # fmt: skip
    return bound(pages, binding)


@dataclass(frozen=True, slots=True)
class View:
    """From metres on the outline to the sheet: the second length goes up."""

    left: float
    lower: float
    scale: int

    def at(self, x: float, y: float) -> tuple[float, float]:
        """A point on the sheet."""
        return self.left + x * 1000 / self.scale, self.lower - y * 1000 / self.scale

    def box(self, low: tuple[float, ...], high: tuple[float, ...]) -> Box:
        """A rectangle on the sheet."""
        (a, d), (c, b) = self.at(low[0], low[1]), self.at(high[0], high[1])
        return a, b, c, d


def _extent(surface: Surface) -> tuple[float, float, float, float]:
    """Everything that has a position: left, lower, right, upper."""
    xs, ys = [0.0], [0.0]
    if surface.outline:
        xs.append(surface.outline[0])
        ys.append(surface.outline[1])
    for o in surface.place.obstacles.values():
        if o.at is not None and o.size is not None:
            xs += [o.at[0], o.at[0] + o.size[0]]
            ys += [o.at[1], o.at[1] + o.size[1]]
    for laid in surface.laid:
        for m in laid.modules:
            xs += [c[0] for c in m.corners]
            ys += [c[1] for c in m.corners]
    return min(xs), min(ys), max(xs), max(ys)


def _plan(rig: Rig, surface: Surface, *, first: bool) -> Page:
    x1, y1, x2, y2 = _extent(surface)
    size, scale = sheet_and_scale(rig.job, (x2 - x1) * 1000, (y2 - y1) * 1000, *PADS, 10)
    page = _drawn(rig, surface, size, scale, first=first)
    usual = plan_sizes(rig.job)[1]
    return page if size == usual or holds(page, CAUTIONS) else _drawn(rig, surface, usual, scale, first=first)


def _drawn(rig: Rig, surface: Surface, size: str, scale: int, *, first: bool) -> Page:
    page = Page(size)
    c = page.canvas
    left, top, right, bottom = page.room.drawing
    place = surface.place
    told = f"{_size(surface.outline[0])} × {_size(surface.outline[1])}" if surface.outline else "size ?"
    told += "" if in_inches() or not surface.outline else " m"
    c.text(place.id, left, top + BIG, plain(place.id), BIG, "sans-bold")
    c.text(
        place.id,
        left + text_width(plain(place.id) + "  ", BIG, "sans-bold"),
        top + BIG,
        f"{told}  {_plane(surface)}",
        EM,
    )
    c.anchor(place.id, (left, top + BIG, "right"))
    _notes(rig, page, surface)
    if first:
        page.note("READING", (*READING, *(() if in_inches() else (IN_METRES,))))
    x1, y1, x2, y2 = _extent(surface)
    if x2 - x1 < 0.01 or y2 - y1 < 0.01:
        c.box(place.id, left + 20.0, top + 25.0, left + 120.0, top + 75.0, THIN, "place", layer="place")
        c.text(place.id, left + 22.0, top + 31.0, "size ?", EM)
        _unlaid(c, surface, left + 20.0, top + 82.0)
        return page
    spare_x = right - left - PADS[0] - (x2 - x1) * 1000 / scale
    spare_y = bottom - top - PADS[1] - (y2 - y1) * 1000 / scale
    view = View(
        left + 18.0 + max(0.0, spare_x / 2) - x1 * 1000 / scale,
        top + 24.0 + max(0.0, spare_y / 3) + y2 * 1000 / scale,
        scale,
    )
    if surface.outline:
        c.box(place.id, *view.box((0.0, 0.0), surface.outline), 0.7, layer="place")
    for laid in surface.laid:
        _modules(c, view, laid)
    _dimensions(c, view, surface, (x1, y1, x2, y2))
    _obstacle_chains(c, view, surface, (x1, y1, x2, y2))
    for o, low, high in _placed(surface):
        _obstacle(c, o, view.box(low, high))
    for o, low, high in _placed(surface):
        _named(c, o, view.box(low, high))
    scale_bar(c, left, bottom - 3.0, scale)
    _unlaid(c, surface, left, bottom - 16.0)
    return page


def _plane(surface: Surface) -> str:
    faces = {(round(s.facing.tilt_deg), round(s.facing.on_host_deg)) for s in surface.laid}
    return "; ".join(f"tilt {t}°" + (f", {a}° clockwise from x" if t else "") for t, a in sorted(faces))


def _obstacle(c: Canvas, o: Obstacle, box: Box) -> None:
    c.box(o.id, *box, SYMBOL)
    c.line(o.id, box[0], box[1], box[2], box[3], THIN)
    c.line(o.id, box[0], box[3], box[2], box[1], THIN)


def _named(c: Canvas, o: Obstacle, box: Box) -> None:
    words = " ".join(_heights(o))
    beside(
        c,
        o.id,
        f"{plain(o.id)} {words}",
        (box[0] + box[2]) / 2,
        (box[1] + box[3]) / 2,
        max(box[2] - box[0], box[3] - box[1]) / 2,
    )


def _heights(o: Obstacle) -> Iterator[str]:
    for name, given in (("", o.height), ("open", o.open), ("from", o.above)):
        if isinstance(given, Figure):
            yield f"{name} {length_words(given.value * 1000, f'{given.value:g} m')}".strip()
        elif not name:
            yield "height ?"


def beside(c: Canvas, ref: str, words: str, x: float, y: float, away: float = 0.0) -> None:
    """Words near a point where nothing lies, with a line to it."""
    wide = text_width(words, EM) + 1.0
    for reach in range(60):
        for sx, sy in ((1, -1), (1, 1), (-1, -1), (-1, 1)):
            tx, ty = x + sx * (away * 0.6 + 2.0 + reach * 0.7), y + sy * (2.0 + reach * 2.0)
            box = (tx, ty - 2.8, tx + wide, ty + 0.9) if sx > 0 else (tx - wide, ty - 2.8, tx, ty + 0.9)
            if box[0] > 24.0 and c.is_clear(box) and not c.strikes((x, y, tx, ty - 0.8)):
                c.text(ref, tx + 0.5 * sx, ty, words, EM, "sans", "start" if sx > 0 else "end")
                c.line(ref, x, y, tx, ty - 0.8, THIN, layer="note")
                return


def _modules(c: Canvas, view: View, laid: OnSurface) -> None:
    for m in laid.modules:
        points = tuple(view.at(p[0], p[1]) for p in m.corners)
        c.add(m.id, Polyline(points, SYMBOL, "", "ink", "symbol", True))
        a, b = (points[0], points[2]) if points[0][0] < points[2][0] else (points[2], points[0])
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        x, y = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
        name, second = plain(m.id), f"string {m.string}"
        wide = max(text_width(name, BIG, "sans-bold"), text_width(second, EM)) / 2 + 1.5
        _diagonal(c, m.id, a, b, x, wide)
        c.text(m.id, x, y + 0.2, name, BIG, "sans-bold", "middle")
        c.text(m.id, x, y + STEP + 0.4, second, EM, "sans", "middle")
        c.anchor(m.id, (min(xs), y, "right"))


def _diagonal(
    c: Canvas, ref: str, a: tuple[float, float], b: tuple[float, float], x: float, wide: float
) -> None:
    """The diagonal of a module, open in the middle where its name stands."""
    steep = (b[1] - a[1]) / (b[0] - a[0])
    tall = (STEP + 3.0) / abs(steep) if abs(steep) > 1e-6 else wide
    gap = (
        min(max(wide, tall), (b[0] - a[0]) / 2 - 0.5)
        if abs(steep) < 1.0
        else min(max(tall, 0.0) + 0.5, (b[0] - a[0]) / 2 - 0.5)
    )
    for x1, x2 in ((a[0], x - gap), (x + gap, b[0])):
        c.line(ref, x1, a[1] + (x1 - a[0]) * steep, x2, a[1] + (x2 - a[0]) * steep, THIN)


def _length(metres: float) -> str:
    return length_words(metres * 1000, f"{metres:.2f}")


def _metres(metres: float) -> str:
    return length_words(metres * 1000, f"{metres:.2f} m")


def _size(metres: float) -> str:
    return length_words(metres * 1000, f"{metres:g}")


def _dimensions(c: Canvas, view: View, surface: Surface, extent: tuple[float, float, float, float]) -> None:
    """Chains along the outline's two lengths: every edge of a module, then the whole."""
    x1, y1, x2, y2 = extent
    prints = [f.footprint for f in surface.fits]
    whole = surface.outline or (x2, y2)
    for k in (0, 1):
        stops = sorted(
            {0.0, whole[k], *(round(p.low[k], 3) for p in prints), *(round(p.high[k], 3) for p in prints)}
        )
        stops = [s for i, s in enumerate(stops) if i == 0 or s - stops[i - 1] > 0.004]
        words = [_length(b - a) for a, b in itertools.pairwise(stops)]
        if k == 0:
            low = view.at(0.0, y1)[1]
            chain(c, surface.place.id, low + 7.5, [view.at(s, 0.0)[0] for s in stops], words)
            chain(
                c,
                surface.place.id,
                low + 14.0,
                [view.at(0.0, 0.0)[0], view.at(whole[0], 0.0)[0]],
                (_length(whole[0]),),
            )
        else:
            edge = view.at(x1, 0.0)[0]
            chain(
                c,
                surface.place.id,
                edge - 3.0,
                [view.at(0.0, s)[1] for s in reversed(stops)],
                words[::-1],
                upright=True,
            )


def _placed(surface: Surface) -> list[tuple[Obstacle, tuple[float, ...], tuple[float, ...]]]:
    """Obstacles with a position: both corners."""
    return [
        (o, tuple(o.at[:2]), (o.at[0] + o.size[0], o.at[1] + o.size[1]))
        for o in surface.place.obstacles.values()
        if o.at is not None and o.size is not None
    ]


def _obstacle_chains(
    c: Canvas, view: View, surface: Surface, extent: tuple[float, float, float, float]
) -> None:
    """Chains over the plan and at its right: every edge of an obstacle, from edge to edge of the outline."""
    found = _placed(surface)
    if not found or surface.outline is None:
        return
    _, _, x2, y2 = extent
    over, right = view.at(0.0, y2)[1] - 6.0, view.at(x2, 0.0)[0] + 5.0
    for k in (0, 1):
        edges = {0.0, surface.outline[k], *(round(p[k], 3) for _, low, high in found for p in (low, high))}
        stops = sorted(edges)
        stops = [s for i, s in enumerate(stops) if i == 0 or s - stops[i - 1] > 0.004]
        words = [_length(b - a) for a, b in itertools.pairwise(stops)]
        if k == 0:
            chain(c, surface.place.id, over, [view.at(s, 0.0)[0] for s in stops], words)
        else:
            at = right + max(text_width(w, EM) for w in words)
            ys = [view.at(0.0, s)[1] for s in reversed(stops)]
            chain(c, surface.place.id, at, ys, words[::-1], upright=True)


def _unlaid(c: Canvas, surface: Surface, x: float, y: float) -> None:
    """Modules without a position: dashed, side by side, under the plan."""
    laid = {m.id for s in surface.laid for m in s.modules}
    for part in surface.arrays:
        for m in _members(part):
            if m in laid:
                continue
            wide = text_width(m, EM) + 3.0
            c.add(
                m,
                Polyline(
                    ((x, y), (x + wide, y), (x + wide, y + 5.0), (x, y + 5.0)),
                    THIN,
                    "tell",
                    "ink",
                    "symbol",
                    True,
                ),
            )
            c.text(m, x + 1.5, y + 3.4, plain(m), EM)
            x += wide + 1.5


def _members(array: Part) -> list[str]:
    if not array.strings:
        return [array.id]
    return [
        f"{array.id}.{s}.{m}" for s in range(1, array.strings + 1) for m in range(1, array.per_string + 1)
    ]


def _notes(rig: Rig, page: Page, surface: Surface) -> None:
    place = surface.place
    unknown = [u for s in surface.laid for u in (*s.unknown, *s.assumed)]
    lost = [a.id for a in surface.arrays if all(s.array != a.id for s in surface.laid)]
    unknown += [f"{i}: how it faces is not given" for i in lost]
    unknown += [f"{place.id}: outline not given"] if surface.outline is None else []
    page.note("NOT KNOWN", list(dict.fromkeys(unknown)))
    page.note(
        "OBSTACLES, lower left corner x / y, and size",
        [
            f"{o.id}: {_length(low[0])} / {_length(low[1])}, {_length(high[0] - low[0])} × {_length(high[1] - low[1])}"
            for o, low, high in _placed(surface)
        ],
    )
    page.note("HOW THEY FIT", [_fit(f) for f in surface.fits])
    glands = [
        f"{w.id}: {w.glands} gland{'s' if w.glands != 1 else ''}"
        for w in rig.host.ways.values()
        if place.id in (w.a, w.b) and w.glands
    ]
    page.note("GLANDS, position to be measured", glands)
    page.note(
        "FEET, position to be measured",
        [_feet(rig, p) for p in rig.parts.values() if p.kind.name == "mounting" and p.place == place.id],
    )
    page.note("WALK PATH", ["not in the file"])


def _fit(f: ModuleFit) -> str:
    told = [f"{plain(f.module)}"]
    if f.overhang_m == 0.0:
        told.append("inside the outline")
    elif f.overhang_m:
        told.append(f"reaches {_metres(f.overhang_m)} over the outline")
    if f.overlaps:
        told.append(f"lies on {', '.join(f.overlaps)}")
    if f.clear_m is not None:
        told.append(f"{_metres(f.clear_m)} to {f.nearest}" if f.clear_m >= 0 else f"lies on {f.nearest}")
    return ": ".join((told[0], ", ".join(told[1:]) or "outline not given"))


def _feet(rig: Rig, part: Part) -> str:
    feet = known(part.figure("feet"))
    modules = sum(len(members_of(rig, a)) for a in arrays_of(rig) if a.place == part.place)
    each = f"{feet.value:.0f} a module, {feet.value * modules:.0f} in all" if feet else "number ?"
    return f"{part.id} {part.word('system')}: {each}; on {part.word('substrate') or 'what is not told'}"


def _latitude(rig: Rig) -> float | None:
    return next((s.latitude_deg for s in rig.use.stays if s.latitude_deg is not None), None)


def _heading(rig: Rig) -> float | None:
    return next((h.value for s in rig.use.stays if isinstance(h := s.heading, Figure)), None)


def sun_at(latitude_deg: float, since_j2000_days: float, solar_h: float) -> tuple[float, float]:
    """Bearing and elevation of the sun at a solar hour."""
    declination = declination_deg(sun_longitude_deg(since_j2000_days), obliquity_deg(since_j2000_days))
    angle = 15.0 * (solar_h - 12.0)
    return azimuth_deg(latitude_deg, declination, angle), 90.0 - zenith_deg(latitude_deg, declination, angle)


def _shadows(rig: Rig, surface: Surface) -> Page | None:
    latitude = _latitude(rig)
    if not surface.laid or not surface.laid[0].boxes or surface.outline is None or latitude is None:
        return None
    page = Page(sizes_for(rig.job)[0])
    c = page.canvas
    left, top, right, bottom = page.room.drawing
    first = surface.laid[0]
    heading = _heading(rig)
    fixed = first.bearing_of_x_deg is not None
    told = (
        ""
        if fixed
        else f", x toward {heading if heading is not None else 180.0:.0f}°"
        + ("" if heading is not None else ", taken: the host lies as it likes")
    )
    c.text(
        surface.place.id,
        left,
        top + BIG,
        f"{plain(surface.place.id)}, shadows at latitude {latitude:.1f}°{told}",
        BIG,
        "sans-bold",
    )
    where = None if fixed else (heading if heading is not None else 180.0)
    dated = [(date, _day(surface, latitude, days, where)) for date, days in DATES]
    beginnings, scale, abreast = _dates_laid((left, top + BIG + 8.0, right, bottom), surface.outline, dated)
    for (x, y), (date, hours) in zip(beginnings, dated, strict=True):
        _dated(c, surface, (x, y), scale, date, hours, abreast)
    scale_bar(c, left, bottom - 3.0, scale)
    return page


@dataclass(frozen=True, slots=True)
class Hour:
    """The shadows of an hour on the outline, and what is said of it."""

    hour: int
    told: str
    shadows: tuple[tuple[str, Polygon], ...] = ()


def _dates_laid(
    room: tuple[float, float, float, float], outline: tuple[float, float], dated: list[tuple[str, list[Hour]]]
) -> tuple[list[tuple[float, float]], int, bool]:
    """Where each date begins, the scale, and whether dates stand abreast: whichever draws the outline larger."""
    left, top, right, bottom = room
    wide, deep = outline[0] * 1000, outline[1] * 1000
    each, column = (bottom - top - 2.0) / len(dated), (right - left) / len(dated)
    below = scale_for(wide, deep, right - left - 40.0, each - 12.0, 10)
    beside_it = scale_for(wide, deep, column - 30.0, bottom - top - 16.0 - STEP * (len(HOURS) + 1), 10)
    longest = max(text_width(hour.told, EM) for _, hours in dated for hour in hours)
    if beside_it < below and longest < column - 4.0:
        return [(left + column * i, top) for i in range(len(dated))], beside_it, True
    return [(left, top + each * i) for i in range(len(dated))], below, False


def _dated(c: Canvas, surface: Surface, at: tuple[float, float], scale: int, date: str, hours: list[Hour], abreast: bool) -> None:  # fmt: skip
    """The outline with what stands and lies on it, and the shadows of a date."""
    assert surface.outline is not None
    x, y = at
    wide, deep = surface.outline[0] * 1000 / scale, surface.outline[1] * 1000 / scale
    c.text("", x, y + 2.0, date, EM, "sans-bold")
    lines = (x, y + 2.0 + STEP) if abreast else (x + wide + 24.0, y + 8.0)
    for k, hour in enumerate(hours):
        c.text("", lines[0], lines[1] + STEP * k, hour.told, EM)
    top = lines[1] + STEP * len(hours) if abreast else y + 5.0
    view = View(x + 12.0, top + deep, scale)
    c.box(surface.place.id, *view.box((0.0, 0.0), surface.outline), 0.5, layer="place")
    for laid in surface.laid:
        for m in laid.modules:
            corners = tuple(view.at(p[0], p[1]) for p in m.corners)
            c.add(m.id, Polyline(corners, THIN, "", "graphite", "symbol", True))
    for o in surface.place.obstacles.values():
        if o.at is not None and o.size is not None:
            _standing(c, view, o, surface.outline)
    for hour in hours:
        _cast(c, view, hour)


def _day(surface: Surface, latitude: float, days: float, heading: float | None) -> list[Hour]:
    """The shadows of a day."""
    assert surface.outline is not None
    first = surface.laid[0]
    height = max((m.corner[2] for m in first.modules), default=0.0)
    out = []
    for hour in HOURS:
        bearing, elevation = sun_at(latitude, days, float(hour))
        if elevation <= 0.0:
            out.append(Hour(hour, f"{hour} h: sun down"))
            continue
        whole = shadow_polygons(first, bearing, elevation, height_m=height, heading_deg=heading)
        cut = {k: clipped(s, surface.outline) for k, s in whole.items()}
        seen = tuple((k, p) for k, p in cut.items() if len(p) > 2 and area_m2(p) > 1e-4)
        names = f"shadow of {', '.join(k for k, _ in seen)}" if seen else "no shadow on it"
        out.append(Hour(hour, f"{hour} h: sun {elevation:.0f}° high at {bearing:.0f}°; {names}", seen))
    return out


def _cast(c: Canvas, view: View, hour: Hour) -> None:
    """Shadows as outlines, their hour at the corner that lies furthest off."""
    for name, polygon in hour.shadows:
        points = tuple(view.at(x, y) for x, y in polygon)
        c.add(name, Polyline(points, 0.25, _DASHES[hour.hour], "ink", "note", True))
        x, y = min(points, key=lambda p: (round(p[0], 3), round(p[1], 3)))
        beside(c, name, f"{hour.hour} h", x, y)


def _standing(c: Canvas, view: View, o: Obstacle, outline: tuple[float, float]) -> None:
    """The footprint of an obstacle, so far as it stands on the outline."""
    assert o.at is not None
    assert o.size is not None
    (x, y), (w, d) = o.at, o.size
    inside = clipped(((x, y), (x + w, y), (x + w, y + d), (x, y + d)), outline)
    if len(inside) > 2:
        c.add(o.id, Polyline(tuple(view.at(*p) for p in inside), SYMBOL, "", "ink", "symbol", True))


def clipped(polygon: Polygon, size: tuple[float, float]) -> Polygon:
    """A polygon cut at the edges of an outline (Sutherland and Hodgman 1974)."""
    points: Sequence[tuple[float, float]] = polygon
    for axis, limit, sign in ((0, 0.0, 1.0), (0, size[0], -1.0), (1, 0.0, 1.0), (1, size[1], -1.0)):
        out: list[tuple[float, float]] = []
        for i, p in enumerate(points):
            q = points[i - 1]
            inside, before = sign * (p[axis] - limit) >= 0, sign * (q[axis] - limit) >= 0
            if inside != before:
                t = (limit - q[axis]) / (p[axis] - q[axis])
                out.append((q[0] + t * (p[0] - q[0]), q[1] + t * (p[1] - q[1])))
            if inside:
                out.append(p)
        points = out
    return tuple(points)
