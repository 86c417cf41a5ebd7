"""The climate of a rig's stays, and the shade on its arrays there."""

from functools import lru_cache
from typing import TYPE_CHECKING

from ohmwright.rig.model import Rig, Stay
from ohmwright.sky.places import find
from ohmwright.sky.spots import spot_at
from ohmwright.sky.types import Spot
from ohmwright.working import OhmwrightError

if TYPE_CHECKING:
    from ohmwright.roof.array import ArrayShade

#: Modes in which nobody lives in the rig.
EMPTY = ("laid-up", "storage", "stored", "unattended")


def spot_of(stay: Stay) -> Spot | None:
    """From the climate table by coordinates or by name; at sea the nearest coast, as far as `sky.spots` lets it stand."""
    if stay.latitude_deg is not None and stay.longitude_deg is not None:
        return _table(stay.latitude_deg, stay.longitude_deg, stay.altitude_m, stay.place)
    town = find(stay.place or stay.end or stay.start)
    return (
        None if town is None else _table(town.latitude_deg, town.longitude_deg, town.altitude_m, stay.place)
    )


@lru_cache(maxsize=64)
def _table(latitude_deg: float, longitude_deg: float, altitude_m: float | None, name: str) -> Spot | None:
    near = on_land(latitude_deg, longitude_deg, altitude_m, name)
    if near is not None:
        return near
    try:
        return spot_at(latitude_deg, longitude_deg, altitude_m, name, far=True)
    except OhmwrightError:
        return None


@lru_cache(maxsize=64)
def on_land(latitude_deg: float, longitude_deg: float, altitude_m: float | None, name: str) -> Spot | None:
    """The climate of a point that the table reaches; None far from every cell."""
    try:
        return spot_at(latitude_deg, longitude_deg, altitude_m, name)
    except OhmwrightError:
        return None


def months_of(stay: Stay) -> tuple[int, ...]:
    """The months that a stay touches, 1 to 12, in order."""
    first, last = stay.first[0], stay.last[0]
    count = (last - first) % 12 + 1
    return tuple((first - 1 + k) % 12 + 1 for k in range(count))


def shade_of(rig: Rig) -> "tuple[ArrayShade, ...]":
    """Shade of every array in the first stay that is lived in and whose place is known."""
    from ohmwright.roof.array import shade_losses
    from ohmwright.sky.weather import normal_year

    for stay in rig.use.stays:
        spot = spot_of(stay) if stay.mode not in EMPTY else None
        if spot is not None:
            return shade_losses(rig, normal_year(spot), stay)
    return ()
