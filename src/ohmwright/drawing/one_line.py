"""The circuit sheet: direct current conductor by conductor, AC cable by cable, on as few sheets as hold it.

Law: there is ink for a conductor only where the file has that conductor.  `readback` reads the net back from the
finished ink and `lint` looks for what overlaps; a sheet is not issued unless both are content.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace

from ohmwright.circuit.types import Solution
from ohmwright.drawing import symbols
from ohmwright.drawing.bank import Bar
from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.field import Field
from ohmwright.drawing.frame import (
    SIZES,
    Follow,
    Numbered,
    Room,
    Title,
    draw_follows,
    draw_frame,
    draw_margin,
    draw_title,
    room,
)
from ohmwright.drawing.ink import inked
from ohmwright.drawing.ladder import Piece
from ohmwright.drawing.layout import bar_strip, bounds_of, in_one, in_pieces, lonely_of, loose_columns
from ohmwright.drawing.lettering import plain, text_width
from ohmwright.drawing.marks import WORDS, Mark, tag, tag_width, triangle
from ohmwright.drawing.pen import Open, Pen, Style, up
from ohmwright.drawing.shapes import (
    BUS,
    GRID,
    Box,
    Circle,
    Flagged,
    Group,
    Hit,
    Line,
    Pin,
    Shape,
    Sheet,
    Text,
    moved,
)
from ohmwright.drawing.view import View, view_of
from ohmwright.drawing.wiring import Draft, lead, note_shapes
from ohmwright.drawing.words import Drops, part_lines
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

#: Heights of capitals, tallest first; nothing under the last is printed. See docs/decisions/0010-lettering.md.
CAPITALS = (2.5, 2.2, 2.0, 1.8)
METAL_PITCH = 10.0

CAUTIONS = (
    "A drawing does not make a circuit dead. Isolate, lock and prove dead before touching anything.",
    "The array cannot be switched off: cover it or open its switch. The bank can weld a spanner.",
    "Local codes and a licensed person's judgement rule over this sheet.",
)


@dataclass(frozen=True, slots=True)
class Circuit:
    """What the circuit sheets are made from."""

    rig: Rig
    graph: Graph
    solution: Solution | None = None
    marks: tuple[Mark, ...] = ()
    title: Title | None = None
    follows: tuple[Follow, ...] = ()
    changed: tuple[str, ...] = ()
    """Addresses that bear the revision triangle."""


def circuit_sheets(circuit: Circuit) -> tuple[Sheet, ...]:
    """The circuit on sheets: one when it fits, else several that name each other's zones."""
    view = view_of(circuit.rig, circuit.graph)
    drops = Drops(circuit.solution, view)
    size, pen, pieces = _fitted(view, drops)
    drafts = [_draft(pen, room(size if len(pieces) == 1 else _size_of(p, pen)), piece, f"E-{i + 1:02d}") for i, (piece, p) in enumerate(zip(pieces, pieces, strict=True))]
    _metal(pen, drafts)
    _loose(pen, drafts)
    for d in drafts:
        for bar in d.bars:
            _studs(pen, d, bar)
        note_shapes(d.free, d.canvas, d.bars)
    lead(pen, drafts)
    return _finished(circuit, pen, drafts)


def _home(view: View) -> str:
    places = Counter(p.place for p in view.rig.parts.values() if p.place and not p.group)
    return max(sorted(places), key=lambda k: places[k]) if places else ""


def _pen(view: View, drops: Drops, capital: float) -> Pen:
    return Pen(view, drops, Style(capital), _home(view))


def _foot(view: View) -> float:
    n = sum(1 for m in view.rig.metal if view.at.get(m))
    return METAL_PITCH * n + (10.0 if n else 0.0)


def _fits(piece: Piece, size: str, foot: float) -> bool:
    left, top, right, bottom = bounds_of(piece)
    a, b, c, d = room(size).drawing
    return right - left <= c - a and bottom - top + foot <= d - b


def _likely(tall: Piece, low: Piece, part: float, size: str, foot: float) -> bool:
    """Whether a lettering between two tried ones may fit, judged on the line between them."""
    (l1, t1, r1, b1), (l2, t2, r2, b2) = bounds_of(tall), bounds_of(low)
    width = (r2 - l2) + part * ((r1 - l1) - (r2 - l2))
    height = (b2 - t2) + part * ((b1 - t1) - (b2 - t2))
    a, b, c, d = room(size).drawing
    return width <= c - a + 4.0 and height + foot <= d - b + 4.0


def _fitted(view: View, drops: Drops) -> tuple[str, Pen, list[Piece]]:
    """The smallest sheet and, on it, the tallest lettering that holds everything; else several sheets."""
    foot = _foot(view)
    made: dict[float, tuple[Pen, Piece]] = {}

    def at(capital: float) -> tuple[Pen, Piece]:
        if capital not in made:
            pen = _pen(view, drops, capital)
            made[capital] = (pen, in_one(pen))
        return made[capital]

    tall, low = CAPITALS[0], CAPITALS[-1]
    for size in ("A3", "A2"):
        if _fits(at(tall)[1], size, foot):
            return size, at(tall)[0], [at(tall)[1]]
        if not _fits(at(low)[1], size, foot):
            continue
        for capital in CAPITALS[1:-1]:
            if _likely(at(tall)[1], at(low)[1], (capital - low) / (tall - low), size, foot) and _fits(at(capital)[1], size, foot):
                return size, at(capital)[0], [at(capital)[1]]
        return size, at(low)[0], [at(low)[1]]
    a, _, c, _ = room("A2").drawing
    for capital in CAPITALS:
        pen = _pen(view, drops, capital)
        pieces = in_pieces(pen, c - a)
        if capital == low or all(_fits(p, "A2", foot) for p in pieces):
            return "A2", pen, pieces
    raise AssertionError("the last lettering is always taken")


def _size_of(piece: Piece, pen: Pen) -> str:
    foot = _foot(pen.view)
    return next((s for s in SIZES if _fits(piece, s, foot)), "A1")


def _draft(pen: Pen, r: Room, piece: Piece, number: str) -> Draft:
    """A piece put into a sheet's room, with the room as a field."""
    left, top, right, bottom = bounds_of(piece)
    a, b, c, d = r.drawing
    foot = _foot(pen.view)
    slack_x, slack_y = (c - a) - (right - left), (d - b - foot) - (bottom - top)
    dx = a - left + min(max(0.0, slack_x / 2), 40.0)
    dy = b - top + max(0.0, min(slack_y / 2, 30.0))
    dx, dy = round(dx * 4) / 4, round(dy * 4) / 4
    canvas = Canvas()
    canvas.merge(piece.column.canvas, dx, dy)
    bars = [bar.moved(dx, dy) for bar in piece.bars]
    opens = [Open(o.wire, o.x + dx, o.y + dy, o.exits, o.end) for o in piece.column.opens]
    x0, y0 = dx % GRID, dy % GRID
    x0 += GRID * -(-(a - x0) // GRID)
    y0 += GRID * -(-(b - y0) // GRID)
    free = Field(x0, y0, int((c - x0) // GRID) + 1, int((d - y0) // GRID) + 1)
    return Draft(r, number, canvas, bars, opens, free)


def _metal(pen: Pen, drafts: list[Draft]) -> None:
    """Metal bodies as lines along the foot of every sheet; those that nothing lands on are left out again."""
    view = pen.view
    wired = [m for m in view.rig.metal if view.at.get(m)]
    for d in drafts:
        lowest = max([b.y for b in d.bars] + [d.canvas.bounds()[3]])
        first = min(up(lowest - d.free.y0) + d.free.y0 + up(2 * pen.style.line + 4.0), d.free.y0 + (d.free.rows - 1) * GRID - 7.5 - METAL_PITCH * (len(wired) - 1))
        for k, m in enumerate(wired):
            y = first + METAL_PITCH * k
            x1, x2 = d.free.x0 + 2 * GRID, d.free.x0 + (d.free.columns - 2) * GRID
            d.bars.append(Bar(m, y, x1, x2))


def _loose(pen: Pen, drafts: list[Draft]) -> None:
    """What no column reached, put where there is room near what it is wired to."""
    view = pen.view
    strips = [p.id for p in view.rig.parts.values() if view.is_bar(p.id) and p.id not in pen.taken]
    columns = [(i, s[0]) for i in strips if (s := bar_strip(pen, i)) is not None] + loose_columns(pen)
    for owner, column in columns:
        left, top, right, bottom = column.canvas.bounds()
        best: tuple[float, Draft, float, float] | None = None
        for d in drafts:
            field = Field(d.free.x0, d.free.y0, d.free.columns, d.free.rows)
            note_shapes(field, d.canvas, d.bars)
            x, y, n = _pull(pen, d, owner)
            spot = field.nearest_room(right - left + (40.0 if owner in strips else 7.5), bottom - top + 5.0, x, y)
            if spot is not None:
                score = abs(spot[0] - x) + abs(spot[1] - y) - 1000.0 * n
                if best is None or score < best[0]:
                    best = (score, d, spot[0], spot[1])
        if best is None:
            drafts[0].notes.append(f"{owner}: no room on the sheet")
            continue
        _, d, x, y = best
        dx = x + (20.0 if owner in strips else 5.0) - GRID * (left // GRID)
        dy = y + 2.5 - GRID * (top // GRID)
        d.canvas.merge(column.canvas, dx, dy)
        d.opens += [Open(o.wire, o.x + dx, o.y + dy, o.exits, o.end) for o in column.opens]


def _pull(pen: Pen, draft: Draft, owner: str) -> tuple[float, float, int]:
    """The middle of what a part is wired to on a sheet, and how many such points there are."""
    spots: list[tuple[float, float]] = []
    for wire, end in pen.view.wires_at(owner):
        other = wire.other(end)
        for a in draft.canvas.landings:
            if any(t == other.nodes[0][1] for _, t in a.nodes):
                spots.append((a.x, a.y))
        spots += [((b.x1 + b.x2) / 2, b.y) for b in draft.bars if b.ref == other.owner]
        spots += [(o.x, o.y) for o in draft.opens if o.end.owner == owner]
    if not spots:
        left, top, right, bottom = draft.room.drawing
        return right, (top + bottom) / 2, 0
    return sum(s[0] for s in spots) / len(spots), sum(s[1] for s in spots) / len(spots), len(spots)


# --------------------------------------------------------------------------------------------------- finishing


def _finished(circuit: Circuit, pen: Pen, drafts: list[Draft]) -> tuple[Sheet, ...]:
    title = circuit.title or Title(circuit.rig.job.title or circuit.rig.job.id or "no name")
    flags = _flagged(circuit, pen, drafts)
    out = []
    for i, d in enumerate(drafts):
        lines = [s for _, s in d.canvas.items if isinstance(s, Line) and s.layer == "conductor"]
        _bars(pen, d)
        _lonely(pen, d) if i == len(drafts) - 1 else None
        mine = [n for n in flags if n[1] is d]
        _draw_flags(circuit, pen, d, [n for n, _ in mine])
        _legend(pen, d)
        canvas = Canvas()
        draw_frame(canvas, d.room, pen.style.em)
        number = f"{d.number}"
        block = replace(title, sheet=title.sheet or "Circuit sheet", note=title.note or "DC two-line, AC one-line", number=number, of=str(len(drafts)))
        top = draw_title(canvas, d.room, block, pen.style.em)
        top = draw_follows(canvas, d.room, circuit.follows if i == 0 else (), title.revision, top, pen.style.em)
        draw_margin(canvas, d.room, [n for n, _ in mine], CAUTIONS, top, pen.style.em)
        flagged = tuple(Flagged(n.number, n.zone, n.mark.number, n.mark.subject) for n, _ in mine)
        out.append(replace(_sheet(circuit, pen, d, canvas, lines, len(drafts)), flags=flagged))
    return tuple(out)


def _bars(pen: Pen, d: Draft) -> None:
    """Bars with their name, sign and stud numbers, trimmed to what is tapped."""
    canvas, em = d.canvas, pen.style.em
    for bar in d.bars:
        metal = bar.ref in pen.view.rig.metal
        xs = [x for x, _, _ in bar.taps]
        if metal:
            if not xs:
                continue
            bar.x1, bar.x2 = min(xs) - 10.0, max(xs) + 5.0
        _studs(pen, d, bar)
        for x, terminal, _ in bar.taps:
            if not terminal:
                continue
            canvas.add(bar.ref or pen.view.owner(terminal), Pin(x, bar.y, (("", terminal),)))
            if metal:
                canvas.add(bar.ref, Circle(x, bar.y, 0.75, 0.0, "ink", "dot", "ink"))
        if bar.post:
            _post_bar(pen, d, bar)
        elif metal:
            canvas.add(bar.ref, Line(bar.x1, bar.y, bar.x2, bar.y, FRAME_WEIGHT, "earth", "ink", "bus"))
            (symbols.earth if bar.ref in ("ground", "sea", "shore-ground") else symbols.frame)(canvas, bar.ref, bar.x1, bar.y)
            said = pen.view.rig.metal[bar.ref]
            more = [f"touches {', '.join(said.joined)}"] if said.joined else []
            more += [f"wet by {', '.join(said.wet)}"] if said.wet else []
            width = text_width(bar.ref + "  ", em, "sans-bold") + text_width(", ".join(more), em)
            options = [(x, y) for y in (bar.y + em * 0.66 + 1.4, bar.y - 1.4) for x in (bar.x1 + 4.0, *(t + 1.2 for t in sorted(xs)))]
            options += [(bar.x2 + 1.5, bar.y + em * 0.33), (bar.x1 - 6.0 - width, bar.y + em * 0.33)]
            x, y = next((o for o in options if _free_text(d, o[0], o[1], width, em)), options[0])
            canvas.text(bar.ref, x, y, bar.ref, em, "sans-bold")
            canvas.text(bar.ref, x + text_width(bar.ref + "  ", em, "sans-bold"), y, ", ".join(more), em)
            canvas.anchors.setdefault(bar.ref, []).append((bar.x1 - 3.4, bar.y, "right"))
        else:
            canvas.add(bar.ref, Line(bar.x1, bar.y, bar.x2, bar.y, BUS, "", "ink", "bus"))
            _name_bar(pen, d, bar)


FRAME_WEIGHT = 0.7


def _studs(pen: Pen, d: Draft, bar: Bar) -> None:
    """Stud numbers at the taps that have none yet."""
    if bar.ref and bar.ref not in pen.view.rig.metal:
        for x, terminal, side in bar.taps[bar.lettered :]:
            if terminal:
                _stud(pen, d, bar, x, terminal.removeprefix(bar.ref + ".").split(".")[0], side)
        bar.lettered = len(bar.taps)


def _stud(pen: Pen, d: Draft, bar: Bar, x: float, stud: str, side: str) -> None:
    """A stud's number at its tap, on the side of the wire, left of it unless something lies there."""
    em = pen.style.em
    width = text_width(stud, em)
    beside = bar.y + em * 0.66 + 1.2 if side == "below" else bar.y - 1.2
    across = bar.y - 1.2 if side == "below" else bar.y + em * 0.66 + 1.2
    options = [(x - 0.8 - width, beside), (x + 0.8, beside), (x - 0.8 - width, across), (x + 0.8, across), (x - 3.4 - width, beside), (x + 3.4, beside)]
    at = next((o for o in options if d.canvas.is_clear((o[0] - 0.1, o[1] - em * 0.7, o[0] + width + 0.1, o[1] + 0.05))), options[0])
    d.canvas.text(bar.ref, at[0], at[1], stud, em, "sans", "start", "graphite")


def _post_bar(pen: Pen, d: Draft, bar: Bar) -> None:
    """A battery's post drawn long: the ink of the wires that land on it."""
    wires = [w for w, _ in pen.view.at.get(bar.post, ()) if not w.ac]
    if not wires:
        return
    xs = [x for x, _, _ in bar.taps]
    d.canvas.wire(wires[0].run, wires[0].id, min(xs), bar.y, max(xs), bar.y)
    told = f"{bar.post.replace('-', '−')} post"
    width = text_width(told, pen.style.em, "sans-semibold")
    options = [(x, y) for y in (bar.y - 1.2, bar.y + 1.0 + pen.style.em * 0.66) for x in [*(t + 1.5 for t in sorted(xs)), max(xs) - width]]
    options += [(max(xs) + 1.5, bar.y + pen.style.em * 0.33), (min(xs) - width - 1.5, bar.y + pen.style.em * 0.33)]
    x, y = next((o for o in options if _free_text(d, o[0], o[1], width, pen.style.em)), (min(xs) + 1.5, bar.y - 1.2))
    d.canvas.text(pen.view.owner(bar.post), x, y, told, pen.style.em, "sans-semibold")


def _name_bar(pen: Pen, d: Draft, bar: Bar) -> None:
    canvas, em = d.canvas, pen.style.em
    part = pen.view.rig.parts[bar.ref]
    lines = part_lines(part, pen.home)
    first = plain(bar.ref)
    told = ", ".join(lines)
    width = text_width(first, pen.style.big, "sans-bold") + 1.2 + text_width(told, em)
    taps = sorted(x for x, _, _ in bar.taps)
    options = []
    for y in (bar.y - 1.6, bar.y + 1.4 + pen.style.big * 0.66):
        for x in [bar.x1, *(t + 1.2 for t in taps), bar.x2 - width]:
            options.append((x, y))
        options.append((bar.x2 + 1.5, bar.y + em * 0.3))
    spot = next((o for o in options if _free_text(d, o[0], o[1], width, pen.style.big)), None)
    if spot is None:
        width = text_width(first, pen.style.big, "sans-bold")
        told = ""
        spot = next((o for o in options if _free_text(d, o[0], o[1], width, pen.style.big)), (bar.x1 - width - 1.5, bar.y + em * 0.33))
    canvas.text(bar.ref, spot[0], spot[1], first, pen.style.big, "sans-bold")
    canvas.text(bar.ref, spot[0] + text_width(first, pen.style.big, "sans-bold") + 1.2, spot[1], told, em)
    canvas.anchors.setdefault(bar.ref, []).extend([(bar.x1 - 0.5, bar.y, "right"), (bar.x2 + 0.5, bar.y, "left")])


def _free_text(d: Draft, x: float, y: float, width: float, em: float) -> bool:
    return _empty(d, (x - 0.4, y - em * 0.75, x + width + 0.4, y + em * 0.22))


def _empty(d: Draft, box: Box) -> bool:
    """True when no shape and no bar lies in a box of the drawing room."""
    left, top, right, bottom = d.room.drawing
    if box[0] < left or box[1] < top or box[2] > right or box[3] > bottom:
        return False
    if not d.canvas.is_clear(box):
        return False
    return not any(bar.x1 < box[2] and box[0] < bar.x2 and bar.y - 0.7 < box[3] and box[1] < bar.y + 0.7 for bar in d.bars)


def _flagged(circuit: Circuit, pen: Pen, drafts: list[Draft]) -> list[tuple[Numbered, Draft]]:
    """Marks in the order of their numbers: heaviest first, then by zone."""
    found: list[tuple[int, str, int, Mark, Draft]] = []
    for k, mark in enumerate(circuit.marks):
        subject = _drawn_subject(mark.subject, drafts)
        d = next((d for d in drafts if subject in d.canvas.anchors or any(b.ref == subject for b in d.bars)), drafts[0])
        found.append((WORDS.index(mark.word), _zone(d, subject), k, mark, d))
    found.sort(key=lambda f: f[:3])
    return [(Numbered(m, str(i + 1), zone), d) for i, (_, zone, _, m, d) in enumerate(found)]


def _drawn_subject(subject: str, drafts: list[Draft]) -> str:
    """The address itself where it is drawn, else the nearest thing above it that is."""
    while subject:
        if any(subject in d.canvas.anchors or any(b.ref == subject for b in d.bars) for d in drafts):
            return subject
        subject = subject.rpartition(".")[0]
    return ""


def _zone(d: Draft, subject: str) -> str:
    spots = d.canvas.anchors.get(subject)
    if spots:
        return d.room.zone(spots[0][0], spots[0][1])
    bar = next((b for b in d.bars if b.ref == subject), None)
    return d.room.zone(bar.x1, bar.y) if bar else ""


def _draw_flags(circuit: Circuit, pen: Pen, d: Draft, notes: list[Numbered]) -> None:
    height = pen.style.em * 1.45
    for n in notes:
        subject = _drawn_subject(n.mark.subject, [d])
        spots = d.canvas.anchors.get(subject, [])
        w = tag_width(n.mark.word, n.number, height, with_word=False) + 1.0
        for x, y, to in [*spots, *((x - dx, y + dy, to) for x, y, to in spots for dx, dy in ((0, 5), (0, -5), (6, 0), (12, 0), (0, 8), (0, -8)))]:
            a, b = (x - w - 1.2, x - 0.2) if to == "right" else (x + 0.2, x + w + 1.2)
            if _empty(d, (a, y - height / 2 - 1.0, b, y + height / 2 + 1.0)):
                tag(d.canvas, subject, x - 0.6 if to == "right" else x + 0.6, y, n.mark.word, n.number, height=height, to=to)
                break
    for address in circuit.changed:
        for x, y, to in d.canvas.anchors.get(address, []):
            r = pen.style.em
            cx = x - 1.5 - r if to == "right" else x + 1.5 + r
            if _empty(d, (cx - r, y - r, cx + r, y + r)):
                triangle(d.canvas, address, cx, y, (circuit.title.revision if circuit.title else "") or "Δ", pen.style.em)
                break


def _lonely(pen: Pen, d: Draft) -> None:
    """Parts that no run joins: a box of their own, never left out."""
    names = lonely_of(pen)
    if not names:
        return
    em = pen.style.em
    rows = [f"{i}  {', '.join(part_lines(p, pen.home)) if (p := pen.view.rig.parts.get(i)) is not None else 'load'}" for i in names]
    width = max(text_width(r, em) for r in [*rows, "NOT YET JOINED"]) + 6.0
    height = (len(rows) + 1.6) * pen.style.line + 2.0
    field = Field(d.free.x0, d.free.y0, d.free.columns, d.free.rows)
    note_shapes(field, d.canvas, d.bars)
    spot = field.nearest_room(width + 2.5, height + 2.5, d.room.drawing[2], d.room.drawing[1])
    if spot is None:
        d.notes.append("not yet joined: " + ", ".join(names))
        return
    x, y = spot[0] + 1.2, spot[1] + 1.2
    d.canvas.box("", x, y, x + width, y + height, 0.25, "place", layer="note")
    d.canvas.text("", x + 2.0, y + pen.style.line, "NOT YET JOINED", em, "sans-bold")
    for i, (name, row) in enumerate(zip(names, rows, strict=True)):
        d.canvas.text(name, x + 2.0, y + pen.style.line * (i + 2), row, em)
        d.canvas.anchors.setdefault(name, []).append((x - 0.9, y + pen.style.line * (i + 1.6), "right"))


LEGEND = (
    ("wire", "DC conductor, one line a pole"),
    ("ac", "AC cable, one line; slash L, dot N, bar PE"),
    ("earth", "protective earth or bond"),
    ("data", "sense or data"),
    ("hop", "crosses, not joined"),
    ("stud", "figure at a bar: stud"),
    ("arrow", "goes on at the named place and zone"),
)


def _legend(pen: Pen, d: Draft) -> None:
    """How to read the sheet, in the first hole that is big enough."""
    em, step = pen.style.em, pen.style.line * 1.35
    home = f"no place named: at {pen.home}" if pen.home else ""
    tail = [w for w in (home, "run: reference, size, colour; length one way, drop from 0.5 % up", "a figure not known is printed ?") if w]
    width = max([16.0 + max(text_width(t, em) for _, t in LEGEND), *(text_width(t, em) for t in tail)]) + 3.0
    height = step * (len(LEGEND) + 1) + pen.style.line * (len(tail) + 0.6) + 3.0
    field = Field(d.free.x0, d.free.y0, d.free.columns, d.free.rows)
    note_shapes(field, d.canvas, d.bars)
    left, top, right, _ = d.room.drawing
    spots = [field.nearest_room(width + 2.5, height + 2.5, x, top) for x in (right, left)]
    found = [s for s in spots if s is not None]
    if not found:
        return
    x, y = min(found, key=lambda s: (s[1], -s[0]))
    x, y = x + 1.5, y + 2.0
    c = d.canvas
    c.text("", x, y + em, "HOW TO READ", em, "sans-bold")
    for i, (what, told) in enumerate(LEGEND):
        at = y + step * (i + 1) + em * 0.9
        mid = at - em * 0.33
        if what == "wire":
            c.line("", x, mid, x + 12.0, mid, 0.5, layer="note")
        elif what == "ac":
            c.line("", x, mid, x + 12.0, mid, 0.5, layer="note")
            sample = Canvas()
            symbols.core_marks(sample, "", x + 6.0, mid, ("L", "N", "PE"), upright=False)
            for _, s in sample.items:
                if isinstance(s, Line | Circle):
                    c.add("", replace(s, layer="note"))
        elif what == "earth":
            c.line("", x, mid, x + 12.0, mid, 0.35, "earth", layer="note")
        elif what == "data":
            c.line("", x, mid, x + 12.0, mid, 0.25, "data", layer="note")
        elif what == "hop":
            c.line("", x, mid, x + 12.0, mid, 0.5, layer="note")
            c.line("", x + 6.0, mid - 2.2, x + 6.0, mid - 1.1, 0.5, layer="note")
            c.line("", x + 6.0, mid + 1.1, x + 6.0, mid + 2.2, 0.5, layer="note")
            c.arc("", x + 6.0, mid, 1.1, 270, 90, 0.5)
        elif what == "stud":
            c.text("", x + 6.0, at, "3", em, "sans", "middle", "graphite")
        else:
            from ohmwright.drawing.layout import arrow

            c.line("", x, mid, x + 6.0, mid, 0.5, layer="note")
            arrow(c, "", x + 6.0, mid, "right")
        c.text("", x + 15.0, at, told, em)
    at = y + step * (len(LEGEND) + 1) + em * 0.9
    for k, line in enumerate(tail):
        c.text("", x, at + pen.style.line * (k + 0.3), line, em)


def _sheet(circuit: Circuit, pen: Pen, d: Draft, frame: Canvas, conductors: list[Line], count: int) -> Sheet:
    lines = [s for _, s in d.canvas.items if isinstance(s, Line) and s.layer == "conductor"]
    del conductors
    by_ref: dict[str, list[Shape]] = {}
    for ref, s in d.canvas.items:
        if not (isinstance(s, Line) and s.layer == "conductor"):
            by_ref.setdefault(ref, []).append(s)
    groups = [Group("", "", tuple(s for _, s in frame.items))]
    groups.append(Group("", "", tuple(inked(lines, d.bars))))
    groups += [Group(ref, _told(circuit.rig, ref), tuple(shapes)) for ref, shapes in by_ref.items()]
    hits: dict[str, list[Hit]] = {}
    for ref, s in d.canvas.items:
        if isinstance(s, Line) and s.layer == "conductor":
            hits.setdefault(ref, []).append(Hit(ref, ((s.x1, s.y1), (s.x2, s.y2))))
    zones = {ref: _zone(d, ref) for ref in d.canvas.anchors if ref}
    name = circuit.rig.job.title or circuit.rig.job.id
    parts = sum(1 for p in circuit.rig.parts.values() if not p.group)
    text = f"Circuit sheet {d.number} of {count} of {plain(name)}: {parts} parts and {len(circuit.rig.runs)} runs; direct current conductor by conductor, AC cable by cable."
    if circuit.marks:
        text += " Marks: " + ", ".join(f"{m.word.lower()} at {plain(m.subject)}" for m in circuit.marks[:20]) + "."
    return Sheet(d.number, f"{plain(name)}, circuit sheet {d.number}", text, d.room.width, d.room.height, tuple(groups), tuple(h for hs in hits.values() for h in hs), zones, pen.style.em, tuple(d.notes))


def _told(rig: Rig, ref: str) -> str:
    if ref in rig.parts:
        return f"{ref}, {rig.parts[ref].record.title}"
    if ref in rig.runs:
        return f"{ref}, {rig.runs[ref].start} to {rig.runs[ref].stop}, {rig.runs[ref].cable.text}"
    return ref


__all__ = ["CAPITALS", "CAUTIONS", "Circuit", "Mapping", "Text", "circuit_sheets", "moved", "up"]
