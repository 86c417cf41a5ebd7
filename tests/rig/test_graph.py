"""The graph holds every terminal, element and conductor, and nothing dangles."""

from collections.abc import Callable

import pytest

from ohmwright.rig.expand import graph_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.landing import landings, loose_ends
from ohmwright.rig.model import Rig

Read = Callable[[str], Rig]
HEAD = "ohmwright: 1\n"


@pytest.fixture(scope="module")
def graphs(rigs: dict[str, Rig]) -> dict[str, Graph]:
    return {name: graph_of(rig) for name, rig in rigs.items()}


def test_nothing_dangles(graphs: dict[str, Graph]) -> None:
    for g in graphs.values():
        for e in g.elements.values():
            assert {e.a, e.b} <= g.terminals.keys()
            assert {t for t in (e.out_a, e.out_b) if t} <= g.terminals.keys()
            for variable, states in e.when:
                assert states <= set(g.variables[variable].states)
        for c in g.conductors.values():
            assert g.elements[c.id].a == c.a
            assert g.elements[c.id].b == c.b
        for terminal, touching in g.at.items():
            for i in touching:
                e = g.elements[i]
                assert terminal in (e.a, e.b, e.out_a, e.out_b)
        assert sum(len({e.a, e.b, e.out_a, e.out_b} - {""}) for e in g.elements.values()) == sum(
            map(len, g.at.values())
        )


def test_the_same_rig_gives_the_same_graph_in_the_same_order(
    rigs: dict[str, Rig], graphs: dict[str, Graph]
) -> None:
    for name, rig in rigs.items():
        again = graph_of(rig)
        assert again == graphs[name]
        assert list(again.elements) == list(graphs[name].elements)
        assert list(again.terminals) == list(graphs[name].terminals)


def test_a_small_rig_counted_by_hand(read: Read) -> None:
    g = graph_of(
        read(
            HEAD + "metal: {body: {}}\nparts:\n  B: {is: battery, bms: none}\n  F: {is: fuse}\n"
            "use: {loads: {lamp: {wired: dc}}}\n"
            "runs:\n  W1: {from: B.+, to: F.line, cable: 6 mm2, length: 0.2 m}\n"
            "  W2: {from: F.load, to: lamp.+, cable: 2.5 mm2, length: 3 m}\n"
            "  W3: {from: lamp.-, to: B.-, cable: 2.5 mm2, length: 3 m}\n"
        )
    )

    # battery 2, fuse 2, lamp 2, body 1; cells, fuse, lamp and three conductors
    assert sorted(g.terminals) == ["B.+", "B.-", "F.line", "F.load", "body", "lamp.+", "lamp.-"]
    assert len(g.elements) == 6
    assert [c.length_m for c in g.conductors.values()] == [0.2, 3.0, 3.0]
    assert [c.area_mm2 for c in g.conductors.values()] == [6.0, 2.5, 2.5]
    assert loose_ends(g) == ()


def test_a_chain_has_links_with_ids_of_their_own_and_is_taken_off_across(graphs: dict[str, Graph]) -> None:
    g = graphs["trailer"]

    links = sorted(c for c in g.conductors if c.startswith("B.link"))
    assert links == [f"B.link{n}.{p}" for n in (1, 2, 3) for p in ("+", "-")]
    assert (g.conductors["B.link2.+"].a, g.conductors["B.link2.+"].b) == ("B.2.F.load", "B.3.F.load")
    assert g.conductors["B.link2.-"].length_m == 0.32
    assert (g.elements["B.takeoff.+"].a, g.elements["B.takeoff.-"].a) == ("B.1.F.load", "B.4.-")


def test_a_chain_taken_off_at_one_end_is_taken_off_at_one_member(graphs: dict[str, Graph]) -> None:
    g = graphs["van"]

    assert (g.elements["B.takeoff.+"].a, g.elements["B.takeoff.-"].a) == ("B.1.+", "B.1.-")


def test_leads_to_busbars_take_consecutive_studs(graphs: dict[str, Graph]) -> None:
    g = graphs["cabin"]

    assert [g.conductors[f"B.lead{n}.+"].b for n in (1, 2, 3)] == ["XB.1", "XB.2", "XB.3"]
    assert [g.conductors[f"B.lead{n}.-"].b for n in (1, 2, 3)] == ["XC.1", "XC.2", "XC.3"]
    assert "B.+" not in g.terminals


def test_batteries_in_series_stand_plus_to_minus(read: Read) -> None:
    g = graph_of(
        read(
            HEAD
            + "parts:\n  B: {is: battery, bms: none, count: 4, join: {as: series, link: 35 mm2, link-length: 0.2 m}}\n"
        )
    )

    assert (g.conductors["B.link1"].a, g.conductors["B.link1"].b) == ("B.1.-", "B.2.+")
    assert (g.elements["B.takeoff.+"].a, g.elements["B.takeoff.-"].a) == ("B.1.+", "B.4.-")


def test_a_device_is_bolted_to_its_post_unless_a_lead_is_told(read: Read) -> None:
    text = (
        HEAD
        + "parts:\n  B: {is: battery, count: 2, each: {F: fuse}, join: {as: chain, link: 35 mm2, takeoff: diagonal}}\n"
    )
    bolted = graph_of(read(text))
    led = graph_of(read(text.replace("takeoff: diagonal", "takeoff: diagonal, post-length: 0.03 m")))

    assert bolted.elements["B.1.F.post"].role == "post"
    assert "B.post1" not in bolted.conductors
    assert led.conductors["B.post1"].length_m == 0.03
    assert "B.1.F.post" not in led.elements


def test_an_array_has_a_port_a_string(graphs: dict[str, Graph]) -> None:
    g = graphs["cabin"]  # 4s2p

    modules = {t.owner for t in g.terminals.values() if t.owner.startswith("M.")}
    assert modules == {f"M.{s}.{m}" for s in (1, 2) for m in (1, 2, 3, 4)}
    assert g.conductors["W01.+"].a == "M.1.+"
    assert g.elements["M.2.takeoff.-"].a == "M.2.4.-"
    assert sum(e.role == "module-link" for e in g.elements.values()) == 6
    assert "M.+" not in g.terminals
    assert "M.+" in graphs["trailer"].terminals


def test_a_plugged_end_is_a_contact_and_a_terminal_of_its_own(graphs: dict[str, Graph]) -> None:
    g = graphs["boat"]

    assert g.variables["C1.from"].states == ("in", "out")
    assert g.terminals["C1.from.L"].plug == "pins"  # it mates with the post's socket
    assert g.terminals["C1.to.L"].plug == "socket"  # it mates with the inlet's pins
    assert g.elements["C1.L.from"].when == (("C1.from", frozenset({"in"})),)
    assert (g.conductors["C1.L"].a, g.conductors["C1.L"].b) == ("C1.from.L", "C1.to.L")
    # both ends of the van's cord fit sockets, so both have bare pins
    assert {graphs["van"].terminals[f"C1.{e}.L"].plug for e in ("from", "to")} == {"pins"}


def test_a_map_names_the_pole_that_a_device_lacks(graphs: dict[str, Graph]) -> None:
    g = graphs["boat"]

    assert g.conductors["W80.PE"].b == "T1.screen.PE"
    assert g.conductors["W80.N"].b == "Q3.line.N"
    assert [c for c in g.conductors if c.startswith("W22.") or c == "W22"] == ["W22"]
    assert sorted(c for c in graphs["van"].conductors if c.startswith("W22.")) == ["W22.L", "W22.N"]


def test_a_load_with_two_feeds_takes_one_of_them(graphs: dict[str, Graph]) -> None:
    g = graphs["van"]

    assert g.variables["fridge"].rule == "live:ac"
    assert g.elements["fridge.dc.load"].when == (("fridge", frozenset({"dc"})),)
    assert g.elements["fridge.ac.load"].when == (("fridge", frozenset({"ac"})),)
    assert g.conductors["fridge.dc.branch.+"].length_m is None


def test_a_split_load_takes_power_between_the_poles_it_names(graphs: dict[str, Graph]) -> None:
    g = graphs["split-phase"]

    pairs = {(e.a, e.b) for e in g.elements.values() if e.owner == "range" and e.kind == "load"}
    assert pairs == {("range.L1", "range.L2"), ("range.L1", "range.N")}
    pump = next(e for e in g.elements.values() if e.owner == "well-pump" and e.kind == "load")
    assert (pump.a, pump.b) == ("well-pump.L1", "well-pump.L2")


def test_what_an_engine_drives_follows_one_outside_variable(graphs: dict[str, Graph]) -> None:
    g = graphs["boat"]

    assert g.variables["engine-running"].origin == "outside"
    followers = {e.owner for e in g.elements.values() if any(v == "engine-running" for v, _ in e.when)}
    assert followers == {"AL", "U5"}
    assert g.variables["sun"].states[0] == "up"


def test_what_is_on_metal_is_bolted_to_it(graphs: dict[str, Graph]) -> None:
    g = graphs["boat"]

    assert {g.elements["AL.on"].a, g.elements["AL.on"].b} == {"AL.case.-", "engine"}
    assert {g.elements["shaft.joined.engine"].a, g.elements["shaft.joined.engine"].b} == {"shaft", "engine"}
    assert not any("sea" in (e.a, e.b) for e in g.elements.values())
    assert graphs["cabin"].elements["E1.on"].b == "ground"


def test_landings_count_a_take_off_with_its_stud(graphs: dict[str, Graph]) -> None:
    found = landings(graphs["van"])

    assert found["B.1.+"].conductors == ("W04", "W09", "W13", "W19", "B.link1.+")
    assert found["B.1.+"].too_many
    assert "B.+" not in found


def test_a_terminal_without_a_run_is_a_loose_end(read: Read) -> None:
    g = graph_of(
        read(
            HEAD
            + "parts:\n  F: {is: fuse}\n  G: {is: fuse}\n  XB: {is: busbar}\nruns:\n  W: {from: F.load, to: G.line, cable: 6 mm2}\n"
        )
    )

    assert loose_ends(g) == ("F.line", "G.load")
