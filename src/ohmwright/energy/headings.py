"""What the heading of a host is worth to arrays that stand at a slope: the mean counts, the best and the worst are told."""

import numpy as np

from ohmwright.energy.light import plane_W_m2
from ohmwright.energy.one_year import OneYear
from ohmwright.energy.plan import LIVED_IN, Plane
from ohmwright.sky.sun_hours import sun_hours

_POINTS = ("north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest")


def heading_notes(one: OneYear) -> tuple[str, ...]:
    """For each array whose heading is not known: its light over the year with the best and the worst heading held throughout."""
    lived = [k for k, s in enumerate(one.plan.stays) if s.mode in LIVED_IN] or [0]
    longest = max(lived, key=lambda k: len(one.days_of(one.plan.stays[k])))
    stay, sky = one.plan.stays[longest], one.skies[longest]
    hours = np.repeat([stay.covers(d) for d in range(365)], 24)
    sun = sun_hours(sky.spot.latitude_deg, sky.spot.longitude_deg, sky.utc_offset_h)
    ghi, dhi = np.array(sky.ghi_W_m2), np.array(sky.dhi_W_m2)
    out = []
    for array in (a for t in one.plan.trackers for a in t.arrays):
        loose = [p for p in array.planes if p.faces_deg is None and p.tilt_deg > 0.0]
        if not loose:
            continue
        plane = loose[0]

        def light(
            face: float | None, tilt: float = plane.tilt_deg, albedo: float = array.albedo_ratio
        ) -> float:
            _, through = plane_W_m2(Plane(tilt, face), albedo, sun, ghi, dhi)
            return float(through[hours].sum())

        mean = light(None)
        by_face = {45.0 * k: light(45.0 * k) for k in range(8)}
        best, worst = max(by_face, key=lambda f: by_face[f]), min(by_face, key=lambda f: by_face[f])
        out.append(
            f"{array.id}: all headings count alike; facing {_POINTS[round(best / 45) % 8]} throughout {stay.name} it would get "
            f"{100 * by_face[best] / mean:.0f} % of that light, facing {_POINTS[round(worst / 45) % 8]} {100 * by_face[worst] / mean:.0f} %."
        )
    return tuple(out)
