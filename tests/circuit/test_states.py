"""States settle by what is energised; what stays as it was, and what hunts, is told."""

from tests.circuit.rigs import demo, moved, with_line

from ohmwright.circuit.cases import cases_of
from ohmwright.circuit.proofs import prove
from ohmwright.circuit.solve import solve
from ohmwright.circuit.space import Space
from ohmwright.circuit.states import stand
from ohmwright.circuit.types import Case
from ohmwright.circuit.wiring import wiring_of


def states(name: str, **changed: str) -> dict[str, str]:
    """The settled states of a demo rig with some variables set."""
    rig, graph = demo(name)
    wiring = wiring_of(rig, graph)
    asked = {k.replace("__", "."): v for k, v in changed.items()}
    return dict(stand(wiring, Case("x", states=asked)).states)


def test_a_contactor_is_closed_while_its_coil_is_energised() -> None:
    assert states("boat")["K1"] == "closed"
    assert states("boat", Q6="open")["K1"] == "open"
    assert states("boat", BM="open")["K1"] == "open"
    assert states("boat", BM="warn")["K1"] == "closed"


def test_an_inverter_charger_passes_inverts_or_rests() -> None:
    assert states("trailer", C1__from="in", C1__to="in", SUP="live")["U2"] == "passing"
    assert states("trailer", C1__from="out", SUP="live")["U2"] == "inverting"
    assert states("trailer", C1__from="out", U2__hand="off")["U2"] == "off"
    assert states("trailer", C1__from="out", Q1="open")["U2"] == "off"


def test_a_voltage_sensing_relay_closes_while_something_charges() -> None:
    assert states("van", sun="down")["KP"] == "open"
    assert states("van", **{"engine-running": "running"})["KP"] == "closed"


def test_a_load_with_two_feeds_takes_the_one_that_is_live() -> None:
    assert states("van", C1__from="in", C1__to="in")["fridge"] == "ac"
    assert states("van", C1__from="out", U2__hand="off")["fridge"] == "dc"


def test_a_sealed_in_contactor_stays_as_it_was() -> None:
    # The management fed behind its own contactor: closed it holds itself, opened it never comes back.
    rig, graph = moved("boat", ("W22", "from", "XP.12"))
    away = {"C1.from": "out", "sun": "down", "engine-running": "stopped", "under-way": "no"}
    answer = solve(rig, graph, Case("dark", states=away))
    assert any(line.startswith("K1 stays as it was") for line in answer.story)
    assert any(f.subject == "K1" for f in prove(rig, graph)["returns"].found)


def test_a_charger_behind_its_own_inverter_hunts() -> None:
    rig, graph = with_line("cabin", "runs", "Y1: {from: PA.6, to: U2.ac-in, cable: 3 x 6 mm2, length: 3 m}")
    assert any("hunt" in f.message for f in prove(rig, graph)["self-charging"].found)
    answer = solve(rig, graph, Case("loop", states={"generator-running": "stopped"}))
    assert any(line.startswith("hunts") for line in answer.story)


def test_a_case_of_the_file_sets_its_states() -> None:
    rig, graph = demo("cabin")
    answer = solve(rig, graph, cases_of(rig, graph)["inverter-dead"])
    assert answer.states["U2"] == "off"
    assert answer.states["Q5"] == "2"


def test_a_space_numbers_every_combination_once() -> None:
    _, graph = demo("boat")
    space = Space(graph, ["Q2", "Q1", "BM"])
    assert space.count == 18
    told = {
        tuple(sorted((k, v) for k, v in space.told(i).items() if k in ("Q2", "Q1", "BM"))) for i in range(18)
    }
    assert len(told) == 18
    for name in ("Q2", "Q1", "BM"):
        bits = list(space.bits[name].values())
        assert sum(bits) == space.full
        assert all(not a & b for i, a in enumerate(bits) for b in bits[i + 1 :])
