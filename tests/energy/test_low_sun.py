"""The same years were the table wrong to the dark side."""

from dataclasses import replace

import pytest

from ohmwright.energy.abreast import SameYears
from ohmwright.energy.chance import many_years, quantile
from ohmwright.energy.kernel import Kernel
from ohmwright.energy.low_sun import band_percent, darker, low_sun_of
from ohmwright.energy.plan import EnergyPlan
from ohmwright.energy.spread import Spread
from ohmwright.sky.spots import spot_at
from ohmwright.sky.types import Spot


@pytest.fixture(scope="module")
def duluth() -> Spot:
    return spot_at(46.8, -92.1, 200.0, "Duluth MN")


def test_less_light_falls_on_every_array_beside_what_it_loses_anyway(plan: EnergyPlan) -> None:
    for before, after in zip(plan.trackers, darker(plan, 15.0).trackers, strict=True):
        for a, b in zip(before.arrays, after.arrays, strict=True):
            assert b.kept_ratio == pytest.approx(0.85 * a.kept_ratio)


def test_the_band_is_the_widest_of_the_places_that_are_lived_in(plan: EnergyPlan, duluth: Spot) -> None:
    stays = (
        replace(plan.stays[0], first_day=0, last_day=180),
        replace(plan.stays[0], first_day=181, last_day=364, mode="laid-up"),
    )
    far = replace(duluth, band_percent=41.0)

    assert band_percent(replace(plan, stays=stays), [duluth, far]) == 15.0
    assert band_percent(replace(plan, stays=stays), [far, duluth]) == 41.0


def test_darker_months_lose_no_fewer_nights_and_no_band_changes_nothing(
    kernel: Kernel, plan: EnergyPlan, duluth: Spot
) -> None:
    many = many_years(kernel, plan, [duluth], 32, 3, spread=Spread(), plugged=False, workers=1)
    sure = low_sun_of(SameYears(kernel, many, [replace(duluth, band_percent=0.0)], workers=1))
    wide, wider = (
        low_sun_of(SameYears(kernel, many, [replace(duluth, band_percent=p)], workers=1))
        for p in (15.0, 60.0)
    )
    assert sure is not None
    assert wide is not None
    assert wider is not None
    now = quantile(many.nights_lost(), 0.9)

    assert sure["nights_one_in_ten"] == now
    assert now <= wide["nights_one_in_ten"] <= wider["nights_one_in_ten"]
    assert wider["nights_one_in_ten"] > now
    assert "60 % darker" in wider["words"]
