"""Cards and quotes in the words of whoever lives with the rig, and what they may not say."""

import subprocess
from dataclasses import replace
from decimal import Decimal
from functools import lru_cache

from hypothesis import given
from hypothesis import strategies as st
from tests.papers.packs import DEMOS, Made, material

from ohmwright.energy.types import Bought
from ohmwright.papers.cards import emergency_card, how_it_lives, leave_card, runs_together, wake_card
from ohmwright.papers.catalogue import words
from ohmwright.papers.doc import Doc, Points, Text, tree
from ohmwright.papers.labour import costing, outward
from ohmwright.papers.material import Material
from ohmwright.papers.order_list import order_for
from ohmwright.papers.outside import outside
from ohmwright.papers.press import Press, pages_of, pdf_of
from ohmwright.papers.quote import quote
from ohmwright.papers.stamp import Stamp
from ohmwright.papers.year_pictures import buys
from ohmwright.services.opening import open_rig
from ohmwright.services.papers import FONTS
from ohmwright.services.year import year_of_opened


@lru_cache(maxsize=4)
def rig(name: str) -> Material:
    """A demo rig without its year."""
    return material(name, words())


def lines(doc: Doc) -> list[str]:
    """Every sentence and list item of a paper, in order."""
    return [
        x
        for b in doc.blocks
        for x in (b.items if isinstance(b, Points) else (b.text,) if isinstance(b, Text) else ())
    ]


def test_what_charges_besides_the_sun_is_what_the_rig_has() -> None:
    assert outside(rig("cabin/rig.yaml")) == "the generator"
    assert outside(rig("trailer/rig-built.yaml")) == "the plug or the engine"
    assert outside(rig("boat/rig.yaml")) == "shore power, the engine or the hydrogenerator"


def test_no_card_of_a_cabin_without_a_supply_speaks_of_a_plug() -> None:
    m = rig("cabin/rig.yaml")
    for doc in (how_it_lives(m), leave_card(m), wake_card(m), runs_together(m)):
        told = str(tree(doc.blocks)).lower()
        assert "the plug" not in told
        assert "outside supply out" not in told
        assert "supply limit" not in told


def test_the_emergency_card_of_the_boat_stops_the_engine_then_the_bank_then_the_array() -> None:
    card = emergency_card(rig("boat/rig.yaml"))
    steps = next(b for b in card.blocks if isinstance(b, Points)).items
    order = [next(i for i, x in enumerate(steps) if x.startswith(begin)) for begin in ("Engine OFF", "Cut remote", "If that fails, cut by-hand", "Array switch S1, S2, S3")]  # fmt: skip
    assert order == sorted(order)
    assert "Q6 OFF (chart-table)" in steps[order[1]]
    assert "On every other day the array is opened first" in str(tree(card.blocks))


def test_the_leave_card_opens_the_array_before_the_battery() -> None:
    said = lines(leave_card(rig("boat/rig.yaml")))
    array = next(i for i, x in enumerate(said) if "S1, S2, S3 OFF" in x)
    battery = next(i for i, x in enumerate(said) if x.startswith("Q1 OFF"))
    assert array < battery


def test_a_figure_that_nobody_knows_is_no_question_mark_on_the_emergency_card() -> None:
    told = str(tree(emergency_card(rig("van/rig.yaml")).blocks))
    assert "? kA" not in told
    assert "? V" not in told
    assert "short-circuit current not known" in told


def test_two_appliances_are_not_any_two() -> None:
    said = lines(runs_together(rig("cabin/rig.yaml")))
    assert "Both of them run together." in said
    assert not any(x.startswith("Any two") for x in said)


def test_a_rig_as_found_is_offered_nothing() -> None:
    m = replace(rig("van/rig.yaml"), stage="as found")
    told = str(tree(quote(m, costing(m, order_for(m))).blocks))
    assert "It is no offer" in told
    for word in ("Payment", "Warranty", "Holds 30 days"):
        assert word not in told


money = st.decimals(0, 10**7, places=2)


@given(money, money)
def test_a_span_is_rounded_outward_by_less_than_a_fifth_of_itself(low: Decimal, more: Decimal) -> None:
    high = low + more
    a, b = outward(low, high)
    assert a <= low <= high <= b
    assert a == a.to_integral_value()
    # each end moves by less than its step, which is a tenth of the power of ten of the width, or one
    assert max(low - a, b - high) < max(more / 10, Decimal(1))


def test_what_buys_nights_back_stands_on_the_quote_where_it_is_sure() -> None:

    year = year_of_opened(open_rig(str(DEMOS / "trailer" / "rig-built.yaml"))).year
    sure = Bought(
        "one more battery", 14.0, 10.0, 14.0, 10.0, 4.0, 0.5, 3.0, "one more battery: 4.0 nights a year fewer"
    )
    vain = Bought(
        "one more module", 14.0, 13.9, 14.0, 14.0, 0.1, 0.2, 0.0, "one more module: makes no difference"
    )
    m = replace(
        rig("trailer/rig-built.yaml"), year=replace(year, bought=(sure, vain), by_chance={"bought_years": 40})
    )
    every = [x for b in buys(m) for x in (b.items if isinstance(b, Points) else ())]
    quoted = [x for b in buys(m, 3) for x in (b.items if isinstance(b, Points) else ())]
    assert every == ["One more battery: 4.0 nights a year fewer.", "One more module: makes no difference."]
    assert quoted == every[:1]
    assert "through the same 40 years" in str(tree(list(buys(m))))


def test_a_quote_with_options_and_what_buys_nights_back_is_two_pages() -> None:
    year = year_of_opened(open_rig(str(DEMOS / "trailer" / "rig-built.yaml"))).year
    sure = Bought("x", 14.0, 10.0, 14.0, 10.0, 4.0, 0.5, 3.0, "without the fridge (706 Wh a day): 3.0 nights a year fewer (give or take 0.4), in one year in ten 6 fewer")  # fmt: skip
    m = replace(rig("trailer/rig-built.yaml"), year=replace(year, bought=(sure,) * 5), size="us-letter")
    m = replace(m, options=(m, m))
    pdf = pdf_of(
        (quote(m, costing(m, order_for(m))),), Press(str(FONTS), Stamp("2026-05-02", "abc")), "quote"
    )
    assert pages_of(pdf) == 2


def test_no_reader_doubts_the_marks_of_a_paper(van: Made) -> None:
    told = subprocess.run(
        ["pdfinfo", str(van.folder / "quote.pdf")], capture_output=True, text=True, check=True, timeout=60
    )
    assert told.stderr == ""
    assert "Tagged:          yes" in told.stdout


def test_both_ends_of_a_conductor_stand_on_one_page(van: Made) -> None:
    pages = van.raw("schedules.pdf", "-layout").split("\f")
    for c in van.done.checked.study.takeoff.cuts:
        with_label = [p for p in pages if c.label in p]
        assert with_label, c.id
        assert any(c.start in p and c.stop in p for p in with_label), c.id
