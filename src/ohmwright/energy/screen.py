"""Many candidates through the same made years: which of them could keep a promise.

Screening is in single precision and takes the bank's temperature from the base plan; whatever it picks is worked out
again by `chance.many_years` before anybody is told a number.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import DTypeLike, NDArray

from ohmwright.energy.batch import rigs_in_year
from ohmwright.energy.chance import sunniest_day
from ohmwright.energy.kernel import BY_YEAR, LANES, Kernel
from ohmwright.energy.loop import by_rig
from ohmwright.energy.plan import EnergyPlan
from ohmwright.energy.series import lived_days, row_array, stay_of_day
from ohmwright.energy.skies import skies_of
from ohmwright.energy.step import BY_HOUR
from ohmwright.sky.types import Spot

_COLUMNS = [BY_HOUR.index(name) for name in BY_YEAR[:4]]
_DC = BY_HOUR.index("dc_W")


@dataclass(frozen=True, slots=True)
class Screened:
    """By candidate and year."""

    nights_lost: NDArray[np.int64]
    unserved_Wh: NDArray[np.float64]
    running_h: NDArray[np.float64]


def screen(
    kernel: Kernel,
    base: EnergyPlan,
    candidates: Sequence[EnergyPlan],
    spots: Sequence[Spot],
    years: int,
    seed: int,
    *,
    dtype: DTypeLike = np.float32,
    workers: int = 2,
) -> Screened:
    """Run candidates through the same years.

    A candidate may differ from `base` in the size of its array, in its bank, inverter, charger, controller limit and
    generator, not in its stays or in how its modules lie.  Nights lost count the days on which somebody is there.
    """
    counted = np.array([s is None or not s.isolated for s in stay_of_day(base.stays)])
    lived = lived_days(base.stays)
    factors = [_factors(base, c) for c in candidates]
    rigs = [by_rig(c) for c in candidates]
    asked = row_array(base)
    first_day = sunniest_day(spots)
    nights, unserved, running = [], [], []
    for start in range(0, years, LANES):
        skies, _ = skies_of(kernel, base, spots, start, min(LANES, years - start), seed)
        for sky in skies:
            rows = asked.copy()
            rows[:, _COLUMNS] = sky[:4].T
            rows[:, _DC] += sky[4]
            totals = rigs_in_year(
                kernel,
                rows,
                rigs,
                factors,
                first_day,
                counted=counted,
                lived=lived,
                dtype=dtype,
                workers=workers,
            )
            nights.append(totals.nights_lost)
            unserved.append(totals.unserved_Wh)
            running.append(totals.running_h)
    return Screened(np.stack(nights, axis=1), np.stack(unserved, axis=1), np.stack(running, axis=1))


def _factors(base: EnergyPlan, plan: EnergyPlan) -> tuple[float, ...]:
    """What multiplies array power, loads, resistance, charging and discharging current of the base."""
    size = sum(a.rated_W for t in plan.trackers for a in t.arrays)
    base_size = sum(a.rated_W for t in base.trackers for a in t.arrays)
    return (
        size / base_size if base_size else 0.0,
        1.0,
        plan.bank.resistance_ohm / base.bank.resistance_ohm,
        plan.bank.charge_A / base.bank.charge_A,
        plan.bank.discharge_A / base.bank.discharge_A,
    )
