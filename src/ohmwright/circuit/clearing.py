"""How long an overcurrent device takes at most to clear a current, and how long a fault lasts.

Between its printed points a device's longest time is drawn straight on logarithmic paper; beyond the last one it
needs at most the let-through of that point again, or its printed clearing integral when that is less.

A fault current rises with the time constant of its loop, so a device takes longer than its curve says.  Beyond the
last point the integral of the square of the rising current is what clears; between points every increment of time
counts by the curve at its current, which is never later than the curve's time plus the lag of its steepest stretch.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from ohmwright.circuit.devices import Device
from ohmwright.circuit.wiring import Wiring
from ohmwright.circuit.zones import Feed, Zones, feeds_of
from ohmwright.physics.fault import let_through_s
from ohmwright.rig.model import Part
from ohmwright.working import known

#: Printed points of a device: multiple of its rating, and the figure that holds its longest time.
POINTS: tuple[tuple[float, str], ...] = (
    (1.35, "trips_at_135"),
    (2.0, "trips_at_200"),
    (3.0, "trips_at_300"),
    (6.0, "trips_at_600"),
)
#: Longest time of a breaker's instant trip: IEC 60898-1, from memory.
INSTANT_s = 0.1
#: So near to its settled value a rising current counts as settled.
NEARLY_ratio = 0.999


@dataclass(frozen=True)
class Curve:
    """The longest clearing times of one device."""

    rated_A: float
    points: tuple[tuple[float, float], ...]
    clearing_A2s: float | None
    instant: float | None

    def seconds(self, amps: float, tau_s: float = 0.0) -> float | None:
        """The longest time at a settled current that rises with `tau_s`; None below the first point, where nothing is promised."""
        multiple = amps / self.rated_A
        found: list[float] = []
        if self.instant is not None and multiple >= self.instant:
            found.append(INSTANT_s + _reaches_s(self.instant, multiple, tau_s))
        if self.points and multiple >= self.points[0][0]:
            found.append(self._settles(amps, multiple, tau_s))
        return min(found, default=None)

    def _settles(self, amps: float, multiple: float, tau_s: float) -> float:
        last, last_s = self.points[-1]
        if multiple > last:
            through = last_s * (last * self.rated_A) ** 2
            return let_through_s(min(through, self.clearing_A2s or through), amps, tau_s)
        late = tau_s * self._lag + _reaches_s(self.points[0][0], multiple, tau_s) if tau_s else 0.0
        return self._drawn(multiple) + late

    @cached_property
    def _lag(self) -> float:
        """How many time constants a rising current costs at most: with t as I to the -n, 1 + 1/2 + ... + 1/n of them."""
        steepest = max(
            (math.log(t0 / t1) / math.log(m1 / m0) for (m0, t0), (m1, t1) in zip(self.points, self.points[1:], strict=False)),
            default=2.0,
        )  # fmt: skip
        return sum(1.0 / k for k in range(1, max(2, math.ceil(steepest)) + 1))

    @property
    def operates_A(self) -> float:
        """From this current on it is promised to open."""
        multiples = [m for m, _ in self.points[:1]] + ([self.instant] if self.instant is not None else [])
        return self.rated_A * min(multiples)

    def _drawn(self, multiple: float) -> float:
        last_multiple, last_s = self.points[-1]
        if multiple >= last_multiple:
            return last_s * (last_multiple / multiple) ** 2
        for (m0, t0), (m1, t1) in zip(self.points, self.points[1:], strict=False):
            if m0 <= multiple <= m1:
                share = math.log(multiple / m0) / math.log(m1 / m0)
                return t0 * math.pow(t1 / t0, share)
        return self.points[0][1]


def _reaches_s(part: float, whole: float, tau_s: float) -> float:
    """When a rising current reaches a part of its settled value: never, for the whole of it, so just short of that."""
    return -tau_s * math.log1p(-min(part / whole, NEARLY_ratio)) if tau_s else 0.0


def curve_of(part: Part, rated_A: float | None) -> Curve | None:
    """The curve of a device, from its plate; None without a rating or without any point."""
    if rated_A is None or rated_A <= 0:
        return None
    points = [
        (m, f.high)
        for m, name in POINTS
        if name in part.kind.figures and (f := known(part.figure(name))) and f.high > 0
    ]
    clearing = known(part.figure("clearing")) if "clearing" in part.kind.figures else None
    instant = known(part.figure("instant_high")) if "instant_high" in part.kind.figures else None
    if not points and instant is None:
        return None
    return Curve(
        rated_A, tuple(points), clearing.high if clearing else None, instant.high if instant else None
    )


class Clearing:
    """How long faults last on the DC side, with the wires that conduct at the fault."""

    def __init__(self, wiring: Wiring, conducting: Sequence[int]) -> None:
        self.wiring, self._conducting = wiring, conducting
        self._curves: dict[str, Curve | None] = {}
        self._on_way: dict[int, tuple[tuple[Device, ...], ...]] = {}

    @cached_property
    def zones(self) -> Zones:
        """The net cut at the devices, kept with the shape: of its devices the elements alone may be read."""
        kept: dict[tuple[int, ...], Zones] = self.wiring.skeleton.kept.setdefault("clearing", {})
        conducting = tuple(self._conducting)
        if conducting not in kept:
            wires = [self.wiring.net.wires[n] for n in conducting]
            kept[conducting] = Zones(Wiring(self.wiring.rig, self.wiring.drawn), wires)
        return kept[conducting]

    @cached_property
    def feeds(self) -> list[Feed]:
        """What can push without a limit of its own."""
        return [f for f in feeds_of(self.wiring, ac=False) if f.most_A is None]

    def seconds(self, terminal: str, through_A: Mapping[str, float], tau_s: float = 0.0) -> float | None:
        """The longest time until every battery's way to a terminal is open; None when one of them is never proved to open."""
        zone = self.zones.of(self.wiring.net.number[terminal])
        if zone not in self._on_way:
            self._on_way[zone] = self._ways(zone)
        known: dict[str, float | None] = {}
        worst: float | None = None
        for devices in self._on_way[zone]:
            times: list[float] = []
            for device in devices:
                if device.id not in known:
                    known[device.id] = self._time(device, through_A, tau_s)
                if (t := known[device.id]) is not None:
                    times.append(t)
            if not times:
                return None
            worst = max(min(times), worst or 0.0)
        return worst

    def _ways(self, zone: int) -> tuple[tuple[Device, ...], ...]:
        """For every feed that comes into a zone the devices on its way."""
        number = self.wiring.net.number
        ways = [self.zones.ways(number[feed.a]).get(zone) for feed in self.feeds]
        devices = self.wiring.device_at
        return tuple(tuple(devices[w.element.id] for w in way) for way in ways if way is not None)

    def _time(self, device: Device, through_A: Mapping[str, float], tau_s: float) -> float | None:
        if device.id not in self._curves:
            self._curves[device.id] = curve_of(self.wiring.rig.parts[device.part], device.rated_A)
        curve, amps = self._curves[device.id], through_A.get(device.id)
        return curve.seconds(amps, tau_s) if curve is not None and amps else None
