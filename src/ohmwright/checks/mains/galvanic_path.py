"""D13: a boat's shore earth does not join it to every other boat in the harbour."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.walk import reach
from ohmwright.standards import Clause
from ohmwright.study import Study

ISOLATES = ("galvanic-isolator", "isolation-transformer")


def judge(joined: tuple[str, ...]) -> Judgement:
    """Metal in the water that the shore earth reaches without an isolator."""
    if joined:
        return fails(
            f"The shore earth reaches {', '.join(joined)} without an isolator: the anodes feed the harbour.",
            "Fit a galvanic isolator or an isolation transformer, and test it.",
        )
    return passes("The shore earth reaches no metal that is wet.")


@rule(
    "mains/galvanic-path",
    "D13",
    "Galvanic path by the shore earth",
    why="Shore earth is a wire between all the anodes of a pontoon. The boat with the best metal pays for the rest.",
    severities=("danger",),
    sets=("us-boat", "eu-boat"),
    clauses={
        "us-boat": Clause("ABYC A-28", "2008", "galvanic isolators in the shore earth", "memory"),
        "eu-boat": Clause("ISO 13297", "2020", "shore earth", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every inlet, from its earth pin along earth conductors and metal."""
    inlets = [p for p in study.rig.of_kind("shore-inlet") if f"{p.id}.PE" in study.graph.terminals]
    wet = {m.id for m in study.rig.metal.values() if "sea" in m.wet or m.id == "sea"}
    for inlet in inlets:
        through = reach(
            study.graph, (f"{inlet.id}.PE",), stop=lambda _: False,
            through=lambda e: e.kind in ("conductor", "switch") and e.role != "galvanic" and not _isolator(study, e.owner),
        ).terminals  # fmt: skip
        yield (
            inlet.id,
            judge(tuple(sorted(m for m in wet if m in through and m not in ("sea", "shore-ground")))),
        )
    if not inlets:
        yield "rig", skipped("No inlet.")


def _isolator(study: Study, owner: str) -> bool:
    part = study.rig.parts.get(owner)
    return part is not None and part.kind.name in ISOLATES
