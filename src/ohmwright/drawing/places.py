"""Places to scale: the host from above with its places, then each place with its parts as boxes.

Where a part stands inside its place is nowhere in the file: the boxes are put side by side to see whether they go in,
and the sheet says so.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.frame import Title, sizes_for
from ohmwright.drawing.lettering import in_inches, plain, text_width, wrapped
from ohmwright.drawing.page import BIG, EM, STEP, Binding, Page, bound
from ohmwright.drawing.scales import chain, feet_and_inches, length_words, scale_bar, scale_for
from ohmwright.drawing.shapes import SYMBOL, THIN, Dash, Polyline, Sheet
from ohmwright.drawing.sizes import Extent, Spot, arranged, clearance_mm, extent_of, opening_mm, passes
from ohmwright.rig.model import Part, Place, Rig
from ohmwright.rig.ports import is_group
from ohmwright.working import known

CAUTIONS = (
    "The arrangement is a trial of this sheet, not a survey: measure the place before a hole is drilled.",
    "Keep the makers' free space; do not block vents, do not store on top of what gives off heat.",
    "Nothing that may spark stands where petrol or gas can gather. Cell gas is toxic and flammable.",
    "Local codes and a licensed person's judgement rule over this sheet.",
)

#: Kinds that give off heat while they work.
WARM = frozenset({"inverter", "inverter-charger", "pv-controller", "pv-controller-pwm", "dcdc-charger", "dcdc-supply", "isolation-transformer",
                  "hydro-controller", "pad-heater", "generator", "alternator", "galvanic-isolator"})  # fmt: skip

#: Room for the figure of an upright dimension.
FIGURE = 17.5

READING = (
    "Boxes are drawn from above: width and depth as the record words them; dashed around them the free space it asks for.",
    'A dashed outline with "size ?" is a size that nobody wrote down.',
    "A cross in a circle is the centre of what is added, where mass and place are known.",
    "~ marks what gives off heat.",
)


@dataclass(frozen=True, slots=True)
class Places:
    """What the sheet of places is made from."""

    rig: Rig
    title: Title | None = None


def place_sheets(made_from: Places) -> tuple[Sheet, ...]:
    """The host from above, then its places."""
    rig = made_from.rig
    host = _host(rig)
    here = [
        p
        for p in rig.host.places.values()
        if _parts_at(rig, p.id) and p.regime != "buried" and p.words.get("ashore") != "yes"
    ]
    pages = _of_places(rig, here, host)
    host.note("READING", READING)
    told = {p.id: f"{p.id}, {p.record.title}" for p in rig.parts.values()}
    binding = Binding(
        made_from.title or Title(rig.job.title or rig.job.id), "Places", "from above", "P",
        f"{len(rig.host.places)} places of the host and what stands in them.", CAUTIONS, told,
    )  # fmt: skip
    return bound(pages, binding)


def _parts_at(rig: Rig, place: str) -> list[Part]:
    skipped = ("module", "mounting")
    return [
        p for p in rig.parts.values() if p.place == place and not is_group(p) and p.kind.name not in skipped
    ]


@dataclass(frozen=True, slots=True)
class Centre:
    """Centre of the added mass on the host's axes, what it holds and what it leaves out."""

    mass_kg: float
    at: tuple[float, float] | None
    left_out: tuple[str, ...]


def centre_of(rig: Rig) -> Centre:
    """Centre of all parts whose mass and place are known."""
    total = x = y = 0.0
    left_out = []
    for part in rig.parts.values():
        place = rig.host.places.get(part.place)
        if is_group(part) or (place is not None and place.words.get("ashore") == "yes"):
            continue
        mass = known(part.figure("mass"))
        if mass is None or place is None or place.at is None:
            left_out.append(part.id)
            continue
        total, x, y = total + mass.value, x + mass.value * place.at[0], y + mass.value * place.at[1]
    return Centre(total, (x / total, y / total) if total else None, tuple(left_out))


def _host(rig: Rig) -> Page:
    """All places on the host's axes, x to the right and y up."""
    page = Page(sizes_for(rig.job)[0])
    c = page.canvas
    left, top, right, bottom = page.room.drawing
    c.text("", left, top + BIG, f"{plain(rig.host.kind).upper()} FROM ABOVE", BIG, "sans-bold")
    known_at = [p for p in rig.host.places.values() if p.at is not None]
    lost = [p.id for p in rig.host.places.values() if p.at is None and p.words.get("ashore") != "yes"]
    page.note("AXES", [rig.host.words.get("axes", "not given")])
    centre = centre_of(rig)
    if centre.at is not None:
        page.note("CENTRE OF WHAT IS ADDED", [f"x {_metres(centre.at[0], '.2f')}, y {_metres(centre.at[1], '.2f')} of {centre.mass_kg:.1f} kg of parts, cables not counted", "places count at their own middle"])  # fmt: skip
    page.note(
        "MASS OR PLACE NOT KNOWN, not counted",
        [", ".join(map(plain, centre.left_out))] if centre.left_out else [],
    )
    page.note("PLACES WITHOUT A POSITION", lost)
    page.taken = 2.0 * BIG
    if not known_at:
        return page
    spans = [_span(p) for p in known_at]
    x1, y1 = min(s[0] for s in spans), min(s[1] for s in spans)
    x2, y2 = max(s[2] for s in spans), max(s[3] for s in spans)
    room_w, room_h = right - left - 60.0, bottom - top - 40.0
    scale = scale_for((x2 - x1) * 1000, (y2 - y1) * 1000, room_w, room_h, 10)
    page.taken = 20.0 + (y2 - y1) * 1000 / scale + 10.0

    def to(x: float, y: float) -> tuple[float, float]:
        return left + 25.0 + (x - x1) * 1000 / scale, top + 20.0 + (y2 - y) * 1000 / scale

    for place, span in zip(known_at, spans, strict=True):
        (a, b), (d, e) = to(span[0], span[3]), to(span[2], span[1])
        if d - a > 0.1:
            c.box(place.id, a, b, d, e, THIN, layer="place")
    if centre.at is not None:
        x, y = to(*centre.at)
        c.circle("", x, y, 1.8, 0.35)
        c.line("", x - 3.0, y, x + 3.0, y, 0.35)
        c.line("", x, y - 3.0, x, y + 3.0, 0.35)
    for place in known_at:
        assert place.at is not None
        x, y = to(place.at[0], place.at[1])
        c.line(place.id, x - 1.2, y, x + 1.2, y, 0.25)
        c.line(place.id, x, y - 1.2, x, y + 1.2, 0.25)
        c.anchor(place.id, (x, y, "right"))
    for place in sorted(known_at, key=lambda p: (p.at or (0, 0, 0))[0]):
        assert place.at is not None
        x, y = to(place.at[0], place.at[1])
        _by_leader(c, place.id, f"{plain(place.id)}  {_spot(place.at)}", x, y, right)
    if centre.at is not None:
        _by_leader(c, "", "centre of what is added", *to(*centre.at), right)
    foot = max(top + page.taken, c.bounds()[3] + 3.0)
    scale_bar(c, left, foot, scale)
    page.taken = foot + 10.0 - top
    return page


def _by_leader(c: Canvas, ref: str, words: str, x: float, y: float, right: float) -> None:
    """Words beside a point, where nothing lies yet, with a thin line to it."""
    wide = text_width(words, EM) + 1.0
    for reach in range(2, 40):
        for sx, sy in ((1, -1), (1, 1), (-1, -1), (-1, 1), (1, 0)):
            tx, ty = x + sx * (2.5 + reach * 0.4), y + sy * reach * 2.2
            box = (tx, ty - 2.8, tx + wide, ty + 0.9) if sx > 0 else (tx - wide, ty - 2.8, tx, ty + 0.9)
            if box[0] > 24.0 and box[2] < right and c.is_open(box) and not c.strikes((x, y, tx, ty - 0.8)):
                c.text(
                    ref, tx + 0.4 if sx > 0 else tx - 0.4, ty, words, EM, "sans", "start" if sx > 0 else "end"
                )
                c.line(ref, x, y, tx, ty - 0.8, THIN, layer="note")
                return


def _span(place: Place) -> tuple[float, float, float, float]:
    """Left, lower, right, upper of a place on the axes; a point where its size is not known."""
    assert place.at is not None
    x, y, _ = place.at
    w, d = (place.size[0], place.size[1]) if place.size is not None else place.outline or (0.0, 0.0)
    return x - w / 2, y - d / 2, x + w / 2, y + d / 2


@dataclass(frozen=True, slots=True)
class Trial:
    """Whether the parts of a place go into it, as far as sizes are known."""

    spots: tuple[Spot, ...]
    left_over: tuple[str, ...]
    too_tall: tuple[str, ...]
    too_big_for_opening: tuple[str, ...]
    unsized: tuple[str, ...]


def trial_of(rig: Rig, place: Place) -> Trial:
    """Put the parts of a place side by side on its floor."""
    parts = _parts_at(rig, place.id)
    sized = [(p, e) for p in parts if (e := extent_of(p)) is not None]
    unsized = tuple(p.id for p in parts if extent_of(p) is None)
    opening = opening_mm(place.words.get("opening", ""))
    width = place.size[0] * 1000 if place.size else _usual_width(sized)
    depth = place.size[1] * 1000 if place.size else None
    spots, left_over = arranged(sized, width, depth)
    tall = place.size[2] * 1000 if place.size else None
    return Trial(
        tuple(spots),
        tuple(p.id for p in left_over),
        tuple(p.id for p, e in sized if tall is not None and e.height_mm > tall),
        tuple(p.id for p, e in sized if opening is not None and not passes(e, opening)),
        unsized,
    )


def _usual_width(sized: list[tuple[Part, Extent]]) -> float:
    """A floor of about three to two for a place whose size is not known."""
    area = sum(
        (e.width_mm + 2 * clearance_mm(p)[0]) * (e.depth_mm + 2 * clearance_mm(p)[0]) for p, e in sized
    )
    widest = max((max(e.width_mm, e.depth_mm) + 2 * clearance_mm(p)[0] for p, e in sized), default=300.0)
    return max(widest, math.sqrt(area * 1.8))


def _of_places(rig: Rig, places: list[Place], host: Page) -> list[Page]:
    """Places one beside the other, as many to a sheet as it holds; the first under the host."""
    pages: list[Page] = [host]
    x, y, row = host.room.drawing[0], host.room.drawing[1] + host.taken, 0.0
    for place in places:
        trial = trial_of(rig, place)
        width, depth = _floor(place, trial)
        scale = scale_for(width, depth, 190.0, 95.0, 10)
        boxes = len(trial.left_over) + len(trial.unsized)
        cell_w = max(width / scale + FIGURE + 6.0, 95.0)
        cell_h = depth / scale + 20.0 + STEP * (2 + len(_facts(place, trial, cell_w))) + 5.0 * -(-boxes // 6)
        left, top, right, bottom = pages[-1].room.drawing
        if x + cell_w > right:
            x, y, row = left, y + row + 6.0, 0.0
        if y + cell_h > bottom:
            pages.append(Page(sizes_for(rig.job)[0]))
            x, y, row = left, top, 0.0
        _place(rig, pages[-1], place, trial, (x, y), (width, depth), scale, cell_w)
        x += cell_w + 5.0
        row = max(row, cell_h)
    return pages


def _floor(place: Place, trial: Trial) -> tuple[float, float]:
    """Width and depth to draw: the place's own, else so much as its boxes take; nothing where neither is known."""
    if place.size is not None:
        return place.size[0] * 1000.0, place.size[1] * 1000.0
    if not trial.spots:
        return 0.0, 0.0
    return (
        max(s.x_mm + s.width_mm for s in trial.spots) + 50.0,
        max(s.y_mm + s.depth_mm for s in trial.spots) + 50.0,
    )


def _place(
    rig: Rig, page: Page, place: Place, trial: Trial, at: tuple[float, float], size: tuple[float, float], scale: int, cell: float
) -> None:  # fmt: skip
    c = page.canvas
    x0, y0 = at
    c.text(place.id, x0, y0 + BIG, plain(place.id), BIG, "sans-bold")
    known_size = place.size is not None
    told = _measures(place.size) if place.size else "size ?"
    c.text(
        place.id,
        x0 + text_width(plain(place.id) + "  ", BIG, "sans-bold"),
        y0 + BIG,
        f"{plain(place.regime)}, {told}",
        EM,
    )
    a, b = x0 + FIGURE, y0 + BIG + 7.0
    w, d = size[0] / scale, size[1] / scale
    if w > 0.0:
        weight = 0.7 if known_size else THIN
        c.box(place.id, a, b, a + w, b + d, weight, "" if known_size else "place", layer="place")
    c.anchor(place.id, (a, b, "right"))
    if known_size:
        chain(c, place.id, b - 2.0, (a, a + w), (length_words(size[0], f"{size[0]:.0f}"),))
        chain(c, place.id, a - 2.0, (b, b + d), (length_words(size[1], f"{size[1]:.0f}"),), upright=True)
    for spot in trial.spots:
        _part(rig, c, spot, a, b, scale, page.room.drawing[2])
    y = b + d + 4.0
    for line in _facts(place, trial, cell):
        y += STEP
        c.text(place.id, x0, y, line, EM)
    if w > 0.0:
        scale_bar(c, x0, y + 2.2, scale)
    _beside(rig, page, trial, x0, y + (5.5 if w > 0.0 else 2.0), cell)


def _part(rig: Rig, c: Canvas, spot: Spot, x0: float, y0: float, scale: int, right: float) -> None:
    part = rig.parts[spot.part]
    x, y = x0 + spot.x_mm / scale, y0 + spot.y_mm / scale
    w, d = spot.width_mm / scale, spot.depth_mm / scale
    c.box(spot.part, x, y, x + w, y + d, SYMBOL)
    free, where = clearance_mm(part)
    if free and ("around" in where or not where):
        f = free / scale
        c.box(spot.part, x - f, y - f, x + w + f, y + d + f, THIN, "tell")
    name = plain(spot.part) + (" ~" if part.kind.name in WARM else "")
    extent = extent_of(part)
    assert extent is not None
    sides = " × ".join(length_words(mm, f"{mm:.0f}") for mm in (spot.width_mm, spot.depth_mm))
    told = f"{sides}, {length_words(extent.height_mm, f'{extent.height_mm:.0f}')} high"
    if text_width(name, EM, "sans-bold") < w - 0.8 and d > 2.6:
        c.text(spot.part, x + w / 2, y + min(d / 2 + 0.7, 3.4), name, EM, "sans-bold", "middle")
        if text_width(told, EM) < w - 0.8 and d > 8.0:
            c.text(spot.part, x + w / 2, y + 3.4 + STEP, told, EM, "sans", "middle")
    else:
        _by_leader(c, spot.part, name, x + w / 2, y + d / 2, right)


def _facts(place: Place, trial: Trial, cell: float) -> list[str]:
    """What is said under a place, in lines no wider than its cell."""
    return [line for fact in _said(place, trial) for line in wrapped(fact, EM, cell - 2.0)]


def _said(place: Place, trial: Trial) -> list[str]:
    out = []
    vents = known(place.figures["vents"]) if "vents" in place.figures else None
    if vents:
        out.append(_vents(place, vents.value / 100))
    elif place.regime != "outside":
        out.append("vents ?")
    if "opening" in place.words:
        where = place.opening_at
        told = (
            "which side is not in the file"
            if where is None
            else f"its lower left corner at {_spot(where)} seen from in front"
        )
        out.append(f"opening {plain(place.words['opening'])}, {told}")
    if trial.too_big_for_opening:
        out.append(f"does not pass the opening: {', '.join(trial.too_big_for_opening)}")
    if trial.too_tall:
        out.append(f"taller than the place: {', '.join(trial.too_tall)}")
    if trial.left_over:
        out.append(f"finds no room in this arrangement: {', '.join(trial.left_over)}")
    if trial.unsized:
        out.append("dashed below: size ?, not in the record")
    return out


def _vents(place: Place, area_cm2: float) -> str:
    low, high = place.vent_low, place.vent_high
    told = [f"{name} at {_spot(at)}" for name, at in (("low", low), ("high", high)) if at is not None]
    if not told:
        return f"vents {area_cm2:.0f} cm², where they sit is not in the file"
    return f"vents {area_cm2:.0f} cm², {', '.join(told)} seen from in front"


def _spot(at: Sequence[float]) -> str:
    if in_inches():
        return " / ".join(feet_and_inches(v * 1000) for v in at)
    return " / ".join(f"{v:g}".replace("-", "−") for v in at) + " m"


def _measures(size: Sequence[float]) -> str:
    """Length, width and height of a place."""
    if in_inches():
        return " × ".join(feet_and_inches(v * 1000) for v in size)
    return " × ".join(f"{v:g}" for v in size) + " m"


def _metres(value: float, digits: str) -> str:
    return length_words(value * 1000, f"{value:{digits}} m".replace("-", "−"))


def _beside(rig: Rig, page: Page, trial: Trial, x: float, y: float, cell: float) -> None:
    """What finds no room or has no size: small dashed boxes under the place."""
    c = page.canvas
    start = x
    for name in (*trial.left_over, *trial.unsized):
        word = plain(name) + (" ~" if rig.parts[name].kind.name in WARM else "")
        wide = text_width(word, EM) + 2.4
        if x + wide > start + cell:
            x, y = start, y + 5.0
        dash: Dash = "tell" if name in trial.unsized else ""
        c.add(
            name,
            Polyline(
                ((x, y), (x + wide, y), (x + wide, y + 4.0), (x, y + 4.0)), THIN, dash, "ink", "symbol", True
            ),
        )
        c.text(name, x + 1.2, y + 2.9, word, EM)
        x += wide + 1.2
