"""Names of places and coordinates as people write them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmwright.sky.places import find, parse_coordinates, place, suggestion
from ohmwright.working import OhmwrightError


# Positions: common knowledge, to a tenth of a degree.
@pytest.mark.parametrize(
    ("name", "latitude", "longitude"),
    [("Duluth MN", 46.8, -92.1), ("Duluth, Minnesota", 46.8, -92.1), ("Duluth GA", 34.0, -84.1), ("Galway", 53.3, -9.1), ("Brest, France", 48.4, -4.5),
     ("Brest", 52.1, 23.7), ("Ponta Delgada", 37.7, -25.7), ("Azores", 37.7, -25.7), ("Phoenix", 33.4, -112.1), ("Seattle", 47.6, -122.3),
     ("oslo", 59.9, 10.8), ("London", 51.5, -0.1), ("Zurich", 47.4, 8.6), ("Zürich", 47.4, 8.6), ("Brittany", 47.8, -3.4)],
)  # fmt: skip
def test_a_name_leads_to_its_place(name: str, latitude: float, longitude: float) -> None:
    found = find(name)

    assert found is not None
    assert found.latitude_deg == pytest.approx(latitude, abs=0.15)
    assert found.longitude_deg == pytest.approx(longitude, abs=0.15)


def test_smaller_places_of_the_same_name_are_told() -> None:
    found = find("Brest")

    assert found is not None
    assert found.full_name == "Brest, BY"
    assert "Brest, FR" in found.others


def test_a_town_in_the_wrong_state_is_not_found() -> None:
    assert find("Duluth TX") is None


def test_a_misspelt_name_is_answered_with_the_nearest() -> None:
    assert suggestion("Seatle") == "Seattle, WA US"
    with pytest.raises(OhmwrightError, match="no place named 'Galwey'") as refused:
        place("Galwey")
    assert "Galway, IE" in refused.value.remedy
    assert "46.78 N" in refused.value.remedy


def test_coordinates_are_read_as_people_write_them() -> None:
    for text in ("61.9 N 9.0 E 840 m", "61.9N, 9.0E, 840m", "61.9° N 9.0° E 2756 ft"):
        point = parse_coordinates(text)
        assert (point.latitude_deg, point.longitude_deg) == (61.9, 9.0)
        assert point.altitude_m == pytest.approx(840, abs=0.1)
    assert parse_coordinates("33.9 S 70.5 W").latitude_deg == -33.9
    assert parse_coordinates("33.9 S 70.5 W").altitude_m is None
    assert place("61.9 N 9.0 E 840 m").altitude_m == 840


@pytest.mark.parametrize(
    "text",
    [
        "",
        "61.9",
        "61.9 E 9.0 N",
        "95 N 9 E",
        "61,9 N 9,0 E",
        "61.9 N 190 E",
        "nowhere",
        "1e3 N 2 E",
        "٦١ N 9 E",
    ],
)
def test_what_is_no_point_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(OhmwrightError) as refused:
        parse_coordinates(text)
    assert refused.value.remedy


@given(st.text(max_size=40))
def test_any_text_is_a_place_or_none(text: str) -> None:
    found = find(text)

    assert found is None or -90 <= found.latitude_deg <= 90
