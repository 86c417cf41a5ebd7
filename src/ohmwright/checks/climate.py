"""Months and places that a rig is lived in, and what a better tilt would bring there."""

from datetime import date

from ohmwright.checks.gather import once
from ohmwright.physics.sun import hour_angle_at_zenith_deg
from ohmwright.physics.tilt import beam_of_month_ratio, diffuse_of_month_ratio, tilted_of_month_ratio
from ohmwright.sky.types import Spot
from ohmwright.study import Study
from ohmwright.study.stays import EMPTY, months_of
from ohmwright.working import Step, work

#: Light that grass and soil throw back. Common practice, no source.
ALBEDO_ratio = 0.2


@once
def lived_in(study: Study) -> tuple[tuple[Spot, int], ...]:
    """Place and month (1 to 12) of every stay that somebody lives in, where the climate table knows it."""
    found: dict[tuple[str, float, int], tuple[Spot, int]] = {}
    for stay, spot in zip(study.rig.use.stays, study.spots, strict=True):
        if spot is not None and stay.mode not in EMPTY:
            for month in months_of(stay):
                found.setdefault((spot.name, spot.latitude_deg, month), (spot, month))
    return tuple(found.values())


@once
def darkest(study: Study) -> tuple[Spot, int] | None:
    """The design month: the darkest of those that somebody lives in."""
    return min(lived_in(study), key=lambda x: x[0].ghi_kWh_m2_day[x[1] - 1], default=None)


@once
def days_lived_in(study: Study) -> tuple[bool, ...]:
    """For each day of a year whether somebody lives in the rig; every day where no stay says so."""
    found = [False] * 365
    stays = [s for s in study.rig.use.stays if s.mode not in EMPTY]
    for stay in stays:
        first, last = (date(2023, m, min(d, 28) if m == 2 else d).timetuple().tm_yday - 1 for m, d in (stay.first, stay.last))  # fmt: skip
        for k in range((last - first) % 365 + 1):
            found[(first + k) % 365] = True
    return tuple(found) if stays else (True,) * 365


def missing_stay(study: Study) -> tuple[str, ...]:
    """Where to write what would make a design month known."""
    return ("use.stays.1.place",) if study.rig.use.stays else ("use.stays",)


def best_tilt(spot: Spot, month: int) -> tuple[float, Step]:
    """The tilt toward the equator that gathers most in a month, in steps of 5 degrees, and its light over flat."""
    from ohmwright.sky.months import DAYS_IN_MONTH, day_sun, extraterrestrial_by_month, noon_days_since_j2000

    middle = sum(DAYS_IN_MONTH[: month - 1]) + 16
    declination = day_sun(noon_days_since_j2000(middle))[0]
    south = spot.latitude_deg < 0
    phi, delta = abs(spot.latitude_deg), -declination if south else declination
    sunset = hour_angle_at_zenith_deg(phi, delta, 90.0)
    outside = extraterrestrial_by_month(spot.latitude_deg)[month - 1]
    clearness = min(max(spot.ghi_kWh_m2_day[month - 1] / outside, 0.3), 0.8) if outside > 0 else 0.3
    diffuse = work(diffuse_of_month_ratio, clearness_ratio=clearness, sunset_deg=sunset)
    best: tuple[float, Step] | None = None
    for tilt in range(0, 95, 5):
        leaves = min(sunset, hour_angle_at_zenith_deg(phi - tilt, delta, 90.0))
        beam = beam_of_month_ratio(phi, delta, float(tilt), sunset, leaves)
        light = tilted_of_month_ratio(diffuse.value, max(beam, 0.0), float(tilt), ALBEDO_ratio)
        if best is None or light > best[1].value:
            direct = work(
                beam_of_month_ratio,
                latitude_deg=phi,
                declination_deg=delta,
                tilt_deg=float(tilt),
                sunset_deg=sunset,
                leaves_deg=leaves,
            )
            best = (
                float(tilt),
                work(
                    tilted_of_month_ratio,
                    diffuse_ratio=diffuse,
                    beam_ratio=direct,
                    tilt_deg=float(tilt),
                    albedo_ratio=ALBEDO_ratio,
                ),
            )
    assert best is not None
    return best
