"""Per conductor: which sources can feed it, and the first protective device on the way from each."""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from ohmwright.circuit.cases import cases_of
from ohmwright.circuit.loads import told_W
from ohmwright.circuit.net import Wire
from ohmwright.circuit.solved import solutions_of
from ohmwright.circuit.wiring import Wiring, wiring_of
from ohmwright.circuit.zones import Entry, Feed, Reach, Zones, choices, feeds_of, fits
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig
from ohmwright.working.quickly import quickly_made

#: Sides kept with a skeleton: two rigs of one shape, both sides.
MOST_KEPT = 4
#: What is left of a current by rounding, and how near two cases come to the same one.
ROUNDED_A, ALIKE_ratio = 1e-9, 1e-9


@quickly_made
@dataclass(frozen=True, slots=True)
class Guard:
    """One source end that can feed a conductor.

    `device` is the overcurrent device that stands nearest before the conductor on the way from `source`, None
    when there is none.  `bare_m` is the length of conductor between the source's terminal and the first device
    of the path (None: a length is unknown).  `limited_A` is the most the source itself can push, where its
    kind says so (array, alternator, charger output).
    """

    source: str
    device: str | None
    rated_A: float | None
    bare_m: float | None
    path: tuple[str, ...] = ()
    limited_A: float | None = None
    together_A: float | None = None
    """The ratings of all devices by which the members of one bank feed the conductor side by side, added."""


@quickly_made
@dataclass(frozen=True, slots=True)
class Guarding:
    """All guards of a conductor, and the largest continuous current of the generated cases."""

    conductor: str
    guards: tuple[Guard, ...]
    design_A: float | None
    design_case: str = ""
    averaged: tuple[str, ...] = ()
    """Loads behind it whose power is only a day's average: the design current is then a floor, no figure to size by."""


def guards_of(rig: Rig, graph: Graph) -> Mapping[str, Guarding]:
    """The guarding of every conductor that carries power."""
    wiring = wiring_of(rig, graph)
    currents = _design(rig, graph)
    sides = (_sides(wiring, ac=False), _sides(wiring, ac=True))
    out: dict[str, Guarding] = {}
    for c in graph.conductors.values():
        if (
            c.role in ("data", "sense", "bond", "earth")
            or c.pole in ("PE", "sig")
            or c.id not in wiring.net.wire_of
        ):
            continue
        wire = wiring.net.wire_of[c.id]
        side = sides[1] if wire.a in wiring.poles.ac else sides[0]
        amps, case = currents.get(c.id, (None, ""))
        out[c.id] = Guarding(c.id, side.guards(wire), amps, case, _averaged(rig, c.run))
    return out


def _averaged(rig: Rig, run: str) -> tuple[str, ...]:
    load = rig.use.loads.get(rig.runs[run].part_of) if run in rig.runs else None
    return (load.id,) if load is not None and told_W(load) is None else ()


def _design(rig: Rig, graph: Graph) -> dict[str, tuple[float | None, str]]:
    """The largest current of each conductor over the cases that last, and the first case that comes to it."""
    answers = solutions_of(rig, graph)
    lasting = [
        name
        for name, case in cases_of(rig, graph).items()
        if case.seconds is None and not answers[name].overloaded
    ]
    if not lasting:
        return {}
    runs = [answers[name].conductors for name in lasting]
    amps = np.abs(np.array([case.current_A for case in runs]))
    amps[amps < ROUNDED_A] = 0.0
    most = amps.max(axis=0)
    first = (amps >= most * (1 - ALIKE_ratio)).argmax(axis=0)
    return {c: (i, lasting[k]) for c, i, k in zip(runs[0], most.tolist(), first.tolist(), strict=True)}


def _sides(wiring: Wiring, *, ac: bool) -> "_Sides":
    """The DC or the AC side of a rig, with the ways of its feeds kept with the skeleton: they hang on no figure."""
    feeds = feeds_of(wiring, ac=ac)
    key = ac, tuple([(f.source, f.a, f.b, f.bank, f.when) for f in feeds])
    kept: dict[Hashable, _Ways] = wiring.skeleton.kept.setdefault("guards", {})
    # Made from a wiring of its own, so that no solved case of a rig that is gone lives on with it.
    found = kept.pop(key, None) or _Ways(Wiring(wiring.rig, wiring.drawn), feeds, ac=ac)
    kept[key] = found
    while len(kept) > MOST_KEPT:
        del kept[next(iter(kept))]
    return _Sides(wiring, feeds, found)


@dataclass(frozen=True, slots=True)
class _Passed:
    """How a feed comes to a conductor in one position of the selectors: the device nearest before it, and the first one on its way."""

    feed: int
    position: int
    device: str | None = None
    first: int = -1


#: Metres of bare conductor between a source and its first device, None where they are not known, and the way.
Tap: TypeAlias = tuple[float | None, tuple[str, ...]]


class _Sides:
    """One side of a rig: its ways with ratings, lengths and limits put in."""

    def __init__(self, wiring: Wiring, feeds: Sequence[Feed], ways: "_Ways") -> None:
        self.wiring, self.feeds, self.ways = wiring, feeds, ways
        self._bare: dict[tuple[int, int], dict[int, Reach]] = {}
        self._taps: dict[tuple[int, int, int], Tap] = {}
        self._known: dict[int, tuple[Guard, ...]] = {}
        self._rated_A = {name: device.rated_A for name, (device, _) in wiring.devices.items()}

    def guards(self, wire: Wire) -> tuple[Guard, ...]:
        """The guards of one conductor: many have the same ones from every feed in every position."""
        number, passed = self.ways.passed(wire)
        if number not in self._known:
            self._known[number] = self._together(passed)
        return self._known[number]

    def _together(self, passed: Sequence[_Passed]) -> tuple[Guard, ...]:
        """By source and device the one with the longest tap, with what the members of one bank let in side by side."""
        found: dict[tuple[str, str | None], tuple[Feed, Tap]] = {}
        banks: dict[str, dict[str, float | None]] = {}
        bank_of: dict[str, str] = {}
        for p in passed:
            feed, tap = self.feeds[p.feed], self._tap(p)
            bank_of[feed.source] = feed.bank
            key = (feed.source, p.device)
            if key not in found or (tap[0] or 0.0) > (found[key][1][0] or 0.0):
                found[key] = feed, tap
            if p.device is not None:
                banks.setdefault(feed.bank, {})[p.device] = self._rated_A[p.device]
        together = {bank: _sum(ratings.values()) for bank, ratings in banks.items()}
        return tuple(
            [
                Guard(source, device, self._rated_A[device], *tap, feed.most_A, together[bank_of[source]])
                if device is not None
                else Guard(source, None, None, *tap, feed.most_A)
                for (source, device), (feed, tap) in found.items()
            ]
        )

    def _tap(self, p: _Passed) -> Tap:
        """The bare way from a feed to the first device, which need not be the nearest; nothing bare where there is no device."""
        feed = self.feeds[p.feed]
        if p.device is None:
            return None, (feed.a,)
        key = p.feed, p.position, p.first
        if key not in self._taps:
            bare, first = self._bare_of(p), self.wiring.net.wires[p.first]
            ends = [bare[t] for t in (first.a, first.b) if t in bare]
            reach = min(ends, key=lambda r: r.metres, default=None)
            metres = None if reach is None or reach.unknown else reach.metres
            self._taps[key] = metres, reach.path if reach else ()
        return self._taps[key]

    def _bare_of(self, p: _Passed) -> dict[int, Reach]:
        at = p.feed, p.position
        if at not in self._bare:
            zones = self.ways.positions[p.position].zones[p.feed]
            start = self.wiring.net.number[self.feeds[p.feed].a]
            self._bare[at] = zones.bare(start, self.wiring.graph.conductors)
        return self._bare[at]


class _Ways:
    """How the feeds of the DC or the AC side come to its conductors, over all positions of its selectors."""

    def __init__(self, wiring: Wiring, feeds: Sequence[Feed], *, ac: bool) -> None:
        wires = [w for w in (wiring.ac_wires if ac else wiring.dc_wires) if wiring.poles.closable(w)]
        self.positions = [
            _Position(wiring, chosen, feeds, n) for n, chosen in enumerate(choices(wiring, wires))
        ]
        self._feeds = range(len(feeds))
        self._of_wire: dict[int, tuple[int, tuple[_Passed, ...]]] = {}
        self._numbers: dict[tuple[_Passed, ...], int] = {}

    def passed(self, wire: Wire) -> tuple[int, tuple[_Passed, ...]]:
        """Feed by feed in every position; conductors with the same answer have the same number."""
        if wire.number not in self._of_wire:
            found = tuple([p for feed in self._feeds for at in self.positions for p in at.passed(feed, wire)])
            self._of_wire[wire.number] = self._numbers.setdefault(found, len(self._numbers)), found
        return self._of_wire[wire.number]


class _Position:
    """One position of the selectors, asked conductor by conductor."""

    def __init__(self, wiring: Wiring, wires: Sequence[Wire], feeds: Sequence[Feed], position: int) -> None:
        self.wiring, self.wires, self.feeds, self.position = wiring, wires, feeds, position
        self.number = wiring.net.number
        whole = Zones(wiring, wires)
        self.zones = [self._zones(f, whole) for f in feeds]
        self.starts = [self.number[f.a] for f in feeds]
        self.sizes: dict[str, int] = {}
        for f in feeds:
            self.sizes[f.bank] = self.sizes.get(f.bank, 0) + 1
        self._known: dict[tuple[int, int], tuple[_Passed, ...]] = {}
        net = wiring.net
        self.pairs = [
            (self.number[a], self.number[b])
            for e in (*net.loads, *net.converters)
            for a, b in ((e.a, e.b), (e.out_a, e.out_b))
            if a and b
        ]
        marks: dict[int, int] = {}
        for k, (_, b) in enumerate(self.pairs):
            marks[b] = marks.get(b, 0) | 1 << k
        self.behind = [z.cut_off(self.number[f.b], marks) for f, z in zip(feeds, self.zones, strict=True)]
        self._returned: dict[tuple[int, int], tuple[_Passed, ...]] = {}

    def _zones(self, feed: Feed, whole: Zones) -> Zones:
        """The net as this feed sees it: without what cannot conduct while it exists."""
        fitting = [w for w in self.wires if fits(w, feed.when)]
        return whole if len(fitting) == len(self.wires) else Zones(self.wiring, fitting)

    def passed(self, feed: int, wire: Wire) -> tuple[_Passed, ...]:
        """How one feed comes to one conductor."""
        return self._live(feed, wire) or self._return(feed, wire)

    def _live(self, feed: int, wire: Wire) -> tuple[_Passed, ...]:
        """To a conductor on the live side of a source."""
        zones = self.zones[feed]
        zone = zones.of(wire.a)
        return self._into(feed, zone) if zone in zones.ways(self.starts[feed]) else ()

    def _into(self, feed: int, zone: int) -> tuple[_Passed, ...]:
        key = (feed, zone)
        if key not in self._known:
            zones, start = self.zones[feed], self.starts[feed]
            self._known[key] = (
                (_Passed(feed, self.position),)
                if zones.of(start) == zone
                else tuple([self._by_entry(feed, entry) for entry in zones.entries(start, zone)])
            )
        return self._known[key]

    def _by_entry(self, feed: int, entry: Entry) -> _Passed:
        zones = self.zones[feed]
        outer = entry.wire.b if entry.inner == entry.wire.a else entry.wire.a
        way = zones.ways(self.starts[feed]).get(zones.of(outer), ())
        return _Passed(feed, self.position, entry.device.id, (way[0] if way else entry.wire).number)

    def _return(self, feed: int, wire: Wire) -> tuple[_Passed, ...]:
        """To a conductor on the return side: by the devices in the live side of what returns through it."""
        behind = self.behind[feed].get(wire.number, 0)
        if not behind:
            return ()
        key = (feed, behind)
        if key not in self._returned:
            self._returned[key] = self._through(feed, behind)
        return self._returned[key]

    def _through(self, feed: int, behind: int) -> tuple[_Passed, ...]:
        zones, start = self.zones[feed], self.starts[feed]
        ways = zones.ways(start)
        behind_zones = {
            zones.of(a) for k, (a, _) in enumerate(self.pairs) if behind >> k & 1 and zones.of(a) in ways
        }
        if not behind_zones:
            return ()
        if len(behind_zones) == 1:
            return self._into(feed, next(iter(behind_zones)))
        paths = [ways[z] for z in sorted(behind_zones)]
        shared = 0
        while all(len(p) > shared and p[shared] is paths[0][shared] for p in paths):
            shared += 1
        own = shared == 1 and self.sizes[self.feeds[feed].bank] > 1
        if shared and not own:
            return (self._by(feed, paths[0], shared - 1),)
        if any(len(p) == shared for p in paths):
            return (
                self._into(feed, zones.of(start)) if not shared else (self._by(feed, paths[0], shared - 1),)
            )
        return tuple({p[shared].number: self._by(feed, p, shared) for p in paths}.values())

    def _by(self, feed: int, path: tuple[Wire, ...], place: int) -> _Passed:
        """By one device on a way from a source."""
        zones = self.zones[feed]
        wire = path[place]
        before = zones.of(path[place - 1].a), zones.of(path[place - 1].b)
        outer_is_a = zones.of(wire.a) in (before if place else (zones.of(self.starts[feed]),))
        return self._by_entry(feed, Entry(zones.devices[wire.number], wire, wire.b if outer_is_a else wire.a))


def _sum(ratings: Iterable[float | None]) -> float | None:
    total = 0.0
    for r in ratings:
        if r is None:
            return None
        total += r
    return total
