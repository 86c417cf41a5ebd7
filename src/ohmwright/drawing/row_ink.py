"""Rows of the three-line sheet as ink: rails, boxes, strands with their devices, ends that are broken off."""

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field

from ohmwright.drawing import symbols
from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.lettering import text_width
from ohmwright.drawing.page import BIG, EM, STEP, Page
from ohmwright.drawing.row_words import PITCH, HubWords, terminal_word
from ohmwright.drawing.rows import AIR, Box, Level, Loop, Stub
from ohmwright.drawing.shapes import BUS, POWER, SYMBOL, THIN, Arc, Dash, Line, Pin, Polyline
from ohmwright.drawing.spread import INNER, LEAD, PLUG, Bond, Segment, Spread, bonds_of, inner_symbol
from ohmwright.drawing.strands import Net, Piece, Strand
from ohmwright.drawing.words import part_lines

HOP = 1.1
RAIL_PITCH = 5.0
#: What stays free between a symbol and the conductor of the row above.
ROW_AIR = 0.8

_DASH: dict[str, Dash] = {"earth": "earth", "bond": "earth", "sense": "data", "data": "data"}
_WEIGHT = {"earth": 0.35, "bond": 0.35, "sense": 0.25, "data": 0.25}


@dataclass(slots=True)
class RowInk:
    """One page: spreads under each other beside its rails."""

    net: Net
    page: Page
    spreads: list[Spread]
    words: Mapping[str, HubWords]
    idle: tuple[str, ...] = ()
    """Rails that nothing taps: they stand here all the same."""
    x0: float = 0.0
    top: float = 0.0
    tops: list[float] = field(default_factory=list)
    rail_x: dict[str, float] = field(default_factory=dict)
    rail_y: dict[str, tuple[float, float]] = field(default_factory=dict)
    goals: dict[str, Mapping[str, str]] = field(default_factory=dict)

    @property
    def tables(self) -> Mapping[str, tuple[symbols.Stroke, ...]]:
        """The symbols of devices."""
        return symbols.set_for(self.net.view.rig.job).tables

    def lay(self, left: float, top: float) -> None:
        """Give rails and blocks their places."""
        taps: Counter[str] = Counter()
        for spread in self.spreads:
            for rail in self._taps(spread):
                taps[rail] += 1
        order = sorted((*self.idle, *taps), key=lambda r: (taps[r], self.net.rails.index(r)))
        self.rail_x = {r: left + 3.0 + RAIL_PITCH * i for i, r in enumerate(order)}
        self.x0 = left + 3.0 + RAIL_PITCH * len(order)
        y = top + STEP * len(order) + 2.0
        for spread in self.spreads:
            self.tops.append(y)
            y += PITCH * (spread.block.rows + AIR)
        ys: dict[str, list[float]] = defaultdict(list)
        for spread, start in zip(self.spreads, self.tops, strict=True):
            for rail, row in self._tapped(spread):
                ys[rail].append(self._y(start, row))
        self.rail_y = {
            r: (top + STEP * (i + 1) - 0.4, max([*ys[r], top + STEP * (len(order) + 1)]) + 2.0)
            for i, r in enumerate(order)
        }
        self.top = top

    def _taps(self, spread: Spread) -> list[str]:
        return [rail for rail, _ in self._tapped(spread)]

    def _tapped(self, spread: Spread) -> list[tuple[str, int]]:
        block, rails = spread.block, set(self.net.rails)
        out = [(lv.left, lv.row) for lv in block.levels if lv.left in rails]
        out += [(s.owner, s.row) for s in block.stubs if s.owner in rails]
        out += [(r, lp.row) for lp in block.loops for r in (lp.strand.start, lp.strand.stop) if r in rails]
        return out

    @staticmethod
    def _y(start: float, row: int) -> float:
        return start + PITCH * row + PITCH * 0.8

    def zones(self, sheet: str) -> dict[str, str]:
        """Where each broken-off conductor stands: by conductor and the owner it is drawn at."""
        out = {}
        for spread, start in zip(self.spreads, self.tops, strict=True):
            for stub in spread.block.stubs:
                box = spread.block.boxes.get(stub.owner)
                x = self.x0 + spread.at[box.depth] if box else self.rail_x[stub.owner]
                zone = self.page.zone(x, self._y(start, stub.row))
                out[f"{stub.cut} {stub.owner}"] = f"{sheet} {zone}"
        return out

    def draw(self, zones: Mapping[str, str]) -> None:
        """Ink for everything on the page."""
        for i, (rail, x) in enumerate(self.rail_x.items()):
            y1, y2 = self.rail_y[rail]
            c = self.page.canvas
            metal = rail in self.net.view.rig.metal
            c.add(rail, Line(x, y1, x, y2, 0.7 if metal else BUS, "earth" if metal else "", "ink", "bus"))
            c.text(rail, x - 1.2, self.top + STEP * (i + 1) - 1.2, rail, EM, "sans-bold")
            part = self.net.view.rig.parts.get(rail)
            told = ", ".join(part_lines(part)) if part is not None else "metal"
            c.text(
                rail,
                x - 1.2 + text_width(rail + "  ", EM, "sans-bold"),
                self.top + STEP * (i + 1) - 1.2,
                told,
                EM,
            )
            c.anchor(rail, (x, y1, "right"))
        for spread, start in zip(self.spreads, self.tops, strict=True):
            _Drawing(self, spread, start, zones).all()


@dataclass(slots=True)
class _Drawing:
    """One block on a page."""

    ink: RowInk
    spread: Spread
    start: float
    zones: Mapping[str, str]
    marked: set[tuple[str, str]] = field(default_factory=set)
    """Terminals whose device inside the hub is drawn."""

    @property
    def canvas(self) -> Canvas:
        return self.ink.page.canvas

    def all(self) -> None:
        block = self.spread.block
        for box in block.boxes.values():
            self._box(box)
        for lv in block.levels:
            self._level(lv)
        for stub in block.stubs:
            self._stub(stub)
        for loop in block.loops:
            self._loop(loop)
        for hub, row, terminal in block.free:
            self._free(block.boxes[hub], row, terminal)

    def y(self, row: int) -> float:
        return RowInk._y(self.start, row)

    def left(self, box: Box) -> float:
        return self.ink.x0 + self.spread.at[box.depth]

    def right(self, box: Box) -> float:
        return self.left(box) + self.spread.wide[box.depth]

    def _box(self, box: Box) -> None:
        c, hub = self.canvas, box.hub
        x1, x2 = self.left(box), self.right(box)
        y1, y2 = self.y(box.top) - 2.95, self.y(box.bottom) + 1.85
        c.box(hub, x1, y1, x2, y2, SYMBOL)
        words = self.spread.words[hub]
        inner = self.spread.margin(box, box.left)
        at = x1 + inner + 1.0
        c.text(hub, at, y1 + BIG * 0.9, words.name, BIG, "sans-bold")
        for i, line in enumerate(words.lines):
            owner = words.group if words.group and line == words.lines[-1] else hub
            c.text(owner, at, y1 + BIG * 0.9 + STEP * (i + 1), line, EM)
        c.anchor(hub, (x1, y1 + 3.0, "right"))
        for side, to_right in ((box.left, False), (box.right, True)):
            self._terminals(box, side, to_right)

    def _terminals(self, box: Box, side: Mapping[int, str], to_right: bool) -> None:
        c, hub, net = self.canvas, box.hub, self.ink.net
        edge = self.right(box) if to_right else self.left(box)
        s = -1.0 if to_right else 1.0
        wide = max((text_width(terminal_word(hub, t), EM) for t in side.values()), default=0.0)
        before = None
        for row, terminal in sorted(side.items()):
            y = self.y(row)
            c.circle(hub, edge, y, 0.45, THIN, fill="sheet")
            word = terminal_word(hub, terminal)
            if terminal != before:
                c.text(hub, edge + s * INNER, y + EM * 0.3, word, EM, "sans", "end" if to_right else "start")
            else:
                c.line(hub, edge + s * 0.9, self.y(row - 1) + 0.6, edge + s * 0.9, y, THIN)
            before = terminal
            symbol = inner_symbol(net, hub, terminal)
            if symbol and (hub, terminal) not in self.marked:
                self.marked.add((hub, terminal))
                mark = edge + s * (INNER + wide + 1.0)
                lying(c, hub, self.ink.tables[symbol], min(mark, mark + s * 5.5), y, 5.5 / symbols.DEVICE)
        for bond in bonds_of(net, box, side):
            x = edge + s * (INNER + wide + 2.5)
            self._bond(box, bond, x, s, edge, wide)

    def _bond(self, box: Box, bond: Bond, x: float, s: float, edge: float, wide: float) -> None:
        """The join as a link between two rows of terminals: a contact where a relay makes it."""
        c = self.canvas
        if bond.second is None:
            self._far_bond(box, bond, s, edge + s * (INNER + wide + 0.8))
            return
        a, b = sorted((self.y(bond.first), self.y(bond.second)))
        for y in (a, b):
            c.line(box.hub, edge + s * (INNER + wide + 0.6), y, x, y, THIN)
        if bond.contact:
            c.line(box.hub, x, a, x, a + 1.0, SYMBOL)
            c.line(box.hub, x, b - 1.0, x, b, SYMBOL)
            c.line(box.hub, x, b - 1.0, x + 1.6, a + 1.2, SYMBOL)
        else:
            c.line(box.hub, x, a, x, b, SYMBOL)

    def _far_bond(self, box: Box, bond: Bond, s: float, x: float) -> None:
        """A join to an earth on the other side of the box: a contact in the row of the neutral, towards "PE"."""
        y, end = self.y(bond.first), x + s * 5.5
        if bond.contact:
            lying(self.canvas, box.hub, self.ink.tables["switch"], min(x, end), y, 5.5 / symbols.DEVICE)
        else:
            self.canvas.line(box.hub, x, y, end, y, SYMBOL)
        self.canvas.text(box.hub, end + s * 0.6, y + EM * 0.3, "PE", EM, "sans", "start" if s > 0 else "end")

    def _level(self, lv: Level) -> None:
        box = self.spread.block.boxes[lv.right]
        y = self.y(lv.row)
        if lv.left in self.spread.block.boxes:
            x = self.right(self.spread.block.boxes[lv.left])
        else:
            x = self._from_rail(lv.strand, lv.left, y)
        self._strand(lv.strand, x, self.left(box), y)

    def _from_rail(self, strand: Strand, rail: str, y: float) -> float:
        """The tap, the leaps over other rails, and the name of the bar's terminal; returns where the words begin."""
        c = self.canvas
        x = self.ink.rail_x[rail]
        c.dot(rail, x, y)
        self._pin(x, y, strand.a)
        first = strand.pieces[0].conductor
        if first is not None:
            at = x
            for other, ox in self.ink.rail_x.items():
                y1, y2 = self.ink.rail_y[other]
                if ox > x and y1 <= y <= y2:
                    self._wire(first.id, at, ox - HOP, y)
                    c.add(
                        first.run,
                        Arc(
                            ox,
                            y,
                            HOP,
                            180,
                            360,
                            _WEIGHT.get(self._role(first.id), POWER),
                            "",
                            "ink",
                            "hop",
                            first.id,
                        ),
                    )
                    at = ox + HOP
            self._wire(first.id, at, self.ink.x0, y)
        c.text(rail, self.ink.x0 + 0.4, y - 0.8, strand.a, EM, "sans", "start", "graphite")
        wide = self.spread.rail_words(strand)
        if first is not None:
            self._wire(first.id, self.ink.x0, self.ink.x0 + wide, y)
        return self.ink.x0 + wide

    def _wire(self, conductor: str, x1: float, x2: float, y: float) -> None:
        c = self.ink.net.view.graph.conductors[conductor]
        role = self._role(conductor)
        self.canvas.wire(c.run, conductor, x1, y, x2, y, _DASH.get(role, ""), _WEIGHT.get(role, POWER))

    def _role(self, conductor: str) -> str:
        """What a conductor is for, as its dash says it: a core of pole PE is earth whatever its cable is."""
        c = self.ink.net.view.graph.conductors[conductor]
        return "earth" if c.pole == "PE" else self.ink.net.view.rig.runs[c.run].role

    def _pin(self, x: float, y: float, terminal: str, join: str = "") -> None:
        nodes = self.ink.net.nodes(terminal) if terminal else ()
        self.canvas.add("", Pin(x, y, nodes, join))

    def _strand(
        self,
        strand: Strand,
        x: float,
        end: float,
        y: float,
        *,
        open_left: bool = False,
        open_right: bool = False,
    ) -> None:
        """A strand from x to `end`; an open end gets no terminal."""
        segments = self.spread.segments[id(strand)]
        long = sum(s.width for s in segments)
        slack = end - x - long
        if strand.start not in self.ink.net.rails and not open_left:
            self._pin(x, y, strand.a)
        for i, s in enumerate(segments):
            n = i // 2
            if s.device:
                self._device(strand, n, s, x, y)
                x += s.width
                continue
            piece = strand.pieces[n]
            stretch = slack if i == len(segments) - 1 else 0.0
            to = x + s.width + stretch
            if piece.conductor is not None:
                self._wire(piece.conductor.id, x, to, y)
                lead = LEAD + (PLUG if self.ink.net.view.rig.runs[piece.conductor.run].plugs else 0.0)
                self.canvas.text(piece.conductor.run, x + lead, y - 0.8, s.words, EM)
                self._plugs(piece, x, to, y)
                self.canvas.anchor(piece.conductor.run, (x + LEAD, y, "left"))
            elif stretch > 0.05:
                self.canvas.line("", x, y, to, y, POWER)
            x = to
        if not open_right:
            self._pin(end, y, strand.b)

    def _device(self, strand: Strand, n: int, s: Segment, x: float, y: float) -> None:
        c = self.canvas
        device = strand.devices[n]
        c.text(device.part, x + 0.5, y - 0.8, s.bold, EM, "sans-bold")
        if s.bold:
            c.text(device.part, x + 0.5 + text_width(s.bold + "  ", EM, "sans-bold"), y - 0.8, s.words, EM)
            c.anchor(device.part, (x, y, "right"))
        at = x + s.width - symbols.DEVICE
        before, after = strand.pieces[n].conductor, strand.pieces[n + 1].conductor
        if before is not None:
            self._wire(before.id, x, at, y)
        elif at > x:
            c.line(device.part, x, y, at, y, POWER)
        self._pin(at if before is not None else x, y, device.a)
        kind = self.ink.net.view.rig.parts[device.part].kind.name
        lying(c, device.part, self.ink.tables[symbols.OF_KIND.get(kind, "device")], at, y)
        self._pin(at + symbols.DEVICE, y, device.b)
        del after
        link = self._above(strand, n)
        if link is not None:
            c.line(device.part, at + 3.9, self.y(link) + 0.3, at + 3.9, y - 1.1, THIN, "link")

    def _above(self, strand: Strand, n: int) -> int | None:
        """The row just above when the same device stands there too."""
        block = self.spread.block
        rows = [*((lv.row, lv.strand) for lv in block.levels), *((s.row, s.strand) for s in block.stubs)]
        mine = next(r for r, s in rows if s is strand)
        part = strand.devices[n].part
        above = [s for r, s in rows if r == mine - 1 and n < len(s.devices) and s.devices[n].part == part]
        return mine - 1 if above else None

    def _plugs(self, piece: Piece, x1: float, x2: float, y: float) -> None:
        assert piece.conductor is not None
        run = self.ink.net.view.rig.runs[piece.conductor.run]
        core = next(c for c in run.cores if c.id == piece.conductor.id)
        forward = self.ink.net.stud.get(core.a, core.a) == piece.a
        for end in run.plugs:
            near = (end == "from") == forward
            x, s = (x1 + 0.9, 1.0) if near else (x2 - 0.9, -1.0)
            for k in (0.0, 0.9):
                at = x + s * k
                self.canvas.add(
                    run.id, Polyline(((at + s * 0.7, y - 0.7), (at, y), (at + s * 0.7, y + 0.7)), 0.25)
                )

    def _stub(self, stub: Stub) -> None:
        """An end that is broken off: an arrow, and the terminal, sheet and zone where it goes on."""
        box = self.spread.block.boxes.get(stub.owner)
        y, strand = self.y(stub.row), stub.strand
        long = sum(s.width for s in self.spread.segments[id(strand)])
        run = self.ink.net.view.graph.conductors[stub.cut].run
        told = f"{stub.far}  {self.zones.get(f'{stub.cut} {stub.other}', '')}"
        if stub.to_left:
            assert box is not None
            x, s = self.left(box) - long, -1.0
            self._strand(strand, x, x + long, y, open_left=True)
        else:
            start = self.right(box) if box else self._from_rail(strand, stub.owner, y)
            x, s = start + long, 1.0
            self._strand(strand, start, x, y, open_right=True)
        c = self.canvas
        c.add(run, Polyline(((x, y - 0.9), (x + s * 1.6, y), (x, y + 0.9)), 0.25))
        self._pin(x, y, "", f"{stub.cut} cut")
        c.text(run, x + s * 2.4, y + EM * 0.3, told, EM, "sans", "start" if s > 0 else "end", "graphite")

    def _loop(self, loop: Loop) -> None:
        strand = loop.strand
        block = self.spread.block
        y = self.y(loop.row)
        piece = strand.pieces[0]
        assert piece.conductor is not None
        words = self.spread.segments[id(strand)][0].words
        if strand.start in block.boxes:
            x = self.right(block.boxes[strand.start])
            end = x + self.spread.segments[id(strand)][0].width
            self._pin(x, y, strand.a)
            self._wire(piece.conductor.id, x, end, y)
            role = self._role(piece.conductor.id)
            self.canvas.wire(
                piece.conductor.run,
                piece.conductor.id,
                end,
                y,
                end,
                self.y(loop.back),
                _DASH.get(role, ""),
                _WEIGHT.get(role, POWER),
            )
            self._wire(piece.conductor.id, x, end, self.y(loop.back))
            self._pin(x, self.y(loop.back), strand.b)
            self.canvas.text(piece.conductor.run, x + LEAD, y - 0.8, words, EM)
            return
        self._between(strand, y, words)

    def _between(self, strand: Strand, y: float, words: str) -> None:
        """A conductor from rail to rail."""
        c, ink = self.canvas, self.ink
        piece = strand.pieces[0]
        assert piece.conductor is not None
        (xa, a), (xb, b) = sorted(((ink.rail_x[strand.start], strand.a), (ink.rail_x[strand.stop], strand.b)))
        for x, t in ((xa, a), (xb, b)):
            c.dot(strand.start, x, y)
            self._pin(x, y, t)
        at = xa
        for other, ox in sorted(ink.rail_x.items(), key=lambda r: r[1]):
            y1, y2 = ink.rail_y[other]
            if xa < ox < xb and y1 <= y <= y2:
                self._wire(piece.conductor.id, at, ox - HOP, y)
                c.add(
                    piece.conductor.run,
                    Arc(ox, y, HOP, 180, 360, POWER, "", "ink", "hop", piece.conductor.id),
                )
                at = ox + HOP
        self._wire(piece.conductor.id, at, xb, y)
        c.text(piece.conductor.run, ink.x0 + 0.4, y + EM * 0.3, f"{strand.a} – {strand.b}  {words}", EM)

    def _free(self, box: Box, row: int, terminal: str) -> None:
        """A terminal that no run reaches looks as if something were missing."""
        c, y = self.canvas, self.y(row)
        x = self.left(box)
        c.line(box.hub, x - 2.0, y, x - 0.45, y, THIN)
        c.circle(box.hub, x - 2.7, y, 0.7, 0.25, fill="sheet")
        c.text(box.hub, x - 4.2, y + EM * 0.3, "no run", EM, "sans", "end", "graphite")
        self._pin(x, y, terminal)


def _tall(stroke: symbols.Stroke) -> float:
    """How far a stroke of a lying symbol reaches up from its conductor."""
    what, across = stroke[0], [-float(v) for v in stroke[1:4:2] if not isinstance(v, str)]
    if what == "word":
        return 0.0
    return across[0] + abs(across[1]) if what in ("ring", "arc", "dot") else max(across)


def lying(
    canvas: Canvas, ref: str, table: tuple[symbols.Stroke, ...], x: float, y: float, scale: float = 1.0
) -> None:
    """A device's symbol lying in a level conductor, its left point at (x, y); blades open upwards.

    What would reach into the row above lies flatter.
    """
    tall = max((_tall(s) for s in table), default=0.0)
    flat = min(1.0, (PITCH - ROW_AIR) / tall) if tall > 0 else 1.0
    for stroke in table:
        what, rest = stroke[0], [float(v) * scale for v in stroke[1:] if not isinstance(v, str)]
        rest[0] *= flat
        if what in ("line", "lead", "thin", "box"):
            rest[2] *= flat
        if what in ("line", "lead", "thin"):
            weight = {"line": SYMBOL, "lead": POWER, "thin": THIN}[str(what)]
            canvas.line(ref, x + rest[1], y + rest[0], x + rest[3], y + rest[2], weight)
        elif what == "box":
            canvas.box(ref, x + rest[1], y + rest[0], x + rest[3], y + rest[2])
        elif what == "ring":
            canvas.circle(ref, x + rest[1], y + rest[0], rest[2], THIN)
        elif what == "dot":
            canvas.circle(ref, x + rest[1], y + rest[0], rest[2], 0.0, fill="ink")
        elif what == "arc":
            canvas.arc(ref, x + rest[1], y + rest[0], rest[2], 90 - float(stroke[5]), 90 - float(stroke[4]))
