"""D17: a cabin has an electrode and surge protection."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement, fails, passes
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


def judge(electrodes: int, surges: int) -> Judgement:
    """Presence of both."""
    lacks = [w for n, w in ((electrodes, "no electrode"), (surges, "no surge protection")) if n == 0]
    if lacks:
        return fails(
            f"There is {' and '.join(lacks)}.",
            "Fit an electrode and surge devices; have it measured by who may.",
        )
    return passes(
        f"{electrodes} electrode{'s' if electrodes > 1 else ''} and {surges} surge device{'s' if surges > 1 else ''}."
    )


@rule(
    "mains/cabin-earth",
    "D17",
    "Electrode and surge protection of a cabin",
    why="A cabin with an array is the best aerial in the valley.",
    severities=("danger",),
    sets=("us-cabin", "eu-cabin"),
    clauses={
        "us-cabin": Clause("NFPA 70", "2023", "250.50, 242", "memory"),
        "eu-cabin": Clause("IEC 60364-7-712", "2017", "surge protection; IEC 61643", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """The rig as a whole."""
    kinds = [p.kind.name for p in study.rig.parts.values()]
    yield (
        "rig",
        judge(sum(k.startswith("electrode") for k in kinds), sum(k.startswith("surge") for k in kinds)),
    )
