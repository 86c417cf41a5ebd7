"""Per conductor: which sources can feed it, and the first protective device on the way from each."""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

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
    """The largest current of each conductor over the cases that last."""
    out: dict[str, tuple[float | None, str]] = {}
    answers = solutions_of(rig, graph)
    for name, case in cases_of(rig, graph).items():
        if case.seconds is not None:
            continue
        answer = answers[name]
        if answer.overloaded:
            continue
        for c, run in answer.conductors.items():
            best = out.get(c, (None, ""))[0]
            amps = abs(run.current_A)
            if best is None or amps > best:
                out[c] = (amps, name)
    return out


def _sides(wiring: Wiring, *, ac: bool) -> "_Sides":
    """A side, kept with the skeleton by all that guards look at: feeds, lengths and ratings.

    It is made from a wiring of its own, so that no solved case of a rig that is gone lives on with it.
    """
    key = (
        ac,
        tuple(feeds_of(wiring, ac=ac)),
        tuple([c.length_m for c in wiring.graph.conductors.values()]),
        tuple([(name, device.rated_A) for name, (device, _) in wiring.devices.items()]),
    )
    kept: dict[Hashable, _Sides] = wiring.skeleton.kept.setdefault("guards", {})
    found = kept.pop(key, None) or _Sides(Wiring(wiring.rig, wiring.drawn), ac=ac)
    kept[key] = found
    while len(kept) > MOST_KEPT:
        del kept[next(iter(kept))]
    return found


class _Sides:
    """The DC or the AC side of a rig over all positions of its selectors."""

    def __init__(self, wiring: Wiring, *, ac: bool) -> None:
        self.feeds = feeds_of(wiring, ac=ac)
        wires = [w for w in (wiring.ac_wires if ac else wiring.dc_wires) if wiring.poles.closable(w)]
        self.positions = [_Side(wiring, chosen, self.feeds) for chosen in choices(wiring, wires)]
        self._known: dict[tuple[tuple[Guard, ...], ...], tuple[Guard, ...]] = {}

    def guards(self, wire: Wire) -> tuple[Guard, ...]:
        """The guards of one conductor: many have the same ones from every feed in every position."""
        by_feed = tuple([side.guards(feed, wire) for feed in self.feeds for side in self.positions])
        if by_feed not in self._known:
            self._known[by_feed] = self._together(by_feed)
        return self._known[by_feed]

    def _together(self, by_feed: tuple[tuple[Guard, ...], ...]) -> tuple[Guard, ...]:
        """All of them, with what the members of one bank let in side by side."""
        found: dict[tuple[str, str | None], Guard] = {}
        banks: dict[str, dict[str, float | None]] = {}
        bank_of: dict[str, str] = {}
        for k, guards in enumerate(by_feed):
            feed = self.feeds[k // len(self.positions)]
            bank_of[feed.source] = feed.bank
            for guard in guards:
                key = (guard.source, guard.device)
                if key not in found or (guard.bare_m or 0.0) > (found[key].bare_m or 0.0):
                    found[key] = guard
                if guard.device is not None:
                    banks.setdefault(feed.bank, {})[guard.device] = guard.rated_A
        together = {bank: _sum(ratings.values()) for bank, ratings in banks.items()}
        return tuple(
            [
                replace(g, together_A=together.get(bank_of[g.source]) if g.device else None)
                for g in found.values()
            ]
        )


class _Side:
    """The DC or the AC side of a rig in one position of its selectors, asked conductor by conductor."""

    def __init__(self, wiring: Wiring, wires: Sequence[Wire], feeds: Sequence[Feed]) -> None:
        self.wiring = wiring
        self.number = wiring.net.number
        self.wires = wires
        self.whole = Zones(wiring, wires)
        self.feeds = feeds
        self.zones = {f.source: self._zones(f) for f in feeds}
        self.sizes: dict[str, int] = {}
        for f in feeds:
            self.sizes[f.bank] = self.sizes.get(f.bank, 0) + 1
        self._bare: dict[str, dict[int, Reach]] = {}
        self._known: dict[tuple[str, int], tuple[Guard, ...]] = {}
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
        self.behind = {f.source: self.zones[f.source].cut_off(self.number[f.b], marks) for f in feeds}
        self._returned: dict[tuple[str, int], tuple[Guard, ...]] = {}

    def _zones(self, feed: Feed) -> Zones:
        """The net as this feed sees it: without what cannot conduct while it exists."""
        fitting = [w for w in self.wires if fits(w, feed.when)]
        return self.whole if len(fitting) == len(self.wires) else Zones(self.wiring, fitting)

    def guards(self, feed: Feed, wire: Wire) -> tuple[Guard, ...]:
        """The guards of one conductor against one feed."""
        return self._live(feed, wire) or self._return(feed, wire)

    def _live(self, feed: Feed, wire: Wire) -> tuple[Guard, ...]:
        """Guards of a conductor on the live side of a source."""
        zones = self.zones[feed.source]
        zone = zones.of(wire.a)
        return self._into(feed, zone) if zone in zones.ways(self.number[feed.a]) else ()

    def _into(self, feed: Feed, zone: int) -> tuple[Guard, ...]:
        key = (feed.source, zone)
        if key not in self._known:
            zones, start = self.zones[feed.source], self.number[feed.a]
            if zones.of(start) == zone:
                self._known[key] = (Guard(feed.source, None, None, None, (feed.a,), feed.most_A),)
            else:
                self._known[key] = tuple(self._guard(feed, entry) for entry in zones.entries(start, zone))
        return self._known[key]

    def _guard(self, feed: Feed, entry: Entry) -> Guard:
        """The guard by one entry; its bare way goes to the first device on the way, which may be another one."""
        zones, start = self.zones[feed.source], self.number[feed.a]
        if feed.source not in self._bare:
            self._bare[feed.source] = zones.bare(start)
        bare = self._bare[feed.source]
        outer = entry.wire.b if entry.inner == entry.wire.a else entry.wire.a
        way = zones.ways(start).get(zones.of(outer), ())
        first = way[0] if way else entry.wire
        ends = [bare[t] for t in (first.a, first.b) if t in bare]
        reach = min(ends, key=lambda r: r.metres, default=None)
        metres = None if reach is None or reach.unknown else reach.metres
        return Guard(
            feed.source,
            entry.device.id,
            entry.device.rated_A,
            metres,
            reach.path if reach else (),
            feed.most_A,
        )

    def _return(self, feed: Feed, wire: Wire) -> tuple[Guard, ...]:
        """Guards of a conductor on the return side: the devices in the live side of what returns through it."""
        behind = self.behind[feed.source].get(wire.number, 0)
        if not behind:
            return ()
        key = (feed.source, behind)
        if key not in self._returned:
            self._returned[key] = self._through(feed, behind)
        return self._returned[key]

    def _through(self, feed: Feed, behind: int) -> tuple[Guard, ...]:
        zones, start = self.zones[feed.source], self.number[feed.a]
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
        own = shared == 1 and self.sizes[feed.bank] > 1
        if shared and not own:
            return (self._by(feed, paths[0], shared - 1),)
        if any(len(p) == shared for p in paths):
            return (
                self._into(feed, zones.of(start)) if not shared else (self._by(feed, paths[0], shared - 1),)
            )
        return tuple({p[shared].number: self._by(feed, p, shared) for p in paths}.values())

    def _by(self, feed: Feed, path: tuple[Wire, ...], place: int) -> Guard:
        """The guard by one device on a way from a source."""
        zones = self.zones[feed.source]
        wire = path[place]
        before = zones.of(path[place - 1].a), zones.of(path[place - 1].b)
        outer_is_a = zones.of(wire.a) in (before if place else (zones.of(self.number[feed.a]),))
        return self._guard(feed, Entry(zones.devices[wire.number], wire, wire.b if outer_is_a else wire.a))


def _sum(ratings: Iterable[float | None]) -> float | None:
    total = 0.0
    for r in ratings:
        if r is None:
            return None
        total += r
    return total
