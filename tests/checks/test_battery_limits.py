"""B6, B16, B17, B18, B26, E2 at their limits. 33 CFR 183.455 is law text; ABYC, ISO 13297 and RVIA lengths are from memory."""

import pytest

from ohmwright.checks.battery import cold_charge_cut, fuse_distance, interrupt_rating, open_bus, own_fuse
from ohmwright.checks.battery.cold_charge_cut import Cut
from ohmwright.checks.battery.interrupt_rating import Breaks
from ohmwright.physics.fault import back_feed_A, bank_fault_A
from ohmwright.working import Figure, Origin, Step, figure, work

PAGE = Origin("source", "d1", "p2")


def of(value: float, unit: str) -> Figure:
    return figure(value, unit, PAGE)


def degrees(value: float) -> Figure:
    return of(value, "degC")


# B6: the cell maker's page; a probe fault has to block.
def test_a_management_that_blocks_at_the_cells_limit_passes() -> None:
    judged = cold_charge_cut.judge(Cut("B", degrees(0), "blocks"), (), degrees(0))  # B6-1

    assert judged.verdict == "pass"


def test_every_charging_path_counts() -> None:
    tracker = Cut("U1", degrees(3), "blocks")
    judged = cold_charge_cut.judge(None, (tracker, None), degrees(0), unprotected=("U3",))  # B6-2

    assert judged.verdict == "fail"
    assert "U3" in judged.message
    assert (
        cold_charge_cut.judge(None, (tracker, Cut("U3", degrees(3), "blocks")), degrees(0)).verdict == "pass"
    )


def test_the_limit_is_the_cell_makers_not_the_managements() -> None:
    assert cold_charge_cut.judge(Cut("B", degrees(-10), "blocks"), (), degrees(0)).verdict == "fail"  # B6-4


def test_at_the_limit_the_sensors_error_is_a_note() -> None:
    judged = cold_charge_cut.judge(Cut("B", degrees(0), "blocks", of(2, "K")), (), degrees(0))  # B6-5

    assert (judged.verdict, judged.severity) == ("warn", "note")
    assert cold_charge_cut.judge(Cut("B", degrees(2), "blocks", of(2, "K")), (), degrees(0)).verdict == "pass"


def test_silence_about_a_probe_fault_leaves_it_open() -> None:
    judged = cold_charge_cut.judge(Cut("B", degrees(2), "unknown"), (), degrees(0))  # B6-6

    assert (judged.verdict, judged.missing) == ("cannot-tell", ("B.probe_fault",))
    assert cold_charge_cut.judge(Cut("B", degrees(2), "charges"), (), degrees(0)).verdict == "fail"


def test_an_empty_limit_leaves_it_open() -> None:
    judged = cold_charge_cut.judge(
        Cut("B", None, "blocks", asks=("B.charge_min_temperature",)), (), degrees(0)
    )  # B6-7

    assert (judged.verdict, judged.missing) == ("cannot-tell", ("B.charge_min_temperature",))


# B17: case, rule set, petrol, sheathed, mm | limit, margin %, verdict, severity
DISTANCES = [
    ("B17-1", "us-boat", True, False, 177.8, 177.8, 0.0, "pass", ""),
    ("B17-2", "us-boat", True, False, 178.0, 177.8, -0.1, "fail", "danger"),
    ("B17-3", "us-boat", True, True, 1016.0, 1016.0, 0.0, "pass", ""),
    ("B17-4", "us-boat", True, True, 1100.0, 1016.0, -8.3, "fail", "danger"),
    ("B17-6", "us-boat", False, False, 1400.0, 177.8, -687.4, "fail", "danger"),
    ("B17-7", "eu-boat", False, False, 200.0, 200.0, 0.0, "pass", ""),
    ("B17-8", "eu-boat", False, False, 201.0, 200.0, -0.5, "fail", "danger"),
    ("B17-9", "us-vehicle", False, False, 457.2, 457.2, 0.0, "pass", ""),
    ("B17-14", "eu-vehicle", False, False, 250.0, 200.0, -25.0, "warn", "note"),
]


@pytest.mark.parametrize(
    ("case", "rules", "petrol", "sheathed", "mm", "limit", "margin", "verdict", "severity"), DISTANCES
)
def test_bare_conductor_before_the_first_device(case: str, rules: str, petrol: bool, sheathed: bool, mm: float, limit: float, margin: float, verdict: str, severity: str) -> None:  # fmt: skip
    judged = fuse_distance.judge(rules, of(mm / 1000, "m"), petrol=petrol, sheathed=sheathed)

    assert judged.verdict == verdict, case
    assert judged.value == pytest.approx(mm, rel=1e-12)
    assert (judged.limit, judged.unit) == (limit, "mm")
    assert judged.margin is not None
    assert 100 * judged.margin == pytest.approx(margin, abs=0.05)
    assert verdict == "pass" or (judged.severity or "danger") == severity


def test_no_device_a_missing_length_and_a_cranking_conductor() -> None:
    assert fuse_distance.judge("eu-vehicle", None, found=False).verdict == "fail"  # B17-11
    missing = fuse_distance.judge("eu-vehicle", None, missing=("W04.length",))  # B17-12
    assert (missing.verdict, missing.missing) == ("cannot-tell", ("W04.length",))
    assert fuse_distance.judge("eu-vehicle", None, cranking=True).verdict == "skip"  # B17-13


def test_a_shop_rule_is_never_printed_as_law() -> None:
    assert "shop rule" in fuse_distance.judge("eu-vehicle", of(0.25, "m")).message
    assert "shop rule" not in fuse_distance.judge("us-vehicle", of(0.25, "m")).message


# B18: 4 x 2.5 mohm at 14.4 V, 0.7 R, 0.4 mohm a path: the adverse bound.
def bank(adverse: float, volts: float, path_ohm: float, n: int = 4, ohm: float = 2.5e-3) -> Step:
    return work(
        bank_fault_A,
        in_parallel_count=float(n),
        open_V=of(volts, "V"),
        adverse_factor=adverse,
        battery_ohm=of(ohm, "ohm"),
        path_ohm=path_ohm,
    )


def back(adverse: float, volts: float) -> Step:
    return work(
        back_feed_A,
        in_parallel_count=4.0,
        open_V=of(volts, "V"),
        adverse_factor=adverse,
        battery_ohm=of(2.5e-3, "ohm"),
        path_ohm=4e-4,
    )


def breaks(*printed: tuple[float, float]) -> Breaks:
    return Breaks(tuple((volts, of(kA, "kA")) for volts, kA in printed), ("F1.interrupt",))


V14 = of(14.4, "V")
# case, current, breaks | value kA, limit kA, margin %, verdict
INTERRUPTS = [
    ("B18-2", bank(0.7, 14.4, 4e-4), breaks((125, 20)), 26.79, 20, -33.9, "fail"),
    ("B18-3", bank(0.7, 14.4, 4e-4), breaks((60, 50)), 26.79, 50, 46.4, "pass"),
    ("B18-4", back(1.0, 13.2), breaks((14.4, 10)), 9.66, 10, 3.4, "pass"),
    ("B18-5", back(0.7, 14.4), breaks((14.4, 10)), 12.9, 10, -29.0, "fail"),
    ("B18-7", bank(0.7, 14.4, 0.0, n=1, ohm=5e-3), breaks((14, 10), (32, 5)), 4.11, 5, 17.8, "pass"),
    ("B18-8", bank(0.7, 14.4, 0.0, n=1, ohm=5e-3), breaks((32, 2)), 4.11, 2, -105.5, "fail"),
    ("B18-13", bank(1.0, 13.2, 0.0), breaks((125, 20)), 21.12, 20, -5.6, "fail"),
]


@pytest.mark.parametrize(("case", "current", "rated", "value", "limit", "margin", "verdict"), INTERRUPTS)
def test_a_fault_against_the_rating_at_the_next_printed_voltage(case: str, current: Step, rated: Breaks, value: float, limit: float, margin: float, verdict: str) -> None:  # fmt: skip
    judged = interrupt_rating.judge(current, V14, rated)

    assert judged.verdict == verdict, case
    assert judged.value == pytest.approx(value, abs=0.011)  # printed to two decimals or one
    assert (judged.limit, judged.unit) == (limit, "kA")
    assert judged.margin is not None
    assert 100 * judged.margin == pytest.approx(
        margin, abs=0.25
    )  # computed from the rounded value as printed


def test_exactly_at_its_rating_it_passes() -> None:
    judged = interrupt_rating.judge(of(20000, "A"), V14, breaks((125, 20)))  # B18-9

    assert (judged.verdict, judged.value, judged.margin) == ("pass", 20.0, 0.0)


def test_volts_fail_before_amperes_are_looked_at() -> None:
    judged = interrupt_rating.judge(of(1500, "A"), of(58.4, "V"), breaks((32, 5), (58, 2)))  # B18-10

    assert (judged.verdict, judged.value, judged.limit, judged.unit) == ("fail", 58.4, 58, "V")
    assert judged.margin == pytest.approx(-0.007, abs=5e-4)


def test_without_resistance_and_short_circuit_current_it_cannot_be_told() -> None:
    judged = interrupt_rating.judge(None, V14, breaks((125, 20)), ("B.1.resistance",))  # B18-12

    assert (judged.verdict, judged.limit, judged.value) == ("cannot-tell", 20, None)


def test_the_cranking_table_is_for_flooded_lead_only() -> None:
    at_limit = interrupt_rating.judge_by_cranking(of(900, "A"), "flooded", of(3000, "A"), main=True)  # B18-14
    lithium = interrupt_rating.judge_by_cranking(of(900, "A"), "lfp", of(3000, "A"), main=True)  # B18-15

    assert (at_limit.verdict, at_limit.value, at_limit.limit, at_limit.margin) == ("pass", 3.0, 3.0, 0.0)
    assert lithium.verdict == "cannot-tell"


def test_a_rating_is_never_read_between_two_voltages() -> None:
    assert breaks((14, 10), (32, 5)).at(14.4) == breaks((32, 5)).printed[0][1]
    assert breaks((14, 10), (32, 5)).at(14.0) == breaks((14, 10)).printed[0][1]


# B16: ABYC E-11 (July 2025) above 500 Ah on boats, common practice elsewhere.
def test_batteries_that_meet_without_devices_fail() -> None:
    assert own_fuse.judge(2, ("B.1", "B.2")).verdict == "fail"
    assert own_fuse.judge(2, ()).verdict == "pass"
    assert own_fuse.judge(1, ()).verdict == "skip"


# B26: a danger on boats and wherever an alternator can lose its battery.
@pytest.mark.parametrize(
    ("boat", "alternator", "severity"),
    [(True, False, "danger"), (False, True, "danger"), (False, False, "fails")],
)
def test_an_open_bus_is_as_bad_as_what_pushes_into_it(boat: bool, alternator: bool, severity: str) -> None:
    assert (
        open_bus.judge("U1 is left without a battery.", boat=boat, alternator=alternator).severity == severity
    )
