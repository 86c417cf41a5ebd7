"""What is kept by content: found again after an edit of a figure, never for another rig."""

import random

import pytest
from tests.circuit.rigs import NAMES, changed, demo, moved
from tests.circuit.test_mutants import MUTANTS

from ohmwright.circuit import skeleton
from ohmwright.circuit.proofs import Proofs
from ohmwright.circuit.types import Proof
from ohmwright.circuit.wiring import Wiring
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig
from ohmwright.study import Study


def proved(rig: Rig, graph: Graph) -> dict[str, Proof]:
    proofs = Proofs(Wiring(rig, graph))
    return {name: proofs[name] for name in proofs}


def test_an_edit_of_a_length_finds_the_net_and_the_standings_again() -> None:
    before = Wiring(*demo("trailer"))
    after = Wiring(
        *changed(
            "trailer", ("cable: 4/0 AWG 105C red, length: 0.9 m", "cable: 4/0 AWG 105C red, length: 1.9 m")
        )
    )

    assert after.net is before.net
    assert after.stood is before.stood


def test_a_run_that_is_moved_is_another_net() -> None:
    assert Wiring(*moved("boat", ("W35", "to", "XP.12"))).net is not Wiring(*demo("boat")).net


def test_a_resistance_is_read_from_the_rig_at_hand_and_not_from_the_one_that_was_kept() -> None:
    edit = ("F1:   {is: fuse-class-t-400a,", "F1:   {is: fuse-class-t-400a, resistance: 9 mohm,")
    plain, worse = Study(demo("trailer")[0]), Study(changed("trailer", edit)[0])

    one, other = (s.solution("U2-full").nodes["U2.dc.+"].volts for s in (plain, worse))
    assert other < one - 2.0  # 300 A over 8.8 mohm more


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_proofs_do_not_depend_on_the_rigs_looked_at_before(name: str) -> None:
    rigs = [demo(name), *(make() for of in MUTANTS.values() for make in of.get(name, {}).values())]
    alone = []
    for rig, graph in rigs:
        skeleton.forget()
        alone.append(proved(rig, graph))

    order = list(range(len(rigs))) * 2
    random.Random(7).shuffle(order)
    for k in order:
        assert proved(*rigs[k]) == alone[k]
