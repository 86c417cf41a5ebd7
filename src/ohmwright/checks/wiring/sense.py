"""C5: a charger that measures at its own terminals thinks the battery is fuller than it is."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.wiring.drop import lost_on_way
from ohmwright.physics.sums import many_V
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Step, tell, work

REMEDY = "A sense lead to the battery, or a larger conductor."


def judge(lost: Step, allowed: Step) -> Judgement:
    """Volts between charger and battery at full charge."""
    told = f"At full charge {tell(lost.value, 'V', 2)} are lost on the way to the battery; {tell(allowed.value, 'V', 2)} are allowed without a sense lead"
    return most(lost.value, allowed, "V", good=f"{told}.", bad=f"{told}: it ends the charge too early.", remedy=REMEDY, steps=(lost,))  # fmt: skip


@rule(
    "wiring/sense",
    "C5",
    "Chargers sense the battery",
    why="Every tenth of a volt lost in the cable is an hour of absorption that the battery does not get.",
    severities=("disappoints",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
    needs=("cases",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each charger alone on a low bank."""
    sensed = {
        e.partition(".")[0] for r in study.rig.runs.values() if r.role == "sense" for e in (r.start, r.stop)
    }
    spoke = False
    for case in study.cases.values():
        charger = case.name.removesuffix("-alone")
        if not case.name.endswith("-alone") or charger not in study.rig.parts:
            continue
        element = next(
            (e for e in study.graph.elements.values() if e.owner == charger and e.kind == "converter" and e.role != "inverter"),
            None,
        )  # fmt: skip
        if element is None:
            continue
        spoke = True
        if charger in sensed:
            yield charger, skipped("It senses the battery by a lead of its own.")
            continue
        lost = lost_on_way(study, case.name, element.out_a, element.out_b)
        if lost.why_not or lost.missing or lost.drop is None:
            yield (
                charger,
                cannot_tell(
                    "A conductor on its way has no length or size.", lost.missing, unit="V", sense="max"
                )
                if lost.missing
                else skipped(lost.why_not or "No conductor lies between."),
            )
            continue
        nominal = lost.system.value if lost.system is not None else 12.0
        yield charger, judge(lost.drop, work(many_V, many_count=max(1.0, round(nominal / 12)), one_V=find("protection/sense-drop").figure))  # fmt: skip
    if not spoke:
        yield "rig", skipped("Nothing charges a bank.")
