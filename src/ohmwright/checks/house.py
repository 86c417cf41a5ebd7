"""The bank that people live on."""

from ohmwright.checks.circuits import Bank, banks
from ohmwright.study import Study
from ohmwright.working import Figure, figure, known


def house_banks(study: Study) -> tuple[Bank, ...]:
    """Banks that do not only start an engine."""
    return tuple(b for b in banks(study.rig) if b.chemistry != "start")


def house_volts(study: Study) -> Figure | None:
    """Nominal volts of the first house bank, series counted."""
    for bank in house_banks(study):
        one = known(bank.members[0].figure("nominal_voltage"))
        if one is not None:
            return figure(one.value * bank.in_series, "V", one.origin, address=one.address)
    return None
