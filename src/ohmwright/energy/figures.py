"""Numbers of parts and settings, with what had to be assumed."""

import re

from ohmwright.energy.loads import Notes
from ohmwright.rig.model import Part, Rig
from ohmwright.working import Figure

_PERCENT = re.compile(r"(\d+(?:\.\d+)?)\s*%")


def kept_in_shade(words: str) -> float | None:
    """The share of the yield that a shade leaves, when its words hold a per cent.

    >>> kept_in_shade("boom and mast, 45 % lost"), kept_in_shade("forest, keeps 70 %"), kept_in_shade("forest")
    (0.55, 0.7, None)
    """
    found = _PERCENT.search(words)
    if found is None:
        return None
    share = float(found[1]) / 100.0
    return share if any(w in words for w in ("kept", "keeps", "left")) else 1.0 - share


def number(part: Part, name: str, notes: Notes, class_value: float | None = None) -> float | None:
    """A figure of a part; else its kind's class default, else the class value of the trade, both said aloud."""
    given = part.figure(name)
    if isinstance(given, Figure):
        return given.value
    default = part.with_default(name)
    if isinstance(default, Figure):
        notes.assume(f"{part.id}.{name} {default.text or f'{default.value:g} {default.unit}'}, class default")
        return default.value
    if class_value is not None:
        notes.assume(f"{part.id}.{name} {class_value:g}, class default")
    return class_value


def setting(rig: Rig, part: str, key: str) -> float | None:
    """A setting's number, if it has one."""
    given = rig.setting(part, key)
    return given.value if isinstance(given, Figure) else None
