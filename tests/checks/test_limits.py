"""Every rule with a limit at the limit, just beyond it, and a step below: `CASES` is read by test_every_rule_is_tested.

Limits are those of the pages in `standards`, each with its clause; the arithmetic of a case stands beside it.  At the
limit a rule passes, with a relative slack of 1e-9.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import pytest

from ohmwright.checks import dc_rating
from ohmwright.checks.array import (
    breaker,
    clipping,
    cold_voltage,
    cold_voltage_by_table,
    controller_current,
    controller_hot,
    flat_mount,
    gap,
    hot_voltage,
    planes_on_one_tracker,
    pwm_match,
    rapid_shutdown,
    series_in_shade,
    shadow,
    start_voltage,
    touch_voltage,
    unequal_in_parallel,
    unequal_in_series,
)
from ohmwright.checks.battery import (
    autonomy,
    capacity_at_rate,
    charge_current,
    charge_settings,
    cold_lockout,
    cut_off_ladder,
    dark_week,
    floods,
    freezing,
    fuse_and_surge,
    fuse_distance,
    heater,
    interrupt_rating,
    lead_charge_rate,
    lead_full,
    sharing,
    storage_cold,
    wake_up,
)
from ohmwright.checks.battery.interrupt_rating import Breaks
from ohmwright.checks.carrying import Wire
from ohmwright.checks.charging import alternator_load, load_dump, sensing_relay, tow_cord
from ohmwright.checks.cold import Cold
from ohmwright.checks.judgement import Judgement
from ohmwright.checks.mains import (
    boat_leakage,
    export,
    generator_load,
    generator_wave,
    idle_energy,
    inverter_hot,
    inverter_panel_load,
    lightning,
    motor_start,
    neutral_earth,
    sagging_supply,
    shore_budget,
    transfer_relay,
)
from ohmwright.checks.monitor import by_difference, dead_band, full_mark, shunt_rating
from ohmwright.checks.place import (
    axle_and_tyre,
    bay_heat,
    galvanic_pair,
    lead_gas,
    noise,
    payload_label,
    roof_load,
    roof_uplift,
    side_to_side,
    spark_distance,
    tongue,
    trim,
    weight,
)
from ohmwright.checks.service import one_source
from ohmwright.checks.storage import drain
from ohmwright.checks.wiring import (
    bonding_size,
    drop,
    far_fault,
    fit,
    overload,
    selectivity,
    sense,
    sense_lead_fuse,
    surge_sag,
    terminal_class,
)
from ohmwright.standards import find
from ohmwright.standards.wire import awg_area_mm2
from ohmwright.working import Figure, Origin, Step, figure

PAGE = Origin("source", "d1", "p2")
BEYOND = 1 + 1e-6


def of(value: float, unit: str) -> Figure:
    """A figure with a page; units that only published pages know stay as they are."""
    try:
        return figure(value, unit, PAGE, address="X.figure")
    except KeyError:
        return Figure(value, unit, value, value, PAGE, address="X.figure")


def step(value: float, unit: str = "1") -> Step:
    """A worked figure of that value."""
    return Step("x", f"{value!r}", value, unit, ())


def cold(volts: float) -> Cold:
    made = step(volts, "V")
    return Cold(made, made, made, trusted=True)


def by_table(volts: float) -> Cold:
    made = step(volts, "V")
    return Cold(made, None, made, trusted=False)


def awg(size: str, class_degC: float) -> Wire:
    area = awg_area_mm2(size)
    assert area is not None
    return Wire(area, class_degC, asks="W01.insulation")


@dataclass(frozen=True)
class Case:
    """A judgement of a rule: what it says, with value and limit where it has them."""

    number: str
    name: str
    judge: Callable[[], Judgement]
    verdict: str
    severity: str = ""
    exact: bool = False


def pair(
    number: str,
    at: Callable[[float], Judgement],
    limit: float,
    *,
    least: bool = False,
    bad: str = "fail",
    severity: str = "",
) -> list[Case]:
    """At the limit it passes, just beyond it does not."""
    beyond = limit / BEYOND if least else limit * BEYOND
    if least and limit < 0:
        beyond = limit * BEYOND
    return [
        Case(number, "at the limit", lambda: at(limit), "pass", exact=bad == "fail"),
        Case(number, "just beyond", lambda: at(beyond), bad, severity),
    ]


CASES: list[Case] = [
    # array
    *pair("A1", lambda v: cold_voltage.judge(cold(v), of(100, "V")), 95, bad="warn"),
    Case(
        "A1",
        "at the controller's maximum it is a note",
        lambda: cold_voltage.judge(cold(100), of(100, "V")),
        "warn",
        "note",
    ),
    Case(
        "A1",
        "above the controller's maximum",
        lambda: cold_voltage.judge(cold(100.001), of(100, "V")),
        "fail",
        "danger",
    ),
    *pair("A2", lambda v: cold_voltage_by_table.judge(by_table(v), of(100, "V")), 100),
    Case(
        "A2",
        "the coefficient has a page and governs",
        lambda: cold_voltage_by_table.judge(cold(100.001), of(100, "V")),
        "warn",
    ),
    *pair(
        "A3",
        lambda v: dc_rating.judge(of(v * 0.95, "V"), (), dc_rating.Rating(of(150, "V"))),
        150,
        bad="warn",
    ),
    Case(
        "A3",
        "above the rating",
        lambda: dc_rating.judge(of(150.001, "V"), (), dc_rating.Rating(of(150, "V"))),
        "fail",
        "danger",
    ),
    # NFPA 70 690.8(A): 1.25 x 2 x 10 = 25
    *pair("A4", lambda v: controller_current.judge(2, of(v / 2.5, "A"), of(25, "A")), 25),
    # 1.5625 x 8 = 12.5 at least; the cable bears 30
    *pair("A8", lambda v: breaker.judge("us-vehicle", 1, of(8, "A"), of(v, "A"), step(30, "A")), 30),
    Case(
        "A8",
        "at its least",
        lambda: breaker.judge("us-vehicle", 1, of(8, "A"), of(12.5, "A"), step(30, "A")),
        "pass",
    ),
    Case(
        "A8",
        "under its least",
        lambda: breaker.judge("us-vehicle", 1, of(8, "A"), of(12.4999, "A"), step(30, "A")),
        "fail",
    ),
    *pair("A9", lambda v: hot_voltage.judge(step(v, "V"), step(15.2, "V")), 15.2, least=True),
    *pair("A10", lambda v: start_voltage.judge(step(v, "V"), step(19.2, "V")), 19.2, least=True),
    *pair("A11", lambda v: pwm_match.judge(of(v * 14.4, "V"), of(14.4, "V")), 1.35),
    Case("A11", "too few volts", lambda: pwm_match.judge(of(1.1499 * 14.4, "V"), of(14.4, "V")), "fail"),
    Case(
        "A12",
        "nothing is cut off at the limit",
        lambda: clipping.judge(of(80, "A"), of(1420, "W"), of(14.2, "V")),
        "pass",
    ),
    Case(
        "A12",
        "a little is a note",
        lambda: clipping.judge(of(79, "A"), of(1420, "W"), of(14.2, "V")),
        "warn",
        "note",
    ),
    # a half sine over 0.8 of its crest: sqrt(1 - .64) - .8 acos(.8) = 8.5 %
    Case(
        "A12",
        "a fifth of the crest",
        lambda: clipping.judge(of(64, "A"), of(1420, "W"), of(14.2, "V")),
        "fail",
        "disappoints",
    ),
    # 85 A less 2.5 %/K x 5 K = 74.375 A
    *pair(
        "A13",
        lambda v: controller_hot.judge(
            of(85, "A"), of(2.5, "%/K"), of(40, "degC"), of(45, "degC"), step(v, "A")
        ),
        74.375,
    ),
    # two modules, the weaker bypassed or not: 30 V x 9.7 A of 30 x 10 + 30 x 10
    *pair(
        "A14",
        lambda v: unequal_in_series.judge(
            [(of(30, "V"), of(10, "A")), (of(30, "V"), of(10 * (1 - v) / (1 + v), "A"))]
        ),
        0.03,
    ),
    *pair("A15", lambda v: unequal_in_parallel.judge((100.0, 100.0 - v)), 5.0),
    *pair("A16", lambda v: planes_on_one_tracker.judge(step(v), 20), 0.03),
    *pair("A17", lambda v: shadow.judge(Figure(v, "h", v, v, PAGE), 10, "M.1.1"), 1.0),
    *pair("A18", lambda v: series_in_shade.judge(step(v)), 0.05),
    *pair("A19", lambda v: flat_mount.judge(step(v), 40, 10), 0.75, least=True),
    *pair("A20", lambda v: gap.judge(of(v / 1000, "m")), 25, least=True),
    Case("A25", "at the limit", lambda: touch_voltage.judge("eu-boat", step(60, "V"), "looked"), "pass"),
    Case(
        "A25",
        "above it only eyes can tell",
        lambda: touch_voltage.judge("eu-boat", step(60.001, "V"), "looked"),
        "cannot-tell",
    ),
    # NFPA 70 690.12: 30 V outside the boundary
    Case("A27", "at the limit", lambda: rapid_shutdown.judge(step(30, "V"), "looked"), "pass"),
    Case(
        "A27",
        "above only eyes can tell",
        lambda: rapid_shutdown.judge(step(30.001, "V"), "looked"),
        "cannot-tell",
    ),
    # bank
    *pair("B4", lambda v: charge_current.judge(2, (of(v, "A"),), of(100, "A")), 90.0, bad="warn"),
    Case(
        "B4",
        "with one battery out it is a note",
        lambda: charge_current.judge(2, (of(95, "A"),), of(100, "A")),
        "warn",
        "note",
    ),
    Case(
        "B4",
        "above nine tenths of all",
        lambda: charge_current.judge(2, (of(180.001, "A"),), of(100, "A")),
        "fail",
        "fails",
    ),
    Case("B5", "at the limit", lambda: cold_lockout.judge(of(2, "degC"), of(2, "degC"), None), "pass"),
    Case(
        "B5", "on some days", lambda: cold_lockout.judge(of(1.9, "degC"), of(2, "degC"), of(3, "1")), "fail"
    ),
    Case(
        "B5",
        "nobody knows how cold",
        lambda: cold_lockout.judge(None, of(2, "degC"), None, ("host.places.x.coldest",)),
        "cannot-tell",
    ),
    *pair("B7", lambda v: heater.judge_strength(of(60, "W"), step(v, "W")), 60),
    *pair("B7", lambda v: heater.judge_share(step(v)), 0.25),
    *pair("B8", lambda v: storage_cold.judge(of(v, "degC"), of(-20, "degC")), -20, least=True),
    # Linden, Handbook of Batteries, 3rd ed. (2002), chapter 23, from memory: -23 degC at half charge
    *pair("B9", lambda v: freezing.judge(of(v, "degC"), of(0.5, "1")), -23, least=True),
    Case("B9", "even empty", lambda: freezing.judge(of(-8, "degC"), None), "pass"),
    Case(
        "B9",
        "nobody says how it is kept",
        lambda: freezing.judge(of(-9, "degC"), None, ("B.storage_soc",)),
        "cannot-tell",
    ),
    Case(
        "B9",
        "between two rows the emptier holds",
        lambda: freezing.judge(of(-24, "degC"), of(0.74, "1")),
        "fail",
        "danger",
    ),
    *pair("B10", lambda v: autonomy.judge(step(v, "day"), of(6, "1")), 6, least=True),
    *pair("B11", lambda v: dark_week.judge(of(v, "1"), "lfp", 12), 0.15, least=True),
    *pair("B11", lambda v: dark_week.judge(of(v, "1"), "agm", 12), 0.5, least=True),
    *pair("B12", lambda v: lead_charge_rate.judge(v, 100, flooded=True), 13),
    Case("B12", "too little", lambda: lead_charge_rate.judge(4.999, 100, flooded=True), "fail"),
    Case("B12", "at its least", lambda: lead_charge_rate.judge(5, 100, flooded=True), "pass"),
    *pair("B12", lambda v: lead_charge_rate.judge(v, 100, flooded=False), 25),
    *pair("B13", lambda v: lead_full.judge(of(v, "1")), 1.0, least=True),
    *pair("B14", lambda v: capacity_at_rate.judge(step(v, "Ah"), step(100, "Ah")), 100, least=True),
    Case("B15", "at the limit it is a note", lambda: sharing.judge(step(1.15), "B.1"), "warn", "note"),
    Case("B15", "at the limit of the note", lambda: sharing.judge(step(1.07), "B.1"), "pass"),
    Case("B15", "above", lambda: sharing.judge(step(1.15 * BEYOND), "B.1"), "fail", "fails"),
    # ABYC E-11, 7 in; 33 CFR 183.455(b), 40 in sheathed
    *pair("B17", lambda v: fuse_distance.judge("us-boat", of(v / 1000, "m")), 177.8, severity="danger"),
    *pair(
        "B17",
        lambda v: fuse_distance.judge("us-boat", of(v / 1000, "m"), petrol=True, sheathed=True),
        1016,
        severity="danger",
    ),
    Case(
        "B17",
        "the length is missing",
        lambda: fuse_distance.judge("us-boat", None, missing=("W1.length",)),
        "cannot-tell",
    ),
    *pair(
        "B18",
        lambda v: interrupt_rating.judge(of(1000 * v, "A"), of(14.4, "V"), Breaks(((32, of(5000, "A")),))),
        5.0,
    ),
    Case(
        "B18",
        "the rating of the next printed voltage holds, never one between",
        lambda: interrupt_rating.judge(
            of(6000, "A"), of(14.4, "V"), Breaks(((14, of(10000, "A")), (32, of(5000, "A"))))
        ),
        "fail",
        "danger",
    ),
    Case(
        "B18",
        "no figures",
        lambda: interrupt_rating.judge(None, of(14.4, "V"), Breaks((), ("F1.interrupt",))),
        "cannot-tell",
    ),
    # melting 5000 A2s at 100 A: 0.5 s; three times 1/6 s
    *pair(
        "B19",
        lambda v: fuse_and_surge.judge(
            of(100, "A"), v, of(50, "A"), of(5000, "A2s"), {2.0: of(0.5, "s")}, "F1.melting"
        ),
        0.5 / 3,
    ),
    Case(
        "B19",
        "what it carries for hours",
        lambda: fuse_and_surge.judge(of(110, "A"), 60, of(100, "A"), None, {}, "F1.melting"),
        "pass",
    ),
    Case(
        "B19",
        "its page opens it in time",
        lambda: fuse_and_surge.judge(of(200, "A"), 5, of(100, "A"), None, {2.0: of(10, "s")}, "F1.melting"),
        "fail",
    ),
    Case(
        "B19",
        "its page does not say how long it holds",
        lambda: fuse_and_surge.judge(of(200, "A"), 5, of(100, "A"), None, {2.0: of(100, "s")}, "F1.melting"),
        "cannot-tell",
    ),
    *pair(
        "B23",
        lambda v: charge_settings.judge("absorption", of(v, "V"), of(14.2, "V"), of(14.6, "V"), 12.0),
        14.3,
        severity="fails",
    ),
    Case(
        "B23",
        "above the absolute maximum",
        lambda: charge_settings.judge("equalise", of(14.61, "V"), of(14.2, "V"), of(14.6, "V"), 12.8),
        "fail",
        "danger",
    ),
    Case(
        "B23",
        "the page is missing",
        lambda: charge_settings.judge("absorption", of(14.2, "V"), None, None, 12.8, ("B.1.charge_voltage",)),
        "cannot-tell",
    ),
    *pair(
        "B25",
        lambda v: cut_off_ladder.judge(of(12.0 + v, "V"), of(12.0, "V"), 12.0, ("alarm", "cut-off")),
        0.3,
        least=True,
    ),
    *pair("B33", lambda v: floods.judge(of(v, "m"), of(0.25, "m")), 0.25, least=True, severity="danger"),
    Case(
        "B33",
        "no flood line",
        lambda: floods.judge(of(0.3, "m"), None, ("host.places.x.floods-at",)),
        "cannot-tell",
    ),
    # wiring: 33 CFR 183 Table 5, 10 AWG 105 degC: 60 A
    *pair("C1", lambda v: overload.judge("us-vehicle", of(v, "A"), awg("10", 105)), 60, severity="danger"),
    Case(
        "C1",
        "the insulation is not known",
        lambda: overload.judge("us-vehicle", of(50, "A"), Wire(5.27, None, asks="W1.insulation")),
        "cannot-tell",
    ),
    # IEC 60364-4-43: k2 S2, k = 87.9 from 105 to 160 degC (226 sqrt(ln(394.5 / 339.5))) on 10 mm2: 771 kA2s
    *pair(
        "C1",
        lambda v: overload.stands(1000, v / 1e6, 10, 105),
        (10 * 226 * math.sqrt(math.log(394.5 / 339.5))) ** 2,
    ),
    *pair("C3", lambda v: drop.judge(step(v), find("drop/bank-inverter")), 0.02),
    *pair("C4", lambda v: surge_sag.judge(step(v, "V"), step(12.3, "V")), 12.3, least=True),
    *pair("C5", lambda v: sense.judge(step(v, "V"), step(0.1, "V")), 0.1),
    *pair("C6", lambda v: far_fault.judge(of(v, "A"), of(100, "A")), 500, least=True, bad="warn"),
    Case(
        "C6",
        "at three times it is a note",
        lambda: far_fault.judge(of(300, "A"), of(100, "A")),
        "warn",
        "note",
    ),
    Case("C6", "under three times", lambda: far_fault.judge(of(299.99, "A"), of(100, "A")), "fail", "fails"),
    Case(
        "C6",
        "a fuse that does not see it",
        lambda: far_fault.judge(of(134, "A"), of(100, "A")),
        "fail",
        "danger",
    ),
    *pair("C7", lambda v: selectivity.judge(of(v, "A"), of(100, "A")), 300, least=True, bad="cannot-tell"),
    Case(
        "C7", "at 1.6 the class decides", lambda: selectivity.judge(of(160, "A"), of(100, "A")), "cannot-tell"
    ),
    Case("C7", "under 1.6 no class", lambda: selectivity.judge(of(159.99, "A"), of(100, "A")), "fail"),
    *pair(
        "C8",
        lambda v: dc_rating.judge(of(v * 0.95, "V"), (), dc_rating.Rating(of(125, "V"))),
        125,
        bad="warn",
    ),
    Case(
        "C8",
        "above",
        lambda: dc_rating.judge(of(125.01, "V"), (), dc_rating.Rating(of(125, "V"))),
        "fail",
        "danger",
    ),
    *pair(
        "C10",
        lambda v: terminal_class.judge_listed(of(v, "A"), step(30, "A"), 60, "row 10"),
        30,
        severity="danger",
    ),
    *pair(
        "C10",
        lambda v: terminal_class.judge_stud(of(v, "mm2"), of(70, "mm2"), None, "U2.min_cable"),
        70,
        least=True,
        severity="fails",
    ),
    Case(
        "C10",
        "no page, but as large as the table asks",
        lambda: terminal_class.judge_stud(of(50, "mm2"), None, by_table=True, asks="U2.min_cable"),
        "pass",
    ),
    Case(
        "C10",
        "no page",
        lambda: terminal_class.judge_stud(of(50, "mm2"), None, by_table=False, asks="U2.min_cable"),
        "cannot-tell",
        "fails",
    ),
    # NFPA 70 Table 250.122: 400 A wants 3 AWG, 26.7 mm2
    *pair(
        "C13",
        lambda v: bonding_size.judge(of(v, "mm2"), 26.7, bonding_size.NEC, "for 400 A"),
        26.7 * 0.99,
        least=True,
        severity="danger",
    ),
    Case("C15", "at the limit", lambda: fit.judge_stack(4), "pass"),
    Case("C15", "one too many", lambda: fit.judge_stack(5), "fail"),
    *pair("C15", lambda v: fit.judge_size(of(v, "mm2"), of(35, "mm2")), 35),
    *pair(
        "C23", lambda v: sense_lead_fuse.judge(None, 200, of(v, "A"), step(20, "A")), 20, severity="danger"
    ),
    Case("C23", "bare at the limit", lambda: sense_lead_fuse.judge(200, 200, None, None), "pass"),
    Case("C23", "bare and longer", lambda: sense_lead_fuse.judge(200.1, 200, None, None), "fail", "danger"),
    # mains
    Case("D1", "at the limit", lambda: neutral_earth.judge(1), "pass"),
    Case("D1", "two joins", lambda: neutral_earth.judge(2), "fail", "danger"),
    Case("D1", "nobody knows", lambda: neutral_earth.judge(None, ("SUP.system",)), "cannot-tell"),
    *pair("D5", lambda v: shore_budget.judge("us-vehicle", of(v, "A"), of(30, "A")), 24),
    Case(
        "D5",
        "an old post near its rating",
        lambda: shore_budget.judge("eu-boat", of(5.6, "A"), of(6, "A")),
        "warn",
        "note",
    ),
    # 120 V less 40 A x 0.3 ohm = 108 V, nine tenths
    *pair(
        "D6",
        lambda v: sagging_supply.judge(
            of(120, "V"), of(v, "A"), of(0.2, "ohm"), of(0.1, "ohm"), "SUP.resistance"
        ),
        40,
    ),
    Case(
        "D6",
        "the cord alone is too much",
        lambda: sagging_supply.judge(of(120, "V"), of(61, "A"), of(0.2, "ohm"), None, "SUP.resistance"),
        "fail",
    ),
    Case(
        "D6",
        "the supply is not known",
        lambda: sagging_supply.judge(of(120, "V"), of(40, "A"), of(0.2, "ohm"), None, "SUP.resistance"),
        "cannot-tell",
    ),
    *pair("D7", lambda v: generator_load.judge(step(v), None, diesel=False), 0.85),
    *pair("D7", lambda v: generator_load.judge(step(0.5), step(v), diesel=False), 0.85),
    Case("D7", "a diesel at its least", lambda: generator_load.judge(step(0.3), None, diesel=True), "pass"),
    Case("D7", "a diesel that idles", lambda: generator_load.judge(step(0.2999), None, diesel=True), "fail"),
    *pair("D8", lambda v: transfer_relay.judge(of(v, "A"), of(30, "A")), 30),
    *pair("D9", lambda v: motor_start.judge(of(v, "W"), of(9000, "W"), "well-pump"), 9000),
    *pair("D10", lambda v: idle_energy.judge(step(v)), 0.1),
    *pair("D11", lambda v: inverter_hot.judge(of(2400, "W"), of(40, "degC"), of(v, "W")), 2400),
    *pair(
        "D12", lambda v: inverter_panel_load.judge((of(v - 1000, "W"), of(1000, "W")), of(3000, "W")), 3000
    ),
    *pair("D23", lambda v: boat_leakage.judge(v, ""), 10, bad="warn"),
    Case("D23", "at the limit it is a note", lambda: boat_leakage.judge(30, ""), "warn", "note"),
    Case("D23", "it stops a swimmer", lambda: boat_leakage.judge(30.01, ""), "fail", "danger"),
    Case(
        "D23",
        "nobody has read it",
        lambda: boat_leakage.judge(None, "looked-at mains/boat-leakage rig"),
        "cannot-tell",
    ),
    # place
    Case("E1", "at the limit it is a note", lambda: bay_heat.judge(of(50, "degC"), 100), "warn", "note"),
    Case("E1", "at the limit of the note", lambda: bay_heat.judge(of(40, "degC"), 100), "pass"),
    Case("E1", "above", lambda: bay_heat.judge(of(50.001, "degC"), 100), "fail", "fails"),
    # IEC 62485-2: 0.05 x 6 x 20 x 200 / 1000 = 1.2 m3/h, 33.6 cm2
    *pair(
        "E2",
        lambda v: lead_gas.judge(6, of(200, "Ah"), Figure(20, "mA/Ah", 20, 20, PAGE), of(336000 / v, "mm2")),
        100,
        severity="danger",
    ),
    Case(
        "E2",
        "the vents are not known",
        lambda: lead_gas.judge(6, None, Figure(20, "mA/Ah", 20, 20, PAGE), None, missing=("bay.vents",)),
        "cannot-tell",
    ),
    *pair(
        "E5",
        lambda v: weight.judge("axle", of(100 - v, "kg"), of(100, "kg")),
        5,
        least=True,
        severity="fails",
    ),
    Case(
        "E5",
        "at the rating it fails",
        lambda: weight.judge("axle", of(100, "kg"), of(100, "kg")),
        "fail",
        "fails",
    ),
    Case(
        "E5",
        "over the rating",
        lambda: weight.judge("axle", of(100.001, "kg"), of(100, "kg")),
        "fail",
        "danger",
    ),
    Case(
        "E5",
        "not weighed",
        lambda: weight.judge("axle", None, of(100, "kg"), ("host.masses.loaded",)),
        "cannot-tell",
    ),
    # 49 CFR 571.110: the lesser of 1.5 % and 100 lb
    Case("E6", "at the limit", lambda: payload_label.judge(30, of(2000, "kg"), "looked"), "pass"),
    Case(
        "E6",
        "above only eyes can tell",
        lambda: payload_label.judge(30.001, of(2000, "kg"), "looked"),
        "cannot-tell",
    ),
    Case(
        "E6",
        "the hundred pounds hold for the heavy",
        lambda: payload_label.judge(45.36, of(9000, "kg"), "looked"),
        "cannot-tell",
    ),
    Case(
        "E7",
        "at the limit",
        lambda: tongue.judge("us-vehicle", step(300, "kg"), step(300, "kg"), of(3000, "kg"), of(450, "kg")),
        "pass",
    ),
    Case(
        "E7",
        "too light",
        lambda: tongue.judge(
            "us-vehicle", step(299.9, "kg"), step(299.9, "kg"), of(3000, "kg"), of(450, "kg")
        ),
        "fail",
        "danger",
    ),
    Case(
        "E7",
        "too heavy for the plate",
        lambda: tongue.judge(
            "us-vehicle", step(450.1, "kg"), step(450.1, "kg"), of(3050, "kg"), of(450, "kg")
        ),
        "fail",
        "danger",
    ),
    Case(
        "E7",
        "not weighed",
        lambda: tongue.judge("us-vehicle", None, None, None, of(450, "kg"), ("host.masses.tongue",)),
        "cannot-tell",
    ),
    *pair("E8", lambda v: side_to_side.judge(step(v), "left"), 0.05),
    # 0.5 x 1.2 x 40^2 x 1.2 x 2 / 4 = 576 N on a foot, a third of 1728 N
    *pair(
        "E9",
        lambda v: roof_uplift.judge(of(2, "1"), of(4, "1"), of(1728 * 576 / v, "N")),
        576,
        severity="danger",
    ),
    Case(
        "E9",
        "nobody knows what holds it",
        lambda: roof_uplift.judge(of(2, "1"), None, None, ("M.mounting",)),
        "cannot-tell",
    ),
    *pair("E10", lambda v: roof_load.judge(of(v, "kg"), of(110, "kg")), 110),
    Case("E12", "steel and iron", lambda: galvanic_pair.judge("steel", "iron"), "pass"),
    # ASTM G82: -0.85 and -0.33 V
    Case("E12", "aluminium and copper", lambda: galvanic_pair.judge("aluminium", "copper"), "fail", "fails"),
    *pair("E13", lambda v: noise.judge(of(v, "1")), 30),
    *pair("E14", lambda v: trim.judge(step(v, "m"), of(0.02, "m")), 0.02),
    *pair(
        "E16",
        lambda v: spark_distance.judge(step(612, "mm"), v, ("F8",), "looked"),
        612,
        least=True,
        severity="danger",
    ),
    Case(
        "E16",
        "nobody has measured",
        lambda: spark_distance.judge(step(612, "mm"), None, ("F8",), "looked"),
        "cannot-tell",
    ),
    *pair("E20", lambda v: axle_and_tyre.judge("tyre", of(v, "kg"), of(900, "kg")), 900, severity="danger"),
    Case(
        "E20",
        "not weighed",
        lambda: axle_and_tyre.judge("tyre", None, of(900, "kg"), ("host.masses.front-axle",)),
        "cannot-tell",
    ),
    # charging, counters, storage
    *pair("F1", lambda v: alternator_load.judge(of(v, "A"), of(100, "A")), 35, bad="warn"),
    Case(
        "F1", "at half it is a note", lambda: alternator_load.judge(of(50, "A"), of(100, "A")), "warn", "note"
    ),
    Case("F1", "above half", lambda: alternator_load.judge(of(50.01, "A"), of(100, "A")), "fail", "fails"),
    *pair("F4", lambda v: tow_cord.judge(step(v, "A")), 8, least=True),
    *pair("F6", lambda v: shunt_rating.judge(of(v, "A"), of(500, "A")), 335),
    *pair("F7", lambda v: dead_band.judge(of(v, "A"), step(0.3, "A")), 0.3),
    *pair("F8", lambda v: full_mark.judge_volts(of(v, "V"), step(14.1, "V")), 14.1),
    Case("F8", "two weeks between fulls", lambda: full_mark.judge_days(14), "pass"),
    Case("F8", "a day more", lambda: full_mark.judge_days(15), "fail"),
    *pair("F9", lambda v: by_difference.judge(step(v, "A"), step(2, "A")), 2),
    *pair("F10", lambda v: drain.judge(step(v, "day"), of(181, "1"), "It drains"), 181, least=True),
    Case(
        "B29",
        "nothing aboard wakes it",
        lambda: wake_up.judge("a charger wakes it", (), "B.recovery"),
        "fail",
    ),
    Case("F2", "lead on both sides", lambda: sensing_relay.judge(lithium=False, variable=False), "pass"),
    Case("F17", "two banks", lambda: one_source.judge(("B", "SB"), ("B",)), "pass"),
    Case("F17", "one bank", lambda: one_source.judge(("B",), ()), "fail", "danger"),
    Case(
        "D25",
        "a long run wants two",
        lambda: lightning.judge(bonded=True, long_run=True, surges=1, looked="looked"),
        "fail",
    ),
    Case(
        "D25",
        "a short run wants one",
        lambda: lightning.judge(bonded=True, long_run=False, surges=1, looked="looked"),
        "pass",
    ),
    Case("D24", "it cannot", lambda: export.judge("no", "looked", "U2.helps_supply"), "pass"),
    Case("D16", "a capacitor", lambda: generator_wave.judge("capacitor", "looked", "G1.regulation"), "fail"),
    Case(
        "F14",
        "a battery stays",
        lambda: load_dump.judge("SB", "unknown", told_first=False, looked="", asks=""),
        "pass",
    ),
    Case(
        "F14",
        "nothing stays",
        lambda: load_dump.judge("", "fails", told_first=False, looked="", asks=""),
        "fail",
        "danger",
    ),
    Case(
        "F14",
        "nobody knows",
        lambda: load_dump.judge("", "unknown", told_first=False, looked="", asks="AL.battery_loss"),
        "cannot-tell",
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c.number} {c.name}")
def test_a_rule_at_its_limit(case: Case) -> None:
    judged = case.judge()

    assert judged.verdict == case.verdict, judged.message
    if case.exact and judged.value is not None and judged.limit is not None:
        assert judged.value == pytest.approx(judged.limit, rel=1e-8)
    if case.severity:
        from ohmwright.checks.registry import rules

        made = next(r for r in rules().values() if r.number == case.number)
        assert (judged.severity or made.severities[0]) == case.severity
    if judged.verdict in ("fail", "warn"):
        assert judged.message.endswith(".")
    if judged.verdict == "cannot-tell":
        assert judged.missing or case.number == "C7"
