"""Nights lost against the size of array and bank."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ohmwright.energy.abreast import SameYears, like_all
from ohmwright.energy.chance import many_years
from ohmwright.energy.from_rig import plan_of
from ohmwright.energy.kernel import Kernel
from ohmwright.energy.sizes import sizes_of
from ohmwright.energy.spread import Spread
from ohmwright.services.opening import open_rig
from ohmwright.services.year import kernel_folder
from ohmwright.sky.spots import spot_at

DEMOS = Path(kernel_folder.__code__.co_filename).parent / "demos"


@pytest.fixture(scope="module")
def sizes(kernel: Kernel) -> dict[str, Any]:
    rig = open_rig(str(DEMOS / "trailer" / "rig.yaml")).rig
    plan = plan_of(rig)
    spots = [spot_at(46.8, -92.1, 200.0, "Duluth MN")] * len(plan.stays)
    many = many_years(kernel, plan, spots, 64, 3, spread=Spread(), plugged=False, workers=1)
    told = sizes_of(SameYears(kernel, many, spots, workers=1), rig, years=64)
    assert told is not None
    now = next(r for r in told["rows"] if r["is_now"])
    assert now["nights_usual"] == float(np.quantile(many.nights_lost(), 0.5, method="inverted_cdf"))
    return told


def by_size(sizes: dict[str, Any], name: str) -> dict[tuple[float, float], float]:
    return {(r["array_W"], r["bank_Ah"]): r[name] for r in sizes["rows"]}


# A law, no measured truth: through the same years a larger array or bank never loses more nights.
@pytest.mark.parametrize("name", ["nights_one_in_ten", "any_probability"])
def test_more_array_and_more_bank_never_lose_more_nights(sizes: dict[str, Any], name: str) -> None:
    told = by_size(sizes, name)
    watts, hours = sorted({w for w, _ in told}), sorted({h for _, h in told})
    grid = np.array([[told[w, h] for w in watts] for h in hours])

    assert grid.shape == (4, 5)
    assert (np.diff(grid, axis=0) <= 0).all()
    assert (np.diff(grid, axis=1) <= 0).all()


def test_sizes_go_by_the_rigs_own_modules_and_batteries(sizes: dict[str, Any]) -> None:
    now = [r for r in sizes["rows"] if r["is_now"]]
    each_W = {r["array_W"] / r["modules"] for r in sizes["rows"]}
    each_Ah = {r["bank_Ah"] / r["batteries"] for r in sizes["rows"]}

    assert len(now) == 1
    assert len(each_W) == len(each_Ah) == 1
    assert all(r["nights_error"] > 0.0 for r in sizes["rows"])
    assert "not looked at" in sizes["words"] or "not size" in sizes["words"]


def test_the_stretch_of_years_is_the_one_most_like_all() -> None:
    rng = np.random.default_rng(1)
    nights = np.concatenate([rng.poisson(9, 64), rng.poisson(5, 64), rng.poisson(1, 64)])

    assert like_all(nights, 64) in (32, 64, 96)
    assert like_all(nights, len(nights)) == 0
