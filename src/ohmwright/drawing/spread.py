"""Measures of a block of rows: how wide its boxes and strands are, and where each column stands."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field

from ohmwright.drawing import symbols
from ohmwright.drawing.lettering import text_width
from ohmwright.drawing.page import EM
from ohmwright.drawing.row_words import HubWords, conductor_words, device_words, terminal_word
from ohmwright.drawing.rows import Block, Box, Stub
from ohmwright.drawing.strands import Net, Piece, Strand

#: Bare line at either end of a conductor's lettering.
LEAD = 1.6
#: Room between a box's edge and the words of a terminal.
INNER = 1.2
#: What the mark of a plug takes of a line.
PLUG = 1.6
_SAMPLE = "  T-00 A00"


def segment_width(words: str) -> float:
    """The least length of a conductor that bears these words."""
    return text_width(words, EM) + 2 * LEAD if words else 2 * LEAD


@dataclass(frozen=True, slots=True)
class Segment:
    """A piece of a strand as lettered: conductor or device, and how long it is."""

    words: str
    width: float
    device: str = ""
    bold: str = ""


@dataclass(slots=True)
class Spread:
    """A block with its measures across: where each column stands, counted from the end of the rails."""

    net: Net
    block: Block
    words: Mapping[str, HubWords]
    segments: dict[int, list[Segment]] = field(default_factory=dict)
    """By identity of the strand."""
    at: list[float] = field(default_factory=list)
    wide: list[float] = field(default_factory=list)
    width: float = 0.0

    @classmethod
    def of(cls, net: Net, block: Block, words: Mapping[str, HubWords]) -> "Spread":
        """Measure a block."""
        spread = cls(net, block, words)
        spread._measure()
        return spread

    def deeper_than(self, width: float) -> int | None:
        """The first column that does not end within a width; None when all do."""
        if self.width <= width:
            return None
        return next((d for d in range(1, len(self.at)) if self.ends[d] > width), len(self.at) - 1 or None)

    @property
    def ends(self) -> list[float]:
        """Where each column ends, its broken-off lines included."""
        return self._ends

    _ends: list[float] = field(default_factory=list)
    _named: set[str] = field(default_factory=set)

    def _measure(self) -> None:
        block = self.block
        levels = block.levels
        self._letter([lv.strand for lv in levels])
        for owner in dict.fromkeys(s.owner for s in block.stubs):
            self._letter([s.strand for s in block.stubs if s.owner == owner])
        for loop in block.loops:
            self._letter([loop.strand])
        depths = 1 + max((b.depth for b in block.boxes.values()), default=-1)
        gaps = [0.0] * (depths + 1)
        for lv in levels:
            gaps[block.boxes[lv.right].depth] = max(
                gaps[block.boxes[lv.right].depth], self._long(lv.strand) if lv.left in block.boxes else 0.0
            )
        self.wide = [
            max(self.box_width(b) for b in block.boxes.values() if b.depth == d) for d in range(depths)
        ]
        x = 0.0
        rail = [
            self._long(lv.strand) + self.rail_words(lv.strand)
            for lv in levels
            if lv.left not in block.boxes and block.boxes[lv.right].depth == 0
        ]
        gaps[0] = max([*rail, 4.0])
        for hub, _, _ in block.free:
            d = block.boxes[hub].depth
            gaps[d] = max(gaps[d], text_width("no run", EM) + 6.0)
        for s in block.stubs:
            if s.to_left:
                d = block.boxes[s.owner].depth
                gaps[d] = max(gaps[d], self.stub_width(s) + 2.0)
        for d in range(depths):
            x += gaps[d]
            deeper = [
                self._long(lv.strand) + self.rail_words(lv.strand)
                for lv in levels
                if lv.left not in block.boxes and block.boxes[lv.right].depth == d
            ]
            x = max([x, *deeper])
            self.at.append(x)
            x += self.wide[d]
        self._ends = []
        for d in range(depths):
            edge = self.at[d] + self.wide[d]
            beyond = [
                self.stub_width(s)
                for s in block.stubs
                if not s.to_left and s.owner in block.boxes and block.boxes[s.owner].depth == d
            ]
            beyond += [
                self._long(lp.strand) + 4.0
                for lp in block.loops
                if lp.strand.start in block.boxes and block.boxes[lp.strand.start].depth == d
            ]
            self._ends.append(max([edge, *(edge + b for b in beyond)]))
        rails = [
            self.stub_width(s) + self.rail_words(s.strand) for s in block.stubs if s.owner not in block.boxes
        ]
        alone = [
            self.rail_words(lp.strand) + self._long(lp.strand)
            for lp in block.loops
            if lp.strand.start not in block.boxes
        ]
        self.width = max([*self._ends, *rails, *alone, 0.0])

    def rail_words(self, strand: Strand) -> float:
        """Room for the name of a bar's terminal before the conductor's own words."""
        return text_width(f"{strand.a}  ", EM)

    def stub_width(self, stub: Stub) -> float:
        """How long an end that is broken off is, with the words of where it goes on."""
        return self._long(stub.strand) + 3.0 + text_width(stub.far + _SAMPLE, EM)

    def _long(self, strand: Strand) -> float:
        return sum(s.width for s in self.segments[id(strand)])

    def _letter(self, strands: list[Strand]) -> None:
        """Words and widths; strands of the same devices get the same widths so that their poles stand in line."""
        view = self.net.view
        seen: set[str] = set()
        for s in strands:
            if id(s) in self.segments:
                continue
            out: list[Segment] = []
            for i, piece in enumerate(s.pieces):
                out.append(self._of_piece(piece, seen))
                if i < len(s.devices):
                    name, told = device_words(view, s.devices[i].part)
                    told = told if s.devices[i].part not in self._named else ""
                    bold = name if s.devices[i].part not in self._named else ""
                    self._named.add(s.devices[i].part)
                    wide = (
                        (text_width(name, EM, "sans-bold") + text_width("  " + told, EM) if bold else 0.0)
                        + symbols.DEVICE
                        + 1.0
                    )
                    out.append(Segment(told, wide, s.devices[i].part, bold))
            self.segments[id(s)] = out
        by_key: dict[tuple[str, ...], list[Strand]] = defaultdict(list)
        for s in strands:
            if s.devices:
                by_key[(s.start, s.stop, *s.key)].append(s)
        for same in by_key.values():
            rows = [self.segments[id(s)] for s in same]
            for i in range(len(rows[0])):
                wide = max(r[i].width for r in rows)
                for r in rows:
                    r[i] = Segment(r[i].words, wide, r[i].device, r[i].bold)

    def _of_piece(self, piece: Piece, seen: set[str]) -> Segment:
        if piece.conductor is None:
            return Segment("", 0.0)
        words = conductor_words(self.net.view, piece.conductor, first=piece.conductor.run not in seen)
        seen.add(piece.conductor.run)
        plugs = 2 * PLUG * len(self.net.view.rig.runs[piece.conductor.run].plugs)
        return Segment(words, segment_width(words) + plugs)

    def box_width(self, box: Box) -> float:
        """Terminals at both edges, words between."""
        return self.margin(box, box.left) + self.words[box.hub].width + self.margin(box, box.right) + 3.0

    def margin(self, box: Box, side: Mapping[int, str]) -> float:
        """What the terminals of one side take."""
        if not side:
            return INNER
        marks = 6.5 if any(inner_symbol(self.net, box.hub, t) for t in side.values()) else 0.0
        bonds = bonds_of(self.net, box, side)
        marks = max([marks, *(6.5 if b.second is not None else 8.0 + text_width("PE", EM) for b in bonds)])
        return INNER + max(text_width(terminal_word(box.hub, t), EM) for t in side.values()) + marks + 1.5


def inner_symbol(net: Net, hub: str, terminal: str) -> str:
    """The device that stands between a terminal and the inside of its hub: a way's breaker, a contact."""
    part = net.view.rig.parts.get(hub)
    if part is None:
        return ""
    if part.kind.series:
        ahead = net.view.terminals_of.get(hub, [])
        sides = [t for t in ahead if t in net.view.across]
        return symbols.OF_KIND.get(part.kind.name, "switch") if terminal in sides[len(sides) // 2 :] else ""
    if part.kind.name not in ("panel-dc", "panel-ac"):
        return ""
    for e in net.view.graph.at.get(terminal, ()):
        element = net.view.graph.elements[e]
        t = net.view.graph.terminals[terminal]
        if (
            element.owner == hub
            and element.role == "way"
            and t.port_role == "way"
            and t.pole not in ("N", "-", "PE")
        ):
            return "breaker" if part.kind.name == "panel-ac" or "breaker" in part.record.id else "fuse"
    return ""


@dataclass(frozen=True, slots=True)
class Bond:
    """A neutral-earth join inside a hub, between two rows of one side."""

    element: str
    first: int
    second: int | None
    """None: the earth stands on the other side of the box."""
    contact: bool


def bonds_of(net: Net, box: Box, side: Mapping[int, str]) -> list[Bond]:
    """The joins of neutral and earth inside a hub, from its kind's own elements."""
    row_of = {t: r for r, t in side.items()}
    out = []
    for terminal in side.values():
        for e in net.view.graph.at.get(terminal, ()):
            element = net.view.graph.elements[e]
            if element.owner == box.hub and element.role == "bond" and element.a == terminal:
                out.append(
                    Bond(element.id, row_of[terminal], row_of.get(element.b), element.kind == "switch")
                )
    return out
