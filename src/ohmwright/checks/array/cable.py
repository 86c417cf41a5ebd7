"""A5: array cables carry the array's current, once without and once with the factors of where they lie."""

from collections.abc import Iterator

from ohmwright.checks.carrying import Wire, pv_ampacity
from ohmwright.checks.circuits import hottest, pv_circuits, strings_behind
from ohmwright.checks.judgement import Judgement, cannot_tell, kept, most
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import country
from ohmwright.checks.wires import sun_roof, wire_of
from ohmwright.physics.strings import circuit_A, sizing_A
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, tell, work

REMEDY = "Lay a larger conductor, or a cooler route."


@kept
def judge(
    rules: str,
    parallel: int,
    short_circuit: Figure,
    wire: Wire,
    ambient: Figure | None,
    terminal: Figure | None,
) -> Judgement:
    """(a) the sizing current at the terminal's class without factors; (b) the greatest current with them. The worse speaks."""
    once = find("pv/us-maximum-current" if country(rules) == "us" else "pv/eu-cable").figure
    greatest = work(
        circuit_A, margin_factor=once, in_parallel_count=float(parallel), short_circuit_A=short_circuit
    )
    sizing = greatest
    if country(rules) == "us":
        sizing = work(
            sizing_A,
            continuous_factor=find("pv/us-continuous").figure,
            margin_factor=once,
            in_parallel_count=float(parallel),
            short_circuit_A=short_circuit,
        )
    if wire.material == "cca":
        return Judgement(
            verdict="fail",
            message="No ampacity is on file for copper-clad aluminium: it may not be used here.",
            remedy="Lay copper.",
        )
    bare = pv_ampacity(wire, rules, None, terminal.value if terminal is not None else 60.0)
    if ambient is None:
        return cannot_tell(
            "The hottest air along the cable is not known.", ("use.stays.1.hottest",), unit="A", sense="max"
        )
    laid = pv_ampacity(wire, rules, ambient, None)
    if bare is None or laid is None:
        return cannot_tell(
            "No row of the table fits this conductor or its surroundings.",
            (wire.asks,),
            unit="A",
            sense="max",
        )
    first = sizing.value / bare.ampacity.value >= greatest.value / laid.ampacity.value
    asks, carries = (sizing, bare) if first else (greatest, laid)
    how = "at its terminals" if first else f"in air of {tell(ambient.value, 'degC')}"
    told = f"It has to carry {tell(asks.value, 'A', 4)} and may carry {tell(carries.ampacity.value, 'A', 4)} {how} ({carries.told})"
    return most(
        asks.value, carries.ampacity.value, "A", good=f"{told}.", bad=f"{told}.", remedy=REMEDY, steps=(carries.ampacity, asks), roots=(ambient, terminal),
    )  # fmt: skip


@rule(
    "array/cable",
    "A5",
    "Array cables carry the array's current",
    why="""Bright edges of clouds push a module above its printed current, for hours, on a hot roof. Terminals often bear
        less heat than the cable's own insulation.""",
    severities=("danger",),
    clauses={
        "us": Clause("NFPA 70", "2023", "690.8(B)", "secondary"),
        "eu": Clause(
            "IEC 62548-1",
            "2023",
            "cable of a string or array (ampacity by NFPA 70 Table 310.16 as the shop's own rule)",
            "memory",
        ),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every conductor between modules and controller."""
    air, missing = hottest(study)
    for circuit in pv_circuits(study):
        short = circuit.weakest("short_circuit", largest=True)
        for name in circuit.conductors:
            conductor = study.graph.conductors[name]
            wire = wire_of(study, name)
            if conductor.role in ("bond", "earth"):
                continue
            if "maker's lead" in conductor.cable.words or (wire is None and conductor.cable.text == ""):
                continue
            lost = [
                *short.missing,
                *([f"{conductor.run}.cable"] if wire is None else []),
                *(missing if air is None else ()),
            ]
            if short.figure is None or wire is None or air is None:
                yield (
                    name,
                    cannot_tell(
                        "What it has to carry, or may carry, is not known.", lost, unit="A", sense="max"
                    ),
                )
                continue
            yield (
                name,
                judge(
                    study.rig.job.rules,
                    len(strings_behind(study, circuit, name)),
                    short.figure,
                    wire,
                    sun_roof(study, conductor, air),
                    None,
                ),
            )
