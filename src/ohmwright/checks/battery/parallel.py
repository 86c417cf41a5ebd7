"""B38: no more batteries in parallel than their maker allows."""

from collections.abc import Iterator

from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.gather import asked, word
from ohmwright.checks.judgement import Judgement, cannot_tell, most, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import Figure

REMEDY = "Fewer and larger batteries, or two banks."


def judge(count: int, allowed: Figure | None, asks: str, *, lithium: bool) -> Judgement:
    """Batteries side by side against the most of their page; lead-acid pages seldom name one."""
    if count < 2:
        return skipped("Nothing in parallel.")
    if allowed is None:
        if lithium:
            return cannot_tell("How many its maker allows in parallel is not known.", (asks,), sense="max", remedy=REMEDY)  # fmt: skip
        return passes(f"{count} in parallel; no page names a limit.")
    told = f"{count} in parallel; the maker allows {allowed.value:g}"
    return most(float(count), allowed, "1", good=f"{told}.", bad=f"{told}: a fault in one is fed by more than its switch can break.", remedy=REMEDY)  # fmt: skip


@rule(
    "battery/parallel",
    "B38",
    "Batteries in parallel",
    why="""The switch in a battery is made for what so many neighbours push through a fault in it. One battery more, and it welds
        shut on the day that it is needed.""",
    severities=("fails",),
    clauses={"": Clause("", "", "the maker's page", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank."""
    return ((b.id, _one(b)) for b in banks(study.rig))


def _one(bank: Bank) -> Judgement:
    one = bank.members[0]
    return judge(bank.in_parallel, asked(one.figure("parallel_max")).figure, f"{one.id}.parallel_max", lithium=word(one, "chemistry") == "lfp")  # fmt: skip
