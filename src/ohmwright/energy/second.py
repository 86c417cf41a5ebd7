"""Banks beside the house bank: a store of its own each, which the engine fills and time empties.

What hangs on it is not worked out: a start battery gives little energy in the seconds of a start.  A DC-DC charger
between two banks is counted where the house bank's engine charging is.
"""

from dataclasses import dataclass

from ohmwright.energy.banks import LEAD
from ohmwright.energy.figures import number
from ohmwright.energy.loads import Notes
from ohmwright.energy.one_year import OneYear
from ohmwright.energy.promises import day_name
from ohmwright.energy.topology import members
from ohmwright.physics.lead_acid import acid_freezes_degC
from ohmwright.rig.model import Part, Rig, Stay
from ohmwright.working import Figure

#: Below this a start battery is told to be low; a lead-acid one takes a fifth of its capacity an hour from an alternator.
LOW_ratio, TAKES_ratio_per_h = 0.70, 0.2


@dataclass(frozen=True, slots=True)
class SecondBank:
    """Its charge through the year, day by day."""

    id: str
    capacity_Ah: float
    soc_by_day: tuple[float, ...]
    engine_h_per_day: float

    @property
    def lowest(self) -> tuple[float, int]:
        """Least charge and the day 0..364 on which it stands there."""
        least = min(self.soc_by_day)
        return least, self.soc_by_day.index(least)


def second_banks(rig: Rig, one: OneYear, house: str) -> tuple[SecondBank, ...]:
    """Every other bank of known capacity."""
    out = []
    for part in rig.parts.values():
        if part.kind.name != "battery" or part.group or part.id == house:
            continue
        each = [p.figure("capacity") for p in members(rig, part, "battery")]
        known = [f.value for f in each if isinstance(f, Figure)]
        if known and len(known) == len(each):
            out.append(_through_the_year(rig, one, part, sum(known)))
    return tuple(out)


def _through_the_year(rig: Rig, one: OneYear, part: Part, capacity_Ah: float) -> SecondBank:
    leak = number(part, "self_discharge", Notes(), 4.0 if part.word("chemistry") in LEAD else 3.0) or 0.0
    hours = [0.0] * 365
    for stay, told in zip(rig.use.stays, one.plan.stays, strict=True):
        for d in one.days_of(told):
            hours[d] = _engine_h(stay)
    soc, by_day = 1.0, [1.0] * 365
    for d in (*range(365), *range(365)):
        soc = min(1.0, soc + TAKES_ratio_per_h * hours[d]) - leak / 100.0 / 30.0
        soc = max(soc, 0.0)
        by_day[d] = soc
    return SecondBank(part.id, capacity_Ah, tuple(by_day), sum(hours) / 365.0)


def _engine_h(stay: Stay) -> float:
    given = stay.figures.get("driving")
    return given.value / 3600.0 if isinstance(given, Figure) else 0.0


def second_notes(rig: Rig, one: OneYear, house: str) -> tuple[str, ...]:
    """What must be said of them."""
    coldest = min(s.spot.coldest_degC for s in one.skies)
    return tuple(_told(rig, bank, coldest) for bank in second_banks(rig, one, house))


def _told(rig: Rig, bank: SecondBank, coldest_degC: float) -> str:
    name = f"{bank.id} ({bank.capacity_Ah:g} Ah)"
    if bank.engine_h_per_day <= 0.0:
        return f"{name}: no engine hours are given (write driving: 1 h), so nothing is known to charge it."
    least, day = bank.lowest
    text = (
        f"{name}: filled by the engine, lowest {100 * least:.0f} % by {day_name(day)} by self-discharge alone"
    )
    if least < LOW_ratio:
        text += "; charge it between"
    chemistry = members(rig, rig.parts[bank.id], "battery")[0].word("chemistry")
    if chemistry in LEAD and coldest_degC < acid_freezes_degC(least):
        text += f"; at that charge its acid freezes near {acid_freezes_degC(least):.0f} degC, and it gets {coldest_degC:.0f} degC"
    return f"{text}."
