"""A rig laid up: what draws on its bank, how long that lasts without sun, what to cut off and when."""

from ohmwright.energy.banks import house_bank
from ohmwright.energy.live import ahead_of_main, drains_of
from ohmwright.energy.loads import Notes
from ohmwright.energy.loop import MONTH_OF_DAY
from ohmwright.energy.one_year import OneYear
from ohmwright.energy.plan import Bank, StayPlan
from ohmwright.energy.promises import day_name
from ohmwright.energy.types import Drain, Storage
from ohmwright.physics.lead_acid import acid_freezes_degC
from ohmwright.physics.storage import days_to_floor_days
from ohmwright.rig.model import Rig

#: How far small draws and a class self-discharge are off either way, and what an older bank has lost (own judgement).
DOUBT_ratio, LEAK_LOW_factor, LEAK_HIGH_factor, WORN_ratio = 0.30, 0.5, 2.0, 0.10
LEFT_AT_ratio = 0.60
ACT_days = 7


def storages_of(rig: Rig, one: OneYear) -> tuple[Storage, ...]:
    """A card for each laid-up stay without outside power."""
    laid_up = [
        s for s in one.plan.stays if s.mode == "laid-up" and not any(any(d.supply_W) for d in s.days.values())
    ]
    if not laid_up:
        return ()
    group = house_bank(rig, Notes())
    ahead = ahead_of_main(rig, group)
    return tuple(
        storage_of(
            one.plan.bank,
            stay,
            drains_of(rig, stay.mode, MONTH_OF_DAY[stay.first_day], stay.isolated, ahead, group),
            _coldest(one, stay),
            group.id,
        )
        for stay in laid_up
    )


def storage_of(
    bank: Bank,
    stay: StayPlan,
    drains: tuple[Drain, ...],
    coldest_degC: float,
    name: str,
    left_ratio: float = 1.0,
) -> Storage:
    """The card of one stay, the bank left at `left_ratio` on its first day, nothing charging it."""
    watts = sum(d.draw_W for d in drains)

    def days(draw: float, leak: float, size: float) -> float:
        return days_to_floor_days(
            left_ratio,
            bank.floor_ratio,
            bank.capacity_Ah * size,
            watts * draw,
            bank.nominal_V,
            bank.leak_percent_per_month * leak,
        )

    lasting = (
        days(1.0 + DOUBT_ratio, LEAK_HIGH_factor, 1.0 - WORN_ratio),
        days(1.0, 1.0, 1.0),
        days(1.0 - DOUBT_ratio, LEAK_LOW_factor, 1.0),
    )
    span = (stay.last_day - stay.first_day) % 365 + 1
    live = tuple(d.subject for d in drains if d.stays_live)
    others = tuple(d.subject for d in drains if not d.stays_live)
    early = min(lasting[0], float(span))
    return Storage(
        stay.name,
        day_name(stay.first_day),
        drains,
        24.0 * watts / bank.nominal_V,
        bank.capacity_Ah * bank.leak_percent_per_month / 100.0 / 30.0,
        lasting,
        tuple(_date(stay.first_day, d) for d in lasting),  # type: ignore[arg-type]  # three in, three out
        _date(stay.first_day, max(early - ACT_days, 0.0)),
        lasting[0] > span,
        (*(f"{x}: live ahead of the main switch, needs a fuse or plug of its own pulled" for x in live if x != name), *others),
        _notes(bank, stay, drains, coldest_degC, name),
        _wake_up(bank, name),
    )  # fmt: skip


def _date(first_day: int, days: float) -> str:
    return day_name(int(first_day + days) % 365) if days < 365 else "later than a year"


def _notes(
    bank: Bank, stay: StayPlan, drains: tuple[Drain, ...], coldest_degC: float, name: str
) -> tuple[str, ...]:
    out = ["reckoned without any sun: snow may lie on the array all winter, and a cold bank takes no charge"]
    if bank.chemistry == "lfp":
        out.append(
            f"leave {name} at about {100 * LEFT_AT_ratio:.0f} % and cut off, not full (50 to 70 %, common practice; the maker's word rules)"
        )
        if coldest_degC < bank.charge_min_degC:
            out.append(
                f"down to {coldest_degC:.0f} degC there: below {bank.charge_min_degC:g} degC nothing may charge it; the lowest storage temperature stands on its page"
            )
    else:
        at = acid_freezes_degC(bank.floor_ratio)
        out.append(f"leave {name} full and charge it again every 60 to 90 days (common practice)")
        if coldest_degC < at:
            out.append(
                f"at {100 * bank.floor_ratio:.0f} % its acid freezes near {at:.0f} degC (from memory); it gets {coldest_degC:.0f} degC there: an empty bank bursts"
            )
    if stay.isolated:
        out.append("the main switch stands open in this stay: only what is ahead of it draws")
    if any(d.stays_live and d.what == "load" for d in drains):
        out.append("a gas or smoke alarm that is cut off guards nobody: say so on the card at the door")
    return tuple(out)


def _wake_up(bank: Bank, name: str) -> tuple[str, ...]:
    steps = ["measure the bank's voltage before anything is joined, and write it down"]
    if bank.chemistry == "lfp":
        steps.append(f"warm {name} above {bank.charge_min_degC + bank.resume_K:g} degC before it is charged")
        steps.append(
            "a management that sleeps wants a charger's voltage to wake: the array alone may not do it with the main switch open"
        )
    else:
        steps.append("look at the acid and the cases; a case that bulges has frozen: leave it alone")
    steps.append(
        "close the main switch first, the array's disconnect last; then fill the bank and set the shunt to full"
    )
    return tuple(steps)


def _coldest(one: OneYear, stay: StayPlan) -> float:
    index = one.plan.stays.index(stay)
    return one.skies[index].spot.coldest_degC
