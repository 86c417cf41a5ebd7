"""E2, E4, E5, E7 at their limits. IEC 62485-2 is from memory; weights are statics; sleeping space is a shop rule."""

import pytest

from ohmwright.checks.place import lead_gas, sleeping_space, tongue, weight
from ohmwright.physics.weights import laden_kg, tongue_kg
from ohmwright.working import Figure, Origin, Step, figure, work

PAGE = Origin("source", "k", "p1")


def of(value: float, unit: str) -> Figure:
    return figure(value, unit, PAGE)


def gas(value: float) -> Figure:
    return Figure(value, "mA/Ah", value, value, PAGE)


# case, cells, Ah, gas mA/Ah, opening cm2 | needed, margin %, verdict
@pytest.mark.parametrize(
    ("case", "cells", "capacity", "gas_factor", "fitted", "needed", "margin", "verdict"),
    [
        ("E2-2", 12, 480, 20, 150, 161.28, -7.5, "fail"),
        ("E2-3", 6, 200, 20, 40, 33.6, 16.0, "pass"),
        ("E2-4", 6, 100, 8, 10, 6.72, 32.8, "pass"),
    ],
)
def test_vents_against_what_the_gas_wants(
    case: str,
    cells: int,
    capacity: float,
    gas_factor: float,
    fitted: float,
    needed: float,
    margin: float,
    verdict: str,
) -> None:
    judged = lead_gas.judge(cells, of(capacity, "Ah"), gas(gas_factor), of(fitted, "cm2"))

    assert judged.verdict == verdict, case
    assert judged.value == pytest.approx(needed, rel=1e-9)
    assert judged.limit == pytest.approx(fitted)
    assert judged.margin is not None
    assert 100 * judged.margin == pytest.approx(margin, abs=0.05)


def test_a_charger_without_a_voltage_limit_leaves_it_open() -> None:
    assert (
        lead_gas.judge(6, of(200, "Ah"), gas(20), of(40, "cm2"), limited=False).verdict == "cannot-tell"
    )  # E2-5


def test_a_battery_and_where_people_sleep() -> None:
    assert sleeping_space.judge("outside", sleeping=True).verdict == "pass"  # E4-1
    assert sleeping_space.judge("cabin", sleeping=True).verdict == "fail"  # E4-2, E4-4
    assert sleeping_space.judge("cabin", sleeping=False, blocks_way_out=True).verdict == "fail"  # E4-5
    assert sleeping_space.judge("unknown", sleeping=None).verdict == "cannot-tell"  # E4-6
    note = sleeping_space.judge("cabin", sleeping=False)  # E4-7
    assert (note.verdict, note.severity) == ("warn", "note")
    assert sleeping_space.judge("closed", sleeping=True, looked="B").missing == ("B",)


def laden(value: float) -> Step:
    return work(laden_kg, before_kg=of(value, "kg"), added_kg=0.0)


def test_a_rating_with_under_five_per_cent_left_fails_and_over_it_is_a_danger() -> None:
    # 3,150 kg weighed and 144 kg added on a rating of 3,450 kg: 156 kg, 4.5 % left.
    close = weight.judge(
        "gross weight rating",
        work(laden_kg, before_kg=of(3150, "kg"), added_kg=of(144, "kg")),
        of(3450, "kg"),
    )
    assert (close.verdict, close.severity) == ("fail", "fails")
    assert close.value == pytest.approx(4.52, abs=0.005)
    over = weight.judge("gross weight rating", laden(3451), of(3450, "kg"))
    assert (over.verdict, over.severity) == ("fail", "danger")
    assert weight.judge("gross weight rating", laden(3450 * 0.95), of(3450, "kg")).verdict == "pass"
    assert weight.judge("axle rating", None, None, ("host.masses.axle-limit",)).verdict == "cannot-tell"


def on_ball(value: float) -> Step:
    return work(tongue_kg, before_kg=of(value, "kg"), moment_kg_m=0.0, axle_to_ball_m=of(5.3, "m"))


def test_the_window_of_the_coupling_is_the_countrys() -> None:
    # Common practice: 10 to 15 % in us rules. 425 of 3,294 kg is 12.9 %.
    us = tongue.judge("us-vehicle", on_ball(425), on_ball(425), laden(3294), of(450, "kg"))
    assert us.verdict == "pass"
    assert us.value == pytest.approx(12.9, abs=0.05)
    assert (
        tongue.judge("us-vehicle", on_ball(320), on_ball(320), laden(3294), of(450, "kg")).verdict == "fail"
    )
    assert tongue.judge("us-vehicle", on_ball(460), on_ball(460), laden(3294), of(450, "kg")).limit == 450
    # UK guide: 5 to 7 %, never above the lowest plate. 150 kg of 1,500 kg is 10 % and breaks a 100 kg plate.
    eu = tongue.judge("eu-vehicle", on_ball(150), on_ball(150), laden(1500), of(100, "kg"))
    assert (eu.verdict, eu.limit) == ("fail", 100)
    assert tongue.judge("eu-vehicle", on_ball(90), on_ball(90), laden(1500), of(100, "kg")).verdict == "pass"
    assert tongue.judge("eu-vehicle", on_ball(30), on_ball(30), laden(1500), of(100, "kg")).verdict == "fail"
    assert (
        tongue.judge(
            "eu-vehicle", on_ball(90), on_ball(90), laden(1500), None, ("host.masses.hitch-limit",)
        ).verdict
        == "cannot-tell"
    )
