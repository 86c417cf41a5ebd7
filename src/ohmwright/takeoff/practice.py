"""Shop practice: allowances, rounding, spares, colours, the numbers of dangerous goods. Data, read once."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from ohmwright.working import Figure, packaged, parse
from ohmwright.working import tree as t


@dataclass(frozen=True, slots=True)
class Practice:
    """The habits of a bench. Lengths in metres."""

    ends: tuple[tuple[float, float], ...]
    sheathed_end_m: float
    place_extra_m: Mapping[str, float]
    short_link_m: float
    short_link_end_m: float
    round_up_m: float
    spare_fuses: int
    lug_percent: float
    cable_percent: float
    colours: Mapping[str, Mapping[str, str]]
    goods: Mapping[str, str]
    coils: tuple[tuple[float, float], ...]
    sleeves: tuple[tuple[float, float], ...]

    def sleeve_mm(self, area_mm2: float | None) -> float:
        """The length of shrink sleeve over a lug's barrel."""
        area = self.sleeves[-1][0] if area_mm2 is None else area_mm2
        return 1000 * next((length for most, length in self.sleeves if area <= most), self.sleeves[-1][1])

    def coil_m(self, area_mm2: float | None) -> float:
        """The length of coil that cable of this area is bought in."""
        area = 0.0 if area_mm2 is None else area_mm2
        return next((length for most, length in self.coils if area <= most), self.coils[-1][1])

    def end_m(self, area_mm2: float | None, *, cores: int, length_m: float, regime: str) -> float:
        """What one end adds to a conductor of `length_m`."""
        if length_m <= self.short_link_m and cores == 1:
            return self.short_link_end_m
        area = self.ends[-1][0] if area_mm2 is None else area_mm2
        own = next((each for most, each in self.ends if area <= most), self.ends[-1][1])
        if cores > 1:
            own = max(own, self.sheathed_end_m)
        return own + self.place_extra_m.get(regime, 0.0)

    def rounded_up_m(self, metres: float) -> float:
        """The next whole step; what lies on a step stays there."""
        steps = math.ceil(metres / self.round_up_m - 1e-9)
        return round(steps * self.round_up_m, 6)

    def colour(self, rules: str, pole: str) -> str:
        """The colour of a pole where the file says none, "" when practice has none."""
        return self.colours.get(rules.partition("-")[0], {}).get(pole, "")


@lru_cache(maxsize=1)
def practice() -> Practice:
    """The packaged practice."""
    tree = t.read_tree(
        packaged("ohmwright.takeoff", "practice.yaml").decode("utf-8"), "takeoff/practice.yaml"
    )
    assert isinstance(tree, t.Mapping)
    ends = tree.get("ends")
    coils = tree.get("coils")
    assert isinstance(ends, t.Sequence)
    sleeves = tree.get("sleeves")
    assert isinstance(coils, t.Sequence)
    assert isinstance(sleeves, t.Sequence)
    spares = _words(tree.get("spares"))
    colours = tree.get("colours")
    assert isinstance(colours, t.Mapping)
    return Practice(
        ends=tuple((_value(_words(e)["area"], "mm2"), _value(_words(e)["each"], "m")) for e in ends.items),
        sheathed_end_m=_metres(tree, "sheathed-end"),
        place_extra_m={k: _value(v, "m") for k, v in _words(tree.get("place-extra")).items()},
        short_link_m=_metres(tree, "short-link"),
        short_link_end_m=_metres(tree, "short-link-end"),
        round_up_m=_metres(tree, "round-up"),
        spare_fuses=int(spares["fuse"]),
        lug_percent=float(spares["lug-percent"]),
        cable_percent=float(spares["cable-percent"]),
        colours={k: _words(colours.get(k)) for k in colours},
        goods=_words(tree.get("goods")),
        sleeves=tuple(
            (_value(_words(c)["area"], "mm2"), _value(_words(c)["length"], "m")) for c in sleeves.items
        ),
        coils=tuple(
            (_value(_words(c)["area"], "mm2"), _value(_words(c)["length"], "m")) for c in coils.items
        ),
    )


def _words(tree: object) -> dict[str, str]:
    assert isinstance(tree, t.Mapping)
    return {k: v.text for k in tree if isinstance(v := tree.get(k), t.Scalar)}


def _metres(tree: t.Mapping, key: str) -> float:
    scalar = tree.get(key)
    assert isinstance(scalar, t.Scalar)
    return _value(scalar.text, "m")


def _value(text: str, unit: str) -> float:
    given = parse(text, unit)
    assert isinstance(given, Figure)
    return given.value
