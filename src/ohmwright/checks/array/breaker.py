"""A8: a breaker for the whole array lies between its current and its cable's."""

from collections.abc import Iterator

from ohmwright.checks.carrying import pv_ampacity
from ohmwright.checks.circuits import PvCircuit, pv_circuits, strings_behind
from ohmwright.checks.gather import word
from ohmwright.checks.judgement import (
    Judgement,
    at_most,
    cannot_tell,
    margin_below,
    most,
    skipped,
    unverified,
)
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import country
from ohmwright.checks.wires import wire_of
from ohmwright.physics.strings import circuit_A, sizing_A
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, Step, tell, work

REMEDY = "Fit a breaker inside the window; where none fits, enlarge the cable."


def judge(rules: str, parallel: int, short_circuit: Figure, rated: Figure, ampacity: Step) -> Judgement:
    """Sizing current <= rating <= ampacity of the cable."""
    once = find("pv/us-maximum-current" if country(rules) == "us" else "pv/eu-cable").figure
    least = work(
        circuit_A, margin_factor=once, in_parallel_count=float(parallel), short_circuit_A=short_circuit
    )
    if country(rules) == "us":
        least = work(
            sizing_A,
            continuous_factor=find("pv/us-continuous").figure,
            margin_factor=once,
            in_parallel_count=float(parallel),
            short_circuit_A=short_circuit,
        )
    told = f"{tell(rated.value, 'A')} device; the array asks for at least {tell(least.value, 'A', 4)} and the cable bears {tell(ampacity.value, 'A', 4)}"
    if not at_most(least.value, rated.value):
        return Judgement(
            verdict="fail", message=f"{told}: it trips in full sun.", value=least.value, limit=rated.value, low=least.value, high=ampacity.value, sense="max",
            margin=margin_below(least.value, rated.value), unit="A", remedy=REMEDY, steps=(ampacity, least), origin_unverified=unverified(rated, least),
        )  # fmt: skip
    return most(
        rated.value,
        ampacity.value,
        "A",
        good=f"{told}.",
        bad=f"{told}: the cable is not protected.",
        remedy=REMEDY,
        steps=(least, ampacity),
        roots=(rated,),
    )


def trips(part: Part) -> bool:
    """Whether a device on the array side opens by itself."""
    return part.kind.name in ("breaker", "fuse") or (
        part.kind.name == "pv-disconnect" and word(part, "device") != "switch"
    )


def carried_by(study: Study, circuit: PvCircuit, device: Part) -> tuple[int, list[str]]:
    """Strings whose current runs through a device, and the conductors on its terminals."""
    own = [n for n in circuit.elements if study.graph.elements[n].owner == device.id]
    ends = {x for n in own for x in (study.graph.elements[n].a, study.graph.elements[n].b)}
    beside = [n for n in circuit.conductors if {study.graph.elements[n].a, study.graph.elements[n].b} & ends]
    return max((len(strings_behind(study, circuit, n)) for n in own), default=circuit.parallel), beside


@rule(
    "array/breaker",
    "A8",
    "Array breaker between its two limits, and its direction",
    why="""A breaker sized for the printed current trips on the best days, and one sized for peace of mind leaves the cable
        alone with the fault.""",
    severities=("danger",),
    clauses={
        "us": Clause("NFPA 70", "2023", "690.9", "memory"),
        "eu": Clause("IEC 62548-1", "2023", "overcurrent protection", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each device that opens by itself and carries the whole of a circuit."""
    for circuit in pv_circuits(study):
        short = circuit.weakest("short_circuit", largest=True)
        for device in circuit.devices:
            if not trips(device):
                continue
            if device.kind.name == "pv-disconnect" and word(device, "device") == "unknown":
                yield (
                    device.id,
                    cannot_tell(
                        "It is not known whether it is a breaker or only a switch.",
                        (f"{device.id}.device",),
                        unit="A",
                    ),
                )
                continue
            strings, beside = carried_by(study, circuit, device)
            if circuit.parallel > 1 and strings < circuit.parallel:
                yield device.id, skipped("It stands in one string: rule A7 judges it.")
                continue
            rated = circuit.asked(device.figure("rated"))
            wires = [w for n in beside if (w := wire_of(study, n)) is not None]
            carried = [
                c.ampacity
                for w in wires
                if (c := pv_ampacity(w, study.rig.job.rules, None, None)) is not None
            ]
            if short.figure is None or rated.figure is None or not carried:
                lost = [
                    *short.missing,
                    *rated.missing,
                    *([f"{study.graph.conductors[n].run}.cable" for n in beside] if not carried else []),
                ]
                yield device.id, cannot_tell("Its window cannot be told.", lost, unit="A", sense="max")
                continue
            yield (
                device.id,
                judge(
                    study.rig.job.rules,
                    strings,
                    short.figure,
                    rated.figure,
                    min(carried, key=lambda s: s.value),
                ),
            )
