"""As many made years as it takes: blocks until the printed errors are small, or a thousand."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.asks import Asks
from ohmwright.energy.beside import Beside
from ohmwright.energy.chance import ManyYears, joined, many_years, quantile, quantile_error
from ohmwright.energy.kernel import Kernel
from ohmwright.energy.plan import EnergyPlan
from ohmwright.energy.spread import Spread
from ohmwright.sky.types import Spot

#: A year in twenty wants 500 years for an error of 8 % in its own number, 1000 for 6 % (order statistics).
LEAST_years, MORE_years, MOST_years = 512, 128, 1024
#: Small enough for one year in ten: half a night or 3 % of the nights printed, 0.1 kWh or 5 % of what is not given.
SMALL = ((0.5, 0.03), (0.1, 0.05))
#: One year in twenty may be so many times as unsure.
TWENTIETH_times = 3.0


def enough_years(
    kernel: Kernel,
    plan: EnergyPlan,
    spots: Sequence[Spot],
    seed: int,
    *,
    spread: Spread | None = None,
    shade: Mapping[str, NDArray[np.float64]] | None = None,
    asks: Asks | None = None,
    beside: tuple[Beside, ...] = (),
    parts: int = 1,
    workers: int = 2,
) -> ManyYears:
    """Years until the errors of the year in ten and the year in twenty are small; the same seed stops at the same number."""
    many = many_years(kernel, plan, spots, LEAST_years, seed, spread=spread, shade=shade, asks=asks, beside=beside, parts=parts, workers=workers)  # fmt: skip
    while len(many.daily) < MOST_years and not is_sure(many):
        more = many_years(
            kernel, plan, spots, MORE_years, seed,
            first=len(many.daily), spread=spread, shade=shade, asks=asks, beside=beside, parts=parts, workers=workers,
        )  # fmt: skip
        many = joined(many, more)
    return many


def is_sure(many: ManyYears) -> bool:
    """Whether nights lost and energy not given are known well enough at one year in ten and one in twenty."""
    nights, unserved = many.nights_lost(), many.lacking_Wh().sum(axis=1) / 1000.0
    for values, (least, ratio) in zip((nights, unserved), SMALL, strict=True):
        for p, times in ((0.9, 1.0), (0.95, TWENTIETH_times)):
            if quantile_error(values, p) > times * max(least, ratio * quantile(values, p)):
                return False
    return True
