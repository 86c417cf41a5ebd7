"""Candidates abreast: several plans through the same made years, weather made once for all of them."""

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.batch import pack, years_of_rig
from ohmwright.energy.chance import ManyYears, quantile, sunniest_day
from ohmwright.energy.kernel import BY_YEAR, DAILY, LANES, Kernel, Reals
from ohmwright.energy.one_year import WHOLE_Wh
from ohmwright.energy.plan import EnergyPlan
from ohmwright.energy.series import lived_days, stay_of_day
from ohmwright.energy.skies import (
    ARRAY,
    Floats,
    Made,
    Ready,
    given_by_arrays,
    made_days,
    made_weather,
    ready,
    skies_from,
)
from ohmwright.energy.spread import factors_of
from ohmwright.sky.types import Spot

_UNSERVED = DAILY.index("unserved_Wh")


@dataclass(frozen=True, slots=True)
class Abreast:
    """By plan and year: nights lost, and what was asked for and not given."""

    nights_lost: NDArray[np.int64]
    lacking_Wh: Floats


def plans_abreast(
    kernel: Kernel,
    many: ManyYears,
    plans: Sequence[EnergyPlan],
    spots: Sequence[Spot],
    years: int,
    *,
    first: int = 0,
    shade: Mapping[str, Floats] | None = None,
    workers: int = 2,
) -> Abreast:
    """Plans through `years` years of `many` from `first` on, whose plan they may differ from in anything but where their stays are.

    Each gets what `chance.many_years` would give it, to the last bit.  Second banks are as they are in `many`.
    """
    base = ready(many.plan, spots, varied=many.spread is not None)
    own = [ready(p, spots, varied=many.spread is not None) for p in plans]
    first_day = sunniest_day(spots)
    every_day = made_days(many.plan.stays, spots, first, years, many.seed)
    counted = [np.array([s is None or not s.isolated for s in stay_of_day(p.stays)]) for p in plans]
    lived = [lived_days(p.stays) for p in plans]
    flat = many.short_beside() if many.beside_short else np.zeros((first + years, 365), dtype=np.bool_)

    def block(start: int) -> tuple[NDArray[np.int64], Floats]:
        count = min(LANES, first + years - start)
        sky = _Block(kernel, base, made_weather(every_day, start, count), shade)
        loads = (
            np.ones((count, 365)) if many.spread is None else factors_of(many.spread, many.seed, start, count)
        )
        nights, lacking = np.empty((len(plans), count), dtype=np.int64), np.empty((len(plans), count))
        for k, mine in enumerate(own):
            days = years_of_rig(
                kernel, mine.rows, mine.own, sky.skies, loads, first_day, packed=sky.packed_for(mine)
            )[:, :, _UNSERVED]
            lost = np.where(counted[k], days, 0.0)
            nights[k] = (((lost > WHOLE_Wh) | flat[start : start + count]) & lived[k]).sum(axis=1)
            lacking[k] = lost.sum(axis=1)
        return nights, lacking

    starts = range(first, first + years, LANES)
    if workers <= 1 or len(starts) == 1:
        parts = [block(s) for s in starts]
    else:
        with ThreadPoolExecutor(workers) as pool:
            parts = list(pool.map(block, starts))
    return Abreast(
        np.concatenate([n for n, _ in parts], axis=1), np.concatenate([w for _, w in parts], axis=1)
    )


def like_all(nights: NDArray[np.int64], years: int) -> int:
    """The first of so many years in a row whose nights lost are most like those of all: in the middle, one in ten, on the mean.

    Changes are told beside what all years say; a stretch of luckier years would tell another "now".
    """
    whole = _told(nights)
    starts = range(0, len(nights) - years + 1, LANES)
    return min(starts, key=lambda k: float(np.abs(_told(nights[k : k + years]) - whole).sum()))


def _told(nights: NDArray[np.int64]) -> Floats:
    return np.array([quantile(nights, 0.5), quantile(nights, 0.9), float(nights.mean())])


class _Block:
    """A block of years as the base plan meets it, of which a candidate keeps what does not depend on its change."""

    def __init__(self, kernel: Kernel, base: Ready, made: Made, shade: Mapping[str, Floats] | None) -> None:
        self._kernel, self._base, self._made, self._shade = kernel, base, made, shade
        given, _ = given_by_arrays(kernel, base.plan, made, shade)
        self._seen: list[tuple[object, Floats]] = [(_arrays_of(base.plan), given)]
        self.skies = skies_from(kernel, base, made, given)
        self._packed = pack(self.skies)

    def packed_for(self, own: Ready) -> Reals:
        """What the kernel reads for a plan."""
        arrays = _arrays_of(own.plan)
        same_array = arrays == self._seen[0][0]
        given = next((g for a, g in self._seen if a == arrays), None)
        if given is None:
            given, _ = given_by_arrays(self._kernel, own.plan, self._made, self._shade)
            self._seen.append((arrays, given))
        free = same_array or not own.plan.bank.heated_by_surplus
        if free and own.warmth == self._base.warmth:
            if same_array:
                return self._packed
            out = self._packed.copy()
            lit = given * own.light
            lanes = np.minimum(np.arange(LANES), len(lit) - 1)
            out.reshape(-1, len(BY_YEAR), LANES)[:, ARRAY] = lit.T[:, lanes]
            return out
        return pack(skies_from(self._kernel, own, self._made, given))


def _arrays_of(plan: EnergyPlan) -> tuple[object, ...]:
    """All that an array's yield depends on."""
    return (plan.trackers, plan.bank.set_V)
