"""Which batteries give off gas, and which parts in the same place make sparks."""

from ohmwright.checks.circuits import Bank
from ohmwright.checks.gather import word
from ohmwright.rig.model import Part
from ohmwright.study import Study

#: What opens, closes or melts in ordinary work or in a fault.
SPARKING = (
    "fuse", "breaker", "battery-switch", "switch", "selector", "contactor", "voltage-sensing-relay", "inverter", "inverter-charger",
    "starter", "windlass", "reverser", "panel-dc", "panel-ac", "changeover", "transfer-switch", "thermostat", "rcd", "rcbo", "pv-disconnect",
)  # fmt: skip
#: Regimes in which air moves by itself.
AIRY = ("outside", "sheltered", "engine", "underbody")


def gives_gas(bank: Bank) -> bool:
    """Vented lead-acid, and lead-acid of which nobody knows."""
    if bank.chemistry == "lfp":
        return False
    vented = word(bank.members[0], "vented")
    return vented == "yes" or (vented != "no" and bank.chemistry in ("flooded", "start", "unknown", "mixed"))


def sparking_in(study: Study, place: str) -> tuple[Part, ...]:
    """Parts in a place that spark and are not proved for such a space."""
    return tuple(
        p
        for p in study.rig.of_kind(*SPARKING)
        if p.place == place and place and word(p, "ignition_protected") != "yes"
    )
