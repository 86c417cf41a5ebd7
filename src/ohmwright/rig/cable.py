"""The cable grammar: `4/0 AWG 105C red`, `2 x 10 mm2 tinned`, `pv 10 AWG`, `10 SAE`, `maker's lead`."""

import re
from functools import lru_cache
from typing import Literal

from ohmwright.rig.model import Cable
from ohmwright.working import QuantityError, nearest

COLOURS = (
    "red", "black", "white", "green", "yellow", "blue", "brown", "grey", "orange", "violet", "pink", "light-blue", "green-yellow",
    "red-black", "red-white", "white-black", "natural",
)  # fmt: skip
USES = (
    "pv",
    "flexible",
    "welding",
    "marine",
    "starter",
    "battery",
    "house",
    "buried",
    "armoured",
    "screened",
    "twisted",
    "flat",
    "round",
)
MATERIALS: dict[str, Literal["copper", "tinned", "cca", "unknown"]] = {
    "copper": "copper", "tinned": "tinned", "CCA": "cca", "cca": "cca", "copper-clad": "cca",
}  # fmt: skip
PLAIN = (
    "bare",
    "fine-stranded",
    "stranded",
    "solid",
    "insulated",
    "double-insulated",
    "sheathed",
    "shielded",
    "halogen-free",
)

_SIZE = re.compile(
    r"(?<![\w/.])(?:(?P<cores>[1-9]\d?)\s*x\s*)?(?P<size>\d{1,2}/0|\d+(?:\.\d+)?)\s*(?P<system>AWG|SAE|mm2|mm²|kcmil|gauge|ga)?(?![\w/])",
    re.IGNORECASE,
)
_CLASS = re.compile(r"(\d{2,3})\s?(?:°?C|degC)\Z")
_DESIGNATION = re.compile(r"(?=.*[A-Z])[A-Z0-9][A-Z0-9./-]{2,}\Z")
_SYSTEM: dict[str, Literal["AWG", "SAE", "mm2"]] = {
    "awg": "AWG",
    "kcmil": "AWG",
    "sae": "SAE",
    "mm2": "mm2",
    "mm²": "mm2",
}
_HOW = "write for instance 4/0 AWG 105C red, 2 x 10 mm2 tinned, 10 SAE, or maker's lead"


@lru_cache(maxsize=4096)
def read_cable(text: str) -> Cable:
    """The cable that `text` names, or a QuantityError that says what to write.

    >>> read_cable("2 x 10 mm2 tinned").cores, read_cable("16 mm2 green-yellow").colour
    (2, 'green-yellow')
    """
    text = " ".join(text.split())
    if len(text) > 120:
        raise QuantityError(f"a cable of {len(text)} characters", _HOW)
    if text == "unknown" or text.startswith("unknown ("):
        return Cable(text, material="unknown")
    if text in ("maker's lead", "makers lead", "maker lead"):
        return Cable(text, material="unknown", words=("maker's lead",))
    match = _SIZE.search(text)
    if match is None:
        raise QuantityError(f"'{text}' names no size of cable", _HOW)
    size, system, area_mm2 = _size(match, text)
    material: Literal["copper", "tinned", "cca", "unknown"] = "copper"
    insulation_degC: float | None = None
    use = colour = ""
    words: list[str] = []
    for word in (text[: match.start()] + " " + text[match.end() :]).split():
        if word in COLOURS and not colour:
            colour = word
        elif word in MATERIALS:
            material = MATERIALS[word]
        elif word in USES:
            use = use or word
            words.append(word)
        elif (heat := _CLASS.match(word)) is not None:
            insulation_degC = float(heat[1])
        elif word in PLAIN or _DESIGNATION.match(word):
            words.append(word)
        else:
            near = nearest(word, (*COLOURS, *MATERIALS, *USES, *PLAIN))
            raise QuantityError(
                f"'{word}' says nothing of a cable", f"did you mean {near}?" if near else _HOW
            )
    return Cable(
        text,
        int(match["cores"] or 1),
        area_mm2,
        size,
        system,
        insulation_degC,
        use,
        material,
        colour,
        tuple(words),
    )


def _size(match: re.Match[str], text: str) -> tuple[str, Literal["AWG", "SAE", "mm2"], float]:
    from ohmwright.standards.wire import wire_area_mm2

    size, written = match["size"], (match["system"] or "").lower()
    if written not in _SYSTEM:
        asked = (
            f"{size} AWG or {size} SAE: an SAE gauge holds 5 to 12 % less metal"
            if float(size.split("/")[0]) <= 40
            else f"{size} mm2 or {size} kcmil"
        )
        raise QuantityError(f"'{text}' names a gauge without its system", f"write {asked}; or {size} mm2")
    system = _SYSTEM[written]
    area_mm2 = wire_area_mm2(size, system)
    three_digits = len(size) == 3 and size.isdigit()
    if (
        area_mm2 is None
        or not 0.05 <= area_mm2 <= 1000
        or (written == "awg" and three_digits)
        or (written == "kcmil" and not three_digits)
    ):
        raise QuantityError(f"'{size} {match['system']}' is no size of cable", _HOW)
    return size, system, area_mm2
