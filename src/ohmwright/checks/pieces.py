"""Solid pieces of a graph: terminals joined by elements that ask no choice, and what a piece falls into without one of them."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import cached_property

from ohmwright.rig.graph import Element, Terminal

Way = tuple[str, Element, str]
"""An element by its name, and the terminal it leads to."""


@dataclass(frozen=True, eq=False)
class Piece:
    """Where a walk that comes to any of its terminals comes without a choice; at its rim the walk ends."""

    inside: frozenset[str]
    terminals: frozenset[str]
    """Those inside and those of its rim."""
    elements: frozenset[str]
    asking: tuple[Way, ...]
    """Ways out that ask for a choice."""


class Pieces:
    """The solid pieces of one graph under one rule of passage, found as they are asked for."""

    def __init__(
        self,
        ways: Mapping[str, Collection[Way]],
        terminals: Mapping[str, Terminal],
        through: Callable[[Element], bool],
        stop: Callable[[Terminal], bool],
        asks: Callable[[Element], bool],
    ) -> None:
        self.ways, self.terminals = ways, terminals
        self.through, self.stop, self.asks = through, stop, asks
        self._of: dict[str, Piece] = {}
        self._cuts: dict[Piece, _Cuts] = {}

    def at(self, terminal: str) -> Piece:
        """The piece of a terminal at which no walk ends."""
        found = self._of.get(terminal)
        if found is None:
            found = self._flooded(terminal)
            self._of.update(dict.fromkeys(found.inside, found))
        return found

    def _flooded(self, start: str) -> Piece:
        through, stop, asks, terminals, ways = self.through, self.stop, self.asks, self.terminals, self.ways
        inside, rim = {start}, set[str]()
        crossed: set[str] = set()
        asking: list[Way] = []
        ahead = [start]
        while ahead:
            for way in ways.get(ahead.pop(), ()):
                name, e, to = way
                if name in crossed or not through(e):
                    continue
                if e.when and asks(e):
                    asking.append(way)
                    continue
                crossed.add(name)
                if to in inside or to in rim:
                    continue
                if stop(terminals[to]):
                    rim.add(to)
                else:
                    inside.add(to)
                    ahead.append(to)
        return Piece(frozenset(inside), frozenset(inside | rim), frozenset(crossed), tuple(asking))

    def without(self, e: Element) -> tuple[Piece, ...] | None:
        """The two halves of the piece that hangs together by `e` alone; none where it hangs together without it.

        None where one end of `e` is at the rim.
        """
        if self.stop(self.terminals[e.a]) or self.stop(self.terminals[e.b]):
            return None
        piece = self.at(e.a)
        if e.id not in piece.elements:
            return ()
        if piece not in self._cuts:
            self._cuts[piece] = _Cuts(piece, self)
        return self._cuts[piece].halves(e.id)


class _Cuts:
    """The elements by which alone a piece hangs together: bridges, by depth-first search with the lowest link."""

    def __init__(self, piece: Piece, pieces: Pieces) -> None:
        self.piece, self.pieces = piece, pieces
        self.order: list[str] = []
        self.below: dict[str, tuple[int, int]] = {}
        self._last: tuple[str, tuple[Piece, ...]] = ("", ())
        self._search()

    def _search(self) -> None:
        """Number the terminals as they are first met; a bridge has below it the numbers from its far end's up to the last met."""
        inside, crossed, ways = self.piece.inside, self.piece.elements, self.pieces.ways
        first = min(inside)
        number, low = {first: 0}, {first: 0}
        self.order.append(first)
        stack = [(first, "", iter(ways.get(first, ())))]
        while stack:
            at, by, further = stack[-1]
            for name, _, to in further:
                if name == by or name not in crossed or to not in inside:
                    continue
                if to in number:
                    low[at] = min(low[at], number[to])
                    continue
                number[to] = low[to] = len(self.order)
                self.order.append(to)
                stack.append((to, name, iter(ways.get(to, ()))))
                break
            else:
                stack.pop()
                if stack:
                    parent = stack[-1][0]
                    low[parent] = min(low[parent], low[at])
                    if low[at] == number[at]:
                        self.below[by] = (number[at], len(self.order))

    @cached_property
    def _listed(self) -> tuple[list[tuple[str, ...]], list[tuple[str, ...]], list[tuple[Way, ...]]]:
        """By number of terminal: what it crosses, its rim, its ways out that ask."""
        inside, crossed, ways = self.piece.inside, self.piece.elements, self.pieces.ways
        asking = {name for name, _, _ in self.piece.asking}
        names, rims, out = [], [], []
        for at in self.order:
            here = ways.get(at, ())
            names.append(tuple(n for n, _, _ in here if n in crossed))
            rims.append(tuple(to for n, _, to in here if n in crossed and to not in inside))
            out.append(tuple(way for way in here if way[0] in asking))
        return names, rims, out

    def halves(self, bridge: str) -> tuple[Piece, ...]:
        """What is left on each side of a bridge; nothing where the element is none."""
        if bridge not in self.below:
            return ()
        last = self._last
        if last[0] != bridge:
            last = self._last = bridge, self._halves(bridge)
        return last[1]

    def _halves(self, bridge: str) -> tuple[Piece, ...]:
        first, last = self.below[bridge]
        names, rims, out = self._listed
        inside = frozenset(self.order[first:last])
        elements = frozenset(n for some in names[first:last] for n in some) - {bridge}
        rim = frozenset(t for some in rims[first:last] for t in some)
        others = (*rims[:first], *rims[last:])
        rest = self.piece.inside - inside
        return (
            Piece(inside, inside | rim, elements, tuple(w for some in out[first:last] for w in some)),
            Piece(
                rest,
                rest | frozenset(t for some in others if some for t in some),
                self.piece.elements - elements - {bridge},
                tuple(w for some in (*out[:first], *out[last:]) for w in some),
            ),
        )
