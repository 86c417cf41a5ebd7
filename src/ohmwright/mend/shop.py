"""What the shelf offers: sizes of cable, devices, other parts; each with its price in the job's currency."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from ohmwright.rig.model import Cable, Rig
from ohmwright.shelf.record import Record, Shelf
from ohmwright.working import known

#: Stages in which what the file names is not bought yet: a swap then costs the difference.
NOT_BOUGHT = ("draft", "quoted", "")
_SIZE = re.compile(r"(?:\d+\s*x\s*)?(\d{1,2}/0|\d+(?:\.\d+)?)\s*(AWG|SAE|mm2|mm²|kcmil)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Offer:
    """A cable of the shelf as a run would name it."""

    record: Record
    text: str
    area_mm2: float
    price_per_m: Decimal | None


class Shop:
    """The shelf, sorted by kind, with prices in one currency."""

    def __init__(self, shelf: Shelf, rig: Rig) -> None:
        self.currency = rig.job.currency or "USD"
        self.bought = rig.job.stage not in NOT_BOUGHT
        self._by_kind: dict[str, list[Record]] = {}
        for name in shelf:
            record = shelf.find(name)
            if record is not None and not record.bare:
                self._by_kind.setdefault(record.kind.name, []).append(record)

    def of_kind(self, *kinds: str) -> list[Record]:
        """Every record of those kinds, the cheapest first; the unpriced ones last."""
        found = [r for k in kinds for r in self._by_kind.get(k, ())]
        return sorted(found, key=lambda r: (self._rank(r), r.id))

    def _rank(self, record: Record) -> Decimal:
        price = self.price(record)
        return Decimal("Infinity") if price is None else price

    def price(self, record: Record) -> Decimal | None:
        """One piece, or one metre of cable."""
        price = record.price_in(self.currency)
        return Decimal(price.amount) if price is not None else None

    def instead(self, old: Record, new: Record, count: int = 1) -> Decimal | None:
        """What a swap adds: the whole price where the old part was bought, else the difference."""
        price = self.price(new)
        if price is None:
            return None
        paid = self.price(old)
        return count * (price if self.bought or paid is None else price - paid)

    def cables(self, cable: Cable) -> list[list[Offer]]:
        """Ladders of larger cables (of copper, where it is none) that could lie in its place: one for each make."""
        ladders: dict[tuple[str, float], list[Offer]] = {}
        least = cable.area_mm2 or 0.0
        for record in self.of_kind("cable"):
            area = known(record.figures["area"]) if "area" in record.figures else None
            if area is None or not _alike(cable, record):
                continue
            if area.value < least * (1 + 1e-9) and not (
                cable.material == "cca" and area.value >= least * (1 - 1e-9)
            ):
                continue
            insulation = known(record.figures["insulation"]) if "insulation" in record.figures else None
            heat = insulation.value if insulation is not None else 0.0
            offer = Offer(record, named(cable, record, heat), area.value, self.price(record))
            ladders.setdefault((record.words.get("material", ""), heat), []).append(offer)
        return [sorted(offers, key=lambda o: o.area_mm2) for offers in ladders.values()]

    def within(self, cable: Cable, most_mm2: float | None) -> str | None:
        """The same sort of cable in the largest size that a terminal takes; None where it fits as it is."""
        if most_mm2 is None or cable.area_mm2 is None or cable.area_mm2 <= most_mm2 * (1 + 1e-9):
            return None
        fits = [
            o
            for ladder in self.cables(replace(cable, area_mm2=0.1))
            for o in ladder
            if o.area_mm2 <= most_mm2 * (1 + 1e-9)
        ]
        return max(fits, key=lambda o: (o.area_mm2, o.text)).text if fits else None

    def metres(self, offer: Offer, old: Cable, metres: float | None) -> Decimal | None:
        """The price of so many metres; of single core for a cable of several where the shelf has only that."""
        if offer.price_per_m is None or metres is None:
            return None
        times = old.cores if old.cores > 1 and _cores(offer.record) == 1 else 1
        return (offer.price_per_m * times * Decimal(f"{metres:.4g}")).quantize(Decimal("0.01"))

    def lying(self, cable: Cable, metres: float | None) -> Decimal:
        """What so many metres of the cable that is written now would have cost; nothing where the shelf has none like it."""
        for record in self.of_kind("cable"):
            area = known(record.figures["area"]) if "area" in record.figures else None
            same = (
                area is not None
                and cable.area_mm2 is not None
                and abs(area.value / cable.area_mm2 - 1) < 0.02
            )
            if same and _alike(cable, record) and (price := self.price(record)) is not None:
                return self.metres(
                    Offer(record, cable.text, cable.area_mm2 or 0.0, price), cable, metres
                ) or Decimal(0)
        return Decimal(0)


def _cores(record: Record) -> int:
    given = known(record.figures["cores"]) if "cores" in record.figures else None
    return int(given.value) if given is not None else 1


def _alike(cable: Cable, record: Record) -> bool:
    """The same use and system of sizes; an AC cable has as many cores."""
    use = record.words.get("use", "unknown")
    name = _SIZE.search(record.words.get("size_name", ""))
    system = name[2].replace("²", "2").lower() if name else ""
    if system != ("mm2" if cable.system in ("mm2", "") else "awg"):
        return False
    if use == "ac":
        return cable.cores == _cores(record) and cable.use != "pv" and cable.cores > 1
    if (use == "pv") != (cable.use == "pv"):
        return False
    if cable.material == "tinned" and cable.use != "pv" and record.words.get("material") != "tinned":
        return False
    return _cores(record) == 1


def named(cable: Cable, record: Record, insulation_degC: float) -> str:
    """The cable of the shelf in the words of a run: cores, use and colour stay as they were."""
    size = _SIZE.search(record.words.get("size_name", ""))
    told = f"{size[1]} {size[2]}" if size else record.words.get("size_name", "")
    words: list[str] = []
    if cable.cores > 1:
        words += [str(cable.cores), "x"]
    if cable.use == "pv":
        return " ".join([*words, "pv", told, *([cable.colour] if cable.colour else [])])
    uses = [
        w for w in cable.words if w in ("flexible", "marine", "buried", "armoured", "screened", "sheathed")
    ]
    words = [*uses, *words, told]
    if record.words.get("material") == "tinned":
        words.append("tinned")
    if insulation_degC:
        words.append(f"{insulation_degC:g}C")
    if cable.colour:
        words.append(cable.colour)
    return " ".join(words)


def rated_A(record: Record) -> float | None:
    """The rating of a device."""
    given = known(record.figures["rated"]) if "rated" in record.figures else None
    return given.value if given is not None else None


def nearest_first(records: Iterable[Record], wanted_A: float) -> list[Record]:
    """Devices by how near their rating is: the same first, then the next above, then the next below."""

    def key(record: Record) -> tuple[float, str]:
        rated = rated_A(record) or 0.0
        off = rated / wanted_A - 1 if wanted_A else rated
        return (round(off, 6) if off >= 0 else round(-3 * off, 6), "")

    return sorted((r for r in records if rated_A(r)), key=key)
