"""The settings of a rig file, part by part: figures where they are figures, else words."""

import re
from collections.abc import Mapping

from ohmwright.kinds.base import BELOW_ZERO
from ohmwright.rig import shape
from ohmwright.rig.model import Part
from ohmwright.rig.quantities import Reading, note_tag, quantity
from ohmwright.rig.telling import addressed, mapping, refuse, scalar, short, suggestion, what_is
from ohmwright.working import Figure, Given, QuantityError, parse
from ohmwright.working import tree as t


def settings_of(
    tree: t.Tree | None, parts: Mapping[str, Part], reading: Reading
) -> dict[str, dict[str, Given | str]]:
    """The settings by part: figures where they are figures, else words."""
    out: dict[str, dict[str, Given | str]] = {}
    if tree is None:
        return out
    for name, entry in mapping(tree).entries.items():
        if name not in parts:
            refuse(
                entry.key.at,
                f"settings of '{short(name)}', which is no part",
                suggestion(name, parts, "write the id of a part"),
                name,
            )
        mine: dict[str, Given | str] = {}
        for key, e in mapping(entry.value).entries.items():
            written = shape.SAME_SETTING.get(key, key)
            if written in mine:
                refuse(e.key.at, f"'{key}' and '{written}' are one setting", "write it once")
            mine[written] = _setting(name, e, written, reading)
        out[name] = mine
    return out


_NUMBER = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:\s|\Z|[A-Za-z%°Ω])")


def _setting(part: str, entry: t.Entry, key: str, reading: Reading) -> Given | str:
    if not isinstance(entry.value, t.Scalar):
        refuse(
            entry.value.at,
            f"{what_is(entry.value)} stands where a setting is wanted",
            "write a quantity or a word",
        )
    s = scalar(entry.value, "a quantity or a word")
    text = s.text.strip()
    unit = shape.SETTINGS.get(key)
    numeric = _NUMBER.match(text) is not None or text.startswith("unknown") or text == "none"
    if not numeric:
        return shape.PART["note"].take(s, reading)  # type: ignore[no-any-return]
    if unit is not None:
        given: Given = quantity(s, text, (unit,), reading, least=None if unit in BELOW_ZERO else 0)
    else:
        try:
            given = parse(text)
        except QuantityError as error:
            if re.match(r"[+-]?[\d.]+\s+\S", text):
                refuse(s.at, error.message, error.remedy, text)
            return text
        if isinstance(given, Figure):
            note_tag(given, s, reading)
    return addressed(given, f"settings.{part}.{entry.key.text}")
