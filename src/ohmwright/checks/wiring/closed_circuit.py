"""C24: every load, input and charger closes on a source, the right way round, and no end hangs loose."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement, fails, warns
from ohmwright.checks.proved import from_proof, told
from ohmwright.checks.registry import rule
from ohmwright.circuit.types import ProofFinding
from ohmwright.standards.types import PHYSICS
from ohmwright.study import Study

REMEDY = "Draw the conductor that is missing, or land it where it belongs."
TURN = "Swap the two conductors at that port before anything is switched on."
#: Words of the proof for what burns when it is switched on, and for what is only not drawn yet.
REVERSED, LOOSE, NEUTRAL = "the wrong way round", "is a loose end", "line and neutral"


def judge(f: ProofFinding, stage: str) -> Judgement:
    """Swapped poles are a danger; an open circuit fails; of a rig as it was found a loose end is a note."""
    if REVERSED in f.message:
        return fails(f"{told(f)} It is destroyed, or burns, when it is switched on.", TURN, path=f.path)
    if NEUTRAL in f.message:
        swapped = (
            ""
            if "dead short" in f.message
            else " A fuse or switch of one pole behind it opens the neutral and leaves the line live."
        )
        return fails(f"{told(f)}{swapped}", TURN, path=f.path)
    if LOOSE in f.message and stage == "as found":
        return warns(f"{told(f)} Nobody has followed that cable yet.", REMEDY, path=f.path)
    return fails(told(f), REMEDY, severity="fails", path=f.path)


@rule(
    "wiring/closed-circuit",
    "C24",
    "Every circuit closes, the right way round",
    why="""What is drawn is what is built. A load without a return, a selector position that nothing feeds or a lug that
        nobody has landed is found on the last day; two swapped poles are found by the smell.""",
    severities=("danger", "fails", "note"),
    clauses={"": PHYSICS},
    needs=("proofs",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Loads, converter inputs, charger outputs, selectors, automatic devices and free terminals; what hunts is rule D3's."""
    stage = study.rig.job.stage
    return from_proof(
        study, "returns", holds="It closes on a source, the right way round", nothing="No load and no converter.", remedy=REMEDY,
        whose=lambda f: f.subject != "states", judge=lambda f: judge(f, stage),
    )  # fmt: skip
