"""B31: exposed live metal: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "battery/bare-metal",
    "B31",
    "Exposed live metal",
    why="""A dropped spanner across a bank draws more than a welder, and there is no fuse in the spanner.""",
    severities=("danger",),
    clauses={"": Clause("33 CFR 183", "consolidated text", "183.445(b)", "official")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank that it is about."""
    return ask(
        "battery/bare-metal",
        tuple(b.id for b in banks(study.rig)),
        "Can a 250 mm spanner bridge two poles, or a pole and metal, anywhere at the bank, bars or fuses?",
        "Boots, covers, a barrier; insulated tools.",
    )
