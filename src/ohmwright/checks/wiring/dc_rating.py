"""C8: every device in a direct-current circuit may break that circuit's highest voltage."""

from collections.abc import Iterator

from ohmwright.checks.circuits import coldest, pv_circuits
from ohmwright.checks.cold import cold_voltage
from ohmwright.checks.dc_rating import judge, rating_of
from ohmwright.checks.gather import word
from ohmwright.checks.islands import highest_volts
from ohmwright.checks.judgement import Judgement, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import Figure, Step

__all__ = ["check", "judge"]

KINDS = (
    "fuse",
    "breaker",
    "pv-disconnect",
    "battery-switch",
    "switch",
    "contactor",
    "selector",
    "thermostat",
)


@rule(
    "wiring/dc-rating",
    "C8",
    "Device is rated for its direct voltage",
    why="""Alternating current puts out its own arc a hundred times a second; direct current never does. A device without a
        direct-voltage rating, or with one pole where its page draws two, burns when it is asked to open.""",
    severities=("danger", "note"),
    clauses={
        "us": Clause("NFPA 70", "2023", "110.3(B)", "memory"),
        "": Clause("", "", "the maker's page", "memory"),
    },
    never_overridden=True,
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every fuse, breaker and switch that stands in a DC circuit."""
    array: dict[str, tuple[Step | Figure | None, tuple[str, ...]]] = {}
    low, missing = coldest(study)
    for circuit in pv_circuits(study):
        colds = [cold_voltage(s.modules, low, missing) for s in circuit.strings]
        lost = tuple(dict.fromkeys(a for c in colds if c.governs is None for a in c.missing))
        governing = [c.governs for c in colds if c.governs is not None]
        volts = max(governing, key=lambda s: s.value) if governing and not lost else None
        array.update({d.id: (volts, lost) for d in circuit.devices})
    for part in study.rig.of_kind(*KINDS):
        volts_here, lost_here = array.get(part.id) or highest_volts(study, part.id)
        if volts_here is None and not lost_here:
            if word(part, "current") != "ac":
                yield part.id, skipped("No source of direct current reaches it.")
            continue
        yield (
            part.id,
            judge(volts_here, lost_here, rating_of(part), alternating_only=word(part, "current") == "ac"),
        )
