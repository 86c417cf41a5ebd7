"""D18: what the rules of buildings add to a cabin in the United States."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "mains/building",
    "D18",
    "Rules of a building",
    why="A cabin is a building: where batteries may stand, who may wire them and who signs is for the authority to say.",
    severities=("danger",),
    sets=("us-cabin",),
    clauses={"us-cabin": Clause("NFPA 70", "2023", "690.12, 706; local rules", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """The rig as a whole."""
    who = study.rig.job.words.get("lawful-hands", study.rig.job.words.get("lawful_hands", ""))
    return ask(
        "mains/building",
        ("rig",),
        f"Has the authority been asked about shutdown and the place of the batteries{'' if who else ', and who may lawfully do the work'}?",
        "Ask, and write who may do the work under job: lawful-hands.",
    )
