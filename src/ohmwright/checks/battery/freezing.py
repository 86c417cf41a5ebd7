"""B9: lead-acid batteries freeze when they are empty."""

from collections.abc import Iterator

from ohmwright.checks.battery.cold_lockout import coldest_at, place_of
from ohmwright.checks.circuits import banks, coldest
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, at_least, cannot_tell, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause, Published, table
from ohmwright.study import Study
from ohmwright.working import Figure, tell

REMEDY = "Keep it charged through the winter, or take it out."


def freezes(charge_ratio: float) -> Published:
    """Freezing point at a state of charge: the row at or below it, never between two."""
    rows = table("lead-freezing")
    row = [r for r in rows.rows if float(r) <= 100 * charge_ratio * (1 + 1e-9)][-1]
    cell = rows.cell(row, "freezes")
    assert cell is not None
    return cell


def judge(air: Figure | None, charge: Figure | None, missing: tuple[str, ...] = ()) -> Judgement:
    """The coldest it gets against the freezing point at the charge it is kept at; flat where nobody says."""
    flat = freezes(0.0)
    if air is None:
        return cannot_tell(
            "How cold it gets is not known.", missing, limit=flat.value, unit="degC", sense="min"
        )
    if at_least(air.value, flat.value):
        return least(air.value, flat.value, "degC", good=f"Down to {tell(air.value, 'degC')}: even empty it freezes at {tell(flat.value, 'degC')} only.", bad="", roots=(air,), clause=flat.clause)  # fmt: skip
    if charge is None:
        return cannot_tell(f"Down to {tell(air.value, 'degC')}: at what charge it is kept is not known.", missing, limit=flat.value, unit="degC", sense="min", remedy=REMEDY)  # fmt: skip
    at = freezes(charge.value)
    told = f"Down to {tell(air.value, 'degC')}, kept at {100 * charge.value:.0f} %: it freezes at {tell(at.value, 'degC')}"
    return least(air.value, at.value, "degC", good=f"{told}.", bad=f"{told}, and its case bursts.", remedy=REMEDY, roots=(air, charge), clause=at.clause)  # fmt: skip


@rule(
    "battery/freezing",
    "B9",
    "Lead-acid freezes",
    why="The acid of an empty battery is nearly water. It freezes at eight degrees below, splits the case and leaks when it thaws.",
    severities=("danger",),
    clauses={
        "": Clause(
            "Linden, Handbook of Batteries",
            "3rd, 2002",
            "chapter 23: freezing point of the acid by its gravity, rounded",
            "memory",
        )
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each lead-acid bank at the coldest of its place, else of the stays."""
    outside, missing = coldest(study)
    for bank in banks(study.rig):
        if bank.chemistry == "lfp":
            yield bank.id, skipped("Not lead-acid.")
            continue
        air = coldest_at(study, bank) or outside
        soc = asked(bank.members[0].figure("storage_soc"))
        lost = missing if air is None else soc.missing
        where = (f"host.places.{place_of(bank)}.coldest",) if air is None else ()
        yield bank.id, judge(air, soc.figure, (*where, *lost))
