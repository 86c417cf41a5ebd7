"""A3: every rating on the array side against the cold voltage, the sound side's as well as the controller's."""

from collections.abc import Iterator

from ohmwright.checks.circuits import PvCircuit, coldest, pv_circuits
from ohmwright.checks.cold import cold_voltage
from ohmwright.checks.dc_rating import Rating, judge, rating_of
from ohmwright.checks.gather import asked, word
from ohmwright.checks.judgement import Judgement, cannot_tell, most
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import Figure, Step, tell

__all__ = ["check", "judge"]


def judge_surge(
    volts: Step | Figure | None, lost: tuple[str, ...], bears: Figure | None, missing: tuple[str, ...] = ()
) -> Judgement:
    """Cold volts against the highest continuous voltage of a surge device: above it, it conducts on a sunny morning and burns."""
    if volts is None or bears is None:
        return cannot_tell("Whether it stays quiet at the cold volts of the array is not known.", (*lost, *missing), unit="V", sense="max")  # fmt: skip
    told = f"Up to {tell(volts.value, 'V', 4)} stand across it for hours; it stays quiet up to {tell(bears.value, 'V', 4)}"
    return most(volts, bears, "V", good=f"{told}.", bad=f"{told}: it conducts, heats and burns.", remedy="A surge device for the cold volts of the string.", severity="danger")  # fmt: skip


def _across(study: Study, surge: str, circuit: PvCircuit) -> bool:
    """Whether a surge device is joined to a circuit's conductors or devices."""
    graph = study.graph
    ends = {t for n in circuit.elements for t in (graph.elements[n].a, graph.elements[n].b)}
    return any({c.a, c.b} & ends and any(graph.terminals[t].owner == surge for t in (c.a, c.b)) for c in graph.conductors.values())  # fmt: skip


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
        for surge in study.rig.of_kind("surge-dc"):
            if _across(study, surge.id, circuit):
                given = asked(surge.figure("max_voltage"))
                yield surge.id, judge_surge(volts, lost, given.figure, given.missing)
        first = circuit.strings[0].members[0]
        system = asked(first.figure("max_system_voltage"))
        yield circuit.name, judge(volts, lost, Rating(system.figure, system.missing))
