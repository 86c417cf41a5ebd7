"""What would turn a verdict: figures in the value, figures in the limit, both ways through."""

import math
from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.checks.test_on_rigs import study_of

from ohmwright.checks import engine
from ohmwright.checks.types import Finding
from ohmwright.cli.why import why_command
from ohmwright.services import demos
from ohmwright.services.possible import turning_value
from ohmwright.services.why import flips, turning

BUILT = Path(demos.__file__).parent / "trailer" / "rig-built.yaml"


def one(rig: str, number: str, subject: str) -> Finding:
    return next(
        f for f in engine.run(study_of(rig), [number]) if f.subject == subject and f.value is not None
    )


@pytest.mark.parametrize(
    ("rig", "number", "subject", "address", "to"),
    [
        ("built", "B17", "B.1", "B.join", 0.4572),  # 18 in
        ("built", "B18", "F1", "F1.interrupt", None),  # down to the fault
        ("quoted", "A4", "U1", "U1.max_pv_short_circuit", 78.75),  # 1.25 x 6 x 10.5
        ("quoted", "A4", "U1", "M.1.1.short_circuit", 70 / 7.5),
        ("built", "C1", "W12", "F1.rated", 445.0 * (65 / 75) ** 0.5),  # 33 CFR 183 Table 5, in air of 40 degC
        ("built", "E5", "host.gvwr", "host.masses.gvwr", None),
        ("built", "C3", "U2", "W12.length", None),
        ("boat", "B33", "B", "host.places.battery-bay.floods-at", 0.35),
    ],
)
def test_a_figure_that_turns_a_verdict_is_named(
    rig: str, number: str, subject: str, address: str, to: float | None
) -> None:
    said = {f.address: f for f in flips(one(rig, number, subject))}

    assert address in said
    if to is not None:
        assert said[address].to == pytest.approx(to, rel=1e-6)


def test_a_published_figure_is_nobodys_to_move() -> None:
    for rig in ("built", "quoted"):
        for f in engine.run(study_of(rig), ["A1", "A4", "A7", "B18", "C3", "E9"]):
            assert not [
                x for x in flips(f) if x.address.startswith(("pv/", "protection/", "vehicles/", "drop/"))
            ]


@pytest.mark.parametrize(
    ("address", "unit", "now", "to", "turns"),
    [
        ("W1.length", "m", 2.0, -0.3, None),  # no cable is shorter than nothing
        ("W1.length", "m", 2.0, 0.3, 0.3),
        ("W1.area", "mm2", 16.0, 0.0, None),  # nor thinner
        ("use.stays.2.coldest", "degC", -34.0, -103.8, None),  # Vostok, 21 July 1983: -89.2 degC
        ("use.stays.2.coldest", "degC", -34.0, -89.2, -89.2),
        ("side-bay.hottest", "degC", 40.0, 95.0, 95.0),
        ("side-bay.hottest", "degC", 40.0, 498.0, None),
        ("U1.output_current", "degC", 40.0, -300.0, None),  # below absolute zero
        ("M.1.1.beta", "%/K", -0.27, -0.59, None),  # -0.23 to -0.36 %/K on pages
        ("M.1.1.beta", "%/K", -0.27, 0.1, None),
        ("M.1.1.beta", "%/K", -0.27, -0.5, -0.5),
        ("share of B.1", "1", 0.25, 1.5, None),
        ("share of B.1", "1", 0.25, 1.0, 1.0),
        ("MT1.feet", "1", 4.0, 3.48, 3.0),
        ("MT1.feet", "1", 4.0, 4.2, 5.0),
        ("what stays on", "Wh/day", 0.0, -1.2, None),
        ("F1.rated", "A", 400.0, float("inf"), None),
    ],
)
def test_a_turning_point_is_a_value_that_the_figure_can_have(
    address: str, unit: str, now: float, to: float, turns: float | None
) -> None:
    assert turning_value(address, unit, now, to, None) == turns


def test_a_rating_turns_among_the_sizes_of_the_shelf_or_not_at_all() -> None:
    rig = study_of("built").rig  # DC power fuses up to 500 A, other fuses from 1 A

    assert turning_value("F1.rated", "A", 400.0, 414.3, rig) == 414.3
    assert turning_value("F1.rated", "A", 400.0, 900.0, rig) is None
    assert turning_value("F1.rated", "A", 400.0, 0.2, rig) is None


def test_no_rig_is_told_to_become_colder_than_the_earth_or_shorter_than_nothing() -> None:
    for name in ("built", "boat"):
        study = study_of(name)
        for f in engine.run(study, ["A1", "A3", "A9", "C8", "E1", "E9"]):
            for x in flips(f, study.rig):
                assert math.isfinite(x.to)
                assert x.unit != "degC" or -90.0 <= x.to <= 200.0, x
                assert x.unit in ("degC", "%/K") or x.to >= 0 or x.now < 0, x
                assert x.unit != "%/K" or -0.5 <= x.to <= 1.0, x


def test_what_cannot_turn_a_verdict_alone_is_said() -> None:
    study = study_of("built")
    found = next(f for f in engine.run(study, ["A1"]) if f.value is not None)
    turns, never = turning(found, study.rig)

    # By hand: 150 V = 3 x 37.1 x (1 - 0.27/100 (T - 25)) at -103.8 degC; with T = -34 degC at -0.589 %/K.
    assert {"M.1.1.beta", "use.stays.2.coldest"} <= set(never)
    assert {"M.1.1.open_circuit", "U1.max_pv_voltage"} <= {x.address for x in turns}
    assert not set(never) & {x.address for x in turns}


def test_a_turning_point_put_back_into_the_derivation_meets_the_limit() -> None:
    study = study_of("built")
    found = next(f for f in engine.run(study, ["A1"]) if f.value is not None)
    volts = next(x for x in flips(found, study.rig) if x.address == "M.1.1.open_circuit").to

    assert 3 * volts * (1 + -0.27 / 100 * (-34 - 25)) == pytest.approx(150.0)


def test_a_published_figure_is_named_once() -> None:
    told = CliRunner().invoke(why_command, [str(BUILT), "C1", "W12"])

    assert told.exit_code == 0, told.output
    line = next(x for x in told.output.splitlines() if "cfr33-183.425-t5/4/0/105" in x)
    assert line.count("cfr33-183.425-t5/4/0/105") == 1
