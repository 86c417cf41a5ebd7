"""Cut pieces from coils: the fewest coils, off-cuts of earlier jobs first; exact while the search ends in time.

A depth-first search with a bound: pieces longest first, each into an open coil whose rest differs, or into a new
one; a branch ends when the metres still to place cannot fit in fewer coils than the best found.  A search that does
not end is held against a second plan, which fills drum after drum as full as the pieces allow.
"""

from collections.abc import Sequence
from dataclasses import dataclass

MOST_NODES = 200_000
#: So many sums of pieces are looked at to fill a drum.
MOST_SUMS = 20_000


@dataclass(frozen=True, slots=True)
class Drum:
    """A coil or off-cut with the pieces that come from it, in millimetres. `source` is "coil" or "off-cut"."""

    length_mm: int
    source: str
    pieces: tuple[tuple[str, int], ...]

    @property
    def left_mm(self) -> int:
        """What stays on it."""
        return self.length_mm - sum(mm for _, mm in self.pieces)


@dataclass(frozen=True, slots=True)
class Cutting:
    """How a list of pieces is cut. `coils` new ones are opened; no fewer than `bound` would do; `exact` when the two meet."""

    drums: tuple[Drum, ...]
    coils: int
    bound: int
    whole: tuple[tuple[str, int], ...] = ()
    """Pieces longer than any coil: ordered to length."""

    @property
    def exact(self) -> bool:
        """No plan opens fewer coils."""
        return self.coils == self.bound

    @property
    def offcuts(self) -> tuple[int, ...]:
        """What is left of every drum that was cut, longest first."""
        return tuple(sorted((d.left_mm for d in self.drums if d.pieces and d.left_mm > 0), reverse=True))


def cut(pieces: Sequence[tuple[str, int]], coil_mm: int, offcuts: Sequence[int] = ()) -> Cutting:
    """The plan that opens the fewest coils for these pieces (name, millimetres)."""
    whole = _to_length(pieces, coil_mm, offcuts)
    fitting = sorted((p for p in pieces if p not in whole), key=lambda p: (-p[1], p[0]))
    search = _Search([mm for _, mm in fitting], coil_mm, sorted(offcuts))
    places, coils, bound = search.run()
    lengths = [*sorted(offcuts), *([coil_mm] * coils)]
    held: list[list[tuple[str, int]]] = [[] for _ in lengths]
    for piece, place in zip(fitting, places, strict=True):
        held[place].append(piece)
    drums = tuple(
        Drum(length, "off-cut" if i < len(offcuts) else "coil", tuple(on))
        for i, (length, on) in enumerate(zip(lengths, held, strict=True))
    )
    return Cutting(drums, coils, bound, whole)


def _to_length(
    pieces: Sequence[tuple[str, int]], coil_mm: int, offcuts: Sequence[int]
) -> tuple[tuple[str, int], ...]:
    """Pieces longer than a coil for which no off-cut has room either."""
    rests = list(offcuts)
    out = []
    for piece in sorted((p for p in pieces if p[1] > coil_mm), key=lambda p: (-p[1], p[0])):
        room = min((r for r in rests if r >= piece[1]), default=None)
        if room is None:
            out.append(piece)
        else:
            rests[rests.index(room)] -= piece[1]
    return tuple(p for p in pieces if p in out)


class _Search:
    """Places for pieces: indexes below `len(offcuts)` are off-cuts, the others coils in the order they are opened."""

    def __init__(self, pieces: list[int], coil: int, offcuts: list[int]) -> None:
        self.pieces = pieces
        self.coil = coil
        self.offcuts = offcuts
        self.rests = list(offcuts)
        self.to_come = [sum(pieces[i:]) for i in range(len(pieces) + 1)]
        self.at: list[int] = []
        self.best: list[int] = []
        self.fewest = len(pieces) + 1
        self.nodes = 0

    def run(self) -> tuple[list[int], int, int]:
        """Where each piece goes, how many coils are opened, and how few could do."""
        bound = self.least(0)
        if not self.pieces:
            return [], 0, 0
        self.place(0)
        if self.nodes <= MOST_NODES:
            return self.best, self.fewest, self.fewest
        places, coils = _drum_by_drum(self.pieces, self.coil, self.offcuts)
        if coils < self.fewest:
            return places, coils, bound
        return self.best, self.fewest, bound

    @property
    def opened(self) -> int:
        return len(self.rests) - len(self.offcuts)

    def least(self, i: int) -> int:
        """How many coils at least once pieces before `i` are placed: a rest that takes none of what comes is no room."""
        smallest = self.pieces[-1] if self.pieces else 0
        room = sum(r for r in self.rests if r >= smallest)
        more = max(0, self.to_come[i] - room)
        return self.opened + -(-more // self.coil)

    def place(self, i: int) -> None:
        self.nodes += 1
        if i == len(self.pieces):
            self.best, self.fewest = list(self.at), self.opened
            return
        if self.least(i) >= self.fewest or (self.nodes > MOST_NODES and self.best):
            return
        piece = self.pieces[i]
        tried: set[int] = set()
        for d in sorted(range(len(self.rests)), key=lambda k: self.rests[k]):
            rest = self.rests[d]
            if rest < piece or rest in tried:
                continue
            tried.add(rest)
            self.rests[d] -= piece
            self.at.append(d)
            self.place(i + 1)
            self.at.pop()
            self.rests[d] += piece
            if rest == piece:  # a perfect fit is never worse than another place
                return
        if piece <= self.coil and self.opened + 1 < self.fewest:
            self.rests.append(self.coil - piece)
            self.at.append(len(self.rests) - 1)
            self.place(i + 1)
            self.at.pop()
            self.rests.pop()


def _drum_by_drum(pieces: list[int], coil: int, offcuts: list[int]) -> tuple[list[int], int]:
    """Where each piece goes and how many coils are opened when each drum in turn is filled as full as it can be."""
    places = [-1] * len(pieces)
    left = list(range(len(pieces)))
    drum = 0
    while left:
        room = offcuts[drum] if drum < len(offcuts) else coil
        first = left[:1] if drum >= len(offcuts) else []
        if first and pieces[first[0]] > room:  # only an off-cut, filled by now, was long enough
            return [], len(pieces) + 1
        on = {*first, *_fullest(pieces, left[len(first) :], room - sum(pieces[i] for i in first))}
        for i in on:
            places[i] = drum
        left = [i for i in left if i not in on]
        drum += 1
    return places, max(0, drum - len(offcuts))


def _fullest(pieces: list[int], among: list[int], room: int) -> tuple[int, ...]:
    """The pieces that together leave least of a room."""
    ways: dict[int, tuple[int, ...]] = {0: ()}
    for i in among:
        if room in ways or len(ways) > MOST_SUMS:
            break
        for total in sorted(ways, reverse=True):
            more = total + pieces[i]
            if more <= room and more not in ways:
                ways[more] = (*ways[total], i)
    return ways[max(ways)]
