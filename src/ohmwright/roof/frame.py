"""Frames: the host's axes, the surface that carries modules, and the directions of sky and sun in them.

Host axes are x, y, z up, with y a quarter turn to the left of x.  A bearing on the host counts clockwise from x; with
the bearing of x itself it becomes a compass bearing.  A surface has `right`, `up` and `out`: lying flat they are the
host's x, y and z; on a slope `up` climbs it and `right` is to the right of somebody who looks at it from in front.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeAlias

from ohmwright.rig.model import Rig
from ohmwright.working import Figure, Given

Vector: TypeAlias = tuple[float, float, float]
_AXIS = re.compile(r"\bx\s+(north|east|south|west)\b")
_BEARINGS = {"north": 0.0, "east": 90.0, "south": 180.0, "west": 270.0}
_WORDS = {"bow": 0.0, "front": 0.0, "starboard": 90.0, "right": 90.0, "stern": 180.0, "aft": 180.0, "rear": 180.0, "port": 270.0, "left": 270.0}  # fmt: skip
_DEGREES = re.compile(r"(-?\d+(?:\.\d+)?)\s*deg")


@dataclass(frozen=True, slots=True)
class Frame:
    """Three unit vectors on the host's axes."""

    right: Vector
    up: Vector
    out: Vector

    def inside(self, v: Vector) -> Vector:
        """A vector of the host told in this frame."""
        return dot(self.right, v), dot(self.up, v), dot(self.out, v)


@dataclass(frozen=True, slots=True)
class Facing:
    """How a plane lies: tilt, and the bearing it looks to, clockwise from the host's x."""

    tilt_deg: float
    on_host_deg: float

    @property
    def frame(self) -> Frame:
        """Its frame; the host's own axes when it lies flat."""
        if self.tilt_deg == 0.0:
            return Frame((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
        t, b = math.radians(self.tilt_deg), math.radians(self.on_host_deg)
        ahead = (math.cos(b), -math.sin(b))
        out = (math.sin(t) * ahead[0], math.sin(t) * ahead[1], math.cos(t))
        up = (-math.cos(t) * ahead[0], -math.cos(t) * ahead[1], math.sin(t))
        return Frame(cross(up, out), up, out)


def dot(a: Vector, b: Vector) -> float:
    """Scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """Vector product."""
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def toward(on_host_deg: float, elevation_deg: float) -> Vector:
    """Unit vector of the host toward a bearing clockwise from its x, and an elevation."""
    b, e = math.radians(on_host_deg), math.radians(elevation_deg)
    return math.cos(e) * math.cos(b), -math.cos(e) * math.sin(b), math.sin(e)


def bearing_of_x_deg(rig: Rig) -> float | None:
    """Compass bearing of the host's x axis; None for one that lies as it likes.

    Read from the words of `axes` (`x east, y north, ...`); a host that says x forward has no fixed bearing.
    """
    found = _AXIS.search(rig.host.words.get("axes", ""))
    if found is not None:
        return _BEARINGS[found[1]]
    return 90.0 if rig.host.kind == "cabin" else None


def facing_of(plane: Mapping[str, Given | str], bearing_of_x: float | None) -> Facing | None:
    """How a plane of the file lies; None where its tilt is not given and it is not said to lie flat.

    A compass bearing on a host without a bearing of its own is taken as if x were north: whoever writes it turns the host so.
    """
    tilt, faces = plane.get("tilt"), plane.get("faces", "")
    if faces == "flat" or (isinstance(tilt, Figure) and tilt.value == 0.0):
        return Facing(0.0, 0.0)
    if not isinstance(tilt, Figure):
        return None
    if isinstance(faces, Figure):
        compass = faces.value
    elif isinstance(faces, str) and (word := faces.split()[0] if faces else "") in _WORDS:
        return Facing(tilt.value, _WORDS[word])
    elif isinstance(faces, str) and (found := _DEGREES.search(faces)):
        compass = float(found[1])
    else:
        return None
    return Facing(tilt.value, (compass - (bearing_of_x or 0.0)) % 360.0)


def is_compass(plane: Mapping[str, Given | str]) -> bool:
    """Whether a plane faces a compass bearing rather than a side of the host."""
    faces = plane.get("faces", "")
    return isinstance(faces, Figure) or (isinstance(faces, str) and _DEGREES.search(faces) is not None)
