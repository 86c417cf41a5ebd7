"""Banks beside the house bank: a store of its own each, which the engine fills, its own loads draw on and time empties.

It is followed hour by hour through the typical year and through the made ones (`beside_of`), a simple store: what goes in is kept by a share of its class, what it gives
it gives whole, down to a floor.  A start battery gives little energy in the seconds of a start.  What hangs on a bank that a
DC-DC charger fills from the house bank is counted there (see `loads.day_of`), and the bank is taken as full.
"""

import numpy as np

from ohmwright.energy import habits
from ohmwright.energy.banks import LEAD
from ohmwright.energy.beside import Beside, store_hour
from ohmwright.energy.figures import number
from ohmwright.energy.loads import Notes, by_hour, day_of
from ohmwright.energy.loop import MONTH_OF_DAY
from ohmwright.energy.one_year import OneYear, WHOLE_Wh
from ohmwright.energy.promises import day_name
from ohmwright.energy.series import stay_of_day
from ohmwright.energy.stays import engine_hours
from ohmwright.energy.topology import Wiring, banks_by_size, members
from ohmwright.energy.types import SecondBank
from ohmwright.physics.lead_acid import acid_freezes_degC
from ohmwright.rig.model import Part, Rig
from ohmwright.working import Figure, grouped

#: Below this a start battery is told to be low.
LOW_ratio = 0.70
#: By chemistry: what an alternator puts in an hour in parts of the capacity, the share that stays, the charge kept for starts
#: (common practice, no source).
TAKES_ratio_per_h = {"lead": 0.2, "lfp": 0.5}
KEPT_ratio = {"lead": 0.85, "lfp": 0.98}
FLOOR_ratio = {"lead": habits.LEAD_FLOOR, "lfp": 0.10}


def second_banks(rig: Rig, one: OneYear) -> tuple[SecondBank, ...]:
    """Every bank of known capacity beside the house bank."""
    others = banks_by_size(rig)[1:]
    if not others:
        return ()
    wiring = Wiring.of(rig)
    out = []
    for part in others:
        capacity = _capacity_Ah(rig, part)
        if capacity is not None:
            out.append(_through_the_year(rig, wiring, one, part, capacity))
    return tuple(out)


def beside_of(rig: Rig, one: OneYear) -> tuple[Beside, ...]:
    """The second banks whose loads made years can follow: what the house bank fills it carries, and what nothing is known to charge cannot be told."""
    wiring, out = Wiring.of(rig), []
    for part in banks_by_size(rig)[1:]:
        capacity = _capacity_Ah(rig, part)
        if capacity is None or part.id in wiring.carried:
            continue
        days = _days_of(rig, wiring, one, part)
        wants = np.array([w for asked, _ in days for w in asked])
        engine = np.array([r for _, runs in days for r in runs])
        if wants.any() and engine.any():
            out.append(Beside(part.id, wants, engine, _store_of(rig, part, capacity)))
    return tuple(out)


def _capacity_Ah(rig: Rig, part: Part) -> float | None:
    each = [p.figure("capacity") for p in members(rig, part, "battery")]
    known = [f.value for f in each if isinstance(f, Figure)]
    return sum(known) if known and len(known) == len(each) else None


def _store_of(rig: Rig, part: Part, capacity_Ah: float) -> tuple[float, float, float, float, float]:
    """Its numbers in the order of `beside.store_hour`."""
    first = members(rig, part, "battery")[0]
    lead = _is_lead(rig, part)
    chemistry = "lead" if lead else "lfp"
    volts = number(first, "nominal_voltage", Notes(), 12.0) or 12.0
    leak = number(first, "self_discharge", Notes(), 4.0 if lead else 3.0) or 0.0
    full = capacity_Ah * volts
    return (
        full,
        TAKES_ratio_per_h[chemistry] * full,
        KEPT_ratio[chemistry],
        FLOOR_ratio[chemistry],
        leak / 100.0 / 730.0,
    )


def _is_lead(rig: Rig, part: Part) -> bool:
    return members(rig, part, "battery")[0].word("chemistry") in LEAD


def _days_of(
    rig: Rig, wiring: Wiring, one: OneYear, part: Part
) -> list[tuple[tuple[float, ...], tuple[float, ...]]]:
    """By day what its loads ask and the share of each hour that the engine runs."""
    notes, by_house = Notes(), part.id in wiring.carried
    engine = {id(t): engine_hours(s) for s, t in zip(rig.use.stays, one.plan.stays, strict=True)}
    asked: dict[tuple[str, str], tuple[float, ...]] = {}
    days: list[tuple[tuple[float, ...], tuple[float, ...]]] = []
    for d, stay in enumerate(stay_of_day(one.plan.stays)):
        mode = "unattended" if stay is None else stay.mode_on(d)
        season = habits.season_of(MONTH_OF_DAY[d], one.plan.southern)
        if (mode, season) not in asked:
            loads = () if by_house else day_of(rig, wiring, mode, season, False, notes, part.id)
            asked[mode, season] = by_hour(loads, False)
        runs = engine[id(stay)] if stay is not None and not stay.is_between(d) else (0.0,) * 24
        days.append(((0.0,) * 24 if stay is not None and stay.isolated else asked[mode, season], runs))
    return days


def _through_the_year(rig: Rig, wiring: Wiring, one: OneYear, part: Part, capacity_Ah: float) -> SecondBank:
    store, by_house = _store_of(rig, part, capacity_Ah), part.id in wiring.carried
    days = _days_of(rig, wiring, one, part)
    charge = 1.0 if by_house else _settled(store, days)
    by_day, short, came, given, lost = [], 0, 0.0, 0.0, 0.0
    start = charge
    for wants, runs in days:
        least, lacking = charge, 0.0
        for want_W, on in zip(wants, runs, strict=True):
            if by_house:
                continue
            charge, put, kept, got, leaked = store_hour(charge, want_W, on, *store)
            came, given, lost = came + put, given + got, lost + (put - kept) + leaked
            lacking += want_W - got
            least = min(least, charge)
        by_day.append(least)
        short += lacking > WHOLE_Wh
    lowest = min(by_day)
    reserve = tuple(
        x.id
        for x in rig.use.loads.values()
        if x.id not in wiring.beside and part.id in wiring.banks_of(x) and len(wiring.banks_of(x)) > 1
    )
    return SecondBank(
        id=part.id,
        capacity_Ah=capacity_Ah,
        carries=tuple(x for x, bank in wiring.beside.items() if bank == part.id),
        load_Wh_per_day=sum(sum(w) for w, _ in days) / 365.0,
        engine_h_per_day=sum(sum(r) for _, r in days) / 365.0,
        lowest_ratio=lowest,
        lowest_day=by_day.index(lowest),
        days_short=short,
        reserve_for=reserve,
        reserve_h=_reserve_h(rig, wiring, one, store, reserve),
        soc_by_day=tuple(by_day),
        balance_Wh=came - given - lost - (charge - start) * store[0],
        filled_by_house=by_house,
    )


def _settled(
    store: tuple[float, float, float, float, float], days: list[tuple[tuple[float, ...], tuple[float, ...]]]
) -> float:
    """The charge at the turn of the year of a bank that was full the year before."""
    charge = 1.0
    for wants, runs in days:
        for want_W, on in zip(wants, runs, strict=True):
            charge = store_hour(charge, want_W, on, *store)[0]
    return charge


def _reserve_h(
    rig: Rig,
    wiring: Wiring,
    one: OneYear,
    store: tuple[float, float, float, float, float],
    loads: tuple[str, ...],
) -> float | None:
    """Hours from full to the floor at what the loads ask on their hungriest day."""
    if not loads:
        return None
    watts = 0.0
    for mode in {s.mode for s in one.plan.stays}:
        for season in (habits.SUMMER, habits.SHOULDER, habits.WINTER):
            day = day_of(rig, wiring, mode, season, False, Notes())
            watts = max(watts, sum(a.Wh for a in day if a.load in loads) / 24.0)
    return (1.0 - store[3]) * store[0] / watts if watts > 0.0 else None


def second_notes(rig: Rig, one: OneYear, banks: tuple[SecondBank, ...]) -> tuple[str, ...]:
    """What must be said of them."""
    coldest = min(s.spot.coldest_degC for s in one.skies)
    parts = {p.id: p for p in banks_by_size(rig)}
    return tuple(_told(bank, _is_lead(rig, parts[bank.id]), coldest) for bank in banks)


def _told(bank: SecondBank, lead: bool, coldest_degC: float) -> str:
    name = f"{bank.id} ({bank.capacity_Ah:g} Ah)"
    carries = (
        f" carries {', '.join(bank.carries)} ({grouped(bank.load_Wh_per_day)} Wh a day)"
        if bank.carries
        else ""
    )
    reserve = (
        f" From full it carries {', '.join(bank.reserve_for)} for {bank.reserve_h:.0f} h when the house bank is dark, until it is as low as is kept for a start."
        if bank.reserve_h is not None
        else ""
    )
    if bank.filled_by_house:
        return f"{name}{carries}: filled from the house bank, whose loads these are, through its DC-DC charger.{reserve}"
    if bank.engine_h_per_day <= 0.0:
        flat = next((d for d, s in enumerate(bank.soc_by_day) if s < LOW_ratio), None) if carries else None
        runs_down = f" and is below {100 * LOW_ratio:.0f} % all through" if flat == 0 and bank.lowest_ratio < LOW_ratio else ""  # fmt: skip
        return f"{name}{carries}: no engine hours are given (write driving: 1 h), so nothing is known to charge it{runs_down}.{reserve}"
    text = f"{name}{carries}: filled by the engine, lowest {100 * bank.lowest_ratio:.0f} % by {day_name(bank.lowest_day)}"
    if not bank.carries:
        text += " by self-discharge alone"
    if bank.days_short:
        text += f"; on {bank.days_short} days its loads lack something"
    if bank.lowest_ratio < LOW_ratio:
        text += "; charge it between"
    if lead and coldest_degC < acid_freezes_degC(bank.lowest_ratio):
        text += f"; at that charge its acid freezes near {acid_freezes_degC(bank.lowest_ratio):.0f} degC, and it gets {coldest_degC:.0f} degC"
    return f"{text}.{reserve}"
