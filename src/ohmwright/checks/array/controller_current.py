"""A4: the array's short-circuit current against what the controller may be wired to."""

from collections.abc import Iterator

from ohmwright.checks.circuits import pv_circuits
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.strings import circuit_A
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, tell, work

REMEDY = "Split the array over two controllers, or fit one for more array current."


def judge(
    parallel: int, short_circuit: Figure | None, limit: Figure | None, missing: tuple[str, ...] = ()
) -> Judgement:
    """1.25 times the short-circuit currents in parallel against the controller's limit."""
    if short_circuit is None or limit is None:
        return cannot_tell(
            "The array current cannot be held against the controller's limit.",
            missing,
            unit="A",
            sense="max",
            limit=limit.value if limit else None,
        )
    step = work(
        circuit_A,
        margin_factor=find("pv/us-maximum-current").figure,
        in_parallel_count=float(parallel),
        short_circuit_A=short_circuit,
    )
    told = f"The array can push {tell(step.value, 'A', 4)}; the controller may be wired to {tell(limit.value, 'A', 4)}"
    return most(
        step.value,
        limit,
        "A",
        good=f"{told}.",
        bad=f"{told}: wired the wrong way round it does not survive.",
        remedy=REMEDY,
        steps=(step,),
        roots=(limit,),
    )


@rule(
    "array/controller-current",
    "A4",
    "Array short-circuit current against the controller",
    why="""Up to its printed short-circuit current a controller survives a wrong polarity and a failed switch; above it the
        array burns it.""",
    severities=("danger",),
    clauses={
        "us": Clause("NFPA 70", "2023", "690.8(A)", "secondary"),
        "eu": Clause("IEC 62548-1", "2023", "current ratings", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each array circuit with a controller that states a limit."""
    for circuit in pv_circuits(study):
        if circuit.controller is None:
            continue
        short = circuit.weakest("short_circuit", largest=True)
        limit = circuit.asked(circuit.controller.figure("max_pv_short_circuit"))
        if limit.not_there:
            yield circuit.controller.id, skipped("Its maker states no limit.")
        else:
            yield (
                circuit.controller.id,
                judge(circuit.parallel, short.figure, limit.figure, (*short.missing, *limit.missing)),
            )
