"""Up to which current the device nearer to a fault clears before the one behind it can open.

The longest time of the lower device stands against the least time of the upper one, current by current, from where
the lower is promised to open and the upper no longer holds for ever.  Between its rating and its first printed point
nothing is promised of the lower, and nothing is told.  Where several feed the fault the upper device carries its own
share of what the lower carries.

The upper device's least times never rise with the current, so below a printed point it takes at least that point's
shortest time; no line is drawn between points.  A fuse takes at least what its melting integral says besides.  A breaker
may open at once from the lower end of its instantaneous band, whatever stands below it.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from ohmwright.circuit.clearing import Curve, curve_of
from ohmwright.circuit.types import Fault
from ohmwright.circuit.wiring import wiring_of
from ohmwright.physics.fault import melts_at_least_s
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Part, Rig
from ohmwright.working import known

#: Currents looked at in a decade, and how near the limit is then found.
A_DECADE, NEAR_ratio = 40, 1e-4
#: A fuse that holds 110 % for so long holds it for ever.
EVER_s = 4 * 3600.0
#: Within the rounding of a share a current is the one that is held.
ROUNDED_ratio = 1 + 1e-12


#: Printed shortest times of a device: multiple of its rating, and the figure that holds them.
HOLDS: tuple[tuple[float, str], ...] = (
    (1.35, "holds_at_135"),
    (2.0, "holds_at_200"),
    (3.0, "holds_at_300"),
    (6.0, "holds_at_600"),
)


@dataclass(frozen=True, slots=True)
class Holding:
    """The least opening times of a device: what it holds for ever, and above that its melting integral, points and instant.

    `points` are (A, s) in rising order; from `instant_A` on it may open at once.
    """

    held_A: float
    melting_A2s: float | None = None
    points: tuple[tuple[float, float], ...] = ()
    instant_A: float | None = None

    def seconds(self, amps: float) -> float:
        """The least time at a current."""
        if amps <= self.held_A * ROUNDED_ratio:
            return math.inf
        if self.instant_A is not None and amps >= self.instant_A:
            return 0.0
        printed = max((s for a, s in self.points if amps <= a), default=0.0)
        melts = 0.0 if self.melting_A2s is None else melts_at_least_s(self.melting_A2s, self.held_A, amps)
        return max(printed, melts)

    @property
    def corners_A(self) -> tuple[float, ...]:
        """Currents at which its least time jumps: the jump itself, and just above it."""
        instant = (self.instant_A,) if self.instant_A is not None else ()
        return (*(x for a, _ in self.points for x in (a, a * (1 + 1e-9))), *instant)


@dataclass(frozen=True, slots=True)
class Selective:
    """Two devices in a row. Currents are those of the lower one; the upper carries `share` of them.

    `up_to_A` None: cannot be told without `missing`.  `prospective_A` is the most that can flow just behind the lower.
    """

    upper: str
    lower: str
    up_to_A: float | None = None
    prospective_A: float | None = None
    share: float = 1.0
    missing: tuple[str, ...] = ()
    clears_s: float | None = None
    """The longest time of the lower one at that limit."""
    opens_s: float | None = None
    """The least time of the upper one there; None where it holds for ever."""

    @property
    def whole(self) -> bool:
        """Whether it holds for every current that can flow."""
        return (
            self.up_to_A is not None and self.prospective_A is not None and self.up_to_A >= self.prospective_A
        )


def holding_of(part: Part, rated_A: float | None) -> Holding | None:
    """From the plate of a fuse or breaker; None without a fuse's melting integral or a breaker's band, and for all else."""
    if not rated_A or lacks(part):
        return None
    figures = part.kind.figures
    points = tuple(
        (m * rated_A, f.low)
        for m, name in HOLDS
        if name in figures and (f := known(part.figure(name))) is not None and f.low > 0
    )
    if "instant_low" in figures:
        instant = known(part.figure("instant_low"))
        return Holding(rated_A, None, points, instant.low * rated_A if instant else None)
    melting, at_110 = known(part.figure("melting")), known(part.figure("holds_at_110"))
    held_A = rated_A * (1.1 if at_110 is not None and at_110.low >= EVER_s else 1.0)
    return Holding(held_A, melting.low if melting else None, points)


def lacks(part: Part) -> tuple[str, ...]:
    """The figures without which the least times of a device are not known, by address."""
    figures = part.kind.figures
    if "melting" in figures:
        melting = known(part.figure("melting"))
        return () if melting is not None and melting.low > 0 else (f"{part.id}.melting",)
    if "instant_low" not in figures:
        return (f"{part.id}.class",)
    instant = known(part.figure("instant_low"))
    printed = any(known(part.figure(name)) is not None for _, name in HOLDS if name in figures)
    return (
        *(() if instant is not None and instant.low > 0 else (f"{part.id}.instant_low",)),
        *(() if printed else (f"{part.id}.holds_at_200",)),
    )


def limit_A(lower: Curve, upper: Holding, share: float, most_A: float) -> float:
    """The largest current up to which the lower clears before the upper opens, `most_A` when it does so throughout."""
    holds_A = min(upper.held_A / share, most_A)
    if lower.operates_A > most_A:
        return holds_A
    currents = list(_currents(lower, upper, share, most_A))
    found = _first_not_so(lower, upper, share, currents)
    if found is None:
        return most_A
    return _between(lower, upper, share, currents[found - 1], currents[found]) if found else holds_A


def _first_not_so(lower: Curve, upper: Holding, share: float, currents: Sequence[float]) -> int | None:
    """The first of rising currents at which the lower does not clear first; None where it does so at all of them.

    Neither time rises with the current: where the lower takes less at the least of several than the upper at the
    greatest, none between has to be looked at.
    """
    times = [s for _, s in lower.points]
    step = max(1, len(currents)) if times == sorted(times, reverse=True) else 1
    ahead = [(k, min(k + step, len(currents)) - 1) for k in range(0, len(currents), step)][::-1]
    while ahead:
        i, j = ahead.pop()
        clears = lower.seconds(currents[i])
        if clears is not None and clears < upper.seconds(currents[j] * share):
            continue
        if i == j:
            return i
        middle = (i + j) // 2
        ahead += [(middle + 1, j), (i, middle)]
    return None


def _first(lower: Curve, upper: Holding, share: float, amps: float) -> bool:
    clears = lower.seconds(amps)
    return clears is not None and clears < upper.seconds(amps * share)


def _currents(lower: Curve, upper: Holding, share: float, most_A: float) -> Iterator[float]:
    """Rising currents at which the two are compared, the corners of both curves among them."""
    start = max(lower.operates_A, upper.held_A / share * (1 + 1e-9))
    if start >= most_A:
        return
    count = max(2, math.ceil(A_DECADE * math.log10(most_A / start)))
    even = [start * (most_A / start) ** (k / count) for k in range(count + 1)]
    corners = [m * lower.rated_A for m, _ in lower.points]
    corners += [lower.instant * lower.rated_A] if lower.instant is not None else []
    corners += [a / share for a in upper.corners_A]
    yield from sorted({*even, *(c for c in corners if start < c < most_A)})


def _between(lower: Curve, upper: Holding, share: float, sure: float, not_so: float) -> float:
    while not_so / sure > 1 + NEAR_ratio:
        middle = math.sqrt(sure * not_so)
        sure, not_so = (middle, not_so) if _first(lower, upper, share, middle) else (sure, middle)
    return sure


def selective(rig: Rig, graph: Graph, faults: Mapping[str, Fault], upper: str, lower: str) -> Selective:
    """Two devices in a row of a rig, at the greatest fault just behind the lower one."""
    wiring = wiring_of(rig, graph)
    standing = wiring.devices
    (above, _), (below, ends) = standing[upper], standing[lower]
    holdings: dict[str, Holding | None] = wiring.kept.setdefault("holdings", {})
    curves: dict[str, Curve | None] = wiring.kept.setdefault("curves", {})
    if upper not in holdings:
        holdings[upper] = holding_of(rig.parts[above.part], above.rated_A)
    if lower not in curves:
        curves[lower] = curve_of(rig.parts[below.part], below.rated_A)
    holds, curve = holdings[upper], curves[lower]
    fault = _behind(faults, lower, ends)
    prospective = fault.through_A[lower] if fault is not None and fault.max_A is not None else None
    missing = (
        *(lacks(rig.parts[above.part]) if holds is None else ()),
        *([_curve_of(rig.parts[below.part], lower)] if curve is None else []),
        *(fault.missing if fault is not None and prospective is None else ()),
    )
    if holds is None or curve is None or fault is None or prospective is None:
        return Selective(upper, lower, None, prospective, missing=tuple(dict.fromkeys(missing)))
    share = fault.through_A.get(upper, prospective) / prospective
    return _compared(upper, lower, curve, holds, share if share < 1 - 1e-9 else 1.0, prospective)


@lru_cache(maxsize=2048)
def _compared(
    upper: str, lower: str, curve: Curve, holds: Holding, share: float, prospective: float
) -> Selective:
    """Two curves against each other; after an edit most are what they were."""
    up_to = limit_A(curve, holds, share, prospective)
    opens = holds.seconds(up_to * share)
    return Selective(
        upper,
        lower,
        up_to,
        prospective,
        share,
        clears_s=curve.seconds(up_to),
        opens_s=opens if math.isfinite(opens) else None,
    )


def _curve_of(part: Part, device: str) -> str:
    """Where its longest times are written."""
    return f"{part.id}.trips_at_200" if "trips_at_200" in part.kind.figures else f"{device}.class"


def _behind(faults: Mapping[str, Fault], lower: str, ends: tuple[str, ...]) -> Fault | None:
    """The fault at the terminal of a device through which most of it flows."""
    found = [f for t in ends if (f := faults.get(t)) is not None and f.through_A.get(lower)]
    return max(found, key=lambda f: f.through_A[lower], default=None)
