"""How a caller hands in the shade that another floor has worked out."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.loop import HOURS
from ohmwright.energy.plan import Array, EnergyPlan
from ohmwright.energy.series import place_of_day
from ohmwright.rig.model import Rig, Stay
from ohmwright.sky.types import WeatherYear

Factors: TypeAlias = NDArray[np.float64]
FactorFor: TypeAlias = Callable[[Stay, Array, WeatherYear], Factors | None]


@dataclass(frozen=True, slots=True)
class Shading:
    """Factors on the power of an unshaded array by hour (8760) in a stay; None where nothing shades it.

    `counts_snow` when snow is among it; `words` say what was taken for it.
    """

    factor: FactorFor
    counts_snow: bool = False
    words: tuple[str, ...] = ()


def shade_by_hour(
    rig: Rig, plan: EnergyPlan, skies: Sequence[WeatherYear], shading: Shading
) -> dict[str, Factors]:
    """For each array that anything shades, its factor by hour, each day under the shade of its own stay."""
    out: dict[str, Factors] = {}
    where = np.repeat(np.array(place_of_day(plan.stays)), 24)
    for array in (a for t in plan.trackers for a in t.arrays):
        factors = np.ones(HOURS)
        for k, (stay, sky) in enumerate(zip(rig.use.stays, skies, strict=True)):
            found = shading.factor(stay, array, sky)
            if found is not None:
                factors[where == k] = found[where == k]
        if np.any(factors != 1.0):
            out[array.id] = factors
    return out


def is_drawn(rig: Rig, plan: EnergyPlan, text: str) -> bool:
    """Whether an unknown is a shade in words whose trees, hills or obstacles the file also draws: then it is worked out after all."""
    name, _, rest = text.partition(": ")
    if not rest.startswith("shade ("):
        return False
    for stay, told in zip(rig.use.stays, plan.stays, strict=True):
        if told.name == name:
            return bool(stay.trees or stay.horizon)
    part = rig.parts.get(name)
    place = rig.host.places.get(part.place) if part is not None else None
    return place is not None and bool(place.obstacles or place.trees or place.horizon)
