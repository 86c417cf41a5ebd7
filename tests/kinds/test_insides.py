"""Every kind, with every value of every word it knows: its inside must hang together."""

import pkgutil
from pathlib import Path

import pytest

import ohmwright.kinds as kinds_package
from ohmwright import kinds
from ohmwright.kinds.base import COMMON_FIGURES, Inside, Kind
from ohmwright.working import Figure, base_of, parse

POLES = {"+", "-", "L", "L1", "L2", "L3", "N", "PE", "A", "B", "sig", ""}
ELEMENTS = {"conductor", "switch", "source", "converter", "load"}
RULES = {"", "transfer", "inverting", "bms", "voltage-sensing", "run-by", "rig", "unknown"}
HELPERS = {"base", "shape", "specs", "inverting", "two_sources", "bars", "residual", "surge", "settings"}


def every_kind() -> list[Kind]:
    return [k for n in kinds.names() if (k := kinds.find(n)) is not None]


def variants(kind: Kind) -> list[dict[str, str]]:
    """The plain part, each word at each of its values, and each pair of words at all of theirs."""
    out: list[dict[str, str]] = [{}]
    words = [(w, s.allowed) for w, s in kind.words.items() if s.allowed]
    for i, (a, of_a) in enumerate(words):
        out += [{a: x} for x in of_a]
        for b, of_b in words[i + 1 :]:
            out += [{a: x, b: y} for x in of_a for y in of_b]
    return out


def built(kind: Kind, words: dict[str, str]) -> Inside | None:
    """The inside, or None where two words contradict each other and the kind says so."""
    try:
        return kind.inside(words)
    except ValueError as error:
        told = str(error)
    assert "write" in told
    return None


@pytest.mark.parametrize("kind", every_kind(), ids=lambda k: k.name)
class TestEveryKind:
    def test_a_plain_part_can_be_built(self, kind: Kind) -> None:
        assert kind.inside({}) is not None

    def test_every_element_hangs_on_terminals_of_its_ports(self, kind: Kind) -> None:
        for words in variants(kind):
            inside = built(kind, words)
            if inside is None:
                continue
            terminals = [t for p in inside.ports for t in p.terminals()]
            assert len(terminals) == len(set(terminals)), words
            for e in inside.elements:
                ends = {e.a, e.b} | ({e.out_a, e.out_b} if e.kind == "converter" else set())
                assert ends <= set(terminals), (words, e)
                assert e.a != e.b, (words, e)

    def test_every_state_that_an_element_waits_for_is_a_state_of_a_variable(self, kind: Kind) -> None:
        for words in variants(kind):
            inside = built(kind, words)
            for e in inside.elements if inside else ():
                states = {v.name: set(v.states) for v in inside.variables} if inside else {}
                for name, wanted in e.when:
                    assert name in states, (words, e)
                    assert wanted < states[name], (words, e, "a state that always holds is no state")

    def test_every_variable_is_waited_for_or_is_the_hand_of_a_settled_one(self, kind: Kind) -> None:
        inside = kind.inside({})
        waited = {name for e in inside.elements for name, _ in e.when}
        settled = {v.rule for v in inside.variables}
        for v in inside.variables:
            assert v.name in waited or (v.name == "hand" and settled & {"transfer", "inverting"}), v

    def test_names_are_unique_and_of_the_known_sets(self, kind: Kind) -> None:
        for words in variants(kind):
            inside = built(kind, words)
            if inside is None:
                continue
            for seen in (
                [e.name for e in inside.elements],
                [p.name for p in inside.ports],
                [v.name for v in inside.variables],
            ):
                assert len(seen) == len(set(seen)), (words, seen)
            assert {p for port in inside.ports for p in port.poles} <= POLES
            assert {e.kind for e in inside.elements} <= ELEMENTS
            ports = {p.name for p in inside.ports}
            for v in inside.variables:
                rule, colon, port = v.rule.partition(":")
                assert (rule in {"coil", "live"} and port in ports) if colon else v.rule in RULES, v
                assert len(v.states) >= 2

    def test_every_resistance_is_a_figure_of_the_kind(self, kind: Kind) -> None:
        for words in variants(kind):
            inside = built(kind, words)
            for e in inside.elements if inside else ():
                assert not e.ohm or kind.figures[e.ohm].unit == "ohm"

    def test_every_figure_has_a_base_unit_and_a_default_that_can_be_read(self, kind: Kind) -> None:
        for name, spec in {**COMMON_FIGURES, **kind.figures}.items():
            assert base_of(spec.unit) == spec.unit, name
            assert name == name.lower().replace("-", "_")
            if spec.default:
                assert isinstance(parse(spec.default, spec.unit), Figure), name

    def test_a_word_that_the_kind_does_not_know_is_refused_with_those_it_knows(self, kind: Kind) -> None:
        inside = kind.inside({})
        for name, spec in kind.words.items():
            if not spec.allowed:
                continue
            told, other = "", inside
            try:
                other = kind.inside({name: "purple"})
            except ValueError as error:
                told = str(error)
            assert spec.allowed[0] in told or (not told and other == inside), name

    def test_a_default_is_one_of_the_words_allowed(self, kind: Kind) -> None:
        for name, spec in kind.words.items():
            assert not spec.default or not spec.allowed or spec.default in spec.allowed, name

    def test_hyphen_and_underscore_are_the_same(self, kind: Kind) -> None:
        for name, spec in kind.words.items():
            for text in spec.allowed:
                assert built(kind, {name: text}) == built(kind, {name.replace("_", "-"): text}), name

    def test_a_series_device_has_two_sides(self, kind: Kind) -> None:
        if kind.series:
            power = [p for p in kind.inside({}).ports if p.role in ("dc", "ac") and p.name != "coil"]
            assert len(power) == 2
            assert power[0].poles == power[1].poles


def test_every_module_of_the_package_is_a_kind_or_a_helper() -> None:
    modules = {m.name for m in pkgutil.iter_modules(kinds_package.__path__)} - HELPERS
    assert modules == {n.replace("-", "_") for n in kinds.names()}


def test_each_kind_carries_the_name_it_is_found_by() -> None:
    assert [k.name for k in every_kind()] == list(kinds.names())
    assert kinds.find("flux-capacitor") is None


def test_the_reference_page_lists_every_figure_and_word() -> None:
    page = (Path(kinds_package.__path__[0]) / "README.md").read_text(encoding="utf-8")
    rows = {
        line.split(" | ")[0].removeprefix("| "): line for line in page.splitlines() if line.startswith("| ")
    }
    for kind in every_kind():
        for name in (*kind.figures, *kind.words):
            assert f"`{name}`" in rows[kind.name], (kind.name, name)
