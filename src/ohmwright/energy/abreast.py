"""Candidates abreast: several plans through the same made years, weather made once for all of them and for all who ask."""

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from threading import Lock

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.batch import pack, years_of_rig
from ohmwright.energy.chance import ManyYears, quantile, sunniest_day
from ohmwright.energy.kernel import BY_YEAR, DAILY, LANES, Kernel, Reals
from ohmwright.energy.one_year import WHOLE_Wh
from ohmwright.energy.plan import EnergyPlan
from ohmwright.energy.series import light_and_link, lived_days, stay_of_day
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
#: So many blocks are kept, one for each core: what buys, ages and darker months look at.  A block takes about 50 MB.
MOST_KEPT = 2


@dataclass(frozen=True, slots=True)
class Abreast:
    """By plan and year: nights lost, and what was asked for and not given."""

    nights_lost: NDArray[np.int64]
    lacking_Wh: Floats


class SameYears:
    """The made years of a rig with their weather, for all that is asked of the same years: each block of them is made once."""

    def __init__(
        self,
        kernel: Kernel,
        many: ManyYears,
        spots: Sequence[Spot],
        *,
        shade: Mapping[str, Floats] | None = None,
        workers: int = 2,
    ) -> None:
        self.kernel, self.many, self.spots, self.shade, self.workers = kernel, many, spots, shade, workers
        self.base = self.ready(many.plan)
        self._blocks: dict[int, _Block] = {}
        self._lock = Lock()

    def ready(self, plan: EnergyPlan) -> Ready:
        """A plan made ready for these years."""
        return ready(plan, self.spots, varied=self.many.spread is not None, parts=self.many.parts)

    def block(self, start: int) -> "_Block":
        """The block that begins with year `start`; two threads ask for two different ones."""
        with self._lock:
            found = self._blocks.pop(start, None)
        made = _Block(self, start) if found is None else found
        with self._lock:
            self._blocks[start] = made
            for old in list(self._blocks)[:-MOST_KEPT]:
                del self._blocks[old]
        return made

    def like_all(self, years: int) -> tuple[int, int]:
        """The first of so many years in a row that are most like all, and how many there are."""
        nights = self.many.nights_lost()
        years = min(years, len(nights))
        return like_all(nights, years), years


def plans_abreast(same: SameYears, plans: Sequence[EnergyPlan], years: int, *, first: int = 0) -> Abreast:
    """Plans through `years` of the same years from `first` on; they may differ from theirs in anything but where their stays are.

    Each gets what `chance.many_years` would give it, to the last bit.  Second banks are as they are in `many`.
    """
    many = same.many
    own = [same.ready(p) for p in plans]
    first_day = sunniest_day(same.spots)
    counted = [np.array([s is None or not s.isolated for s in stay_of_day(p.stays)]) for p in plans]
    lived = [lived_days(p.stays) for p in plans]
    flat = many.short_beside() if many.beside_short else np.zeros((first + years, 365), dtype=np.bool_)

    def block(start: int) -> tuple[NDArray[np.int64], Floats]:
        count = min(LANES, first + years - start)
        sky = same.block(start)
        nights, lacking = np.empty((len(plans), count), dtype=np.int64), np.empty((len(plans), count))
        for k, mine in enumerate(own):
            days = years_of_rig(
                same.kernel, mine.rows, mine.own, sky.skies, sky.loads, first_day, packed=sky.packed_for(mine)
            )[:count, :, _UNSERVED]
            lost = np.where(counted[k], days, 0.0)
            nights[k] = (((lost > WHOLE_Wh) | flat[start : start + count]) & lived[k]).sum(axis=1)
            lacking[k] = lost.sum(axis=1)
        return nights, lacking

    starts = range(first, first + years, LANES)
    if same.workers <= 1 or len(starts) == 1:
        parts = [block(s) for s in starts]
    else:
        with ThreadPoolExecutor(same.workers) as pool:
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

    def __init__(self, same: SameYears, start: int) -> None:
        self._same, many = same, same.many
        count = min(LANES, len(many.daily) - start)
        self._made: Made = made_weather(
            made_days(many.plan.stays, same.spots, start, count, many.seed), start, count
        )
        self.loads = (
            np.ones((count, 365)) if many.spread is None else factors_of(many.spread, many.seed, start, count)
        )
        given = self._given_W(many.plan)
        self._seen: list[tuple[object, Floats]] = [(_arrays_of(many.plan), given)]
        self.skies = skies_from(same.kernel, same.base, self._made, given)
        self._packed = pack(self.skies)

    def _given_W(self, plan: EnergyPlan) -> Floats:
        return given_by_arrays(self._same.kernel, plan, self._made, self._same.shade)[0]

    def packed_for(self, own: Ready) -> Reals:
        """What the kernel reads for a plan."""
        arrays = _arrays_of(own.plan)
        same_array = arrays == self._seen[0][0]
        given = next((g for a, g in self._seen if a == arrays), None)
        if given is None:
            given = self._given_W(own.plan)
            self._seen.append((arrays, given))
        free = same_array or not own.plan.bank.heated_by_surplus
        if free and own.warmth == self._same.base.warmth:
            if same_array:
                return self._packed
            out = self._packed.copy()
            lit = given * own.light
            lanes = np.minimum(np.arange(LANES), len(lit) - 1)
            out.reshape(-1, len(BY_YEAR), LANES)[:, ARRAY] = lit.T[:, lanes]
            return out
        return pack(skies_from(self._same.kernel, own, self._made, given))


def _arrays_of(plan: EnergyPlan) -> tuple[object, ...]:
    """All that an array's yield depends on; in a hot bay also the shade of the pitches."""
    return (plan.trackers, plan.bank.set_V, tuple(light_and_link(plan)[0]))
