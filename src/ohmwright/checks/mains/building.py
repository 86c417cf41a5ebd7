"""D18: what the rules of buildings add to a cabin, and who may lawfully do the work."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement, cannot_tell, passes
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import country
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "mains/building",
    "D18",
    "Rules of a building",
    why="A cabin is a building: where batteries may stand, who may wire them and who signs is for the authority to say.",
    severities=("danger",),
    sets=("us-cabin", "eu-cabin"),
    clauses={
        "us-cabin": Clause("NFPA 70", "2023", "690.12, 706; local rules", "memory"),
        "eu-cabin": Clause(
            "IEC 60364-1",
            "2005",
            "as each country adopts it; national rules on who may do the work",
            "memory",
        ),
    },
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """The rig as a whole. In eu rules nobody but whom the country names may do the work: the file says who."""
    who = study.rig.job.words.get("lawful-hands", study.rig.job.words.get("lawful_hands", ""))
    if country(study.rig.job.rules) == "eu":
        yield "rig", judge_hands(who)
        return
    yield from ask(
        "mains/building",
        ("rig",),
        f"Has the authority been asked about shutdown and the place of the batteries{'' if who else ', and who may lawfully do the work'}?",
        "Ask, and write who may do the work under job: lawful-hands.",
    )


def judge_hands(who: str) -> Judgement:
    """Whether the file says who may lawfully do the work."""
    if who:
        return passes(f"The work is for a {who}.")
    return cannot_tell("Who may lawfully do this work in that country is not written.", ("job.lawful-hands",), remedy="Ask the authority there, and write it under job: lawful-hands.")  # fmt: skip
