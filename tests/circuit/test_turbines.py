"""A wind generator in the circuit: a source that can only push so much, and a controller that gives what it gets."""

import pytest
from tests.circuit.rigs import changed

from ohmwright.circuit.cases import cases_of
from ohmwright.circuit.faults import faults_of
from ohmwright.circuit.solve import solve
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

PARTS = """  WG: {is: wind-generator-400w-12v, at: stern, run-by: wind-turns}
  U8: {is: wind-controller-40a-with-dump, at: chart-table}
  F29: {is: fuse-dc-power-63a-80v, at: battery-bay}
"""
RUNS = """  W190: {from: WG, to: U8.in, cable: 2 x 16 mm2 tinned 105C, length: 6.0 m}
  W191: {from: U8.out.+, to: F29.load, cable: 16 mm2 tinned 105C red, via: chart-table - battery-bay}
  W192: {from: F29.line, to: XP.12, cable: 95 mm2 tinned 105C red, length: 0.1 m}
  W193: {from: U8.out.-, to: XN.8, cable: 16 mm2 tinned 105C black, via: chart-table - battery-bay}
"""


@pytest.fixture(scope="module")
def windy() -> tuple[Rig, Graph]:
    """The demo boat with a wind generator on its bars."""
    return changed("boat", ("  F19: {", f"{PARTS}  F19: {{"), ("  W66: {", f"{RUNS}  W66: {{"))


# By hand: of 420 W, the most on its page, 92 % come out of the controller: 386.4 W over the volts of its output.
def test_the_controller_gives_what_the_most_of_the_page_leaves_it(windy: tuple[Rig, Graph]) -> None:
    case = cases_of(*windy)["U8-alone"]
    answer = solve(*windy, case)
    volts = answer.nodes["U8.out.+"].volts - answer.nodes["U8.out.-"].volts
    current_A = answer.conductors["W191"].current_A
    assert current_A * volts == pytest.approx(386.4, rel=0.01)


def test_becalmed_it_gives_nothing(windy: tuple[Rig, Graph]) -> None:
    rig, graph = windy
    answer = solve(rig, graph, cases_of(rig, graph)["night-at-sea"])
    assert answer.states["wind-turns"] == "no"
    assert answer.conductors["W191"].current_A == pytest.approx(0.0, abs=1e-6)


# Ahead of its controller no more flows into a fault than its page lets it ever push.
def test_a_fault_at_it_is_fed_by_its_own_most_current(windy: tuple[Rig, Graph]) -> None:
    fault = faults_of(*windy)["WG.+"]
    assert fault.max_A == pytest.approx(32.0)
    assert set(fault.from_A) == {"WG"}
