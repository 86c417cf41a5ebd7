"""The stop-use order: its order of steps is a matter of life, so it is tested on the text, in every language.

Both AC sources are off before any plug is pulled; then sun; then the bank (common practice,
no source).
"""

import re
from dataclasses import replace

import pytest
from tests.papers.packs import Made, material

from ohmwright.papers.catalogue import languages, words
from ohmwright.papers.stop_use import steps, wanted

ORDER = ("people", "supply-off", "inverter-off", "double-male", "array", "wait", "bank", "relay", "no-charge")


@pytest.mark.parametrize("language", languages())
def test_the_vans_steps_come_in_the_order_that_does_not_kill(language: str) -> None:
    told = words(language)
    lines = list(steps(material("van/rig.yaml", told)))
    at = []
    for key in ORDER:
        start = re.split(r"\{", told.texts[f"stop.step.{key}"])[0]
        found = [i for i, line in enumerate(lines) if start in line]
        assert len(found) == 1, key
        at.append(found[0])
    assert at == sorted(at)
    assert len(set(at)) == len(at)


def test_nothing_is_pulled_before_both_sources_are_off_on_the_printed_page(van: Made) -> None:
    text = van.text("stop-use.pdf")
    supply, inverter = (
        text.index("Supply breaker at the post or house OFF"),
        text.index("Inverter OFF at its own switch"),
    )
    first_pull = text.index("Pull the supply end")
    assert max(supply, inverter) < first_pull
    assert (
        text.index("Engine off")
        < first_pull
        < text.index("Array switch open")
        < text.index("Prove dead")
        < text.index("Lift the bank's negative")
    )
    assert "Cut the lead in two" in text
    # the van was equalised at 15.6 V by its file
    assert "15.6 V" in text


def test_every_danger_that_fails_is_on_the_order(van: Made) -> None:
    text = van.text("stop-use.pdf")
    about: dict[str, list[str]] = {}
    told: dict[tuple[object, ...], list[str]] = {}
    for f in van.done.checked.dangers():
        assert van.has("stop-use.pdf", f.message)
        about.setdefault(f.number, []).append(f.subject)
        told.setdefault((f.rule, f.message, f.remedy, f.path, f.origin_unverified), []).append(f.subject)
    for number, names in about.items():
        assert van.has("stop-use.pdf", f"({number}): {', '.join(dict.fromkeys(names))}")
    # what one rule says in the same words of several, resting on figures as good, stands once, with all their names
    assert text.count("DANGER") == len(told)
    alike = next(names for names in told.values() if len(names) > 2)
    assert van.has("stop-use.pdf", ", ".join(dict.fromkeys(alike)))


def test_the_order_is_made_where_a_danger_fails_in_a_rig_that_stands(trailer: Made, van: Made) -> None:
    for made in (trailer, van):
        there = any(p["paper"] == "stop-use" for p in made.done.made)
        assert there == bool(made.done.checked.dangers())
    as_found = replace(material("van/rig.yaml", words("en")), stage="as found")
    assert wanted(as_found)
    assert not wanted(replace(as_found, findings=()))
    assert not wanted(replace(as_found, stage="quoted")), "a drawing cannot be used"


def test_a_year_that_cannot_be_told_is_a_note_on_its_page(van: Made) -> None:
    assert van.done.year is None
    assert "cannot be told" in van.text("energy.pdf")
    assert any("cannot be told" in note for note in van.done.notes)
