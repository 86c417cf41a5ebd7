"""What is bought besides parts: cable by size and colour with its coils, lugs by size and stud, spares."""

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal

from ohmwright.rig.cable import read_cable
from ohmwright.rig.model import Cable
from ohmwright.shelf.record import Price, Record, Shelf
from ohmwright.takeoff.cuts import stud_name
from ohmwright.takeoff.drums import Cutting, cut
from ohmwright.takeoff.practice import practice
from ohmwright.takeoff.types import CutLine, Takeoff
from ohmwright.working import known

#: How far a lug's size may stand from the conductor's: a crimp wants its own die (common practice, no source).
LUG_LEAST_ratio, LUG_MOST_ratio = 0.98, 1.06
_CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Bench:
    """What the bench has done: pieces that are cut as this rig wants them, and lengths cut that it has no use for."""

    cut: frozenset[str] = frozenset()
    offcuts: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    """Millimetres of each, by the words of the cable with its colour."""


@dataclass(frozen=True, slots=True)
class Made:
    """A length of cable that the ledger says was cut for a run."""

    run: str
    cable: str
    metres: float


def bench_of(takeoff: Takeoff, made: Iterable[Made]) -> Bench:
    """Hold what was cut against what is wanted: a run's last cut counts, those before it are off-cuts."""
    wanted = {c.piece or c.id: c for c in takeoff.cuts if not c.made}
    cut: set[str] = set()
    spare: dict[str, list[int]] = {}
    for piece in reversed(tuple(made)):
        mine = wanted.get(piece.run)
        fits = mine is not None and mine.cable == piece.cable and mine.cut_m is not None
        if (
            mine is not None
            and fits
            and piece.run not in cut
            and abs((mine.cut_m or 0.0) - piece.metres) < 1e-6
        ):
            cut.add(piece.run)
        else:
            spare.setdefault(piece.cable, []).append(round(piece.metres * 1000))
    return Bench(frozenset(cut), {k: tuple(sorted(v)) for k, v in spare.items()})


@dataclass(frozen=True, slots=True)
class CableLine:
    """Cable of one size and colour. `metres` to cut, `bought_m` with spare; price by the metre."""

    text: str
    colour: str
    metres: float
    bought_m: float
    pieces: int
    cutting: Cutting
    record: str
    price_m: Decimal | None
    price: Decimal | None
    kg: float | None
    unknown: tuple[str, ...] = ()
    """Pieces of it whose length is not known."""
    cut: tuple[str, ...] = ()
    """Pieces of it that are cut already: no coil is planned for them."""


@dataclass(frozen=True, slots=True)
class LugLine:
    """Ring lugs of one size and stud."""

    size: str
    stud: str
    count: int
    spares: int
    record: str
    price: Decimal | None


@dataclass(frozen=True, slots=True)
class Order:
    """Cable and lugs to buy; `open_ends` have no stud yet, so no lug can be ordered for them."""

    cables: tuple[CableLine, ...]
    lugs: tuple[LugLine, ...]
    open_ends: int
    currency: str

    @property
    def records(self) -> frozenset[str]:
        """The shelf's cables and lugs that the order rests on."""
        return frozenset((*(c.record for c in self.cables), *(x.record for x in self.lugs))) - {""}


def order_of(takeoff: Takeoff, shelf: Shelf, currency: str, bench: Bench | None = None) -> Order:
    """The order for what a takeoff counts, priced from the shelf where it has the thing.

    Metres and prices are those of the whole job; what `bench` has cut changes only how the rest comes off its coils.
    """
    records = [r for i in shelf if (r := shelf.find(i)) is not None and r.kind.name in ("cable", "lug")]
    cables = [r for r in records if r.kind.name == "cable"]
    lugs = [r for r in records if r.kind.name == "lug"]
    ends = [lug for c in takeoff.cuts if not c.made for lug in (c.lug_a, c.lug_b)]
    return Order(
        tuple(_cables(takeoff.cuts, cables, currency, bench or Bench())),
        tuple(_lugs(takeoff.cuts, lugs, currency)),
        sum("?" in e for e in ends),
        currency,
    )


def _cables(cuts: Iterable[CutLine], shelf: list[Record], currency: str, bench: Bench) -> Iterator[CableLine]:
    kinds: dict[tuple[str, str], dict[str, CutLine]] = {}
    for c in cuts:
        if not c.made:
            kinds.setdefault((_told(c), c.colour if c.cores == 1 else ""), {}).setdefault(c.piece, c)
    for (text, colour), pieces in kinds.items():
        first = next(iter(pieces.values()))
        known_ones = [(c.piece, round(c.cut_m * 1000)) for c in pieces.values() if c.cut_m is not None]
        to_cut = [p for p in known_ones if p[0] not in bench.cut]
        metres = sum(mm for _, mm in known_ones) / 1000
        bought = math.ceil(metres * (1 + practice().cable_percent / 100) - 1e-9)
        record = _cable_record(read_cable(first.cable), shelf) if first.cable else None
        price = _amount(record, currency)
        linear = known(record.figures["linear_mass"]) if record and "linear_mass" in record.figures else None
        yield CableLine(
            text,
            colour,
            metres,
            float(bought),
            len(known_ones),
            cut(to_cut, round(practice().coil_m(first.area_mm2) * 1000), bench.offcuts.get(first.cable, ())),
            record.id if record else "",
            price,
            None if price is None else (price * bought).quantize(_CENT, ROUND_HALF_UP),
            linear.value * bought if linear else None,
            tuple(c.piece for c in pieces.values() if c.cut_m is None),
            tuple(name for name, _ in known_ones if name in bench.cut),
        )


def _told(c: CutLine) -> str:
    """The cable without its colour: one line of an order; "" when the file names no cable."""
    cable = read_cable(c.cable) if c.cable else None
    if cable is None:
        return ""
    return " ".join(w for w in c.cable.split() if w != cable.colour)


def _cable_record(cable: Cable, shelf: list[Record]) -> Record | None:
    """The shelf's cable of that size, cores and use; None when it has none."""
    one = f"{cable.size} {cable.system}".strip()
    size = f"{cable.cores} x {one}" if cable.cores > 1 else one
    fitting = [
        r
        for r in shelf
        if r.words.get("size_name") == size and (r.words.get("use") == "pv") == (cable.use == "pv")
    ]

    def near(r: Record) -> tuple[bool, bool, str]:
        insulation = known(r.figures["insulation"]) if "insulation" in r.figures else None
        other_heat = cable.insulation_degC is not None and (
            insulation is None or insulation.value < cable.insulation_degC
        )
        return (other_heat, (r.words.get("material") == "tinned") != (cable.material == "tinned"), r.id)

    best = min(fitting, key=near, default=None)
    return best if best is not None and cable.material in ("copper", "tinned") else None


def _lugs(cuts: Iterable[CutLine], shelf: list[Record], currency: str) -> Iterator[LugLine]:
    counted: Counter[tuple[float, str, float]] = Counter()
    for c in cuts:
        for stud in (c.stud_a_mm, c.stud_b_mm):
            if stud is not None and c.area_mm2 is not None and not c.made:
                counted[c.area_mm2, c.size.rpartition(" x ")[2], stud] += 1
    for (area, size, stud), count in sorted(counted.items(), reverse=True):
        spares = math.ceil(count * practice().lug_percent / 100)
        record = min(
            (r for r in shelf if _fits(r, area, stud)), key=lambda r: (_away(r, area), r.id), default=None
        )
        price = _amount(record, currency)
        yield LugLine(
            size,
            stud_name(stud),
            count,
            spares,
            record.id if record else "",
            None if price is None else (price * (count + spares)).quantize(_CENT, ROUND_HALF_UP),
        )


def _fits(record: Record, area_mm2: float, stud_mm: float) -> bool:
    area, stud = (known(record.figures[k]) if k in record.figures else None for k in ("area", "stud"))
    if area is None or stud is None:
        return False
    near = LUG_LEAST_ratio <= area.value / area_mm2 <= LUG_MOST_ratio
    return near and abs(stud.value * 1000 - stud_mm) < 0.05


def _away(record: Record, area_mm2: float) -> float:
    """How far a lug's size stands from the conductor's, as a part of it."""
    area = known(record.figures["area"])
    return abs(area.value / area_mm2 - 1) if area is not None else math.inf


def _amount(record: Record | None, currency: str) -> Decimal | None:
    price: Price | None = None
    if record is not None:
        price = record.price_in(currency) if currency else record.price
    return Decimal(price.amount) if price else None
