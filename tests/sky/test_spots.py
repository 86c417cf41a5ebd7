"""The climate table against typical-year files, its traps, and the figures that people type."""

import subprocess
import sys
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ohmwright.rig.model import Stay
from ohmwright.sky import table
from ohmwright.sky.spots import (
    ISLAND_percent,
    LAND_percent,
    MOST_FAR_km,
    clear_sky_ratios,
    doubts,
    spot_at,
    with_typed,
)
from ohmwright.sky.types import Spot
from ohmwright.study.stays import spot_of
from ohmwright.working import OhmwrightError


def year(spot: Spot) -> float:
    return sum(spot.ghi_kWh_m2_day) / 12


# Monthly means (kWh/m2 and day) of typical-year files: TMY3 703165 Sand Point AK, TMY3 723170 Greensboro NC and
# TMY2 12839 Miami FL, which pvlib ships, summed here.  A typical month is one chosen real month and the table is
# good to 15 %; the year is held to 6 %, a month to 40 % (Sand Point lies on a mountainous island coast).
FILES: dict[tuple[float, float, float], tuple[float, ...]] = {
    (55.317, -160.517, 7): (0.58, 1.05, 1.85, 3.06, 3.28, 3.81, 5.00, 2.70, 3.04, 1.61, 0.74, 0.46),
    (36.1, -79.95, 273): (2.41, 3.06, 4.25, 5.41, 5.64, 6.25, 6.08, 5.61, 4.43, 3.59, 2.43, 2.24),
    (25.8, -80.267, 2): (3.49, 4.43, 5.16, 6.16, 6.03, 5.76, 5.99, 5.67, 4.91, 4.37, 3.57, 3.36),
}


@pytest.mark.parametrize("place", FILES)
def test_the_table_gives_the_year_of_a_typical_year_file_within_six_per_cent(
    place: tuple[float, float, float],
) -> None:
    spot = spot_at(*place)

    assert year(spot) == pytest.approx(sum(FILES[place]) / 12, rel=0.06)


def test_single_months_scatter_no_more_than_the_printed_band_says() -> None:
    errors = [
        g / f - 1
        for place, file in FILES.items()
        for g, f in zip(spot_at(*place).ghi_kWh_m2_day, file, strict=True)
    ]
    rms = (sum(e * e for e in errors) / len(errors)) ** 0.5

    assert rms < 0.16
    assert max(map(abs, errors)) < 0.40


# Air temperature: mean of the same files, computed here; typical years differ from the mean climate by about 1 K,
# the worst months by more.
def test_the_air_is_that_of_the_files_within_two_degrees_over_the_year() -> None:
    assert sum(spot_at(25.8, -80.267, 2).air_degC) / 12 == pytest.approx(24.3, abs=2)
    assert sum(spot_at(36.1, -79.95, 273).air_degC) / 12 == pytest.approx(14.4, abs=2)


def test_the_polar_night_has_no_sun_and_no_hole() -> None:
    spot = spot_at(71.25, 27.25)

    assert spot.ghi_kWh_m2_day[11] < 0.03
    assert all(g >= 0 for g in spot.ghi_kWh_m2_day)
    assert spot.ghi_kWh_m2_day[5] > 3


def test_the_date_line_and_greenwich_are_no_seams() -> None:
    west, east = spot_at(66.5, -179.9), spot_at(66.5, 179.9)
    assert west.air_degC[0] == pytest.approx(east.air_degC[0], abs=1.0)
    assert year(west) == pytest.approx(year(east), rel=0.02)

    london, beside = spot_at(51.5, -0.05), spot_at(51.5, 0.05)
    assert all(abs(a - b) < 0.3 for a, b in zip(london.air_degC, beside.air_degC, strict=True))


def test_an_island_says_how_far_and_by_what_method() -> None:
    barbados = spot_at(13.1, -59.6)

    assert "island" in barbados.method
    assert barbados.band_percent == ISLAND_percent > LAND_percent
    assert barbados.cell_km < 60


def test_the_open_sea_is_refused_unless_asked() -> None:
    with pytest.raises(OhmwrightError, match="no climate within 111 km") as refused:
        spot_at(37.74, -25.67, name="Azores")
    assert "weather file" in refused.value.remedy

    asked = spot_at(37.74, -25.67, name="Azores", far=True)
    assert asked.cell_km > 1000
    assert asked.band_percent == pytest.approx(
        40, abs=2
    )  # 25 % of an island and 0.85 of the root of its kilometres
    assert "far" in asked.method


def test_a_coast_stands_for_the_sea_only_so_far_and_its_band_grows_with_the_way() -> None:
    near, far = spot_at(44.0, -15.0, far=True), spot_at(37.74, -25.67, far=True)
    assert near.cell_km < far.cell_km <= MOST_FAR_km
    assert near.band_percent < far.band_percent

    with pytest.raises(
        OhmwrightError, match="no climate within 2500 km of the middle of the Pacific"
    ) as refused:
        spot_at(-35.0, -125.0, name="the middle of the Pacific", far=True)
    assert "--weather FILE" in refused.value.remedy


def test_rules_take_no_climate_from_a_coast_further_than_was_tried() -> None:
    azores, pacific = (
        spot_of(Stay((5, 1), (6, 1), latitude_deg=lat, longitude_deg=lon))
        for lat, lon in ((37.74, -25.67), (-35.0, -125.0))
    )
    assert azores is not None
    assert azores.band_percent > 35
    assert pacific is None


def test_a_higher_place_is_colder_and_a_valley_no_warmer_in_its_coldest_night() -> None:
    table_height, up, down = spot_at(46.8, 8.2), spot_at(46.8, 8.2, 3000.0), spot_at(46.8, 8.2, 400.0)
    assert table_height.altitude_m is not None
    rise = 3000 - table_height.altitude_m

    assert up.air_degC[0] == pytest.approx(table_height.air_degC[0] - 6.5 * rise / 1000, abs=0.02)  # ISO 2533
    assert up.coldest_degC < table_height.coldest_degC
    assert down.air_degC[0] > table_height.air_degC[0]
    assert down.coldest_degC == table_height.coldest_degC
    assert down.hottest_degC > table_height.hottest_degC


def test_no_place_is_off_the_globe() -> None:
    for latitude, longitude in ((91, 0), (0, 181), (-90.5, 0)):
        with pytest.raises(OhmwrightError, match="no such place"):
            spot_at(latitude, longitude)


@given(st.floats(-90, 90), st.floats(-180, 180))
@settings(max_examples=150, deadline=None)
def test_every_point_has_a_climate_or_a_reason(latitude: float, longitude: float) -> None:
    try:
        spot = spot_at(latitude, longitude)
    except OhmwrightError:
        with pytest.raises(OhmwrightError, match="no climate within 111 km"):
            spot_at(latitude, longitude)
        return
    assert spot.cell_km <= 111
    assert all(0 <= g < 10 for g in spot.ghi_kWh_m2_day)
    assert spot.coldest_degC < min(spot.air_degC) <= max(spot.air_degC) < spot.hottest_degC
    assert all(r <= 1.10 for r in clear_sky_ratios(spot)) or abs(latitude) > 65


def test_the_table_names_its_sources_and_its_version() -> None:
    said = " ".join(table.table_sources().values())

    assert "10.1175/JCLI-D-16-0758.1" in said
    assert "10.1016/j.energy.2016.08.060" in said
    assert "Copernicus" in said
    assert "GeoNames" in said
    assert table.table_id().startswith("B-2011-2018-")


def test_typed_figures_beat_the_table() -> None:
    table_says = spot_at(46.78, -92.1, name="Duluth MN")
    typed = with_typed(
        table_says, coldest_degC=-34, ghi=[1.5, 2.5, 3.6, 4.6, 5.4, 6.0, 6.2, 5.2, 4.0, 2.6, 1.5, 1.2]
    )

    assert typed.coldest_degC == -34
    assert typed.ghi_kWh_m2_day[0] == 1.5
    assert typed.method == "typed"
    assert typed.air_degC == table_says.air_degC


# A June mean of 8.4 kWh/m2 and day at Phoenix, written from memory in a design paper, stands at 1.01 of the clear
# sky there: doubted, not refused.
def test_a_month_at_the_clear_sky_is_doubted_and_one_far_above_it_refused() -> None:
    phoenix = spot_at(33.43, -112.02, 340)
    figures = [3.2, 4.3, 5.5, 7.1, 8.0, 8.4, 7.6, 7.1, 6.1, 4.9, 3.6, 3.0]
    doubted = with_typed(phoenix, ghi=figures)
    assert any("June" in said for said in doubts(doubted))
    assert not any("December" in said for said in doubts(doubted))

    with pytest.raises(OhmwrightError, match=r"June is 1\.2"):
        with_typed(phoenix, ghi=[*figures[:5], 10.1, *figures[6:]])
    with pytest.raises(OhmwrightError, match="11 figures"):
        with_typed(phoenix, ghi=figures[:11])
    with pytest.raises(OhmwrightError, match="out of the world's range"):
        with_typed(phoenix, coldest_degC=-120)


def test_a_coldest_night_above_the_coldest_month_is_doubted() -> None:
    assert any("coldest" in said for said in doubts(replace(spot_at(46.78, -92.1), coldest_degC=5.0)))
    assert doubts(spot_at(46.78, -92.1)) == ()


def test_a_spot_is_found_without_loading_numpy() -> None:
    code = "import sys; from ohmwright.sky.spots import spot_at; from ohmwright.sky.places import place; spot_at(46.8, -92.1); place('Oslo'); print('numpy' in sys.modules)"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert told.stdout.strip() == "False"
