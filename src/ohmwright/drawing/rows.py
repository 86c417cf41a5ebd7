"""Rows for the three-line sheet: hubs stand from left to right, every strand has a row of its own.

Hubs that hang together form a block.  Its root stands left, what it is wired to stands right of it and beside its own
terminals, so that a tree of strands needs no crossing.  What ends on a rail goes left along a free row; a strand that
would close a ring, or run through a box, is broken off at both ends.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from ohmwright.drawing.strands import Net, Strand

#: Rows between two blocks.
AIR = 2


@dataclass(slots=True)
class Box:
    """A hub: its column, first and last row, and what its terminals are on either side, by row."""

    hub: str
    depth: int
    top: int
    bottom: int = 0
    left: dict[int, str] = field(default_factory=dict)
    right: dict[int, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Level:
    """A strand drawn whole on one row, from the box or rail at its left to the box at its right."""

    strand: Strand
    row: int
    left: str
    right: str


@dataclass(frozen=True, slots=True)
class Stub:
    """An end of a strand that is broken off: what is drawn of it, read from left to right, and where it goes on."""

    strand: Strand
    row: int
    owner: str
    cut: str
    far: str
    other: str
    to_left: bool = False

    @classmethod
    def of(cls, strand: Strand, row: int, owner: str, *, to_left: bool = False) -> "Stub":
        """The end of a strand at one of its owners."""
        part = strand.part_from(owner)
        other, far = (strand.stop, strand.b) if owner == strand.start else (strand.start, strand.a)
        return cls(part.turned() if to_left else part, row, owner, strand.cut, far, other, to_left)


@dataclass(frozen=True, slots=True)
class Loop:
    """A strand from a hub to itself, or between two rails: it leaves on one row and comes back on another."""

    strand: Strand
    row: int
    back: int


@dataclass(slots=True)
class Block:
    """Hubs that hang together, with their rows counted from 0."""

    boxes: dict[str, Box] = field(default_factory=dict)
    levels: list[Level] = field(default_factory=list)
    stubs: list[Stub] = field(default_factory=list)
    loops: list[Loop] = field(default_factory=list)
    free: list[tuple[str, int, str]] = field(default_factory=list)
    """Terminals that no run reaches: hub, row, terminal."""
    rows: int = 0

    @property
    def rails(self) -> set[str]:
        """The rails that its rows begin at."""
        return self._rails

    _rails: set[str] = field(default_factory=set)


Bundle = tuple[str, str]


@dataclass(slots=True)
class Layout:
    """Blocks of a net. `text_rows` says how many rows the words of a hub take, `open_of` what it has unwired."""

    net: Net
    text_rows: dict[str, int]
    open_of: dict[str, list[str]]
    bundles: dict[Bundle, list[Strand]] = field(default_factory=dict)
    to_rail: dict[str, list[Strand]] = field(default_factory=lambda: defaultdict(list))
    own: dict[str, list[Strand]] = field(default_factory=lambda: defaultdict(list))
    between: list[Strand] = field(default_factory=list)

    def __post_init__(self) -> None:
        rails = set(self.net.rails)
        for s in self.net.strands:
            if s.start in rails and s.stop in rails:
                self.between.append(s)
            elif s.start == s.stop:
                self.own[s.start].append(s)
            elif s.start in rails or s.stop in rails:
                hub = s.stop if s.start in rails else s.start
                self.to_rail[hub].append(s.from_(s.start if s.start in rails else s.stop))
            else:
                key = (min(s.start, s.stop), max(s.start, s.stop))
                self.bundles.setdefault(key, []).append(s)
        for strands in (*self.bundles.values(), *self.to_rail.values()):
            strands.sort(key=_beside(strands))

    def near(self, hub: str) -> list[str]:
        """The hubs that a hub is wired to."""
        return [b if a == hub else a for a, b in self.bundles if hub in (a, b)]

    def blocks(self, most_rows: int, fits: Callable[[Block], int | None]) -> list[Block]:
        """All blocks: a tree too tall or too wide is cut where that helps."""
        cut: set[Bundle] = set()
        out: list[Block] = []
        waiting = self._islands(cut)
        while waiting:
            island = waiting.pop(0)
            block, tree = self._block(island, cut)
            worst = fits(block) if block.rows <= most_rows else None
            if (block.rows > most_rows or worst is not None) and len(island) > 1:
                where = self._where(block, tree, worst)
                if where is None:
                    out.append(block)
                    continue
                cut.add(where)
                waiting = self._islands(cut, island) + waiting
                continue
            out.append(block)
        if self.between:
            out.append(self._rails_alone())
        return out

    def _islands(self, cut: set[Bundle], among: Iterable[str] | None = None) -> list[list[str]]:
        among = list(self.net.hubs if among is None else among)
        inside, seen, out = set(among), set[str](), []
        for hub in among:
            if hub in seen:
                continue
            found, work = [hub], [hub]
            seen.add(hub)
            while work:
                here = work.pop(0)
                for other in self.near(here):
                    if other in inside and other not in seen and _pair(here, other) not in cut:
                        seen.add(other)
                        found.append(other)
                        work.append(other)
            out.append(found)
        return out

    def _block(self, island: list[str], cut: set[Bundle]) -> tuple[Block, dict[str, str]]:
        order = {h: i for i, h in enumerate(self.net.hubs)}
        inside = set(island)
        root = max(
            island,
            key=lambda h: (len(self.to_rail[h]) > 0, len(self.near(h)), len(self.to_rail[h]), -order[h]),
        )
        parent: dict[str, str] = {}
        work: list[str] = []
        self._join(root, "", parent, work)
        while work:
            here = work.pop(0)
            for other in sorted(self.near(here), key=order.__getitem__):
                if other in inside and other not in parent and _pair(here, other) not in cut:
                    self._join(other, here, parent, work)
        block = Block()
        block.rows = _Placing(self, block, parent).place(root, 0, 0)
        self._clear(block)
        return block, parent

    def _join(self, hub: str, above: str, parent: dict[str, str], work: list[str]) -> None:
        """Hang a hub under another; what is bolted to it comes with it."""
        parent[hub] = above
        work.append(hub)
        for other in self.near(hub):
            if other not in parent and self._bolted(hub, other):
                self._join(other, hub, parent, work)

    def _bolted(self, a: str, b: str) -> bool:
        return any(all(p.conductor is None for p in s.pieces) for s in self.bundles[_pair(a, b)])

    def _where(self, block: Block, parent: dict[str, str], too_deep: int | None) -> Bundle | None:
        """The bundle to cut: a subtree nearest to half of the block, or the first that stands too far right."""

        def weight(hub: str) -> int:
            box = block.boxes[hub]
            below = [b for b in block.boxes.values() if _under(b.hub, hub, parent)]
            return max(b.bottom for b in below) - box.top + 1

        hubs = [h for h in parent if parent[h] and not self._bolted(h, parent[h])]
        if not hubs:
            return None
        if too_deep is not None:
            deep = [h for h in hubs if block.boxes[h].depth == too_deep] or hubs
            best = max(deep, key=weight)
        else:
            best = min(hubs, key=lambda h: abs(weight(h) - block.rows / 2))
        return _pair(best, parent[best])

    def _clear(self, block: Block) -> None:
        """Rows to a rail that a box bars, broken off; their other ends at the rail stand under the block."""
        levels: list[Level] = []
        row = block.rows
        for level in block.levels:
            if level.left in self.net.rails:
                depth = block.boxes[level.right].depth
                barred = any(b.depth < depth and b.top <= level.row <= b.bottom for b in block.boxes.values())
                if barred:
                    block.stubs.append(Stub.of(level.strand, level.row, level.right, to_left=True))
                    block.stubs.append(Stub.of(level.strand, row, level.left))
                    row += 1
                    block._rails.add(level.left)
                    continue
                block._rails.add(level.left)
            levels.append(level)
        block.levels = levels
        block.rows = row

    def _rails_alone(self) -> Block:
        block = Block()
        for row, strand in enumerate(self.between):
            block.loops.append(Loop(strand, row, row))
            block._rails |= {strand.start, strand.stop}
        block.rows = len(self.between)
        return block


def _pair(a: str, b: str) -> Bundle:
    return (min(a, b), max(a, b))


def _under(hub: str, above: str, parent: dict[str, str]) -> bool:
    while hub:
        if hub == above:
            return True
        hub = parent[hub]
    return False


def _beside(strands: list[Strand]) -> Callable[[Strand], tuple[int, int]]:
    """Strands of one set of devices lie side by side, in the file's order."""
    first: dict[frozenset[str], int] = {}
    place: dict[int, tuple[int, int]] = {}
    for i, s in enumerate(strands):
        place[id(s)] = (first.setdefault(frozenset(s.key), i), i)
    return lambda s: place[id(s)]


@dataclass(slots=True)
class _Placing:
    """One walk over a tree, handing out rows."""

    layout: Layout
    block: Block
    parent: dict[str, str]

    def place(self, hub: str, depth: int, top: int) -> int:
        """Put a hub and what hangs on it from row `top` down; returns the row after the last."""
        lay, block = self.layout, self.block
        box = block.boxes[hub] = Box(hub, depth, top)
        row = top
        above = self.parent[hub]
        if above:
            for s in lay.bundles[_pair(hub, above)]:
                strand = s.from_(above)
                block.levels.append(Level(strand, row, above, hub))
                box.left[row] = strand.b
                block.boxes[above].right[row] = strand.a
                row += 1
        for strand in lay.to_rail[hub]:
            block.levels.append(Level(strand, row, strand.start, hub))
            box.left[row] = strand.b
            row += 1
        for terminal in lay.open_of.get(hub, ()):
            block.free.append((hub, row, terminal))
            box.left[row] = terminal
            row += 1
        right = self._right(box, top)
        own = [*box.left, *box.right]
        box.bottom = max([*own, top + lay.text_rows[hub] - 1])
        return max(row, right, box.bottom + 1)

    def _right(self, box: Box, top: int) -> int:
        lay, block, hub = self.layout, self.block, box.hub
        children = [h for h, p in self.parent.items() if p == hub]
        row = top
        place = {t: i for i, t in enumerate(lay.net.view.terminals_of.get(hub, ()))}

        def order(child: str) -> tuple[bool, int]:
            mine = [s.from_(hub).a for s in lay.bundles[_pair(hub, child)]]
            return self._rails_below(child), min(place.get(t, 0) for t in mine)

        for child in sorted(children, key=order):
            row = self.place(child, box.depth + 1, row)
        for key, strands in lay.bundles.items():
            if hub not in key:
                continue
            other = key[0] if key[1] == hub else key[1]
            if self.parent.get(other) == hub or self.parent[hub] == other:
                continue
            for s in strands:
                block.stubs.append(Stub.of(s, row, hub))
                box.right[row] = s.a if s.start == hub else s.b
                row += 1
        for s in lay.own[hub]:
            block.loops.append(Loop(s, row, row + 1))
            box.right[row], box.right[row + 1] = s.a, s.b
            row += 2
        return row

    def _rails_below(self, hub: str) -> bool:
        return any(self.layout.to_rail[h] for h in self.parent if _under(h, hub, self.parent))
