"""When batteries open one after the other."""

from pathlib import Path

import pytest
from tests.circuit.rigs import read

from ohmwright.circuit.cascade import cascade_of
from ohmwright.circuit.cases import cases_of
from ohmwright.circuit.solve import solve
from ohmwright.circuit.supplies import inverter_losses
from ohmwright.circuit.types import Case
from ohmwright.cli.ending import run
from ohmwright.cli.program import program
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig
from ohmwright.services import new

# Two good lugs of 0.1 mohm and no cable: links of 0.2 mohm.
BANK = """\
ohmwright: 1
host: {kind: cabin, places: {room: {regime: heated}}, ways: {}}
parts:
  B: {is: battery-lfp-200ah-12v, count: 3, at: room, resistance: 2.5 mohm, discharge-max: LIMIT @ 25 degC, JOIN}
  XB: {is: busbar-600a-8stud, at: room}
  XC: {is: busbar-600a-8stud, at: room}
  U2: {is: inverter-charger-3kva-12v-120v, at: room, fitted: {ac-out-bond: relay}}
runs:
  W1: {from: PLUS, to: U2.dc.+, cable: 70 mm2, length: 1 m}
  W2: {from: U2.dc.-, to: MINUS, cable: 70 mm2, length: 1 m}
settings: {U2: {ground-relay: enabled}}
"""
CHAIN = "join: {as: chain, link: 70 mm2, link-length: none, takeoff: same-end}"
BARS = "join: {as: busbars, plus: XB.1, minus: XC.1, lead: 70 mm2, lead-length: none}"


def drawn(text: str, amps: float) -> tuple[Rig, Graph, Case]:
    """A bank with a steady current drawn by its inverter."""
    rig, graph = read(text, {})
    watts = inverter_losses(rig.parts["U2"]).input_W(3000.0)
    return (
        rig,
        graph,
        Case("x", converters_W={"U2": 3000.0}, input_V={"U2": watts / amps}, bank_soc_ratio=0.5),
    )


def chain(limit: str) -> str:
    """Three batteries in a daisy chain."""
    return BANK.replace("JOIN", CHAIN).replace("LIMIT", limit).replace("PLUS", "B.+").replace("MINUS", "B.-")


def bars(limit: str) -> str:
    """Three batteries on bars."""
    return BANK.replace("JOIN", BARS).replace("LIMIT", limit).replace("PLUS", "XB.8").replace("MINUS", "XC.8")


def test_a_daisy_chain_of_three_goes_dark_at_280_A() -> None:
    # Measured for this project: 115.0 / 88.6 / 76.4 A; the first opens at 100 A, the rest take 150.4 / 129.6 A, then all.
    rig, graph, case = drawn(chain("100 A"), 280.0)
    start = solve(rig, graph, case)
    assert [-b.current_A for b in start.batteries.values()] == pytest.approx([115.0, 88.6, 76.4], abs=0.05)
    end = cascade_of(rig, graph, case)
    assert end.dark
    assert [o.battery for o in end.openings] == ["B.1", "B.2", "B.3"]
    assert [o.carried_A for o in end.openings[:2]] == pytest.approx([115.0, 150.4], abs=0.05)
    assert end.story[-1] == "no battery is left: everything goes dark"


def test_the_same_bank_on_bars_stands() -> None:
    rig, graph, case = drawn(bars("100 A"), 280.0)
    end = cascade_of(rig, graph, case)
    assert not end.dark
    assert end.openings == ()
    assert [-b.current_A for b in end.last.batteries.values()] == pytest.approx([93.3, 93.3, 93.3], abs=1.0)


def test_a_limit_just_above_the_worst_share_holds() -> None:
    rig, graph, case = drawn(chain("116 A"), 280.0)
    assert cascade_of(rig, graph, case).openings == ()


def test_a_short_surge_may_use_the_printed_peak() -> None:
    from dataclasses import replace

    text = chain("100 A").replace("discharge-max:", "discharge-peak: 200 A for 10 s, discharge-max:")
    rig, graph, case = drawn(text, 280.0)
    assert cascade_of(rig, graph, case).dark
    assert cascade_of(rig, graph, replace(case, seconds=5.0)).openings == ()
    assert cascade_of(rig, graph, replace(case, seconds=60.0)).dark


def test_a_battery_without_a_limit_is_named() -> None:
    rig, graph, case = drawn(chain("unknown").replace(" @ 25 degC", ""), 280.0)
    end = cascade_of(rig, graph, case)
    assert end.openings == ()
    assert "B.1.discharge_max" in end.missing


def test_the_owner_s_third_battery_is_told_to_its_dark_end(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # The same bank as a user gets it: three batteries in a chain behind an inverter that takes 280 A.
    job = new.like(str(tmp_path / "bramble"), "van")

    assert run(program, ["flows", str(job / "rig-third-battery.yaml"), "--case", "U2-full"]) == 0

    told = capsys.readouterr().out
    for line in ("B.1: -115.0 A", "B.2: -88.6 A", "B.3: -76.4 A"):
        assert line in told
    story = told[told.index("Batteries that open by themselves") :].splitlines()[2:6]
    assert [line.strip() for line in story] == [
        "B.1 gives 115 A, may 100 A: it opens",
        "B.2 gives 150 A, may 100 A: it opens",
        "B.3 gives 280 A, may 100 A: it opens",
        "no battery is left: everything goes dark",
    ]


@pytest.mark.parametrize(
    ("takeoff", "shares"), [("same-end", (115.0, 88.6, 76.4)), ("diagonal", (95.7, 88.6, 95.7))]
)
def test_the_take_off_of_the_third_battery_decides_the_shares(
    tmp_path: Path, takeoff: str, shares: tuple[float, ...]
) -> None:
    # Measured for this project, and with the circuit simulator: 115.01 / 88.61 / 76.39 A; diagonal 95.7 / 88.6 / 95.7 A.
    file = new.like(str(tmp_path / "bramble"), "van") / "rig-third-battery.yaml"
    rig, graph = read(
        file.read_text(encoding="utf-8").replace("takeoff: same-end", f"takeoff: {takeoff}"), {}
    )

    answer = solve(rig, graph, cases_of(rig, graph)["U2-full"])

    # 2,600 W at a cut-off of 10.67 V are 280.1 A: the shares are those of 280 A to a tenth of an ampere.
    assert [-b.current_A for b in answer.batteries.values()] == pytest.approx(shares, abs=0.1)
