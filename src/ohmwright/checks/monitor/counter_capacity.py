"""F18: the counter is told the capacity that the bank has."""

from collections.abc import Iterator

from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.gather import asked, setting, word
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.sums import off_percent
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, tell, work

REMEDY = "Set the capacity that the bank has."


def judge(told: Figure | None, has: Figure | None, missing: tuple[str, ...] = ()) -> Judgement:
    """The capacity that is set against the bank's."""
    limit = find("monitor/capacity-apart")
    if told is None or has is None:
        return cannot_tell("The capacity that the counter is set to, or the bank's, is not known.", missing, limit=limit.value, unit="%", sense="max")  # fmt: skip
    off = work(off_percent, told_Ah=told, has_Ah=has)
    said = f"It is set to {tell(told.value, 'Ah')}; the bank has {tell(has.value, 'Ah')}"
    wrong = f"{said}: it reads {'too full' if told.value > has.value else 'too empty'} all the way down."
    return most(off, limit.value, "%", good=f"{said}.", bad=wrong, remedy=REMEDY)


@rule(
    "monitor/counter-capacity",
    "F18",
    "Counter knows the capacity of its bank",
    why="A counter divides what it has counted by the capacity that somebody typed. After a battery was added or taken out, nobody types it again.",
    severities=("disappoints",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each counter that counts one bank."""
    by_id = {b.id: b for b in banks(study.rig)}
    shunts = study.rig.of_kind("shunt")
    if not shunts:
        yield "rig", skipped("No counter.")
    for shunt in shunts:
        counted = [by_id[n] for n in word(shunt, "counts").split() if n in by_id]
        if len(counted) != 1:
            yield shunt.id, skipped("It counts no bank, or several.")
        else:
            yield shunt.id, _one(study, shunt, counted[0])


def _one(study: Study, shunt: Part, bank: Bank) -> Judgement:
    told = setting(study.rig, shunt.id, "capacity", "Ah")
    each = [asked(m.figure("capacity")) for m in bank.members]
    lost = tuple(dict.fromkeys(a for e in each if e.figure is None for a in e.missing))
    if lost:
        return judge(told.figure, None, (*told.missing, *lost))
    sizes = [e.figure for e in each if e.figure is not None]
    whole = sum(f.value for f in sizes) / bank.in_series
    has = Figure(whole, "Ah", whole, whole, sizes[0].origin, address=sizes[0].address)
    return judge(told.figure, has, told.missing)
