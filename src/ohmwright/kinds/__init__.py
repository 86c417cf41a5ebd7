"""One module per kind of part: figures, ports, poles, insides."""

from functools import cache
from importlib import import_module

from ohmwright.kinds.base import COMMON_FIGURES, COMMON_WORDS, FigureSpec, Kind, WordSpec

_NAMES: tuple[str, ...] = (
    "alternator", "alternator-regulator", "battery", "battery-switch", "bms-outside", "breaker", "busbar", "cable", "changeover",
    "contactor", "dcdc-charger", "dcdc-supply", "earth-bar", "electrode", "enclosure", "fuse", "galvanic-isolator", "generator",
    "hydro-controller", "hydrogenerator", "inverter", "inverter-charger", "isolation-transformer", "lug", "module", "monitor",
    "mounting", "outlet", "pad-heater", "panel-ac", "panel-dc", "pv-controller", "pv-controller-pwm", "pv-disconnect", "rcbo", "rcd",
    "reverser", "selector", "shore-inlet", "shunt", "starter", "string-join", "supply-post", "surge-ac", "surge-dc", "surge-protector",
    "switch", "thermostat", "tow-socket", "transfer-switch", "voltage-sensing-relay", "wind-generator", "windlass",
)  # fmt: skip


def names() -> tuple[str, ...]:
    """The names of all kinds, in order of the alphabet."""
    return _NAMES


@cache
def find(name: str) -> Kind | None:
    """The kind of that name, or None. A kind's module is read when it is first asked for."""
    if name not in _NAMES:
        return None
    kind: Kind = import_module(f"ohmwright.kinds.{name.replace('-', '_')}").KIND
    return kind


def figure_spec(kind: Kind, name: str) -> FigureSpec | None:
    """What the kind, or every part, says of that figure; None when it has no such figure."""
    return kind.figures.get(name) or COMMON_FIGURES.get(name)


def word_spec(kind: Kind, name: str) -> WordSpec | None:
    """What the kind, or every part, says of that word; None when it has no such word."""
    return kind.words.get(name) or COMMON_WORDS.get(name)
