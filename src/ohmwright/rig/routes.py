"""Cable ways as a graph: the shortest route between two places, and the length of a cable that lies in it."""

import heapq
import itertools
from collections.abc import Iterable, Mapping

from ohmwright.rig.model import Way
from ohmwright.working import Absent, Figure, Given, NotThere, Origin, Unknown

COMPUTED_ROUTE = Origin("computed", by="sum of its ways")


class Routes:
    """Shortest paths over ways; each pair is searched once."""

    def __init__(self, ways: Mapping[str, Way]) -> None:
        self.ways = ways
        self._next: dict[str, list[Way]] = {}
        for way in ways.values():
            self._next.setdefault(way.a, []).append(way)
            self._next.setdefault(way.b, []).append(way)
        self._found: dict[tuple[str, str], tuple[str, ...] | None] = {}

    def shortest(self, a: str, b: str) -> tuple[str, ...] | None:
        """Ids of the ways from `a` to `b`, fewest metres first; () in one place, None when no way leads there.

        A way of unknown length counts as very long: it is taken when there is no other.
        """
        if a == b:
            return ()
        key = (a, b)
        if key not in self._found:
            self._found[key] = self._search(a, b)
        return self._found[key]

    def _search(self, a: str, b: str) -> tuple[str, ...] | None:
        heap: list[tuple[float, int, str, tuple[str, ...]]] = [(0.0, 0, a, ())]
        done: set[str] = set()
        while heap:
            metres, steps, place, path = heapq.heappop(heap)
            if place == b:
                return path
            if place in done:
                continue
            done.add(place)
            for way in self._next.get(place, ()):
                onward = way.b if way.a == place else way.a
                if onward not in done:
                    heapq.heappush(heap, (metres + _metres(way), steps + 1, onward, (*path, way.id)))
        return None

    def through(self, start: str, stops: Iterable[str], end: str) -> tuple[str, ...] | None:
        """The route that calls at `stops` in order; an end whose place is not known is left out."""
        calls = [p for p in (start, *stops, end) if p]
        out: tuple[str, ...] = ()
        for a, b in itertools.pairwise(calls):
            leg = self.shortest(a, b)
            if leg is None:
                return None
            out += leg
        return out

    def by_way(self, start: str, way: Way, end: str) -> tuple[str, ...]:
        """The route that lies in `way`, with what leads to it from both ends."""
        best: tuple[float, tuple[str, ...]] | None = None
        for first, last in ((way.a, way.b), (way.b, way.a)):
            head = self.shortest(start, first) if start else ()
            tail = self.shortest(last, end) if end else ()
            if head is None or tail is None:
                continue
            route = (*head, way.id, *tail)
            metres = sum(_metres(self.ways[w]) for w in route)
            if best is None or metres < best[0]:
                best = (metres, route)
        return best[1] if best else (way.id,)

    def find(self, text: str) -> Way | None:
        """The way of that name, either way round."""
        if text in self.ways:
            return self.ways[text]
        a, dash, b = text.partition(" - ")
        return self.ways.get(f"{b} - {a}") if dash else None

    def length(self, route: tuple[str, ...], address: str) -> Given:
        """Metres of a route: computed; unknown as soon as one of its ways is; absent when nothing is known of it."""
        if not route:
            return Absent(address=address)
        total = low = high = 0.0
        for name in route:
            given = self.ways[name].length
            if isinstance(given, Unknown):
                return Unknown(given.asked, address)
            if isinstance(given, Absent | NotThere):
                return Absent(address=address)
            total, low, high = total + given.value, low + given.low, high + given.high
        return Figure(total, "m", low, high, COMPUTED_ROUTE, address=address)


def _metres(way: Way) -> float:
    return way.length.value if isinstance(way.length, Figure) else 1e6
