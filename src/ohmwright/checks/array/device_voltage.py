"""A3: every rating on the array side against the cold voltage, the sound side's as well as the controller's."""

from collections.abc import Iterator

from ohmwright.checks.circuits import coldest, pv_circuits
from ohmwright.checks.cold import cold_voltage
from ohmwright.checks.dc_rating import Rating, judge, rating_of
from ohmwright.checks.gather import asked, word
from ohmwright.checks.judgement import Judgement
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study

__all__ = ["check", "judge"]


@rule(
    "array/device-voltage",
    "A3",
    "Cold string voltage against every rating on the array side",
    why="""A breaker or fuse that is asked to open more direct volts than it is made for does not open: it burns. The
        voltage it will meet is the coldest morning's, not the nominal one.""",
    severities=("danger", "note"),
    clauses={
        "us": Clause("NFPA 70", "2023", "690.9, 110.3(B)", "memory"),
        "eu": Clause("IEC 62548-1", "2023", "component requirements", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each device of each array circuit, and the modules' own system voltage."""
    low, missing = coldest(study)
    for circuit in pv_circuits(study):
        colds = [cold_voltage(s.modules, low, missing) for s in circuit.strings]
        governing = [c.governs for c in colds if c.governs is not None]
        lost = (
            tuple(dict.fromkeys(a for c in colds for a in c.missing)) if len(governing) < len(colds) else ()
        )
        volts = max(governing, key=lambda s: s.value) if governing and not lost else None
        for device in circuit.devices:
            yield (
                device.id,
                judge(volts, lost, rating_of(device), alternating_only=word(device, "current") == "ac"),
            )
        first = circuit.strings[0].members[0]
        system = asked(first.figure("max_system_voltage"))
        yield circuit.name, judge(volts, lost, Rating(system.figure, system.missing))
