"""What must be said of a lead-acid bank: how long the last of a charge takes, what cold does to volts and acid."""

from collections.abc import Iterator

from ohmwright.energy.loop import by_rig
from ohmwright.energy.one_year import OneYear
from ohmwright.energy.plan import Bank, EnergyPlan
from ohmwright.energy.step import ANSWERS, BY_HOUR, hour
from ohmwright.physics.lead_acid import acid_freezes_degC, compensation_V

FROM_ratio, TO_ratio = 0.85, 0.98
MOST_h = 48
#: At which share of its ampere-hours as amperes a charger calls a bank full: 2 to 1 % (common practice, no source).
END_ratio = 0.01
#: For a cell and kelvin: between -3 and -5 mV (common practice, no source).
PER_CELL_V_per_K = -0.004
CELL_V = 2.0


def hours_to_fill_h(
    plan: EnergyPlan, from_ratio: float = FROM_ratio, to_ratio: float = TO_ratio
) -> int | None:
    """Whole hours with all the current that the bank takes, from one charge to another, by the year's own hour; None: over two days."""
    return next((h for h, (soc, _) in enumerate(_filling(plan, from_ratio), 1) if soc >= to_ratio), None)


def end_of_charge(plan: EnergyPlan, from_ratio: float = FROM_ratio) -> tuple[int, float] | None:
    """After how many whole hours a charger holding the set voltage sees its end current, and how full the bank is then."""
    end_A = END_ratio * plan.bank.capacity_Ah
    before = from_ratio
    for h, (soc, amps) in enumerate(_filling(plan, from_ratio)):
        if amps <= end_A:
            return h, before
        before = soc
    return None


def _filling(plan: EnergyPlan, from_ratio: float) -> Iterator[tuple[float, float]]:
    """Hour by hour at the set voltage and all the current that the bank takes: the charge after the hour, and the current in it."""
    rig, bank = by_rig(plan), plan.bank
    given = {
        "bus_W": 10.0 * bank.charge_A * bank.set_V,
        "resistance_ohm": bank.resistance_ohm,
        "charge_A": bank.charge_A,
    }
    row = [given.get(name, 0.0) for name in BY_HOUR]
    hand, total = from_ratio * rig[1], from_ratio * rig[0]
    for _ in range(MOST_h):
        answer = dict(zip(ANSWERS, hour(hand, total, 0.0, 0.0, 0.0, *row, *rig), strict=True))
        hand, total = answer["at_hand_Ah"], answer["total_Ah"]
        yield total / rig[0], answer["bus_Wh"] / bank.set_V


def lead_notes(one: OneYear) -> tuple[str, ...]:
    """Nothing for a lithium bank."""
    bank = one.plan.bank
    if bank.chemistry != "lead":
        return ()
    hours, end = hours_to_fill_h(one.plan), end_of_charge(one.plan)
    long = "more than two days" if hours is None else f"about {hours} hours"
    stops = (
        f"; a charger that stops at {100 * END_ratio:.0f} % of the bank's ampere-hours stops after {end[0]}, at {100 * end[1]:.0f} %"
        if end is not None
        else ""
    )
    out = [
        f"From {100 * FROM_ratio:.0f} to {100 * TO_ratio:.0f} % the bank takes {long} of charging at {bank.set_V:.1f} V, however strong the charger{stops}: an hour of generator never fills it."
    ]
    return (*out, *_cold(bank, one))


def _cold(bank: Bank, one: OneYear) -> tuple[str, ...]:
    coldest, warmest = min(one.hours.bank_degC), max(one.hours.bank_degC)
    cells = round(bank.nominal_V / CELL_V)
    cold, hot = (compensation_V(cells, PER_CELL_V_per_K, t) for t in (coldest, warmest))
    out = [
        f"The bank stands between {coldest:.0f} and {warmest:.0f} degC: at -4 mV a cell and kelvin its charging wants {cold:+.1f} V there and {hot:+.1f} V here; the years keep the set voltage."
    ]
    risky = sum(t < acid_freezes_degC(s) for t, s in zip(one.hours.bank_degC, one.accounts.soc, strict=True))
    if risky:
        out.append(
            f"In {risky} hours of this year it is so cold and so empty that its acid may freeze and burst the cases."
        )
    return tuple(out)
