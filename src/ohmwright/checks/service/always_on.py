"""F11: what must not go dark stays fed when the main is off."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import host
from ohmwright.checks.vital import feeding, vital_loads
from ohmwright.rig.model import Load
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "A feed with its own fuse ahead of the main switch."


def judge(fed: dict[str, bool]) -> Judgement:
    """For each emergency cut whether the load is still fed."""
    dark = [name for name, on in fed.items() if not on]
    if dark:
        return fails(f"With cut {', '.join(dark)} it goes dark.", REMEDY)
    return passes(f"It stays fed with every cut ({', '.join(fed)}).")


@rule(
    "service/always-on",
    "F11",
    "Always-on items stay fed",
    why="The main is opened when the boat is left, and that is when the bilge pump is wanted.",
    severities=("danger",),
    clauses={
        "us-boat": Clause("ABYC E-11", "2025", "unswitched circuits", "memory"),
        "": Clause("", "", "common practice, no source", "memory"),
    },
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each load marked vital, with each cut; where none is marked somebody has to say so."""
    loads = vital_loads(study)
    if not loads:
        if host(study.rig.job.rules) == "cabin":
            yield "rig", skipped("No load is marked vital.")
        else:
            yield (
                "rig",
                cannot_tell(
                    "No load is marked vital: have alarms, bilge pump and brake batteries or feeds of their own?",
                    ("looked-at service/always-on rig",),
                    remedy=f"Write vital: at the load, or look. {REMEDY}",
                ),
            )
    for load in loads:
        yield load.id, _one(study, load)


def _one(study: Study, load: Load) -> Judgement:
    if not study.rig.cuts:
        return cannot_tell(
            "Which switch is the main is not in the file.", ("cuts",), remedy="Write the emergency cuts."
        )
    return judge({name: bool(feeding(study, load, cut.set)) for name, cut in study.rig.cuts.items()})
