"""The whole circuit on one plane: systems side by side, the AC side at the right, metal at the foot, and every wire
that is still open led to its end, or broken off and named at both ends."""

from collections.abc import Iterator
from dataclasses import dataclass

from ohmwright.drawing import ac
from ohmwright.drawing.bank import Bar
from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.chains import draw_chain
from ohmwright.drawing.columns import INVERTERS, stand
from ohmwright.drawing.field import Field
from ohmwright.drawing.ladder import Piece, SystemDrawn, draw_system, place_system, systems_of
from ohmwright.drawing.pen import Column, Pen, up
from ohmwright.drawing.shapes import GRID, Box, Pin, Polyline
from ohmwright.drawing.view import chain_from


@dataclass(frozen=True, slots=True)
class Tree:
    """An AC tree, the terminal of the DC side it is level with ("" for none), and whether it leads away from there."""

    column: Column
    terminal: str
    outward: bool


@dataclass(frozen=True, slots=True)
class Stock:
    """Every column of the sheet, drawn and not yet placed."""

    pen: Pen
    systems: tuple[SystemDrawn, ...]
    trees: tuple[Tree, ...]


def stock_of(pen: Pen) -> Stock:
    """Draw everything that stands in a column; it can be placed more than once."""
    systems = tuple(draw_system(pen, s) for s in systems_of(pen.view))
    return Stock(pen, systems, tuple(_ac_trees(pen)))


def in_one(stock: Stock) -> Piece:
    """Everything that stands in a column on one plane: the main system last but for the AC side at its right."""
    pieces = [place_system(stock.pen, s)[0] for s in stock.systems]
    whole = row([*pieces[1:], *pieces[:1]])
    for tree, at in ac_side(stock, whole):
        whole.column.merge(tree, *at)
    return whole


def in_pieces(stock: Stock, most: float, tall: float) -> list[Piece]:
    """The same as pieces for several sheets, none wider than `most` if it can be helped; the widest system first.

    Smaller pieces stand beside larger ones; under them, in a sheet `tall` high, only where that saves a sheet.
    """
    pieces = place_system(stock.pen, stock.systems[0], most - 15.0) if stock.systems else [Piece(Column())]
    home = next(
        (
            i
            for i, p in enumerate(pieces)
            if any(stock.pen.view.kind(r) in INVERTERS for r in p.column.canvas.owners())
        ),
        0,
    )
    seconds = [place_system(stock.pen, s)[0] for s in stock.systems[1:]]
    trees = ac_side(stock, pieces[home])
    grown = Piece(Column())
    grown.merge(pieces[home], 0.0, 0.0)
    for tree, at in trees:
        grown.column.merge(tree, *at)
    loose: list[Piece] = list(seconds)
    if bounds_of(grown)[2] - bounds_of(grown)[0] <= most:
        pieces[home] = grown
    else:
        loose += [Piece(tree) for tree, _ in trees]
    rows: list[list[Piece]] = [[p] for p in pieces]
    for piece in loose:
        width = bounds_of(piece)[2] - bounds_of(piece)[0] + 7.5
        spot = next(
            (
                r
                for r in reversed(rows)
                if sum(bounds_of(p)[2] - bounds_of(p)[0] + 7.5 for p in r) + width <= most
            ),
            None,
        )
        if spot is not None:
            spot.append(piece)
        else:
            rows.append([piece])
    stacks = _stacked(pieces, loose, most, tall)
    if len(stacks) < len(rows):
        return [_on_shelves(s) for s in stacks]
    return [row(r, level=True) for r in rows]


#: Between pieces that stand under each other: wires of both have to pass.
SHELF_GAP = 22.5


def _stacked(pieces: list[Piece], loose: list[Piece], most: float, tall: float) -> list[list[list[Piece]]]:
    """Pieces by sheet and shelf; the tallest of those that are loose find their room first."""
    sheets = [[[p]] for p in pieces]

    def height(shelf: list[Piece]) -> float:
        return max(bounds_of(p)[3] - bounds_of(p)[1] for p in shelf)

    def width(shelf: list[Piece]) -> float:
        return sum(bounds_of(p)[2] - bounds_of(p)[0] + 7.5 for p in shelf)

    def holds(shelves: list[list[Piece]]) -> bool:
        high = sum(height(s) + SHELF_GAP for s in shelves) - SHELF_GAP
        return high <= tall and all(width(s) <= most for s in shelves)

    for piece in sorted(loose, key=lambda p: -height([p])):
        tries = [
            (n, trial)
            for n, shelves in reversed([*enumerate(sheets)])
            for trial in (
                *([*shelves[:k], [*shelf, piece], *shelves[k + 1 :]] for k, shelf in enumerate(shelves)),
                [*shelves, [piece]],
            )
            if holds(trial)
        ]
        if tries:
            sheets[tries[0][0]] = tries[0][1]
        else:
            sheets.append([[piece]])
    return sheets


def _on_shelves(shelves: list[list[Piece]]) -> Piece:
    whole, cursor = Piece(Column()), 0.0
    for shelf in shelves:
        placed = row(shelf, level=True)
        _, top, _, bottom = bounds_of(placed)
        at = up(cursor - top)
        whole.merge(placed, 0.0, at)
        cursor = at + bottom + SHELF_GAP
    return whole


def row(pieces: list[Piece], *, level: bool = False) -> Piece:
    """Pieces side by side; with `level` their upper edges in one line."""
    whole = Piece(Column())
    cursor = 0.0
    for piece in pieces:
        left, top, right, _ = bounds_of(piece)
        at = up(cursor - left)
        whole.merge(piece, at, -up(top) if level else 0.0)
        cursor = at + right + 7.5
    return whole


def lonely_of(pen: Pen) -> list[str]:
    """Parts and loads without a single run, and not inside a group; what has no terminals is no part of a circuit."""
    view = pen.view
    return [
        i
        for i in (*view.rig.parts, *view.rig.use.loads)
        if i not in pen.taken
        and not any(view.wires_at(i))
        and not _is_member(pen, i)
        and not _away_only(pen, i)
        and (i in view.terminals_of or i in view.rig.use.loads)
    ]


def _away_only(pen: Pen, owner: str) -> bool:
    mine = set(pen.view.terminals_of.get(owner, ()))
    return any(t in mine for w in pen.view.wires.values() if w.ac for _, t in (*w.a.away, *w.b.away))


def _is_member(pen: Pen, owner: str) -> bool:
    part = pen.view.rig.parts.get(owner)
    if part is None:
        return False
    if part.group:
        return True
    return part.strings > 0 and any(any(pen.view.at.get(t, ())) for t in pen.view.terminals_of.get(owner, ()))


def bounds_of(piece: Piece) -> Box:
    left, top, right, bottom = piece.column.canvas.bounds()
    xs = [x for b in piece.bars for x in (b.x1, b.x2)]
    ys = [b.y for b in piece.bars]
    return min([left, *xs]), min([top, *ys]), max([right, *xs]), max([bottom, *ys])


def _landing(piece: Piece, terminal: str) -> tuple[float, float] | None:
    return next(
        ((a.x, a.y) for a in piece.column.canvas.landed() if any(t == terminal for _, t in a.nodes)),
        None,
    )


#: Air around a tree that stands inside the DC side: wires of others have to pass.
AIR_X, AIR_Y = 12.5, 7.5


def _holes(whole: Piece) -> Field:
    """What is free inside the DC side."""
    left, top, right, bottom = bounds_of(whole)
    out = Field(up(left), up(top), max(1, int((right - left) // GRID)), max(1, int((bottom - top) // GRID)))
    out.block_all(whole.column.canvas.outlines())
    for bar in whole.bars:
        out.block((bar.x1, bar.y, bar.x2, bar.y), GRID)
    return out


def _hole(inside: Field, box: Box, pin: tuple[float, float] | None) -> tuple[float, float] | None:
    """How far a tree is moved into the free room nearest to what it is wired to, if it fits anywhere."""
    left, top, right, bottom = box
    near = pin or (inside.x0 + inside.columns * GRID, inside.y0)
    spot = inside.nearest_room(right - left + 2 * AIR_X, bottom - top + 2 * AIR_Y, *near)
    if spot is None:
        return None
    dx, dy = spot[0] + AIR_X - left, spot[1] + AIR_Y - top
    dx, dy = GRID * round(dx / GRID), GRID * round(dy / GRID)
    inside.block((left + dx, top + dy, right + dx, bottom + dy), GRID)
    return dx, dy


def _ac_trees(pen: Pen) -> Iterator[Tree]:
    """The AC trees in the order in which they are placed: what an inverter feeds, then what feeds it."""
    view = pen.view
    inverters = [p.id for p in view.rig.parts.values() if p.kind.name in INVERTERS]
    for owner in inverters:
        for wire, end in ac.ac_wires(pen, owner):
            if end.port.endswith("ac-in") or wire.other(end).owner == owner:
                continue
            yield Tree(ac.tree_from(pen, wire, end, rooted=False), end.nodes[0][1], True)
    order = {"supply-post": 0, "generator": 0, "shore-inlet": 1}
    roots = sorted(
        (p.id for p in view.rig.parts.values() if p.kind.name in order), key=lambda i: order[view.kind(i)]
    )
    for owner in [*roots, *view.rig.parts]:
        if owner in pen.taken or not ac.ac_wires(pen, owner) or view.kind(owner) in INVERTERS:
            continue
        tree = ac.root(pen, owner)
        into = next((o for o in tree.opens if view.kind(o.end.owner) in INVERTERS), None)
        yield Tree(tree, into.end.nodes[0][1] if into else "", False)


def ac_side(stock: Stock, whole: Piece) -> list[tuple[Column, tuple[float, float]]]:
    """The AC trees, and where each would stand beside what is laid out."""
    view = stock.pen.view
    out: list[tuple[Column, tuple[float, float]]] = []
    zone = up(bounds_of(whole)[2] + 2.5)
    placed: list[Box] = []
    inside = _holes(whole)
    top, bottom = bounds_of(whole)[1], max(bounds_of(whole)[3], bounds_of(whole)[1] + 180.0)
    for tree in stock.trees:
        left, upper, right, lower = tree.column.canvas.bounds()
        pin = _landing(whole, tree.terminal) if tree.terminal else None
        hole = _hole(inside, (left, upper, right, lower), pin)
        if hole is not None:
            out.append((tree.column, hole))
            continue
        pin_y = pin[1] if pin is not None else None
        if tree.outward:
            wanted = [pin_y + 2.5 if pin_y is not None else 0.0, top - upper]
        else:
            at = next((o.y for o in tree.column.opens if view.kind(o.end.owner) in INVERTERS), None)
            wanted = [pin_y - 2.5 - at] if pin_y is not None and at is not None else []
            wanted += [-lower - 5.0, top - upper]
        spot = _spot(placed, (left, upper, right, lower), zone, [up(y) for y in wanted], top, bottom)
        out.append((tree.column, spot))
        placed.append((left + spot[0], upper + spot[1], right + spot[0], lower + spot[1]))
    return out


def _spot(
    placed: list[Box], box: Box, zone: float, ys: list[float], top: float, bottom: float
) -> tuple[float, float]:
    """Where a tree goes: as far left as it fits at one of the wanted heights, not higher or lower than the rest if it can."""
    best: tuple[float, float, float] | None = None
    for rank, y in enumerate(ys):
        for dy in (
            0.0,
            *((up(max(0.0, top - (y + box[1]))),) if y + box[1] < top else ()),
            *((-up(max(0.0, y + box[3] - bottom)),) if y + box[3] > bottom else ()),
        ):
            here = y + dy
            x = up(zone - box[0])
            level = [
                (b[0] - box[2] - 2.5, b[2] - box[0] + 2.5)
                for b in placed
                if here + box[1] - 1.2 < b[3] and b[1] < here + box[3] + 1.2
            ]
            while (clear := max((b for a, b in level if a < x < b - 1e-6), default=None)) is not None:
                x = up(clear)
            beyond = max(0.0, top - (here + box[1])) + max(0.0, here + box[3] - bottom)
            score = x + box[2] + 2.0 * beyond + 5.0 * rank
            if best is None or score < best[0]:
                best = (score, x, here)
    assert best is not None
    return best[1], best[2]


# ------------------------------------------------------------------------------------------------ loose parts


def loose_columns(pen: Pen) -> list[tuple[str, Column]]:
    """What no column reached, in file order: each drawn by itself with stubs for its runs."""
    view = pen.view
    out: list[tuple[str, Column]] = []
    for owner in (*view.rig.parts, *view.rig.use.loads):
        if (
            owner in pen.taken
            or (_is_member(pen, owner) and not _has_free(pen, owner))
            or view.is_bar(owner)
            or not _has_free(pen, owner)
        ):
            continue
        if view.is_series(owner):
            column = _loose_device(pen, owner)
            if column is not None:
                out.append((owner, column))
                continue
        column = Column()
        if (
            any(w.ac for w, _ in view.wires_at(owner))
            and not view.is_series(owner)
            and view.kind(owner) not in INVERTERS
        ):
            ac.device_tree(pen, column, owner, 0.0, None)
        elif view.kind(owner) == "battery":
            continue
        else:
            stand(pen, column, owner, 0.0, [])
        out.append((owner, column))
    return out


def _has_free(pen: Pen, owner: str) -> bool:
    """True when a wire still has to be drawn at a part, or one is led to it."""
    return any(w.id not in pen.taken for w, _ in pen.view.wires_at(owner)) or any(
        t in pen.awaited for t in pen.view.terminals_of.get(owner, ())
    )


def _loose_device(pen: Pen, owner: str) -> Column | None:
    """A device between things that are not chained: drawn with both its wires left open."""
    view = pen.view
    for t in view.terminals_of[owner]:
        wire = next((w for w, _ in view.at.get(t, ()) if not w.ac and w.id not in pen.taken), None)
        if wire is None or t not in view.across:
            continue
        end = wire.a if wire.b.terminal == t else wire.b
        chain = chain_from(view, (end.terminal,), pen.taken, (wire,))
        if chain is None or owner not in chain.devices:
            continue
        column = Column()
        draw_chain(pen, column, chain, (0.0,), 0.0, leave=True)
        pen.leave(column, wire, 0.0, 0.0, "ULR", end)
        return column
    return None


def bar_strip(pen: Pen, owner: str) -> tuple[Column, Bar] | None:
    """An earth bar or a bar that no system took: a short upright bar, a row a wire."""
    view = pen.view
    rows: list[tuple[str, str, str]] = []
    for t in view.terminals_of[owner]:
        for w, e in view.at.get(t, ()):
            if e.owner == owner and not (w.ac and e.owner != owner):
                rows.append((t, w.id, "wire"))
        for w in view.wires.values():
            if w.ac:
                for end in (w.a, w.b):
                    rows += [
                        (t, ac.virtual(w, core, end), w.other(end).owner if False else end.owner)
                        for core, x in end.away
                        if x == t
                    ]
    if not rows:
        return None
    column = Column()
    canvas = column.canvas
    pen.taken.add(owner)
    canvas.line(owner, 0.0, 0.0, 0.0, 5.0 * len(rows) + 2.5, 1.4, layer="bus")
    from ohmwright.drawing.boxes import words_of
    from ohmwright.drawing.canvas import lettered

    first, lines = words_of(pen, owner)
    lettered(canvas, owner, -2.5, -pen.style.block(len(lines)) / 2 - 1.0, first, lines, pen.style.em)
    canvas.anchor(owner, (-3.4, -pen.style.block(len(lines)) / 2, "right"))
    for i, (t, wire_id, what) in enumerate(rows):
        y = 5.0 * i + 5.0 - GRID
        stud = t.split(".")[1] if "." in t else t
        if what == "wire":
            canvas.pin(owner, 0.0, y, (("", t),), "L")
            canvas.text(owner, 1.4, y + pen.style.em * 0.33, stud, pen.style.em, "sans", "start", "graphite")
        else:
            canvas.text(owner, -1.2, y + pen.style.em * 0.33, stud, pen.style.em, "sans", "end", "graphite")
            canvas.wire(wire_id.split(".")[0].lstrip("~"), wire_id, 0.0, y, 3.0, y, "earth", 0.35)
            canvas.pin(owner, 0.0, y, (("", t),), "")
            arrow(canvas, wire_id.split(".")[0].lstrip("~"), 3.0, y, "right")
            run, core = wire_id.lstrip("~").split("@")[0].rsplit(".", 1)
            canvas.text(run, 5.2, y + pen.style.em * 0.33, f"{run} {core} {what}", pen.style.em)
            canvas.add(run, Pin(3.0, y, (), wire_id))
    return column, Bar(owner, 0.0, 0.0, 0.0)


def arrow(canvas: Canvas, ref: str, x: float, y: float, to: str) -> None:
    """The mark of a line that is broken off and goes on elsewhere."""
    dx, dy = {"right": (1.6, 0.0), "left": (-1.6, 0.0), "up": (0.0, -1.6), "down": (0.0, 1.6)}[to]
    px, py = (-dy * 0.6, dx * 0.6)
    canvas.add(ref, Polyline(((x + px, y + py), (x + dx, y + dy), (x - px, y - py)), 0.25))
