"""What the commissioning form expects, against figures worked by hand on the trade's own pages."""

import re

import pytest
from tests.papers.packs import material

from ohmwright.papers.catalogue import words
from ohmwright.papers.commissioning import ORDER, commissioning_form
from ohmwright.papers.doc import Table
from ohmwright.papers.expected import ROWS
from ohmwright.papers.expected_array import insulation_band
from ohmwright.papers.material import Material
from ohmwright.working import Figure


@pytest.fixture(scope="module")
def trailer() -> Material:
    """The trailer as built."""
    return material("trailer/rig-built.yaml", words())


def _said(m: Material, test: str, subject: str = "") -> str:
    return dict(ROWS[test](m))[subject]


def test_open_volts_are_told_at_three_cell_temperatures(trailer: Material) -> None:
    # By hand: 3 x 37.1 V = 111.3 V; -0.27 %/K: x 1.0675 at 0 degC, x 0.9325 at 50 degC.
    assert "118.8 V @ 0 °C · 111.3 V @ 25 °C · 103.8 V @ 50 °C" in _said(trailer, "9", "M.1")
    assert "(1 − 0.27/100 × (Tc − 25))" in _said(trailer, "9", "M.1")


def test_array_power_at_full_sun_is_the_plates_less_five_per_cent(trailer: Material) -> None:
    assert "1168 W @ 1000 W/m²" in _said(trailer, "16")  # 3 x 410 W x 0.95


def test_the_drop_of_the_home_run_is_that_of_the_printed_resistance(trailer: Material) -> None:
    # 12.5 m of 10 AWG there and back at 13.2 A.  NEC chapter 9 table 8, 10 AWG stranded, 75 degC: 4.07 ohm/km, tinned or bare
    # within 4 % (from memory): 25 m x 4.07 = 101.8 mohm, 1.34 V.
    told = re.match(r"([\d.]+) mV/A @ 75 °C .*: (\d+) mV @ 13.2 A", _said(trailer, "17", "U1"))
    assert told
    assert float(told[1]) == pytest.approx(101.8, rel=0.04)
    assert float(told[2]) == pytest.approx(1343, rel=0.04)


def test_the_charger_asks_the_post_for_what_it_gives_the_bank(trailer: Material) -> None:
    # 85 A x 14.2 V = 1,207 W into the bank; at 88 % that is 1,372 W, 11.4 A at 120 V.
    assert _said(trailer, "26", "U2") == "85 A × 14.2 V / 0.88 = 1372 W, 11.4 A @ 120 V"


def test_batteries_share_as_a_ladder_of_four_does(trailer: Material) -> None:
    # Diagonal take-off of four: the outer two carry more, all within 8 % of the mean (common practice) at full load.
    shares = [int(_said(trailer, "21", f"B.{k}").split(", ")[1].rstrip(" %")) for k in range(1, 5)]
    assert sum(shares) == pytest.approx(100, abs=2)
    assert shares[0] == shares[3] > shares[1] == shares[2]


def test_the_volts_at_full_load_are_those_of_a_full_bank_above_its_own_cut_off(trailer: Material) -> None:
    # By hand: 3000 W / 0.88 at U with U = 4 x 3.38 V - R I; R between the bank's own and twice that with cables.
    told = re.match(r"100 %: ([\d.]+) V, (\d+) A", _said(trailer, "21", "U2"))
    assert told
    volts, amps = float(told[1]), float(told[2])
    cut = trailer.rig.settings["U2"]["cut-off"]

    assert isinstance(cut, Figure)
    assert cut.value < volts < 4 * 3.38
    assert volts * amps == pytest.approx(3000 / 0.88, rel=0.08)


def test_a_low_bank_that_would_stop_the_inverter_is_told_with_its_setting(trailer: Material) -> None:
    told = re.search(
        r"at 20 % only ([\d.]+) V would be left: it stops at its ([\d.]+) V", _said(trailer, "21", "U2")
    )

    assert told
    assert float(told[1]) < float(told[2]) == 12.0


@pytest.mark.parametrize(
    ("volts", "test", "least"),
    # IEC 62446-1:2016 bands (from memory) on 1.25 Voc; values IEC 60364-6 table 6A (second-hand): below 120 V, to 500 V, above.
    [(119.9, 250, 0.5), (120.0, 500, 1), (139.0, 500, 1), (500.0, 500, 1), (500.1, 1000, 1)],
)
def test_the_insulation_test_follows_the_bands_of_its_page(volts: float, test: float, least: float) -> None:
    assert [p.value for p in insulation_band(volts)] == [test, least]


def test_the_string_of_the_trailer_is_tested_with_five_hundred_volts(trailer: Material) -> None:
    assert _said(trailer, "5", "M.1") == "1.25 × 111.3 V = 139 V: 500 V, ≥ 1 MΩ"


def test_each_guarding_device_is_told_with_the_rating_that_has_to_be_in_it(trailer: Material) -> None:
    assert "400 A" in _said(trailer, "1", "F1")
    assert "160 A" in _said(trailer, "1", "B.1.F")


def test_settings_lockout_full_mark_and_management_stand_on_the_form(trailer: Material) -> None:
    assert "absorption: 14.2 V" in _said(trailer, "14", "U1")
    assert "no charge below 2 °C" in _said(trailer, "32", "U1")
    assert "end-current: 16 A" in _said(trailer, "35", "R1")
    assert _said(trailer, "33", "B") == "> 14.6 V · < 10 V"


@pytest.mark.parametrize("demo", ["trailer/rig.yaml", "boat/rig.yaml", "cabin/rig.yaml", "van/rig.yaml"])
def test_every_row_says_what_is_expected_with_what_tolerance_and_what_to_note(demo: str) -> None:
    m = material(demo, words())
    table = next(b for b in commissioning_form(m).blocks if isinstance(b, Table))
    for row in table.rows:
        if len(row) > 1:
            assert row[1]
            assert row[2]
            assert row[3]


def test_the_bank_is_joined_before_the_sun_and_settings_before_any_charger() -> None:
    place = {test: n for n, test in enumerate(ORDER)}
    assert place["11"] < place["14"] < place["15"] < place["26"]
    assert place["43"] < place["18"]
    assert ORDER[-1] == "40"


def test_the_shunt_sees_nothing_of_a_load_that_the_bank_never_feeds() -> None:
    # The boat's water heater hangs behind a contact that closes on outside supply alone.
    told = _said(material("boat/rig.yaml", words()), "13", "water-heater")
    assert "on outside supply alone" in told
    assert " A" not in told


@pytest.fixture(scope="module")
def van() -> Material:
    """The van as found: a string of two unlike modules, on a lead of unknown length, into a controller that only switches."""
    return material("van/rig.yaml", words())


def test_a_string_of_unlike_modules_is_the_sum_of_what_stands_on_each(van: Material) -> None:
    # By hand from the two plates: 23.5 V at -0.29 %/K and 22.0 V at -0.30 %/K; at 0 degC 25.20 + 23.65 V.
    assert "48.9 V @ 0 °C · 45.5 V @ 25 °C" in _said(van, "9", "M.1")
    assert _said(van, "5", "M.1").startswith("1.25 × 45.5 V")
    assert "9.4 A, PV module 100 W 5.8 A" in _said(van, "10", "M.1")


def test_a_line_of_unknown_length_has_no_expected_drop(van: Material) -> None:
    told = _said(van, "17", "U1")

    assert "length of W01 is not in the file" in told
    assert "mV" not in told


def test_a_controller_that_only_switches_is_not_asked_for_the_watts_of_the_plates(van: Material) -> None:
    assert "at most 9.4 A × G/1000 × Vb" in _said(van, "16")
