"""The rig for the three-line sheet: every pole a strand of its own, from device to device or to a bar.

A *hub* is drawn as a box with its terminals.  A device in a conductor is drawn on its strands, unless something
else lands on it too: then it is a hub.  A *rail* is a bar or a metal body.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field

from ohmwright.drawing.view import BARS, View
from ohmwright.rig.graph import Conductor
from ohmwright.rig.model import Part


@dataclass(frozen=True, slots=True)
class Piece:
    """A conductor of a strand from terminal to terminal; None where a device is bolted on without one."""

    conductor: Conductor | None
    a: str
    b: str


@dataclass(frozen=True, slots=True)
class Device:
    """A device on a strand: where the strand enters and leaves it."""

    part: str
    a: str
    b: str


@dataclass(frozen=True, slots=True)
class Strand:
    """One pole from the terminal `a` of `start` through devices to the terminal `b` of `stop`."""

    start: str
    stop: str
    pieces: tuple[Piece, ...]
    devices: tuple[Device, ...] = ()

    @property
    def a(self) -> str:
        """Its first terminal."""
        return self.pieces[0].a

    @property
    def b(self) -> str:
        """Its last terminal."""
        return self.pieces[-1].b

    @property
    def key(self) -> tuple[str, ...]:
        """The devices it passes."""
        return tuple(d.part for d in self.devices)

    def turned(self) -> "Strand":
        """The same strand from its other end."""
        return Strand(
            self.stop,
            self.start,
            tuple(Piece(p.conductor, p.b, p.a) for p in reversed(self.pieces)),
            tuple(Device(d.part, d.b, d.a) for d in reversed(self.devices)),
        )

    def from_(self, owner: str) -> "Strand":
        """The strand as seen from one of its ends."""
        return self if self.start == owner else self.turned()

    def part_from(self, owner: str) -> "Strand":
        """What is drawn at one of its ends when it is broken off: everything up to half of its last conductor."""
        k = max(i for i, p in enumerate(self.pieces) if p.conductor is not None)
        if owner == self.start:
            return Strand(self.start, "", self.pieces[: k + 1], self.devices[:k])
        return Strand("", self.stop, self.pieces[k:], self.devices[k:]).turned()

    @property
    def cut(self) -> str:
        """The conductor at which it is broken off."""
        return [p.conductor.id for p in self.pieces if p.conductor is not None][-1]


@dataclass(slots=True)
class Net:
    """All strands, and who owns what."""

    view: View
    hubs: list[str] = field(default_factory=list)
    rails: list[str] = field(default_factory=list)
    strands: list[Strand] = field(default_factory=list)
    stud: dict[str, str] = field(default_factory=dict)
    """take-off -> the terminal that it is."""
    named: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    """terminal -> the take-offs that are the same."""

    def owner(self, terminal: str) -> str:
        """The hub, rail or device of a terminal; the modules of one string are one."""
        owner = self.view.graph.terminals[terminal].owner
        part = self.view.rig.parts.get(owner)
        group = self.view.rig.parts.get(part.group) if part is not None and part.group else None
        if group is not None and group.strings:
            return group.id if group.strings == 1 else owner.rpartition(".")[0]
        return owner

    def nodes(self, terminal: str) -> tuple[tuple[str, str], ...]:
        """All names of a terminal, as a point of the sheet stands for them."""
        return (("", terminal), *(("", t) for t in sorted(self.named[terminal])))


def net_of(view: View) -> Net:
    """The strands of a rig."""
    net = Net(view)
    for e in view.graph.elements.values():
        if e.role == "takeoff":
            net.stud[e.b] = e.a
            net.named[e.a].add(e.b)
    lands = _lands(net)
    net.rails = [p.id for p in view.rig.parts.values() if p.kind.name in BARS]
    net.rails += [m for m in view.rig.metal if m in lands]
    series = {p.id for p in view.rig.parts.values() if p.kind.series and _is_plain(net, p, lands)}
    while True:
        net.strands = list(_strands(net, lands, series))
        odd = _odd(net, series)
        if not odd:
            break
        series -= odd
    joined = {s.start for s in net.strands} | {s.stop for s in net.strands}
    on_strands = {d.part for s in net.strands for d in s.devices}
    order = dict.fromkeys(net.owner(t) for t in view.graph.terminals)
    net.hubs = [
        o
        for o in order
        if o not in net.rails
        and o not in on_strands
        and o not in view.rig.metal
        and (o in joined or _is_drawn(net, o))
    ]
    return net


def _is_drawn(net: Net, owner: str) -> bool:
    """Whether something without any strand still has to stand on the sheet: not the take-offs of a group."""
    part = net.view.rig.parts.get(owner)
    if part is not None:
        return part.join is None and part.count == 1 and part.strings < 2
    return owner in net.view.rig.use.loads or _is_string(net, owner)


def _is_string(net: Net, owner: str) -> bool:
    group = net.view.rig.parts.get(owner.rpartition(".")[0])
    return group is not None and group.strings > 1


def _lands(net: Net) -> dict[str, list[Piece]]:
    out: dict[str, list[Piece]] = defaultdict(list)
    for run in net.view.rig.runs.values():
        for core in run.cores:
            a, b = net.stud.get(core.a, core.a), net.stud.get(core.b, core.b)
            out[a].append(Piece(net.view.graph.conductors[core.id], a, b))
            out[b].append(Piece(net.view.graph.conductors[core.id], b, a))
    for e in net.view.graph.elements.values():
        if e.role == "post":
            out[e.a].append(Piece(None, e.a, e.b))
            out[e.b].append(Piece(None, e.b, e.a))
    return out


def _is_plain(net: Net, part: Part, lands: dict[str, list[Piece]]) -> bool:
    """Two sides, one conductor at every pole of each, and nothing else wired to it."""
    mine = net.view.terminals_of.get(part.id, [])
    sides = [t for t in mine if t in net.view.across]
    return (
        bool(sides)
        and all(len(lands.get(t, ())) == 1 for t in sides)
        and not any(lands.get(t) for t in mine if t not in sides)
    )


def _strands(net: Net, lands: dict[str, list[Piece]], series: set[str]) -> Iterator[Strand]:
    seen: set[tuple[str, ...]] = set()
    for terminal, pieces in lands.items():
        start = net.owner(terminal)
        if start in series:
            continue
        for piece in pieces:
            strand = _walked(net, lands, series, start, piece)
            ids = tuple(
                sorted(p.conductor.id if p.conductor else f"{min(p.a, p.b)} post" for p in strand.pieces)
            )
            if ids not in seen:
                seen.add(ids)
                yield strand


def _walked(net: Net, lands: dict[str, list[Piece]], series: set[str], start: str, piece: Piece) -> Strand:
    pieces = [piece]
    devices: list[Device] = []
    while (owner := net.owner(pieces[-1].b)) in series:
        entered = pieces[-1].b
        left = net.view.across[entered]
        if any(d.part == owner for d in devices):
            break
        devices.append(Device(owner, entered, left))
        pieces.append(lands[left][0])
    return Strand(start, net.owner(pieces[-1].b), tuple(pieces), tuple(devices))


def _odd(net: Net, series: set[str]) -> set[str]:
    """Devices that cannot stand on strands: their poles part ways, or they lie between two rails or in a ring."""
    by_device: dict[str, list[Strand]] = defaultdict(list)
    out: set[str] = set()
    for s in net.strands:
        for d in s.devices:
            by_device[d.part].append(s)
        if s.devices and (s.start == s.stop or (s.start in net.rails and s.stop in net.rails)):
            out.add(s.devices[0].part)
    for part, strands in by_device.items():
        ways = {
            (frozenset((s.start, s.stop)), s.key if s.start <= s.stop else s.turned().key) for s in strands
        }
        if len(ways) > 1:
            out.add(part)
    stray = series - by_device.keys()
    return out | stray
