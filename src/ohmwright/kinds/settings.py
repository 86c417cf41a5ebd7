"""The settings that devices of a kind have, in the trade's words: unit, meaning, and who may change them.

Which settings exist is common practice, no source; what a device leaves the maker with stands on its own page.
"""

from dataclasses import dataclass
from typing import Literal

Whose = Literal["shop", "owner"]


@dataclass(frozen=True, slots=True)
class SettingSpec:
    """A setting. `unit` "" takes words; `plate` names the figure or word of the part that is its delivered value."""

    unit: str
    meaning: str
    plate: str = ""
    whose: Whose = "shop"
    words: tuple[str, ...] = ()


_CHARGE = {
    "absorption": SettingSpec("V", "volts it holds until the battery is full"),
    "float": SettingSpec("V", "volts it holds afterwards"),
    "low-float": SettingSpec("V", "second, lower holding voltage"),
    "equalise": SettingSpec("V", "equalising voltage, none where it is switched off"),
    "end-current": SettingSpec("A", "current at which charging at the held voltage counts as finished"),
    "temperature-comp": SettingSpec("", "volts taken off with warmth, off-by-choice for lithium"),
}
_CUT_OFF = {
    "cut-off": SettingSpec("V", "battery volts at which it stops", "cutoff_voltage"),
    "reconnect": SettingSpec("V", "battery volts at which it starts again"),
    "restart": SettingSpec("V", "battery volts at which loads come back"),
    "ground-relay": SettingSpec(
        "", "joins neutral and earth while it inverts", "ground_relay", words=("enabled", "disabled")
    ),
}

_BY_KIND: dict[str, dict[str, SettingSpec]] = {
    "pv-controller": {
        **_CHARGE,
        "charge-limit": SettingSpec("A", "most current it gives", "output_current"),
        "surplus": SettingSpec("", "when its free contact closes: bank above 95 %"),
    },
    "pv-controller-pwm": {**_CHARGE, "charge-limit": SettingSpec("A", "most current it gives", "output_current")},
    "hydro-controller": dict(_CHARGE),
    "dcdc-charger": {
        **_CHARGE,
        "charge": SettingSpec("A", "charging current", "output_current"),
        "half-rate": SettingSpec("", "when it takes half: below 1300 rpm"),
    },
    "alternator-regulator": {
        **_CHARGE,
        "half-rate": SettingSpec("", "when it drives the alternator at half its output"),
    },
    "inverter": dict(_CUT_OFF),
    "inverter-charger": {
        "supply-limit": SettingSpec("A", "most current taken from shore or generator", whose="owner"),
        "charge": SettingSpec("A", "charging current", "charge_current"),
        **_CHARGE,
        **_CUT_OFF,
        "grid-voltage": SettingSpec("V", "lowest supply voltage that it takes"),
        "aux": SettingSpec("", "when its free contact closes"),
    },
    "dcdc-supply": {"output": SettingSpec("V", "output voltage", "output_voltage")},
    "shunt": {
        "full": SettingSpec("V", "volts above which the bank may count as full"),
        "end-current": SettingSpec("A", "current below which it counts as full"),
        "hold": SettingSpec("s", "how long both must hold"),
        "capacity": SettingSpec("Ah", "capacity it counts with"),
        "alarm": SettingSpec("V", "volts at which it warns", whose="owner"),
    },
    "bms-outside": {
        "warns": SettingSpec("%", "charge at which it warns"),
        "opens": SettingSpec("%", "charge at which it opens"),
    },
    "thermostat": {
        "on": SettingSpec("", "warmth at which it closes: below -18 degC"),
        "off": SettingSpec("", "warmth at which it opens: above -15 degC"),
    },
}  # fmt: skip


def settings_of_kind(kind: str) -> dict[str, SettingSpec]:
    """What a part of that kind can be set to, in the order of the sheet; none for a part without settings."""
    return _BY_KIND.get(kind, {})


def kinds_with_settings() -> tuple[str, ...]:
    """The kinds that have settings."""
    return tuple(_BY_KIND)
