"""F16: remote start: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, fails, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.study.stays import EMPTY

#: What a stay says of a generator that only hands start.
BY_HAND = ("manual", "none", "off")


def judge(told: str, mode: str, needs: str) -> Judgement:
    """A generator that starts where nobody is."""
    remedy = "Write generator: manual-only for that stay, and block its start by a key."
    if needs:
        return fails(f"It may start by itself ({told}) while the rig is {mode}; use.generator says that it needs {needs}.", remedy)  # fmt: skip
    return fails(f"It may start by itself ({told}) while the rig is {mode}: nobody hears it choke, leak or burn.", remedy)  # fmt: skip


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
    """Each stay that nobody lives in, by what it says of the generator; the rig as a whole, where something can be started by a contact."""
    needs = study.rig.use.generator.get("needs", "")
    for number, stay in enumerate(study.rig.use.stays, 1):
        told = stay.words.get("generator", "")
        if told and stay.mode in EMPTY and not told.startswith(BY_HAND):
            yield f"use.stays.{number}", judge(told, stay.mode, needs)
    if not any(word(g, "remote_start") != "no" for g in study.rig.of_kind("generator")):
        yield "rig", skipped("Nothing in it starts by itself from afar.")
        return
    yield from ask(
        "service/remote-start",
        ("rig",),
        "Can somebody far away start a generator, inverter, pump or open a load with people aboard?",
        "A local enable, a key.",
    )
