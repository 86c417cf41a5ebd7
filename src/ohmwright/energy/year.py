"""An energy year of a rig: what the array brings, what the loads ask, what stays undone, month by month."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from ohmwright.energy.ageing import ageing_of
from ohmwright.energy.curves import rest_error_V
from ohmwright.energy.from_rig import plan_of
from ohmwright.energy.guests import with_guests
from ohmwright.energy.headings import heading_notes
from ohmwright.energy.heating import Outdoors
from ohmwright.energy.lead_words import lead_notes
from ohmwright.energy.ledger import by_hour, generator_hours_L
from ohmwright.energy.lonely import lonely_notes, lonely_verdict
from ohmwright.energy.loop import MONTH_DAYS, MONTH_OF_DAY, MONTHS
from ohmwright.energy.one_year import OneYear, WHOLE_Wh, work_out
from ohmwright.energy.plan import LIVED_IN, StayPlan
from ohmwright.energy.promises import day_name, doubted, promises_of
from ohmwright.energy.second import beside_of, second_banks, second_notes
from ohmwright.energy.series import stay_of_day
from ohmwright.energy.shading import Shading, is_drawn, shade_by_hour
from ohmwright.energy.storage import storages_of
from ohmwright.energy.types import Darkest, Month, StayAnswer, Year
from ohmwright.physics.converter import generator_fuel_L_per_h
from ohmwright.rig.model import Rig, Stay
from ohmwright.sky.spots import FAR_km, doubts
from ohmwright.sky.types import WeatherYear
from ohmwright.sky.weather import bad_weeks
from ohmwright.working import FileError, OhmwrightError, grouped

if TYPE_CHECKING:
    from ohmwright.energy.abreast import SameYears

#: As many years as the printed errors need.
ENOUGH = 0
HOUR_min = 60
DARK_years = 1000
#: Years behind sizes and ages of a page: fewer than behind the chart by itself, and its bars are longer.
PAGE_years = 40
#: Load of a generator that is run to keep it well (common practice, no source).
EXERCISE_ratio = 0.3


def year_of(
    rig: Rig,
    weather_for: Callable[[Stay], WeatherYear],
    *,
    years: int = 1,
    seed: int | None = None,
    shade: Shading | None = None,
    guests_ratio: float = 0.0,
    step_min: int = HOUR_min,
    with_spread: bool = True,
    with_charts: bool = False,
    with_sizes: bool = False,
    with_buys: bool = False,
    for_page: bool = False,
    at_once: Callable[[tuple[Month, ...]], None] | None = None,
) -> Year:
    """The year of a rig in the weather of its stays.

    One year tells no probability, so nights lost and percentiles are null then.  With `years` above 1 so many
    years are made from the monthly means of the same places, the same ones for the same seed (0 when none is
    given), and run by the compiled kernel; stays and ledger still tell the one year.  ENOUGH runs as many as it takes.
    `step_min` is the step of the house bank in minutes, a whole part of an hour; with one shorter than an hour, or `with_buys`, comes how far the step moves the answer.
    `with_charts` adds the hours of the bad week, `with_sizes` nights lost against array and bank, `with_buys` what would buy nights
    back and nights lost by the bank's age.  `guests_ratio` adds so much to what people use, for guests and what was forgotten.
    `for_page` adds what a page draws, in a quarter of the time: the bad week without its band; sizes, ages and what would buy nights back by fewer years.
    `at_once` is called with the months of the one year as soon as they are there.
    """
    parts = HOUR_min // step_min
    one = one_year(rig, weather_for, shade, guests_ratio, parts)
    if years == 1:
        return _stepped_alone(answer(rig, one), one)
    if at_once is not None:
        at_once(_months(one))
    plain = answer(rig, one, alone=False)
    from ohmwright.energy.abreast import SameYears
    from ohmwright.energy.asks import asks_of
    from ohmwright.energy.chance import many_years
    from ohmwright.energy.kernel import prepare
    from ohmwright.energy.likely import with_chance
    from ohmwright.energy.spread import Spread
    from ohmwright.energy.until import enough_years

    kernel, spots, spread = prepare(), [sky.spot for sky in one.skies], Spread() if with_spread else None
    asks, beside = asks_of(rig, one.plan), beside_of(rig, one)
    if years == ENOUGH:
        many = enough_years(
            kernel, one.plan, spots, seed or 0, spread=spread, shade=one.shade, asks=asks, beside=beside,
            parts=parts,
        )  # fmt: skip
    else:
        many = many_years(
            kernel, one.plan, spots, years, seed or 0, spread=spread, shade=one.shade, asks=asks, beside=beside,
            parts=parts,
        )  # fmt: skip
    same = SameYears(kernel, many, spots, shade=one.shade)
    told = with_chance(rig, plain, one, many)
    told = replace(told, darkest=darkest_at(one, seed or 0))
    found: dict[str, object] = {}
    if with_charts:
        from ohmwright.energy.weeks import bad_week_of

        found["bad_week"] = bad_week_of(same)
    if with_sizes:
        from ohmwright.energy.sizes import sizes_of

        found["sizes"] = sizes_of(same, rig)
    if with_buys:
        from ohmwright.energy.ages import AGES, IN_WORDS, ages_of
        from ohmwright.energy.buys import bought
        from ohmwright.energy.low_sun import low_sun_of

        told = replace(told, bought=bought(same, rig))
        found["low_sun"] = low_sun_of(same)
        if told.ageing is not None:
            found["ages"] = ages_of(same, told.ageing, ages=AGES if with_charts else IN_WORDS)
    told = replace(told, by_chance={**told.by_chance, **found})
    if parts > 1 or with_buys:
        from ohmwright.energy.steps import steps_of

        told = replace(told, step_min=step_min, steps=steps_of(same))
    return _for_page(rig, told, same) if for_page else told


def _stepped_alone(told: Year, one: OneYear) -> Year:
    """One year with how far its step moves it, where that is shorter than an hour."""
    if one.parts == 1:
        return told
    from ohmwright.energy.kernel import prepare
    from ohmwright.energy.steps import steps_of_one

    return replace(told, step_min=HOUR_min // one.parts, steps=steps_of_one(prepare(), one))


def _for_page(rig: Rig, told: Year, same: "SameYears") -> Year:
    from ohmwright.energy.ages import ages_of
    from ohmwright.energy.buys import bought
    from ohmwright.energy.sizes import sizes_of
    from ohmwright.energy.weeks import bad_week_of

    if told.nights_lost.get("p90"):
        kept = bought(same, rig, years=PAGE_years)
        told = replace(told, bought=kept, by_chance={**told.by_chance, "bought_years": PAGE_years})
    found = {
        "bad_week": bad_week_of(same, with_band=False),
        "sizes": sizes_of(same, rig, years=PAGE_years),
        "ages": ages_of(same, told.ageing, years=PAGE_years) if told.ageing else None,
    }
    return replace(told, by_chance={**told.by_chance, **{k: v for k, v in found.items() if v is not None}})


def one_year(
    rig: Rig,
    weather_for: Callable[[Stay], WeatherYear],
    shade: Shading | None = None,
    guests_ratio: float = 0.0,
    parts: int = 1,
) -> OneYear:
    """Plan and run the one year, in steps of one of `parts` of an hour."""
    skies = tuple(_sky(stay, weather_for) for stay in rig.use.stays)
    southern = bool(skies) and skies[0].spot.latitude_deg < 0.0
    plan = plan_of(rig, southern=southern, outdoors=Outdoors(tuple(s.air_degC for s in skies)))
    if guests_ratio > 0.0:
        plan = with_guests(plan, guests_ratio)
    if shade is None:
        return work_out(plan, skies, parts=parts)
    unknown = tuple(t for t in plan.unknown if not is_drawn(rig, plan, t))
    plan = replace(plan, assumptions=(*plan.assumptions, *shade.words), unknown=unknown)
    return replace(
        work_out(plan, skies, shade_by_hour(rig, plan, skies, shade), parts), snow_counted=shade.counts_snow
    )


def darkest_at(one: OneYear, seed: int) -> Darkest:
    """The dark weeks of the place where the rig is lived in longest."""
    lived = [k for k, s in enumerate(one.plan.stays) if s.mode in LIVED_IN] or list(range(len(one.skies)))
    longest = max(lived, key=lambda k: len(one.days_of(one.plan.stays[k])))
    told = bad_weeks(one.skies[longest].spot, DARK_years, seed)
    return Darkest(
        told.spot.name, told.years, told.lengths_days, told.chances_percent, told.mean_kWh_m2, told.warning
    )


def _sky(stay: Stay, weather_for: Callable[[Stay], WeatherYear]) -> WeatherYear:
    try:
        return weather_for(stay)
    except OhmwrightError as why:
        if stay.place or stay.start or stay.end or stay.latitude_deg is not None:
            raise
        raise FileError(
            f"where the stay {stay.first[0]:02}-{stay.first[1]:02}..{stay.last[0]:02}-{stay.last[1]:02} is spent is not known",
            at=stay.position,
            remedy="write place: a town with its state or country, or give a weather file: --weather FILE",
        ) from why


def answer(rig: Rig, one: OneYear, *, alone: bool = True) -> Year:
    """The one year as people read it; `alone` when no other years stand beside it."""
    plan, columns = one.plan, one.accounts.columns
    array_Wh = sum(columns["array_Wh"])
    stays = tuple(_stay_answer(one, k) for k in range(len(plan.stays)))
    beside = second_banks(rig, one)
    return Year(
        years=1,
        seed=None,
        place=_place(one.skies),
        months=_months(one),
        stays=stays,
        promises=doubted(rig, plan, promises_of(rig, one)),
        nights_lost={"p50": None, "p90": None, "p95": None, "mc_error": None},
        balance_error=one.accounts.balance_Wh / array_Wh if array_Wh > 0.0 else 0.0,
        ledger_kWh=ledger(one),
        soc_by_hour=one.accounts.soc,
        notes=(
            *_notes(one, stays),
            *second_notes(rig, one, beside),
            *lead_notes(one),
            *(lonely_notes(one) if alone else ()),
            *(f"Not known: {text}." for text in plan.unknown),
        ),
        assumptions=(
            *plan.assumptions,
            f"rest voltage within {1000 * rest_error_V(plan.bank.chemistry):.0f} mV a cell of its class table",
        ),
        by_chance={},
        verdict=lonely_verdict(rig, one) if alone else (),
        ageing=ageing_of(one),
        storage=storages_of(rig, one),
        second_banks=beside,
    )


def _place(skies: Sequence[WeatherYear]) -> dict[str, object]:
    first = skies[0].spot
    names = list(dict.fromkeys(s.spot.name for s in skies))
    return {
        "name": ", ".join(names),
        "cell_km": max(s.spot.cell_km for s in skies),
        "method": "; ".join(dict.fromkeys(piece for s in skies for piece in s.source.split("; "))),
        "band_pct": max(s.spot.band_percent for s in skies),
        "latitude_deg": first.latitude_deg,
        "longitude_deg": first.longitude_deg,
    }


def _months(one: OneYear) -> tuple[Month, ...]:
    columns, curtailed, lacking = one.accounts.columns, one.curtailed_Wh(), one.lacking_Wh()
    out, at = [], 0
    for m, days in enumerate(MONTH_DAYS):
        part = slice(at, at + 24 * days)
        out.append(
            Month(
                month=m + 1,
                irradiation_kWh_m2=sum(one.hours.plane_W_m2[part]) / 1000.0,
                array_kWh=sum(columns["array_Wh"][part]) / 1000.0,
                load_kWh=sum(columns["load_Wh"][part]) / 1000.0,
                unserved_kWh=sum(lacking[part]) / 1000.0,
                unserved_kWh_p90=None,
                curtailed_kWh=sum(curtailed[part]) / 1000.0,
                soc_min=min(one.accounts.soc[part]),
                soc_min_p05=None,
            )
        )
        at += 24 * days
    return tuple(out)


def _stay_answer(one: OneYear, index: int) -> StayAnswer:
    stay, columns = one.plan.stays[index], one.accounts.columns
    days = one.days_of(stay)
    hours = [t for d in days for t in range(24 * d, 24 * d + 24)]
    count = len(days) or 1

    def total(name: str) -> float:
        return sum(columns[name][t] for t in hours)

    lacking = one.lacking_Wh()
    unserved = sum(lacking[t] for t in hours)
    notes = list(stay.notes)
    between = [d for d in days if stay.is_between(d)]
    lived = [d for d in days if not stay.is_between(d)]

    def short(some: list[int]) -> int:
        return sum(1 for d in some if sum(lacking[24 * d : 24 * d + 24]) > WHOLE_Wh)

    def asks_Wh(some: list[int]) -> float | None:
        if not between or not some:
            return None
        return sum(sum(columns["load_Wh"][24 * d : 24 * d + 24]) for d in some) / len(some)

    if lost := short(lived):
        notes.append(
            f"{lost} of {len(lived)} {'nights' if between else 'days'} end without power in this weather"
        )
    if lost := short(between):
        notes.append(
            f"on {lost} of {len(between)} days between, while nobody is there, something is not given"
        )
    if stay.isolated:
        flat = next(
            (d for d in _in_order(days) if one.accounts.soc[24 * d + 23] <= one.plan.bank.floor_ratio), None
        )
        if flat is not None:
            notes.append(
                f"its own draw takes the bank down to its last {100 * one.plan.bank.floor_ratio:.0f} % by {day_name(flat)}: isolate or charge before"
            )
    curtailed = one.curtailed_Wh()
    return StayAnswer(
        name=stay.name,
        mode=stay.mode,
        days=len(days),
        load_Wh_per_day=total("load_Wh") / count,
        array_Wh_per_day=sum(columns["array_Wh"][t] + curtailed[t] for t in hours) / count,
        unserved_kWh=unserved / 1000.0,
        soc_min=min((one.accounts.soc[t] for t in hours), default=1.0),
        shortfall_Wh_per_day=unserved / count,
        notes=tuple(notes),
        lived_days=len(lived) if between else None,
        lived_load_Wh_per_day=asks_Wh(lived),
        between_load_Wh_per_day=asks_Wh(between),
        short_days=short(days),
    )


def ledger(one: OneYear) -> dict[str, float]:
    """Yearly sums of the balance in kWh: what came in, went out, was lost and to what, stayed; generator hours and litres."""
    own = one.plan.generator
    hours, fuel = generator_hours_L(one)
    sums = {name: sum(column) / 1000.0 for name, column in by_hour(one).items()}
    steady, throughput = sums.pop("of_loads_standby_and_own_use"), sums.pop("bank_throughput")
    return {
        **sums,
        "generator_hours": hours,
        "generator_fuel_L": fuel,
        "generator_exercise_h": own.exercise_h,
        "generator_exercise_fuel_L": own.exercise_h
        * generator_fuel_L_per_h(
            EXERCISE_ratio * own.rated_W, own.rated_W, own.slope_factor, own.idle_factor
        ),
        "of_loads_standby_and_own_use": steady,
        "locked_days": float(_locked_days(one)),
        "bank_throughput": throughput,
    }


def _notes(one: OneYear, stays: Sequence[StayAnswer]) -> tuple[str, ...]:
    out = [
        f"{stay.name}: {stay.lived_days} of {stay.days} days are lived in; the loads ask {_told_Wh(stay.lived_load_Wh_per_day)} on such a day and {_told_Wh(stay.between_load_Wh_per_day)} on a day between."
        for stay in stays
        if stay.lived_days is not None
    ]
    out += [
        (
            f"{stay.name} ({stay.mode}): {stay.unserved_kWh:.1f} kWh are missing in the typical year, on {stay.short_days} of its {stay.days} days; "
            f"on the mean of all its days the loads ask {grouped(stay.load_Wh_per_day)} Wh and the array can bring {grouped(stay.array_Wh_per_day)} Wh."
        )
        for stay in stays
        if stay.unserved_kWh > 0.05
    ]
    worst = _worst_month(one)
    if worst is not None:
        out.append(worst)
    cold = _locked_days(one)
    if cold:
        out.append(
            f"On {cold} days the bank is too cold to charge for some hours: what the sun brings then goes to the loads only."
        )
    out += heading_notes(one)
    out += [f"{text[0].upper()}{text[1:]}." for text in _sky_notes(one)]
    frosty = 0 if one.snow_counted else sum(MONTH_DAYS[m] for m in range(12) if _mean_air(one, m) < 0.0)
    if frosty and one.plan.trackers:
        out.append(
            f"Snow on the array is not counted: in {frosty} days of frosty months its yield is a most, on a flat roof often nothing."
        )
    return tuple(out)


def _told_Wh(load_Wh: float | None) -> str:
    return "nothing" if load_Wh is None else f"{grouped(load_Wh)} Wh"


def _sky_notes(one: OneYear) -> list[str]:
    """What must be said of the weather itself: figures that look wrong, places at sea, one file for many places."""
    out = []
    places = dict.fromkeys(s.name.rsplit(" ", 1)[0] for s in one.plan.stays)
    if len(places) > 1 and len({id(s) for s in one.skies}) == 1 and one.skies[0].is_real:
        out.append(f"the file's weather stands for every stay: {', '.join(places)}")
    for spot in dict.fromkeys(s.spot for s in one.skies):
        out += [f"{spot.name}: {text}" for text in doubts(spot)]
        if spot.cell_km > FAR_km:
            out.append(
                f"{spot.name} lies at sea or far from land: the clearness of the nearest coast, {spot.cell_km:.0f} km away, stands for it (a month give or take {spot.band_percent:.0f} %; --weather FILE is better)"
            )
    return out


def _in_order(days: list[int]) -> list[int]:
    """The days of a stay from its first, over the turn of the year if need be."""
    gap = next((i for i in range(1, len(days)) if days[i] != days[i - 1] + 1), 0)
    return days[gap:] + days[:gap]


def _mean_air(one: OneYear, month: int) -> float:
    held = stay_of_day(one.plan.stays)
    by_stay = {id(stay): sky for stay, sky in zip(one.plan.stays, one.skies, strict=True)}
    days = [d for d in range(365) if MONTH_OF_DAY[d] == month and held[d] is not None]
    air = [by_stay[id(held[d])].air_degC[t] for d in days for t in range(24 * d, 24 * d + 24)]
    return sum(air) / len(air) if air else 10.0


def _worst_month(one: OneYear) -> str | None:
    unserved, lacking = [0.0] * 12, one.lacking_Wh()
    for d in range(365):
        unserved[MONTH_OF_DAY[d]] += sum(lacking[24 * d : 24 * d + 24])
    month = max(range(12), key=lambda m: unserved[m])
    if unserved[month] <= 50.0:
        return None
    return f"{MONTHS[month]} is the worst month of the typical year: {unserved[month] / 1000.0:.1f} kWh are missing."


def _locked_days(one: OneYear) -> int:
    held = stay_of_day(one.plan.stays)

    def locked(d: int) -> bool:
        stay: StayPlan | None = held[d]
        return (stay is None or not stay.isolated) and any(
            row[8] <= 0.0 for row in one.hours.rows[24 * d : 24 * d + 24]
        )

    return sum(locked(d) for d in range(365))
