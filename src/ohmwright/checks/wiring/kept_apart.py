"""C25: what the file says can never be together is kept apart by something that can be proved or seen."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes, skipped, warns
from ohmwright.checks.proved import told
from ohmwright.checks.registry import rule
from ohmwright.rig.model import Never
from ohmwright.standards.types import Clause
from ohmwright.study import Study

REMEDY = "An interlock, a changeover of one part, or a contact in series."


def judge(words: str, by: str, found: str, path: tuple[str, ...], looked: str) -> Judgement:
    """By what two things are kept apart: wiring is proved on the graph, one part cannot stand in two states, a plate is seen, a label keeps nothing apart."""
    if by == "wiring":
        if found:
            return fails(f"{found} The file says that it does.", REMEDY, path=path)
        return passes(f"{words}: the wiring keeps them apart in every state.")
    if by == "same part":
        return passes(f"{words}: one part cannot stand in both.")
    if by == "label":
        return warns(f"{words}: only a label keeps them apart, and somebody will not read it.", REMEDY)
    return cannot_tell(
        f"{words}: is the plate that keeps them apart fitted, and does it hold? Every proof relies on it.", (looked,),
        remedy=f"Try both at once, and write it under looked-at. {REMEDY}",
    )  # fmt: skip


@rule(
    "wiring/kept-apart",
    "C25",
    "What must never be together is kept apart",
    why="""A file that says two switches can never be closed together is believed by every other rule. The claim has to
        hold by the wiring itself, or by something that a hand has tried.""",
    severities=("danger", "note"),
    clauses={"": Clause("", "", "physics of the graph; common practice, no source", "memory")},
    needs=("proofs", EYES),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each claim of `never:`."""
    if not study.rig.never:
        yield "rig", skipped("The file claims of nothing that it can never be together (never:).")
    for claim in study.rig.never:
        yield claim.these[0][0], _one(study, claim)


def _one(study: Study, claim: Never) -> Judgement:
    subject = claim.these[0][0]
    words = " and ".join(" ".join(t) for t in claim.these)
    broken = [f for f in study.proofs["never"].found if f.subject == subject and f.message.startswith(words)]
    left = [f for f in study.proofs["never"].open if claim.by == "wiring"]
    if left and not broken:
        return cannot_tell(told(left[0]), left[0].missing, remedy="Give what is missing.")
    found, path = (told(broken[0]), broken[0].path) if broken else ("", ())
    return judge(words, claim.by, found, path, f"looked-at wiring/kept-apart {subject}")
