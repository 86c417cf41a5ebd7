"""Rules that a topology proof answers: what it found, what it left open, or that it holds."""

from collections.abc import Callable, Iterator

from ohmwright.checks.judgement import Judgement, cannot_tell, fails, kept, passes, skipped
from ohmwright.circuit.types import ProofFinding
from ohmwright.study import Study


def from_proof(
    study: Study,
    name: str,
    *,
    remedy: str,
    holds: str,
    nothing: str,
    open_remedy: str = "",
    whose: Callable[[ProofFinding], bool] = lambda _: True,
    judge: Callable[[ProofFinding], Judgement] | None = None,
) -> Iterator[tuple[str, Judgement]]:
    """Each finding of the proof as a fail, each open question as cannot-tell, each subject that holds as a pass.

    A proof that has no subject in this rig has shown nothing: it is skipped, and `nothing` says what is not there.
    """
    proof = study.proofs[name]
    found = [f for f in proof.found if whose(f)]
    left = [f for f in proof.open if whose(f)]
    for f in found:
        yield f.subject, judge(f) if judge else fails(told(f), remedy, path=f.path)
    for f in left:
        yield f.subject, cannot_tell(told(f), f.missing, remedy=open_remedy or "Give what is missing.")
    if found or left:
        return
    sound = _sound(f"{holds} (states walked: {proof.walked})." if proof.walked else f"{holds}.")
    for subject in proof.subjects:
        yield subject, sound
    if not proof.subjects:
        yield "rig", skipped(nothing)


@kept
def _sound(message: str) -> Judgement:
    return passes(message)


def told(f: ProofFinding) -> str:
    """The proof's message with the state it holds in."""
    states = ", ".join(f"{v} {s}" for v, s in f.states.items())
    message = f.message if f.message.endswith(".") else f"{f.message}."
    return f"{message} State: {states}." if states else message
