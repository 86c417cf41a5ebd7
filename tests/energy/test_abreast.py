"""Candidates abreast get what each would get alone, to the last bit."""

from dataclasses import replace

import numpy as np
import pytest

from ohmwright.energy.abreast import SameYears, plans_abreast
from ohmwright.energy.chance import many_years
from ohmwright.energy.kernel import Kernel
from ohmwright.energy.plan import Array, EnergyPlan, Plane
from ohmwright.energy.spread import Spread
from ohmwright.sky.spots import spot_at


def changed(plan: EnergyPlan, array: Array) -> dict[str, EnergyPlan]:
    """Every kind of change that shares something, or nothing, with the base."""
    stay, bank = plan.stays[0], plan.bank

    def arrays(new: Array) -> EnergyPlan:
        return replace(plan, trackers=(replace(plan.trackers[0], arrays=(new,)),))

    less = {m: replace(d, dc_W=tuple(0.5 * w for w in d.dc_W)) for m, d in stay.days.items()}
    return {
        "as it is": plan,
        "more array": arrays(replace(array, rated_W=1.4 * array.rated_W)),
        "tilted": arrays(replace(array, planes=(Plane(30.0, 180.0),))),
        "more bank": replace(plan, bank=replace(bank, capacity_Ah=1.5 * bank.capacity_Ah)),
        "less load": replace(plan, stays=(replace(stay, days=less),)),
        "pitches in the shade": replace(plan, stays=(replace(stay, shade_ratio=0.3),)),
        "warmer bank": replace(
            plan,
            bank=replace(bank, regime="outside", kept_above_degC=7.0, heater_W=60.0, heated_by_surplus=True),
        ),
        "warmer bank, more array": replace(
            arrays(replace(array, rated_W=1.4 * array.rated_W)),
            bank=replace(bank, regime="outside", kept_above_degC=7.0, heater_W=60.0, heated_by_surplus=True),
        ),
    }


@pytest.mark.parametrize(("years", "workers"), [(5, 1), (40, 2)])
def test_a_candidate_abreast_is_the_candidate_alone(
    kernel: Kernel, plan: EnergyPlan, array: Array, years: int, workers: int
) -> None:
    spots = [spot_at(46.8, -92.1, 200.0)] * len(plan.stays)
    shade = {array.id: np.where(np.arange(8760) % 24 < 12, 0.7, 1.0)}
    spread = Spread()
    plans = changed(plan, array)
    base = many_years(kernel, plan, spots, years, 3, spread=spread, shade=shade, workers=1)

    same = SameYears(kernel, base, spots, shade=shade, workers=workers)
    got = plans_abreast(same, list(plans.values()), years)
    # What the same years were asked before does not show, nor what was dropped meanwhile.
    assert np.array_equal(plans_abreast(same, list(plans.values()), years).lacking_Wh, got.lacking_Wh)
    assert np.array_equal(plans_abreast(same, [plan], years - 3, first=3).lacking_Wh, got.lacking_Wh[:1, 3:])

    for k, (name, one) in enumerate(plans.items()):
        alone = many_years(kernel, one, spots, years, 3, spread=spread, shade=shade, plugged=False, workers=1)
        assert np.array_equal(got.nights_lost[k], alone.nights_lost()), name
        assert np.array_equal(got.lacking_Wh[k], alone.lacking_Wh().sum(axis=1)), name
