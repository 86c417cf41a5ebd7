"""Metric or US customary, chosen by the job: how lengths, masses, torques and temperatures are printed."""

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import lru_cache

from ohmwright.working import convert, grouped


@dataclass(frozen=True, slots=True)
class Units:
    """The view of a paper. A number that is None stays None."""

    us: bool = False

    @property
    def length(self) -> str:
        """Unit of a run."""
        return "ft" if self.us else "m"

    @property
    def small(self) -> str:
        """Unit of a strip, stud or sleeve."""
        return "in" if self.us else "mm"

    @property
    def mass(self) -> str:
        """Unit of mass."""
        return "lb" if self.us else "kg"

    @property
    def torque(self) -> str:
        """Unit of torque."""
        return "lbf·in" if self.us else "N·m"

    @property
    def warmth(self) -> str:
        """Unit of temperature."""
        return "°F" if self.us else "°C"

    def any(self, value: float, unit: str) -> tuple[float, str]:
        """A figure of whatever unit, and the unit it is printed in."""
        if not self.us or unit not in _IN_TEXT:
            return value, unit
        us, turn = _IN_TEXT[unit]
        return turn(value), us

    def run(self, metres: float | None) -> float | None:
        """A run's length."""
        return metres if metres is None or not self.us else convert(metres, "m", "ft")

    def little(self, mm: float | None) -> float | None:
        """A small length."""
        return mm if mm is None or not self.us else convert(mm, "mm", "in")

    def heavy(self, kg: float | None) -> float | None:
        """A mass."""
        return kg if kg is None or not self.us else convert(kg, "kg", "lb")

    def turn(self, newton_metres: float | None) -> float | None:
        """A torque."""
        return (
            newton_metres if newton_metres is None or not self.us else convert(newton_metres, "Nm", "lbf-in")
        )

    def warm(self, celsius: float | None) -> float | None:
        """A temperature."""
        return celsius if celsius is None or not self.us else celsius * 9 / 5 + 32


def _scaled(unit: str, us: str) -> tuple[str, Callable[[float], float]]:
    return us, lambda value: convert(value, unit, us.replace("·", "-"))


#: What stands in a sentence, its US unit, and how a value is turned. Sizes of conductors keep their name.
_IN_TEXT: Mapping[str, tuple[str, Callable[[float], float]]] = {
    "mm": _scaled("mm", "in"),
    "cm": _scaled("cm", "in"),
    "m": _scaled("m", "ft"),
    "cm2": ("in²", lambda value: value / 6.4516),
    "cm²": ("in²", lambda value: value / 6.4516),
    "km": ("mi", lambda value: value / 1.609344),
    "kg": _scaled("kg", "lb"),
    "N·m": _scaled("Nm", "lbf·in"),
    "Nm": _scaled("Nm", "lbf·in"),
    "°C": ("°F", lambda value: value * 9 / 5 + 32),
    "degC": ("°F", lambda value: value * 9 / 5 + 32),
    "L": ("gal", lambda value: value / 3.785411784),
    "L/h": ("gal/h", lambda value: value / 3.785411784),
    "m/s": ("mph", lambda value: value / 0.44704),
    "m3/h": ("cfm", lambda value: value / 1.69901082),
    "m³/h": ("cfm", lambda value: value / 1.69901082),
}
_NUMBER = r"[-−+±]?\d[\d,\u202f]*(?:\.\d+)?"
_BETWEEN = r"\s*(?:to|and|…|\.\.|–|/|x|×|±)\s*"
_UNIT = "|".join(sorted(map(re.escape, _IN_TEXT), key=len, reverse=True))
_MEASURE = re.compile(
    rf"(?<![\w.,])({_NUMBER}(?:{_BETWEEN}{_NUMBER}){{0,3}})(\s?)({_UNIT})(?![\w²³·/%]|-[a-z])"
)
_ONE = re.compile(r"(±\s*)?([-−+]?\d[\d,\u202f]*(?:\.\d+)?)")
#: Shorter than a foot is told in inches.
SHORT_m = 0.3048
_QUOTED = re.compile(r"(“[^”]*”)")


def in_us(text: str) -> str:
    """A sentence with its metric figures in US units. What somebody said, between quotation marks, stays as it was said.

    >>> in_us("between -34 and 40 degC, 12.0 m of 70 mm2, 300 x 200 mm, 21.5 kg")
    'between -29 and 104 °F, 39.4 ft of 70 mm2, 11.8 x 7.87 in, 47.4 lb'
    >>> in_us("a lead of 0.03 m, an array at 7.5 km")
    'a lead of 1.18 in, an array at 4.66 mi'
    """
    if not any(c.isdigit() for c in text):
        return text
    return "".join(
        part if part.startswith("“") else _MEASURE.sub(_turned, part) for part in _QUOTED.split(text)
    )


def lettering(
    us: bool, names: Collection[str] = (), said: Callable[[str], str] | None = None
) -> Callable[[str], str] | None:
    """How a drawing turns its texts before it measures them: into the language by `said`, then into US units.

    None where nothing is to be turned; names stay.
    """
    if not us and said is None:
        return None

    @lru_cache(maxsize=8192)
    def turn(text: str) -> str:
        if text in names:
            return text
        told = said(text) if said is not None else text
        return in_us(told) if us else told

    return turn


def _bare(number: str) -> str:
    return number.replace(",", "").replace("\u202f", "").replace("−", "-")


def _turned(m: re.Match[str]) -> str:
    us, turn = _IN_TEXT[m[3]]
    if us == "ft" and all(abs(float(_bare(n))) < SHORT_m for _, n in _ONE.findall(m[1])):
        us, turn = "in", _scaled("m", "in")[1]

    def one(found: re.Match[str]) -> str:
        told = _bare(found[2])
        new = float(told) * 9 / 5 if us == "°F" and found[1] else turn(float(told))
        return (found[1] or "") + _short(new, told, us)

    return f"{_ONE.sub(one, m[1])}{m[2]}{us}"


def _short(value: float, was: str, unit: str) -> str:
    """As many digits as the metric figure had, two at least."""
    if unit == "°F":
        return f"{value:.1f}" if "." in was else f"{value:.0f}"
    digits = max(3 if "." in was else 2, sum(c.isdigit() for c in was))
    told = f"{value:.{digits}g}"
    return grouped(value) if "e" in told or abs(value) >= 10_000 else told
