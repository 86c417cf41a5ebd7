"""A2: the cold voltage by table, as a cross-check or where no coefficient is on file."""

from collections.abc import Iterator
from dataclasses import replace

from ohmwright.checks.circuits import coldest, pv_circuits
from ohmwright.checks.cold import Cold, cold_voltage
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import Figure, tell


def judge(cold: Cold, limit: Figure | None, limit_missing: tuple[str, ...] = ()) -> Judgement:
    """Cold voltage by table against the controller; only a note where the coefficient has a page."""
    if cold.by_table is None:
        if cold.by_coefficient is not None and cold.trusted:
            return skipped(
                "No table fits these modules or this cold; the coefficient has a page and rule A1 uses it."
            )
        return cannot_tell(
            f"The table gives nothing: {cold.why_not}.",
            cold.missing,
            limit=limit.value if limit else None,
            unit="V",
            sense="max",
        )
    if limit is None:
        return cannot_tell(
            "The controller's highest array voltage is missing.", limit_missing, unit="V", sense="max"
        )
    told = f"By table the string reaches {tell(cold.by_table.value, 'V', 4)} in the cold; the controller bears {tell(limit.value, 'V', 4)}"
    remedy = "Get the module's page with its coefficient, or put one module fewer in series."
    if cold.trusted and not at_most(cold.by_table.value, limit.value):
        over = most(
            cold.by_table.value,
            limit,
            "V",
            good="",
            bad=f"{told}. The coefficient has a page and governs.",
            remedy=remedy,
            steps=(cold.by_table,),
            roots=(limit,),
        )
        return replace(over, verdict="warn", severity="note")
    return most(
        cold.by_table.value,
        limit,
        "V",
        good=f"{told}.",
        bad=f"{told}.",
        remedy=remedy,
        steps=(cold.by_table,),
        roots=(limit,),
    )


@rule(
    "array/cold-voltage-by-table",
    "A2",
    "Cold string voltage by table",
    why="""The table of the code is made for crystalline silicon and for people without the module's page. It is a second
        opinion: sometimes higher than the coefficient, sometimes lower.""",
    severities=("danger", "note"),
    clauses={"": Clause("NFPA 70", "2023", "Table 690.7(A)", "secondary")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each string at each controller."""
    low, missing = coldest(study)
    for circuit in pv_circuits(study):
        if circuit.controller is None:
            continue
        limit = circuit.asked(circuit.controller.figure("max_pv_voltage"))
        for string in circuit.strings:
            yield string.id, judge(cold_voltage(string.modules, low, missing), limit.figure, limit.missing)
