"""Hours and money from a takeoff and the task table. Hours are a band; money is Decimal."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal

from ohmwright.papers.material import Material
from ohmwright.papers.tasks import Tasks
from ohmwright.takeoff.order import Order

_CENT = Decimal("0.01")
_SMALL = ("cable", "lug", "module", "battery", "inverter", "inverter-charger", "enclosure", "mounting")


@dataclass(frozen=True, slots=True)
class Task:
    """A line of work: how many, and minutes for all of them."""

    name: str
    count: int
    low_min: Decimal
    high_min: Decimal


@dataclass(frozen=True, slots=True)
class Costing:
    """What a job costs the shop, and what it asks. None where a price is missing."""

    tasks: tuple[Task, ...]
    parts: Decimal
    spares: Decimal
    cable: Decimal
    lugs: Decimal
    unpriced: tuple[str, ...]
    consumables: Decimal
    rate: Decimal | None
    rate_origin: str
    low_hours: Decimal
    high_hours: Decimal
    margin_percent: Decimal
    valid_days: int
    currency: str

    @property
    def material(self) -> Decimal:
        """Everything that is bought and has a price."""
        return self.parts + self.spares + self.cable + self.lugs + self.consumables

    @property
    def asked(self) -> tuple[Decimal, Decimal] | None:
        """Low and high price without tax; None without a rate for the currency."""
        if self.rate is None:
            return None
        low, high = (self._price(hours, self.rate) for hours in (self.low_hours, self.high_hours))
        return low, high

    @property
    def told(self) -> tuple[Decimal, Decimal] | None:
        """The span as a customer reads it: a price that is known to some thousands has no dollars behind them."""
        return None if self.asked is None else outward(*self.asked)

    def _price(self, hours: Decimal, rate: Decimal) -> Decimal:
        return ((self.material + hours * rate) * (1 + self.margin_percent / 100)).quantize(
            _CENT, ROUND_HALF_UP
        )


def outward(low: Decimal, high: Decimal) -> tuple[Decimal, Decimal]:
    """A span rounded outward to a tenth of the power of ten that its width has, and to whole units at least.

    >>> outward(Decimal("15790.44"), Decimal("18036.24"))
    (Decimal('15700'), Decimal('18100'))
    """
    step = Decimal(10) ** max((high - low).adjusted() - 1, 0)
    return (
        (low / step).to_integral_value(ROUND_FLOOR) * step,
        (high / step).to_integral_value(ROUND_CEILING) * step,
    )


def costing(m: Material, order: Order) -> Costing:
    """The costing of this job."""
    made = m.tasks
    tasks = tuple(_tasks(m, made))
    parts = sum((p.price * p.count for p in m.takeoff.parts if p.price is not None), Decimal(0))
    spares = sum((p.price * p.spares for p in m.takeoff.parts if p.price is not None), Decimal(0))
    cable = sum((c.price for c in order.cables if c.price is not None), Decimal(0))
    lugs = sum((x.price for x in order.lugs if x.price is not None), Decimal(0))
    unpriced = (
        *(p.record for p in m.takeoff.parts if p.price is None),
        *(" ".join(x for x in (c.text, c.colour) if x) for c in order.cables if c.price is None),
        *(f"{x.size} {x.stud}" for x in order.lugs if x.price is None),
    )
    bought = parts + spares + cable + lugs
    return Costing(
        tasks=tasks,
        parts=parts,
        spares=spares,
        cable=cable,
        lugs=lugs,
        unpriced=unpriced,
        consumables=(bought * made.consumables[1] / 100).quantize(_CENT, ROUND_HALF_UP),
        rate=made.rates.get(m.rig.job.currency),
        rate_origin=made.rate_origin,
        low_hours=(sum((x.low_min for x in tasks), Decimal(0)) / 60).quantize(Decimal("0.1"), ROUND_HALF_UP),
        high_hours=(sum((x.high_min for x in tasks), Decimal(0)) / 60).quantize(
            Decimal("0.1"), ROUND_HALF_UP
        ),
        margin_percent=made.margin,
        valid_days=made.valid_days,
        currency=m.rig.job.currency,
    )


def _tasks(m: Material, made: Tasks) -> Iterator[Task]:
    cuts = [c for c in m.takeoff.cuts if not c.made]
    heavy = [c for c in cuts if (c.area_mm2 or 0.0) >= made.heavy_mm2]
    light = [e for c in cuts if c not in heavy for e in (c.lug_a, c.lug_b)]
    parts = {
        k: sum(p.count for p in m.takeoff.parts if p.kind == k) for k in {p.kind for p in m.takeoff.parts}
    }
    counts = {
        "lug": sum(e.startswith("ring") for e in light),
        "heavy-cable": len(heavy),
        "small-end": sum(not e.startswith("ring") for e in light),
        "module-roof": parts.get("module", 0),
        "gland": sum(way.glands for way in m.rig.host.ways.values()),
        "inverter": parts.get("inverter-charger", 0) + parts.get("inverter", 0),
        "battery": parts.get("battery", 0),
        "device": sum(n for kind, n in parts.items() if kind not in _SMALL),
        "commissioning": 1,
        "handover": 1,
    }
    for name, count in counts.items():
        low, high = made.minutes[name]
        if count:
            yield Task(name, count, low * count, high * count)
