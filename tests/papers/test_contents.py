"""What single papers say, against the hand: the trailer's figures worked out here from its file."""

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from pint import UnitRegistry
from tests.papers.packs import DEMOS, SMALL, Made, make, material

from ohmwright.papers.catalogue import words
from ohmwright.papers.commissioning import ORDER
from ohmwright.papers.doc import Column, Doc, Head, Table, Text, shown, total_of
from ohmwright.papers.energy_page import energy_page
from ohmwright.papers.press import Press, pdf_of
from ohmwright.papers.stamp import Stamp
from ohmwright.papers.tasks import packaged_tasks
from ohmwright.papers.units import Units
from ohmwright.services.opening import open_rig
from ohmwright.services.papers import FONTS
from ohmwright.services.year_kept import year_kept
from ohmwright.working import OhmwrightError


def test_every_commissioning_test_is_on_the_form_or_named_as_not_for_this_rig(trailer: Made) -> None:
    # Tests 1-40 of the trade's list, 41-48 added, 4 split into 4 and 19b: common practice, no source.
    assert {*ORDER} == {*map(str, range(1, 49)), "19b"}
    text = trailer.text("commissioning.pdf")
    for test in ORDER:
        assert trailer.has("commissioning.pdf", f"{test} {words('en').texts[f'tests.{test}.what']}"), test
    assert text.index("3 Continuity of bonding") < text.index("18 Inverter on, no load")
    assert text.index("43 Every outlet dead") < text.index("18 Inverter on, no load")


def test_no_ohm_meter_goes_to_a_live_bond() -> None:
    # A bond relay moves only when energised, and an ohm-meter measures only what is dead.
    told = words("en").texts
    assert "DEAD only" in told["tests.4.what"]
    assert "never an ohm-meter" in told["tests.19b.what"]


def test_the_form_expects_what_the_file_gives(trailer: Made) -> None:
    text = trailer.text("commissioning.pdf")
    # three modules of 37.1 V in series, by hand: 111.3 V; insulation class 1.25 x 111.3 = 139 V: 500 V, 1 MOhm (IEC 62446-1, secondary)
    assert "3 × 37.1 V × (1 − 0.27/100 × (Tc − 25))" in text
    assert "111.3 V @ 25 °C" in text
    assert "5/M.1 1.25 × 111.3 V = 139 V: 500 V, ≥ 1 MΩ" in text
    for battery in ("B.1", "B.2", "B.3", "B.4"):
        assert f"8/{battery} at rest, by the class of its chemistry: 50 %:" in text
    assert "25/U2 24 A" in text  # the file's supply limit
    assert "41/main stays live: detectors" in text


def test_the_settings_sheet_has_every_setting_of_the_file(trailer: Made) -> None:
    text = trailer.text("settings.pdf")
    for part, values in trailer.done.checked.opened.rig.settings.items():
        assert part in text
        for key in values:
            assert key in text
    assert "supply-limit 24 A maker's page owner" in text
    assert "cut-off 12 V" in text


def test_the_customer_sees_no_shelf_entry_and_two_pages(trailer: Made) -> None:
    assert trailer.about("quote.pdf")[0] == 2
    for line in trailer.done.checked.study.takeoff.parts:
        assert not trailer.has("quote.pdf", line.record)
    text = trailer.text("quote.pdf")
    assert "six nights unplugged in summer" in text
    # 3450 kg (k) less the laden weight that rule E5 found
    assert re.search(r"Weight: 33\d\d kg of 3450 kg when ready to roll; 1\d\d kg is left", text)
    assert "Holds 30 days from 2026-05-02" in text


def test_a_promise_that_is_not_kept_is_said_aloud(trailer: Made) -> None:
    assert trailer.done.year is not None
    for p in trailer.done.year.promises:
        for name in ("quote.pdf", "how-it-lives.pdf"):
            assert trailer.has(name, p.got)
            if p.kept is False:
                assert trailer.has(name, f"you asked for {p.asked}. It will NOT do that")


def test_the_emergency_card_names_what_the_fire_service_asks(trailer: Made) -> None:
    text = trailer.text("emergency-card.pdf")
    # 4 x 12.8 V x 200 Ah = 10.24 kWh, by hand
    assert "LFP, 10.2 kWh" in text
    assert (
        text.index("EVERYBODY OUT")
        < text.index("Cut main: Q1 OFF (side-bay)")
        < text.index("breaker at the post")
        < text.index("Array switch S1 OFF")
    )
    assert "detectors" in text
    assert "Nobody touches the metal of the vehicle and the ground at once" in text
    assert trailer.about("emergency-card.pdf")[0] == 1


def test_labels_and_binder_bear_a_code_that_says_job_revision_and_file_and_no_address_of_the_web(
    trailer: Made,
) -> None:
    told = f"larkspur - {trailer.done.checked.opened.rig.sha256[:12]}"
    for name in ("labels.pdf", "contents.pdf", "binder.pdf"):
        assert trailer.has(name, f"This job, revision and file: {told}")
        assert "http" not in trailer.text(name)


def test_spans_of_the_year_stand_in_words(trailer: Made) -> None:
    for name in ("how-it-lives.pdf", "energy.pdf", "quote.pdf"):
        text = trailer.text(name)
        assert "20 April to 20 October" in text
        assert not re.search(r"\d\d-\d\d\.\.\d\d-\d\d", text)


def test_the_year_gives_hours_and_litres_their_own_unit() -> None:
    rig = str(DEMOS / "cabin" / "rig.yaml")
    m = replace(material("cabin/rig.yaml", words()), year=year_kept(open_rig(rig), years=1))
    sums = next(b for b in energy_page(m).blocks if isinstance(b, Table) and b.rows[0][0] == "from the array")
    units = {row[0]: row[2] for row in sums.rows}
    assert units["from the array"] == "kWh"
    assert units["generator runs"] == "hours"
    assert units["fuel for that"] == "litres"


@pytest.mark.parametrize("card", ["how-it-lives", "emergency-card", "leave-it-card", "wake-up-card"])
def test_a_card_is_one_side(trailer: Made, van: Made, card: str) -> None:
    assert trailer.about(f"{card}.pdf")[0] == 1
    assert van.about(f"{card}.pdf")[0] == 1


def test_labels_are_printed_at_their_size(trailer: Made) -> None:
    # 5 mm capitals of a face whose capitals are 0.66 of its size: 7.6 mm = 21.5 pt; poppler's box of a word is taller than its size.
    tall = max(y2 - y1 for _, _, y1, _, y2, word in trailer.words("labels.pdf") if word == "daylight")
    assert tall >= 5 / 0.66 * 72 / 25.4
    text = trailer.text("labels.pdf")
    assert text.count("XP-U2-P-1") >= 2
    assert "PV DC — live in daylight — max 137 V" in text


def test_a_job_in_us_units_prints_feet_pounds_and_inches_on_letter(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rig = tmp_path / "rig.yaml"
    rig.write_text(SMALL)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1777680000")
    made = make(rig, tmp_path / "out")
    row = next(r for r in made.raw("cut-list.pdf", "-layout").splitlines() if re.match(r"\s*W04\s", r))
    assert " 4.59 " in row  # 1.4 m / 0.3048
    assert made.about("energy.pdf")[1:] == (612.0, 792.0)
    assert "each, lb" in made.text("parts-list.pdf")


def test_units_are_those_of_a_reference_library() -> None:
    ureg: Any = UnitRegistry()
    us = Units(us=True)
    for value in (0.5, 12.0, 104.0):
        pairs: list[tuple[Callable[[float], float | None], str, str]] = [
            (us.run, "m", "ft"), (us.little, "mm", "inch"), (us.heavy, "kg", "lb"), (us.turn, "N*m", "lbf*inch"),
        ]  # fmt: skip
        for convert, metric, other in pairs:
            assert convert(value) == pytest.approx(ureg.Quantity(value, metric).to(other).magnitude, rel=1e-9)
        assert us.warm(value) == pytest.approx(ureg.Quantity(value, "degC").to("degF").magnitude, rel=1e-9)
        assert Units().run(value) == value
    assert us.run(None) is None


def test_hours_are_the_task_tables_minutes() -> None:
    # Minutes of the trade's task library: lug 6-8, heavy cable 20, module on a membrane roof 75-90, gland 45, inverter 180-240,
    # commissioning 180, handover 90 (common practice, no source).
    minutes = {k: (int(a), int(b)) for k, (a, b) in packaged_tasks().minutes.items()}
    assert minutes["lug"] == (6, 8)
    assert minutes["module-roof"] == (75, 90)
    assert minutes["inverter"] == (180, 240)
    assert (
        minutes["heavy-cable"][0],
        minutes["gland"][0],
        minutes["commissioning"][0],
        minutes["handover"][0],
    ) == (20, 45, 180, 90)


HEAD = Head(
    "job",
    "title",
    "paper",
    "A",
    "built",
    "rules",
    "2026-05-02",
    "abc",
    "ohmwright",
    "codes rule",
    ("a", "b", "c", "d", "e", "f", "g", "h"),
)
STAMP = Stamp("2026-05-02", "abc", "A")
MARKUP = '#panic("x") [*bold*] $x^2$ @ref <label> \\ // comment /* */ = heading - list ~ _it_ `raw` #import "/etc/passwd"'


def test_text_of_a_rig_is_never_markup(tmp_path: Path) -> None:
    doc = Doc(replace(HEAD, job=MARKUP, title=MARKUP), (Text(MARKUP), Table((Column(MARKUP),), ((MARKUP,),))))
    path = tmp_path / "a.pdf"
    path.write_bytes(pdf_of((doc,), Press(str(FONTS), STAMP), MARKUP))
    made = Made(tmp_path, None)  # type: ignore[arg-type]
    assert made.text("a.pdf").count("#panic") >= 4
    assert made.has("a.pdf", MARKUP)


def test_a_face_that_is_missing_stops_the_press(tmp_path: Path) -> None:
    with pytest.raises(OhmwrightError, match="is not there to print with"):
        pdf_of((Doc(HEAD, (Text("x"),)),), Press(str(tmp_path), STAMP), "x")


def test_a_face_that_is_unknown_to_the_template_is_a_failure_not_a_fallback(tmp_path: Path) -> None:
    template = (FONTS.parent / "paper.typ").read_bytes()
    (tmp_path / "paper.typ").write_bytes(template.replace(b'("Source Sans 3",)', b'("Source Sans 4",)'))
    (tmp_path / "fonts").symlink_to(FONTS)
    with pytest.raises(RuntimeError, match="unknown font family"):
        pdf_of((Doc(HEAD, (Text("x"),)),), Press(str(tmp_path / "fonts"), STAMP), "x")


def test_a_sum_with_an_unknown_in_it_is_unknown() -> None:
    t = Table((Column("n", 0, summed=True),), ((1,), (None,), (3,)))
    assert total_of(t, 0) is None
    assert shown(None, t.columns[0]) == "?"
    assert total_of(Table(t.columns, ((1,), ("same cable",), (3,))), 0) == 4


@pytest.mark.slow
def test_the_owner_is_told_a_likelihood_from_many_years(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from ohmwright.services.papers import papers

    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1777680000")
    done = papers(str(DEMOS / "trailer" / "rig-built.yaml"), str(tmp_path))
    made = Made(tmp_path, done)
    assert done.year is not None
    assert done.year.years > 1
    for sentence in done.year.verdict:
        for name in ("quote.pdf", "energy.pdf", "how-it-lives.pdf"):
            assert made.has(name, sentence)
    for storage in done.year.storage:
        assert made.has("leave-it-card.pdf", f"Somebody must act before {storage.act_before}")
