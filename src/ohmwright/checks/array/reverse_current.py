"""A6: parallel strings need fuses once their neighbours can push more than a module bears."""

from collections.abc import Iterator

from ohmwright.checks.array.string_fuse import REMEDY, BackFeed, back_feed, judge, string_fuses, window_of
from ohmwright.checks.circuits import pv_circuits
from ohmwright.checks.judgement import Judgement, passes
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import tell

__all__ = ["REMEDY", "BackFeed", "check", "judge"]


@rule(
    "array/reverse-current",
    "A6",
    "Reverse current into a faulted string",
    why="""A shaded or shorted string is a load for the strings beside it. Two in parallel are mostly harmless; from three
        on, the module's printed series fuse is usually exceeded, and the module is the fuse.""",
    severities=("danger",),
    clauses={
        "us": Clause("NFPA 70", "2023", "690.9(A)", "secondary"),
        "eu": Clause("IEC 62548-1", "2023", "reverse current", "memory"),
    },
    needs=("guards",),
    never_overridden=True,
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each array circuit; where every string is fused, rule A7 judges the fuses."""
    for circuit in pv_circuits(study):
        of, missing = window_of(study, circuit)
        fuses = string_fuses(study, circuit) if circuit.parallel > 1 else {}
        if of is not None and circuit.parallel > 1 and len(fuses) == circuit.parallel:
            told = f"Each of {circuit.parallel} strings has its own device; without them {tell(of.reverse.value, 'A', 4)} could flow backward."
            yield circuit.name, passes(told, steps=(of.reverse,), roots=(of.module_fuse,))
        else:
            yield (
                circuit.name,
                judge(
                    circuit.parallel,
                    of,
                    None,
                    back_feed(study, circuit) if circuit.parallel > 1 else BackFeed(),
                    missing,
                ),
            )
