"""The shape of what stands on and around a surface that carries modules: outline, obstacles, horizon, trees."""

import re

from ohmwright.rig.forms import Amount, Each, Flag, Keys, Lengths, Raw, Text
from ohmwright.rig.telling import refuse, short
from ohmwright.working import tree as t

_NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)"
_LAID = {"type": "string", "pattern": rf"^{_NUMBER}(?: +){_NUMBER} (?:m|mm|cm|in|ft)(?: turned)?$"}


def bearing_key(key: t.Scalar, what: str) -> str:
    """A compass bearing from true north, 0 to 360."""
    text = key.text.strip()
    if not re.fullmatch(r"\d{1,3}(?:\.\d+)?", text) or float(text) > 360.0:
        refuse(
            key.at,
            f"'{short(text)}' is no bearing for {what}",
            "write degrees from true north, 0 to 360",
            text,
        )
    return text


OUTLINE = Lengths(
    "the surface itself: along x its first corner is the one with least x and y; on a slope seen from in front, left and low",
    2,
)

OBSTACLES = Each(
    Keys(
        "an obstacle",
        {
            "at": Lengths("its corner nearest the outline's first corner", 2),
            "size": Lengths("its size along and across", 2),
            "height": Amount("its height over the surface, closed", "m", least=0),
            "open": Amount("its height over the surface when it stands open", "m", least=0),
            "above": Amount(
                "height of its underside over the surface; left out when it stands on it", "m", least=0
            ),
            "note": Text("a remark"),
        },
        needs=("at", "size", "height"),
    ),
    "what stands on the surface or beside it and throws a shadow; round things as boxes",
    named="an obstacle",
)

HORIZON = Each(
    Amount("height of what hides the sky that way", "deg", least=0, most=90),
    "height of hills and houses by bearing from true north: {225: 12 deg, 250: 18 deg}; straight lines between, nothing outside",
    named="the horizon",
    name=bearing_key,
)

TREES = Each(
    Keys(
        "trees",
        {
            "from": Amount("first bearing, clockwise", "deg", least=0, most=360),
            "to": Amount("last bearing", "deg", least=0, most=360),
            "up-to": Amount("height of their crowns as seen from the array", "deg", least=0, most=90),
            "leaf-on": Amount("part of the light that comes through in leaf", "1", least=0, most=1),
            "leaf-off": Amount("the same without leaves", "1", least=0, most=1),
            "evergreen": Flag("in leaf all year"),
            "note": Text("a remark"),
        },
        needs=("from", "to", "up-to"),
    ),
    "trees by sector",
    named="trees",
)

UNDER_TREES = Amount("part of the days spent under these trees, the rest in the open", "1", least=0, most=1)
HEADING = Amount("bearing of the bow or front while there; left out: all headings alike", "deg", least=0, most=360)  # fmt: skip

LAID = Raw(
    "where modules lie on the outline, first corner of each: {1.1: 0.3 0.2 m, 1.2: 2.1 0.2 m turned, turned: yes}; the long side lies along x unless turned; a module with a plane of its own leans from its left low corner, seen from in front",
    {"anyOf": [_LAID, {"type": "object", "additionalProperties": {"anyOf": [_LAID, {"enum": ["yes", "no", True, False]}]}}]},
)  # fmt: skip
