"""How long a day shadows of obstacles lie on modules: the middle of a month, from nine to three solar time."""

from dataclasses import dataclass

import numpy as np

from ohmwright.physics.sun import azimuth_deg, zenith_deg
from ohmwright.roof.array import HEADINGS
from ohmwright.roof.curves import Reals
from ohmwright.roof.layout import OnSurface
from ohmwright.roof.table import index_of, shade_table
from ohmwright.sky.months import day_sun, noon_days_since_j2000

FROM_h, UNTIL_h = 9.0, 15.0
_STEP_h = 1.0 / 12.0
_MIDDLE = (16, 46, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344)


@dataclass(frozen=True, slots=True)
class Hit:
    """Shadow on one module in one month, by heading of the host: worst, and the mean of all.

    Hours between 9 and 15 solar time in which any zone has at least an eighth of one of its cells in shadow; and the
    last time of the morning and first of the afternoon at the worst heading, None when there is none.
    """

    module: str
    month: int
    mean_h: float
    worst_h: float
    worst_heading_deg: float
    morning_until_h: float | None
    afternoon_from_h: float | None


def hours_hit(placed: OnSurface, latitude_deg: float, month: int) -> tuple[Hit, ...]:
    """Every module of an array in a month 1..12; nothing when no obstacle is told."""
    if not placed.boxes:
        return ()
    declination = day_sun(noon_days_since_j2000(_MIDDLE[month - 1]))[0]
    clock = np.arange(FROM_h + _STEP_h / 2, UNTIL_h, _STEP_h)
    turn = [15.0 * (h - 12.0) for h in clock]
    azimuth = np.array([azimuth_deg(latitude_deg, declination, w) for w in turn])
    elevation = np.array([90.0 - zenith_deg(latitude_deg, declination, w) for w in turn])
    headings = (placed.bearing_of_x_deg,) if placed.bearing_of_x_deg is not None else HEADINGS
    table = shade_table(placed)
    out = []
    for module, eighths in zip(placed.modules, table.eighths, strict=True):
        touched = eighths.reshape(len(eighths), -1).max(axis=1) > 0
        by_heading = [
            touched[index_of(azimuth - h, np.maximum(elevation, 0.0))] & (elevation > 0.0) for h in headings
        ]
        hours = [float(t.sum()) * _STEP_h for t in by_heading]
        worst = int(np.argmax(hours))
        morning, afternoon = _ends(clock, by_heading[worst])
        out.append(Hit(module.id, month, float(np.mean(hours)), hours[worst], headings[worst], morning, afternoon))  # fmt: skip
    return tuple(out)


def _ends(clock: Reals, touched: "np.typing.NDArray[np.bool_]") -> tuple[float | None, float | None]:
    before, after = clock[touched & (clock < 12.0)], clock[touched & (clock >= 12.0)]
    return (
        float(before.max()) + _STEP_h / 2 if before.size else None,
        float(after.min()) - _STEP_h / 2 if after.size else None,
    )
