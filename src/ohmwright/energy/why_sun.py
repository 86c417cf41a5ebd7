"""Why the array could bring so much: from the light on its planes down to what was cut back."""

from collections.abc import Iterator, Sequence

import numpy as np

from ohmwright.energy.daybook import DayBook
from ohmwright.energy.light import plane_W_m2
from ohmwright.energy.loop import MONTH_OF_DAY, MONTHS, ArrayHours, TrackerHours
from ohmwright.energy.one_year import OneYear
from ohmwright.energy.plan import Array, Tracker
from ohmwright.energy.reckoned import Ask, computed, given, held, summed, worked
from ohmwright.energy.series import hot_numbers, light_and_link, place_of_day, tracker_numbers
from ohmwright.energy.spans import Span, hour_span
from ohmwright.physics.converter import converter_out_W
from ohmwright.physics.heat import hot_output_ratio
from ohmwright.physics.pv import (
    light_ratio,
    module_power_W,
    mounted_cell_degC,
    string_power_point_V,
    switched_power_W,
)
from ohmwright.rig.model import Rig
from ohmwright.sky.sun_hours import sun_hours
from ohmwright.sky.types import WeatherYear
from ohmwright.working import CLASS, Figure, Input, Origin, Step, figure, known, work

HABIT = Origin("class", page="share that is left, common practice")
SUN = "year/sun"


def sun_steps(rig: Rig, book: DayBook, span: Span) -> tuple[Step, ...]:
    """The ladder of an hour, a day or more, each from the light down; nothing where no light falls."""
    if span.hour is not None:
        return tuple(_hour(rig, book.one, span.hours[0]))
    return tuple(_ladder(rig, book.one, span))


def _mark(one: OneYear, number: int) -> str:
    """What tells the symbols of one controller from those of the others; "" where there is none other."""
    return f"_{number}" if len(one.plan.trackers) > 1 else ""


# ------------------------------------------------------------------------------------------ days and more


def _ladder(rig: Rig, one: OneYear, span: Span) -> Iterator[Step]:
    given_kWh = []
    for number, (tracker, hours) in enumerate(zip(one.plan.trackers, one.hours.trackers, strict=True), 1):
        step = _of_controller(rig, one, tracker, hours, span, _mark(one, number))
        if step is not None:
            given_kWh.append(step)
    if len(given_kWh) == 1:
        yield given_kWh[0]
    elif given_kWh:
        yield summed(
            "E_could", "kWh", [held(s.symbol, s) for s in given_kWh], "what all controllers could have put on the bus"
        )  # fmt: skip


def _of_controller(
    rig: Rig, one: OneYear, tracker: Tracker, hours: TrackerHours, span: Span, mark: str
) -> Step | None:
    arrays = [
        _of_array(rig, a, h, span, f"{mark}_{chr(97 + n)}" if len(tracker.arrays) > 1 else mark)
        for n, (a, h) in enumerate(zip(tracker.arrays, hours.arrays, strict=True))
    ]
    some = [s for s in arrays if s is not None]
    if not some:
        return None
    into = some[0] if len(some) == 1 else summed(f"E_in{mark}", "kWh", [held(s.symbol, s) for s in some])
    light, _ = light_and_link(one.plan)
    cool = _kWh(hours.cool_W, span)
    out = _kWh(hours.out_W, span)
    lit = sum(hours.out_W[t] * light[t // 24] for t in span.hours) / 1000.0
    step = _part(
        f"E_bus{mark}", into, f"k_bus{mark}", cool,
        f"what {tracker.id} leaves of it, hour by hour: its own use, its losses, its limit of {tracker.limit_A:g} A",
    )  # fmt: skip
    if out != cool:
        step = _part(
            f"E_hot{mark}", step, f"k_hot{mark}", out, f"what the heat where {tracker.id} stands leaves"
        )
    if lit != out:
        step = _part(f"E_pitch{mark}", step, f"k_pitch{mark}", lit, "what the shade of the pitch leaves, as the stay says")  # fmt: skip
    return step


def _of_array(rig: Rig, array: Array, hours: ArrayHours, span: Span, mark: str) -> Step | None:
    light_kWh_m2 = _kWh(hours.falls_W_m2, span)
    whole, left = _kWh(hours.whole_W, span), _kWh(hours.left_W, span)
    if light_kWh_m2 <= 0.0:
        return None
    if array.kept_ratio <= 0.0 or whole <= 0.0:
        return None
    plane = computed(f"H{mark}", light_kWh_m2, "kWh/m2", f"light on the planes of {array.id}, hour by hour")
    rating = rated_input(rig, array, f"P{mark}")
    rated = rating.value * light_kWh_m2 / 1000.0
    step = worked(
        f"E_rated{mark}", f"P{mark} * H{mark} / 1000", rated, "kWh", (rating, plane),
        f"what the modules of {array.id} would give at the rating of their plate, 1 kW for every kW/m²",
    )  # fmt: skip
    made = whole / array.kept_ratio
    step = _part(
        f"E_made{mark}", step, f"k_warm{mark}", made,
        "what warmth, little light and glass leave, hour by hour: the hour with most light is worked whole, below",
    )  # fmt: skip
    step = _kept(array, step, mark, whole)
    if left != whole:
        step = _part(f"E_lit{mark}", step, f"k_shade{mark}", left, f"what shade and snow on {array.id} leave")
    return step


def _part(symbol: str, before: Step, share: str, value: float, note: str) -> Step:
    """A part that is left, as the hours make it on the mean."""
    ratio = value / before.value if before.value else 0.0
    return worked(
        symbol, f"{before.symbol} * {share}", value, "kWh",
        (held(before.symbol, before), computed(share, ratio, "1", "mean of the hours, by their energy")), note,
    )  # fmt: skip


def _kept(array: Array, before: Step, mark: str, value: float, unit: str = "kWh") -> Step:
    """Dirt, mismatch, wiring and tracking ahead of the controller."""
    shares = [Input(f"k_{name}", ratio, "1", HABIT, f"loss by {name}") for name, ratio in array.kept.items()]
    text = " * ".join((before.symbol, *(s.symbol for s in shares)))
    return worked(f"E_clean{mark}" if unit == "kWh" else f"P_clean{mark}", text, value, unit, (held(before.symbol, before), *shares), "losses ahead of the controller")  # fmt: skip


def rated_input(rig: Rig, array: Array, symbol: str) -> Input:
    """The watts of an array: of one module as its page says where there is one, else their sum."""
    part = rig.parts[array.id]
    one = known(part.figure("power"))
    if one is not None and one.value == array.rated_W:
        return given(symbol, one, f"{array.id}.power")
    if one is not None and one.value > 0.0:
        many = round(array.rated_W / one.value)
        if abs(many * one.value - array.rated_W) < 1e-6:
            whole = worked(
                symbol, f"n * {symbol}_1", array.rated_W, "W",
                (computed("n", many, "1", f"modules of {array.id} in the file"), given(f"{symbol}_1", one, f"{array.id}.power")),
                f"modules of {array.id} together",
            )  # fmt: skip
            return held(symbol, whole)
    return computed(symbol, array.rated_W, "W", f"modules of {array.id} together")


def _kWh(watts: Sequence[float], span: Span) -> float:
    return sum(watts[t] for t in span.hours) / 1000.0


def brightest(one: OneYear, span: Span) -> Span | None:
    """The hour of a span in which most light falls on the arrays; None where none does."""
    best = max(span.hours, key=lambda t: one.hours.plane_W_m2[t])
    return hour_span(best) if one.hours.plane_W_m2[best] > 0.0 and span.hour is None else None


def climate_says(one: OneYear, span: Span) -> tuple[str, ...]:
    """From which table the light comes: monthly means beside what the days of the span bring on the level."""
    where = place_of_day(one.plan.stays)
    by_sky: dict[int, list[int]] = {}
    for d in span.days:
        by_sky.setdefault(where[d], []).append(d)
    out = []
    for k, days in by_sky.items():
        sky = one.skies[k]
        spot = sky.spot
        level = sum(sky.ghi_W_m2[24 * d + h] for d in days for h in range(24)) / 1000.0 / len(days)
        months = list(dict.fromkeys(MONTH_OF_DAY[d] for d in days))
        table = (
            ", ".join(f"{MONTHS[m]} {spot.ghi_kWh_m2_day[m]:.2f}" for m in months)
            if len(months) <= 4
            else f"{min(spot.ghi_kWh_m2_day):.2f} in the darkest month to {max(spot.ghi_kWh_m2_day):.2f} in the brightest"
        )
        out.append(
            f"Light at {spot.name}: {sky.source}. The table has, on the level, in kWh/m² a day: {table} (within {spot.band_percent:.0f} %); "
            f"the days meant here bring {level:.2f} on the mean."
        )
    return tuple(dict.fromkeys(out))


# ------------------------------------------------------------------------------------------ one hour


def _hour(rig: Rig, one: OneYear, hour: int) -> Iterator[Step]:
    sky = one.skies[place_of_day(one.plan.stays)[hour // 24]]
    light, _ = light_and_link(one.plan)
    all_W: list[Input] = []
    for number, (tracker, hours) in enumerate(zip(one.plan.trackers, one.hours.trackers, strict=True), 1):
        mark = _mark(one, number)
        step = _hour_of_controller(rig, one, sky, tracker, hours, hour, light[hour // 24], mark)
        if step is not None:
            all_W.append(held(f"P_{number}", step))
    if all_W:
        total = summed("P_could", "W", all_W, "what all controllers could have put on the bus")  # fmt: skip
        yield worked("E_could", "P_could / 1000", total.value / 1000.0, "kWh", (held("P_could", total),), "in one hour")  # fmt: skip


def _hour_of_controller(
    rig: Rig,
    one: OneYear,
    sky: WeatherYear,
    tracker: Tracker,
    hours: TrackerHours,
    hour: int,
    light: float,
    mark: str,
) -> Step | None:
    into: list[Step] = []
    volts: Step | None = None
    for n, (array, of) in enumerate(zip(tracker.arrays, hours.arrays, strict=True)):
        if of.falls_W_m2[hour] <= 0.0:
            continue
        step, volts = _hour_of_array(
            rig, array, of, sky, hour, f"{mark}_{chr(97 + n)}" if len(tracker.arrays) > 1 else mark
        )
        into.append(step)
    if not into or volts is None:
        return None
    whole = into[0] if len(into) == 1 else summed(f"P_in{mark}", "W", [held(s.symbol, s) for s in into])
    step = _through(one, tracker, whole, volts, hours.cool_W[hour], mark)
    if tracker.hot.rated_W > 0.0 and hours.out_W[hour] != hours.cool_W[hour]:
        step = _in_heat(tracker, step, sky, hour, light, hours.out_W[hour], mark)
    if light != 1.0:
        share = computed(f"k_pitch{mark}", light, "1", "what the shade of the pitch leaves, as the stay says")
        step = worked(f"P_pitch{mark}", f"{step.symbol} * k_pitch{mark}", step.value * light, "W", (held(step.symbol, step), share))  # fmt: skip
    return step


def _through(one: OneYear, tracker: Tracker, into: Step, volts: Step, value: float, mark: str) -> Step:
    """What the controller gives at the battery, at most its limit at the absorption voltage."""
    limit_A, idle, k1, k2, margin, _, set_V = tracker_numbers(tracker, one.plan.bank.set_V)
    set_ = figure(set_V, "V", Origin("computed", by="absorption voltage of the bank"))
    if tracker.switched:
        return work(
            switched_power_W, power_W=into, bank_V=set_, power_point_V=volts,
            note=f"{tracker.id} only switches: the current of the array at the volts of the bank",
        )  # fmt: skip
    if volts.value <= set_V + margin:
        return worked(
            f"P_bus{mark}", "0", 0.0, "W", (held(volts.symbol, volts),),
            f"{tracker.id} does not start below {set_V + margin:.1f} V",
        )  # fmt: skip
    loss = Origin("class", page="of its efficiency: 1.5 % less at full power than at its best, 1 W to run")
    out = work(
        converter_out_W, in_W=into, idle_W=figure(idle, "W", loss), proportional_ratio=figure(k1, "1", loss),
        square_per_W=figure(k2, "1", loss), note=f"through {tracker.id}",
    )  # fmt: skip
    if value == out.value:
        return out
    most = computed(f"I_most{mark}", limit_A, "A", f"limit of {tracker.id}, or its charge limit where that is less")  # fmt: skip
    volt = Input(f"U_set{mark}", set_V, "V", set_.origin)
    return worked(f"P_bus{mark}", f"min({out.symbol}, I_most{mark} * U_set{mark})", value, "W", (held(out.symbol, out), most, volt), f"the limit of {tracker.id}")  # fmt: skip


def _in_heat(tracker: Tracker, before: Step, sky: WeatherYear, hour: int, light: float, value: float, mark: str) -> Step:  # fmt: skip
    rated, at, loss, sun_rise, idle, linear, square = hot_numbers(tracker.hot)
    around = sky.air_degC[hour] + sun_rise * (sky.ghi_W_m2[hour] * light / 1000.0)
    page = Origin("computed", by=f"page, walls and vents of {tracker.id}")
    part = work(
        hot_output_ratio, air_degC=figure(around, "degC", Origin("computed", by="air and sun on its bay")),
        rated_at_degC=figure(at, "degC", page), loss_percent_per_K=figure(loss, "%/K", page),
        idle_rise_K=figure(idle, "K", page), linear_rise_K=figure(linear, "K", page), square_rise_K=figure(square, "K", page),
        note=f"what {tracker.id} gives of its rating in the air it stands in",
    )  # fmt: skip
    most = computed(f"P_full{mark}", rated / light, "W", f"rating of {tracker.id}, before the shade of the pitch")  # fmt: skip
    return worked(f"P_hot{mark}", f"min({before.symbol}, {part.symbol} * P_full{mark})", value, "W", (held(before.symbol, before), held(part.symbol, part), most))  # fmt: skip


def _hour_of_array(
    rig: Rig, array: Array, of: ArrayHours, sky: WeatherYear, hour: int, mark: str
) -> tuple[Step, Step]:
    """Power of an array behind its own losses and shade, and its string's volts."""
    spot = sky.spot
    sun = sun_hours(spot.latitude_deg, spot.longitude_deg, sky.utc_offset_h)
    ghi, dhi = np.array(sky.ghi_W_m2), np.array(sky.dhi_W_m2)
    air = figure(sky.air_degC[hour], "degC", Origin("computed", by=f"air at {spot.name}, typical year"))
    wind = figure(sky.wind_m_per_s[hour], "m/s", Origin("computed", by=f"wind at {spot.name}, typical year"))
    parts: list[tuple[float, Step]] = []
    volts: Step | None = None
    for plane in array.planes:
        falls, through = (x[hour] for x in plane_W_m2(plane, array.albedo_ratio, sun, ghi, dhi))
        if through <= 0.0:
            continue
        lies = "flat" if plane.tilt_deg == 0.0 else f"tilted {plane.tilt_deg:g}°, " + (
            "all headings alike" if plane.faces_deg is None else f"facing {plane.faces_deg:g}°"
        )  # fmt: skip
        on = figure(float(falls), "W/m2", Origin("computed", by=f"light on {array.id}, {lies}"))
        let_in = figure(float(through), "W/m2", Origin("computed", by=f"the same behind the glass of {array.id}"))  # fmt: skip
        made, volts = _module(rig, array, on, let_in, air, wind)
        parts.append((plane.share_ratio, made))
    assert volts is not None
    step = parts[0][1]
    if len(parts) > 1 or parts[0][0] != 1.0:
        terms = [held(f"P_mp_{n}", s) for n, (_, s) in enumerate(parts, 1)]
        shares = [computed(f"s_{n}", share, "1", "share of the plane") for n, (share, _) in enumerate(parts, 1)]  # fmt: skip
        text = " + ".join(f"P_mp_{n} * s_{n}" for n in range(1, len(parts) + 1))
        step = worked(
            f"P_array{mark}", text, sum(share * s.value for share, s in parts), "W", (*terms, *shares)
        )
    step = _kept(array, step, mark, of.whole_W[hour], "W")
    if of.left_W[hour] != of.whole_W[hour]:
        share = computed(f"k_shade{mark}", of.left_W[hour] / of.whole_W[hour], "1", f"what shade and snow on {array.id} leave in this hour")  # fmt: skip
        step = worked(f"P_lit{mark}", f"{step.symbol} * k_shade{mark}", of.left_W[hour], "W", (held(step.symbol, step), share))  # fmt: skip
    return step, volts


def _module(
    rig: Rig, array: Array, falls: Figure, through: Figure, air: Figure, wind: Figure
) -> tuple[Step, Step]:
    part = rig.parts[array.id]
    mounting = Origin("class", page="of its mounting")
    cell = work(
        mounted_cell_degC, irradiance_W_m2=falls, air_degC=air, wind_m_per_s=wind,
        still_exponent=figure(array.still_exponent, "1", mounting), wind_exponent=figure(array.wind_exponent, "1", mounting),
        lift_K=figure(array.lift_K, "K", mounting), note="warmth of the cells, by mounting and wind",
    )  # fmt: skip
    fitted = Origin("computed", by="one diode fitted to the page, or its class")
    numbers = [figure(x, "1", fitted) for x in array.light]
    dim = work(
        light_ratio, irradiance_W_m2=through, cell_degC=cell,
        a_0_ratio=numbers[0], a_1_ratio=numbers[1], a_2_ratio=numbers[2], b_0_ratio=numbers[3], b_1_ratio=numbers[4], b_2_ratio=numbers[5],
        c_0_ratio=numbers[6], c_1_ratio=numbers[7], c_2_ratio=numbers[8], d_0_ratio=numbers[9], d_1_ratio=numbers[10], d_2_ratio=numbers[11],
        note="efficiency in this light over that at 1000 W/m²",
    )  # fmt: skip
    rated = rated_input(rig, array, "P_stc")
    plate = rated.step if rated.step is not None else Figure(
        rated.value, "W", rated.value, rated.value, rated.origin, address=rated.address
    )  # fmt: skip
    gamma = _of_page(part.figure("gamma"), array.coefficient_percent_per_K, "%/K", f"{array.id}.gamma")
    made = work(
        module_power_W, rated_W=plate, irradiance_W_m2=through, coefficient_percent_per_K=gamma,
        cell_degC=cell, low_light_factor=dim, note=f"what the modules of {array.id} give at their best point",
    )  # fmt: skip
    volts = work(
        string_power_point_V, in_series_count=1.0,
        power_point_V=figure(array.string_V, "V", Origin("computed", by="volts of the modules in series")),
        coefficient_percent_per_K=_of_page(part.figure("beta"), array.voltage_percent_per_K, "%/K", f"{array.id}.beta"), cell_degC=cell,
    )  # fmt: skip
    return made, volts


def _of_page(found: object, value: float, unit: str, address: str) -> Figure:
    """A figure of the module's page; the class where the page is silent."""
    if isinstance(found, Figure) and found.value == value:
        return found if found.address else found.at(address)
    return figure(value, unit, CLASS, address=address)


def sun_also(one: OneYear, span: Span) -> tuple[tuple[str, Ask], ...]:
    """The brightest hour of a span, which is worked whole."""
    best = brightest(one, span)
    return ((f"The hour with most light, worked whole: {best.words}", Ask(SUN, best.name)),) if best else ()
