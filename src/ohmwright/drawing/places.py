"""Places to scale: the host from above with its places, then each place with its parts as boxes.

A place in which the file stands parts is drawn from in front, as they stand there; what it does not place is proposed.
Of any other the boxes are put side by side, from above, to see whether they go in, and the sheet says so.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ohmwright.drawing.bays import Front, Stood, bolted_in, front_of, hidden_by
from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.frame import Title, sizes_for
from ohmwright.drawing.lettering import in_inches, plain, text_width, wrapped
from ohmwright.drawing.page import BIG, EM, STEP, Binding, Page, bound
from ohmwright.drawing.scales import chain, feet_and_inches, length_words, scale_bar, scale_for
from ohmwright.drawing.shapes import SYMBOL, THIN, Dash, Polyline, Sheet
from ohmwright.drawing.sizes import Spot, arranged, opening_mm, passes
from ohmwright.rig.bay_air import Hole, holes_of
from ohmwright.rig.bay_fit import amiss
from ohmwright.rig.model import Part, Place, Rig
from ohmwright.rig.ports import is_group
from ohmwright.rig.standing import Extent, clearance_mm, extent_of
from ohmwright.working import known

CAUTIONS = (
    "What is proposed is a trial of this sheet, not a survey: measure the place before a hole is drilled.",
    "Keep the makers' free space; do not block vents, do not store on top of what gives off heat.",
    "Nothing that may spark stands where petrol or gas can gather. Cell gas is toxic and flammable.",
    "Local codes and a licensed person's judgement rule over this sheet.",
)

#: Kinds that give off heat while they work.
WARM = frozenset({"inverter", "inverter-charger", "pv-controller", "pv-controller-pwm", "dcdc-charger", "dcdc-supply", "isolation-transformer",
                  "hydro-controller", "pad-heater", "generator", "alternator", "galvanic-isolator"})  # fmt: skip

#: A name is tried on so many lines of its box, a millimetre apart.
LINES = 40
#: Room for the figure of an upright dimension.
FIGURE = 17.5

READING = (
    "Boxes are drawn from above: width and depth as the record words them; dashed around them the free space it asks for.",
    "A place in which the file stands parts is drawn from in front. Dash-dot there: proposed, not in the file.",
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
        made_from.title or Title(rig.job.title or rig.job.id), "Places", "to scale", "P",
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
        front = _front(rig, place)
        width, depth = (front.width_mm, front.height_mm) if front is not None else _floor(place, trial)
        scale = scale_for(width, depth, 190.0, 95.0, 10)
        beside = _not_drawn(trial, front)
        cell_w = max(width / scale + FIGURE + 6.0, 95.0)
        told = len(_facts(place, trial, front, cell_w))
        told += bool(front is not None and bolted_in(rig, place))
        cell_h = depth / scale + 20.0 + STEP * (2 + told) + 5.0 * -(-len(beside) // 6)
        left, top, right, bottom = pages[-1].room.drawing
        if x + cell_w > right:
            x, y, row = left, y + row + 6.0, 0.0
        if y + cell_h > bottom:
            pages.append(Page(sizes_for(rig.job)[0]))
            x, y, row = left, top, 0.0
        _place(rig, pages[-1], place, trial, front, (x, y), (width, depth), scale, cell_w)
        x += cell_w + 5.0
        row = max(row, cell_h)
    return pages


def _front(rig: Rig, place: Place) -> Front | None:
    """The place from in front, where the file stands parts in it and tells its size."""
    stands = any(p.place == place.id and p.standing is not None for p in rig.parts.values())
    return front_of(rig, place) if stands and place.size is not None else None


def _not_drawn(trial: Trial, front: Front | None) -> tuple[str, ...]:
    return (*trial.left_over, *trial.unsized) if front is None else (*front.left_over, *front.unsized)


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
    rig: Rig, page: Page, place: Place, trial: Trial, front: Front | None, at: tuple[float, float], size: tuple[float, float], scale: int, cell: float
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
        f"{plain(place.regime)}, {told}{', from in front' if front is not None else ''}",
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
    if front is not None:
        _from_in_front(rig, c, front, (a, b + d), scale, page.room.drawing[2])
    else:
        for spot in trial.spots:
            _box(rig, c, spot, a, b, scale)
        _lettered(c, [_named(rig, spot, a, b, scale) for spot in trial.spots], page.room.drawing[2])
    y = b + d + 4.0
    for line in _facts(place, trial, front, cell):
        y += STEP
        c.text(place.id, x0, y, line, EM)
    if front is not None and (posts := bolted_in(rig, place)):
        y += STEP
        _on_posts(c, place.id, posts, x0, y, cell)
    if w > 0.0:
        scale_bar(c, x0, y + 2.2, scale)
    unsized = front.unsized if front is not None else trial.unsized
    _beside(rig, page, _not_drawn(trial, front), unsized, x0, y + (5.5 if w > 0.0 else 2.0), cell)


def _box(rig: Rig, c: Canvas, spot: Spot, x0: float, y0: float, scale: int) -> None:
    """A part from above, and the free space around it."""
    x, y = x0 + spot.x_mm / scale, y0 + spot.y_mm / scale
    w, d = spot.width_mm / scale, spot.depth_mm / scale
    c.box(spot.part, x, y, x + w, y + d, SYMBOL)
    free, where = clearance_mm(rig.parts[spot.part])
    if free and ("around" in where or not where):
        f = free / scale
        c.box(spot.part, x - f, y - f, x + w + f, y + d + f, THIN, "tell")


@dataclass(frozen=True, slots=True)
class Named:
    """What a box is called, what is told of it, and the box on the sheet: left, top, width, height."""

    part: str
    name: str
    told: str
    box: tuple[float, float, float, float]


def _called(part: Part) -> str:
    return plain(part.id) + (" ~" if part.kind.name in WARM else "")


def _named(rig: Rig, spot: Spot, x0: float, y0: float, scale: int) -> Named:
    """A box from above: how large it is."""
    part = rig.parts[spot.part]
    extent = extent_of(part)
    assert extent is not None
    sides = " × ".join(length_words(mm, f"{mm:.0f}") for mm in (spot.width_mm, spot.depth_mm))
    told = f"{sides}, {length_words(extent.height_mm, f'{extent.height_mm:.0f}')} high"
    at = (x0 + spot.x_mm / scale, y0 + spot.y_mm / scale, spot.width_mm / scale, spot.depth_mm / scale)
    return Named(part.id, _called(part), told, at)


def _lettered(c: Canvas, named: Sequence[Named], right: float) -> None:
    """What stands in its box first, then what finds room beside the boxes only."""
    small = []
    for one in named:
        x, y, w, d = one.box
        wide = text_width(one.name, EM, "sans-bold")
        middle, top = x + w / 2, y + min(d / 2 + 0.7, 3.4)
        lines = (top + n for n in range(LINES) if n == 0 or top + n < y + d - 0.8)
        line = next((v for v in lines if c.is_open(_written(middle, v, wide))), None)
        if wide < w - 0.8 and d > 2.6 and line is not None:
            c.text(one.part, middle, line, one.name, EM, "sans-bold", "middle")
            told = text_width(one.told, EM)
            if told < w - 0.8 and line + STEP + 0.8 < y + d and c.is_open(_written(middle, line + STEP, told)):  # fmt: skip
                c.text(one.part, middle, line + STEP, one.told, EM, "sans", "middle")
        else:
            small.append(one)
    for one in small:
        x, y, w, d = one.box
        _by_leader(c, one.part, one.name, x + w / 2, y + d / 2, right)


def _written(middle: float, line: float, wide: float) -> tuple[float, float, float, float]:
    """What words take that stand about the middle of a line."""
    return middle - wide / 2 - 0.3, line - EM * 0.9, middle + wide / 2 + 0.3, line + EM * 0.35


def _from_in_front(
    rig: Rig, c: Canvas, front: Front, corner: tuple[float, float], scale: int, right: float
) -> None:
    """Board, opening and vents, then parts as they stand, those at the back first; `corner` is the lower left one."""
    x0, y0 = corner

    def box(x: float, y: float, w: float, h: float) -> tuple[float, float, float, float]:
        return x0 + x / scale, y0 - (y + h) / scale, w / scale, h / scale

    for pane in (front.board, front.opening, *front.vents):
        if pane is not None:
            x, y, w, h = box(pane.x_mm, pane.y_mm, pane.width_mm, pane.height_mm)
            c.box(front.place.id, x, y, x + w, y + h, THIN, "" if pane.told and pane.name != "opening" else "tell", layer="place")  # fmt: skip
            for k in (1, 2, 3) if pane in front.vents else ():
                c.line(front.place.id, x + 0.5, y + k * h / 4, x + w - 0.5, y + k * h / 4, THIN, layer="place")  # fmt: skip
    boxes = {s.part: box(s.x_mm, s.y_mm, s.width_mm, s.height_mm) for s in front.stood}
    for s in front.stood:
        x, y, w, h = boxes[s.part]
        c.box(s.part, x, y, x + w, y + h, THIN if s.proposed else SYMBOL, "place" if s.proposed else "")
    behind = {s.part: hidden_by(s, front) for s in front.stood}
    named = []
    for s in front.stood:
        if not behind[s.part]:
            hides = [p for p, by in behind.items() if by == s.part]
            told = f"before {', '.join(map(plain, hides))}" if hides else _where(s)
            named.append(Named(s.part, _called(rig.parts[s.part]), told, boxes[s.part]))
    _lettered(c, named, right)


def _where(s: Stood) -> str:
    return (
        "proposed"
        if s.proposed
        else f"{length_words(s.x_mm, f'{s.x_mm:.0f}')} / {length_words(s.y_mm, f'{s.y_mm:.0f}')}"
    )


def _facts(place: Place, trial: Trial, front: Front | None, cell: float) -> list[str]:
    """What is said under a place, in lines no wider than its cell."""
    return [line for fact in _said(place, trial, front) for line in wrapped(fact, EM, cell - 2.0)]


def _said(place: Place, trial: Trial, front: Front | None) -> list[str]:
    out = []
    holes = holes_of(place)
    if holes:
        out.append(_vents(holes))
    elif holes is not None and place.regime != "outside":
        out.append("no vents")
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
    if front is not None and front.proposed:
        out.append(f"proposed, not in the file: {', '.join(front.proposed)}")
    if front is not None:
        out += [f"{s.part} {'; '.join(amiss(s.fit))}" for s in front.stood if amiss(s.fit)]
    left_over = front.left_over if front is not None else trial.left_over
    if left_over:
        out.append(f"finds no room in this arrangement: {', '.join(left_over)}")
    if front.unsized if front is not None else trial.unsized:
        out.append("dashed below: size ?, not in the record")
    return out


def _vents(holes: Sequence[Hole]) -> str:
    told = [f"{h.id} at {_spot(h.at)}" for h in holes if h.at is not None]
    where = f"{', '.join(told)} seen from in front" if told else "where they sit is not in the file"
    if len({round(h.area_cm2, 3) for h in holes}) == 1 and len(holes) > 1:
        return f"vents {sum(h.area_cm2 for h in holes):.0f} cm², {where}"
    each = ", ".join(f"{h.id} {h.area_cm2:.0f} cm²" for h in holes)
    return f"{'one vent alone' if len(holes) == 1 else 'vents'}: {each}, {where}"


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


def _on_posts(c: Canvas, place: str, posts: Sequence[str], x: float, y: float, cell: float) -> None:
    """Devices that are bolted onto the posts of batteries, in one line as far as it holds them."""
    right = x + cell
    for word, ref in (("on the posts:", place), *((plain(p), p) for p in posts)):
        wide = text_width(word, EM) + 1.4
        if x + wide <= right:
            c.text(ref, x, y, word, EM)
            x += wide


def _beside(
    rig: Rig, page: Page, names: Sequence[str], unsized: Sequence[str], x: float, y: float, cell: float
) -> None:
    """What finds no room or has no size: small dashed boxes under the place."""
    c = page.canvas
    start = x
    for name in names:
        word = plain(name) + (" ~" if rig.parts[name].kind.name in WARM else "")
        wide = text_width(word, EM) + 2.4
        if x + wide > start + cell:
            x, y = start, y + 5.0
        dash: Dash = "tell" if name in unsized else ""
        c.add(
            name,
            Polyline(
                ((x, y), (x + wide, y), (x + wide, y + 4.0), (x, y + 4.0)), THIN, dash, "ink", "symbol", True
            ),
        )
        c.text(name, x + 1.2, y + 2.9, word, EM)
        x += wide + 1.2
