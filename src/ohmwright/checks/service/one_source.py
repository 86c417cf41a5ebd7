"""F17: what keeps somebody alive hangs on more than one source."""

from collections.abc import Iterator

from ohmwright.checks.circuits import Bank
from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.vital import feeding, vital_loads
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "A second source with its own fuse, or a battery of its own."
#: What may not end with the first failure.
LIVES = ("bilge", "medical")


def judge(sources: tuple[str, ...], opens: tuple[str, ...]) -> Judgement:
    """Banks that can feed it, and those of them that may open themselves."""
    if not sources:
        return fails("No bank feeds it directly.", REMEDY)
    if len(sources) == 1 and opens:
        return fails(f"{sources[0]} alone feeds it, and may open itself: then it is dark.", REMEDY)
    if len(sources) == 1:
        return fails(f"{sources[0]} alone feeds it: one failure and it is dark.", REMEDY)
    return passes(f"{', '.join(sources)} can feed it.")


@rule(
    "service/one-source",
    "F17",
    "Vital load on one source",
    why="A management that opens to save the cells does not know that a pump keeps the boat afloat.",
    severities=("danger",),
    clauses={"": Clause("ABYC E-13", "2025", "second source for critical loads", "secondary")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bilge pump and medical load."""
    loads = [x for x in vital_loads(study) if x.words.get("vital") in LIVES]
    if not loads:
        yield "rig", skipped("No bilge pump or medical load is marked vital.")
    for load in loads:
        found = feeding(study, load, {})
        yield load.id, judge(tuple(b.id for b in found), tuple(b.id for b in found if _opens(b)))


def _opens(bank: Bank) -> bool:
    return word(bank.members[0], "bms") not in ("none", "") or bank.chemistry == "lfp"
