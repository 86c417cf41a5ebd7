"""What is open, and every figure with where it is from."""

from collections.abc import Callable

import pytest

from ohmwright.rig.addresses import resolve, suggest, table_of
from ohmwright.rig.edit import set_value
from ohmwright.rig.expand import graph_of
from ohmwright.rig.model import Rig
from ohmwright.rig.questions import figures, open_questions
from ohmwright.shelf.load import Shelf

Read = Callable[[str], Rig]


def test_every_question_of_the_text_is_on_the_list(texts: dict[str, str], rigs: dict[str, Rig]) -> None:
    for name, rig in rigs.items():
        asked = [q for q in open_questions(rig) if q.asked]
        # counted in the text; a length that comes from an unknown way counts with the way
        written = texts[name].count("unknown (asked")
        from_ways = sum(
            1
            for q in asked
            if q.address in {f"{r.id}.length" for r in rig.runs.values()}
            and f"{q.address.split('.')[0]}:" in texts[name]
        )
        typed = sum(
            1
            for line in texts[name].splitlines()
            if line.strip().startswith("W") and "length: unknown" in line
        )
        assert len(asked) == written + from_ways - typed
        assert all(q.whom for q in asked)


def test_an_answered_question_leaves_the_list(texts: dict[str, str], shelf: Shelf, read: Read) -> None:
    text = set_value(texts["trailer"], "x", "side-bay.vents", "120 cm2 (m 2026-05-02)", shelf)

    assert open_questions(read(text)) == ()


def test_a_figure_tells_its_source_and_date(rigs: dict[str, Rig]) -> None:
    lines = {f.address: f for f in figures(rigs["trailer"])}

    loaded = lines["host.masses.loaded"]
    assert (loaded.value, loaded.unit, loaded.dated) == (
        3150.0,
        "kg",
        "2026-04-02",
    )  # the weighbridge ticket's date
    assert lines["side-bay.vents"].state == "unknown"
    assert lines["W15.length"].origin.startswith("computed")
    assert lines["B.resistance"].value == pytest.approx(0.0025)
    assert "B.2.resistance" not in lines


def test_every_address_of_the_graph_resolves(rigs: dict[str, Rig]) -> None:
    for rig in rigs.values():
        ports = table_of(rig)
        g = graph_of(rig)
        made_here = {f"{r.id}.{e}" for r in rig.runs.values() for e in r.plugs}
        for terminal in g.terminals.values():
            if terminal.port not in made_here and terminal.id in ports.terminals:
                named = resolve(rig, terminal.id, ports)
                assert named is not None
                assert named.owner == terminal.owner
        for conductor in g.conductors.values():
            named = resolve(rig, conductor.id, ports)
            assert named is not None
            assert named.owner == conductor.run


def test_an_address_says_what_it_names(rigs: dict[str, Rig]) -> None:
    rig = rigs["trailer"]
    for address, what in (
        ("B", "part"), ("B.2", "part"), ("U1.pv", "port"), ("U1.pv.+", "terminal"), ("F1.line", "terminal"), ("W01", "run"), ("W01.+", "conductor"),
        ("fridge", "load"), ("side-bay", "place"), ("roof - side-bay", "way"), ("chassis", "metal"), ("B.resistance", "figure"), ("W12.length", "figure"),
    ):  # fmt: skip
        named = resolve(rig, address)
        assert named is not None, address
        assert named.what == what

    assert resolve(rig, "F99") is None
    assert suggest(rig, "U1.pvv.+") == "U1.pv.+"
