"""What shade takes from the arrays of a rig, stay by stay: roof with its lids open, mast, hills and trees."""

from dataclasses import dataclass
from typing import Any

from ohmwright.roof.array import ShadeMonth, shade_losses
from ohmwright.services.answers import envelope, finite
from ohmwright.services.opening import Opened, open_rig
from ohmwright.services.roof import Cost, shade_of, stays_of
from ohmwright.services.year import normal_weather
from ohmwright.study.stays import EMPTY

ALIKE_ratio = 5e-4


@dataclass(frozen=True, slots=True)
class StayShade:
    """A stay by name, what shade takes from its arrays, and the same year with everything shut, by array and scene."""

    name: str
    costs: tuple[Cost, ...]
    shut: dict[tuple[str, str], float]


@dataclass(frozen=True, slots=True)
class ShadeDone:
    """The stays that are lived in, and what must be said."""

    opened: Opened
    stays: tuple[StayShade, ...]
    notes: tuple[str, ...]


def shade_by_stay(where: str) -> ShadeDone:
    """Shade in a normal year of the place of every stay that is lived in, of each place once."""
    opened = open_rig(where)
    found: list[StayShade] = []
    seen: set[object] = set()
    for _, stay in stays_of(opened.rig):
        weather = normal_weather(stay)
        spot = weather.spot
        about = (
            spot.latitude_deg,
            spot.longitude_deg,
            repr(stay.trees),
            repr(stay.horizon),
            repr(stay.heading),
        )
        if stay.mode in EMPTY or about in seen:
            continue
        seen.add(about)
        shut = shade_losses(opened.rig, weather, stay, standing="closed")
        found.append(
            StayShade(
                spot.name,
                shade_of(opened, stay),
                {(s.array, s.scene): s.year.lost_ratio for s in shut},
            )
        )
    notes = []
    if not any(s.costs for s in found):
        notes.append(
            "No array lies where the file says, or no stay has a place: write outline and obstacles of the roof, laid: of the modules, and place: of a stay."
        )
    notes.append(
        "Everything that opens stands open; snow and dirt are not shade. Each row is a month of such days at its place, whether or not somebody is there then."
    )
    return ShadeDone(opened, tuple(found), tuple(notes))


def shade_json(done: ShadeDone) -> dict[str, Any]:
    """The answer of `year --shade --json`."""

    def month(m: ShadeMonth) -> dict[str, Any]:
        return {
            "month": m.month,
            "light_kWh_m2": finite(m.light_kWh_m2),
            "lost_ratio": {wiring: finite(1.0 - kept) for wiring, kept in m.kept.items()},
        }

    return {
        **envelope(done.opened),
        "stays": [
            {
                "name": stay.name,
                "arrays": [
                    {
                        "array": c.shade.array,
                        "scene": c.shade.scene,
                        "wired": c.wired,
                        "suffers_least": c.shade.suffers_least,
                        "lost_kWh": finite(c.lost_kWh),
                        "lost_ratio_shut": finite(stay.shut.get((c.shade.array, c.shade.scene))),
                        "months": [month(m) for m in c.shade.months],
                        "year": month(c.shade.year),
                        "not_known": list(c.shade.unknown),
                    }
                    for c in stay.costs
                ],
            }
            for stay in done.stays
        ],
        "notes": list(done.notes),
    }
