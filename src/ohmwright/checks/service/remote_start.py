"""F16: remote start: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "service/remote-start",
    "F16",
    "Remote start",
    why="""A remote start finds somebody's hand in the machine sooner or later.""",
    severities=("danger",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """The rig as a whole, where something can be started by a contact."""
    if not any(word(g, "remote_start") != "no" for g in study.rig.of_kind("generator")):
        return iter((("rig", skipped("Nothing in it starts by itself from afar.")),))
    return ask(
        "service/remote-start",
        ("rig",),
        "Can somebody far away start a generator, inverter, pump or open a load with people aboard?",
        "A local enable, a key.",
    )
