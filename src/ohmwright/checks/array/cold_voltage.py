"""A1: the string's voltage on the coldest morning against what destroys the controller."""

from collections.abc import Iterator
from dataclasses import replace

from ohmwright.checks.circuits import coldest, pv_circuits
from ohmwright.checks.cold import Cold, cold_voltage
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, Step, tell

REMEDY = "Put one module fewer in series, or fit a controller for a higher voltage."


def judge(cold: Cold, limit: Figure | None, limit_missing: tuple[str, ...] = ()) -> Judgement:
    """Cold voltage against the controller's absolute maximum."""
    if cold.governs is None or limit is None:
        reason = cold.why_not if cold.governs is None else "the controller's highest array voltage is missing"
        return cannot_tell(
            f"The cold voltage of the string cannot be judged: {reason}.", (*cold.missing, *limit_missing), limit=limit.value if limit else None,
            unit="V", sense="max", remedy="Give the figures that are missing, with their page.",
        )  # fmt: skip
    volts, most_V = cold.governs.value, limit.value
    how = (
        "by table"
        if cold.governs is cold.by_table or cold.by_coefficient is None
        else "by the module's coefficient"
    )
    near = find("pv/near-limit").value * most_V
    told = f"The string reaches {volts:.1f} V in the cold {how}{_other(cold)}; the controller bears {tell(most_V, 'V', 4)}"
    judged = most(
        volts, limit, "V", good=f"{told}.", bad=f"{told}: it is destroyed on a cold clear morning.", remedy=REMEDY, warn_above=near,
        warn=f"{told}: less than 5 % is left.", steps=_steps(cold), roots=(limit,),
    )  # fmt: skip
    if judged.verdict == "pass" and cold.by_table is not None and not at_most(cold.by_table.value, most_V):
        note = f"{told}; by table it would be {tell(cold.by_table.value, 'V', 4)}, above the limit. The coefficient has a page and governs."
        return replace(judged, verdict="warn", severity="note", message=note, remedy=REMEDY)
    return judged


def _other(cold: Cold) -> str:
    if cold.by_table is None or cold.by_coefficient is None:
        return ""
    if cold.governs is cold.by_table:
        return f", {cold.by_coefficient.value:.1f} V by the module's coefficient"
    return f", {cold.by_table.value:.1f} V by table"


def _steps(cold: Cold) -> tuple[Step, ...]:
    both = (cold.by_table, cold.by_coefficient)
    others = tuple(s for s in both if s is not None and s is not cold.governs)
    return (*others, cold.governs) if cold.governs else others


@rule(
    "array/cold-voltage",
    "A1",
    "Cold string voltage against the controller's maximum",
    why="""A module gives the most volts when it is cold. The printed maximum of a controller is where it dies, not
        where it is happy, and dawn after a clear night puts full voltage on it before any current flows.""",
    severities=("danger", "note"),
    clauses={
        "us": Clause("NFPA 70", "2023", "690.7(A)(1)", "secondary"),
        "eu": Clause("IEC 62548-1", "2023", "maximum voltage of an array", "memory"),
    },
    never_overridden=True,
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each string at each controller."""
    low, missing = coldest(study)
    for circuit in pv_circuits(study):
        if circuit.controller is None:
            yield circuit.name, skipped("This string ends at no controller.")
            continue
        limit = circuit.asked(circuit.controller.figure("max_pv_voltage"))
        for string in circuit.strings:
            yield string.id, judge(cold_voltage(string.modules, low, missing), limit.figure, limit.missing)
