"""What must be said of a lead-acid bank: how long the last of a charge takes, what cold does to volts and acid."""

from ohmwright.energy.loop import by_rig
from ohmwright.energy.one_year import OneYear
from ohmwright.energy.plan import Bank, EnergyPlan
from ohmwright.energy.step import ANSWERS, BY_HOUR, hour
from ohmwright.physics.lead_acid import acid_freezes_degC, compensation_V

FROM_ratio, TO_ratio = 0.85, 0.98
MOST_h = 48
#: For a cell and kelvin: between -3 and -5 mV (common practice, no source).
PER_CELL_V_per_K = -0.004
CELL_V = 2.0


def hours_to_fill_h(
    plan: EnergyPlan, from_ratio: float = FROM_ratio, to_ratio: float = TO_ratio
) -> int | None:
    """Whole hours with all the current that the bank takes, from one charge to another, by the year's own hour; None: over two days."""
    rig, bank = by_rig(plan), plan.bank
    given = {
        "bus_W": 10.0 * bank.charge_A * bank.set_V,
        "resistance_ohm": bank.resistance_ohm,
        "charge_A": bank.charge_A,
    }
    row = [given.get(name, 0.0) for name in BY_HOUR]
    hand, total = from_ratio * rig[1], from_ratio * rig[0]
    for h in range(1, MOST_h + 1):
        answer = dict(zip(ANSWERS, hour(hand, total, 0.0, 0.0, 0.0, *row, *rig), strict=True))
        hand, total = answer["at_hand_Ah"], answer["total_Ah"]
        if total / rig[0] >= to_ratio:
            return h
    return None


def lead_notes(one: OneYear) -> tuple[str, ...]:
    """Nothing for a lithium bank."""
    bank = one.plan.bank
    if bank.chemistry != "lead":
        return ()
    hours = hours_to_fill_h(one.plan)
    long = "more than two days" if hours is None else f"about {hours} hours"
    out = [
        f"From {100 * FROM_ratio:.0f} to {100 * TO_ratio:.0f} % the bank takes {long} of charging, however strong the charger: an hour of generator never fills it."
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
