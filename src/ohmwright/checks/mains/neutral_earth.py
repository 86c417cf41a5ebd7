"""D1: in every source state exactly one join of neutral and earth."""

from collections.abc import Iterator
from dataclasses import replace

from ohmwright.checks.judgement import Judgement, cannot_tell, fails, margin_below, skipped
from ohmwright.checks.proved import from_proof, told
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "Set the inverter's relay, take out a fitted link, or bond the generator: one join at the source that is active."


def judge(joins: int | None, missing: tuple[str, ...] = (), *, one_separated_item: bool = False) -> Judgement:
    """Joins in one energised island; eu rules allow none for protective separation that feeds one item only."""
    if joins is None:
        return cannot_tell(
            "Whether a source joins neutral and earth is not known.",
            missing,
            limit=1,
            unit="bonds",
            sense="window",
            remedy="Ask, or measure it dead.",
        )
    wanted = 0 if one_separated_item else 1
    said = f"{joins} join{'s' if joins != 1 else ''} of neutral and earth, {wanted} wanted"
    if joins == wanted:
        return Judgement(
            verdict="pass",
            message=f"{said}.",
            value=joins,
            limit=wanted,
            low=wanted,
            high=wanted,
            sense="window",
            margin=None,
            unit="bonds",
        )
    why = (
        "a first fault does not trip anything"
        if joins < wanted
        else "neutral current runs in metal that people touch"
    )
    return Judgement(
        verdict="fail", message=f"{said}: {why}.", value=joins, limit=wanted, low=wanted, high=wanted, sense="window", margin=margin_below(joins, wanted),
        unit="bonds", remedy=REMEDY,
    )  # fmt: skip


@rule(
    "mains/neutral-earth",
    "D1",
    "One neutral-earth join in every source state",
    why="""With no join a person is the return of the first fault and no breaker moves; with two, the neutral's current shares
        the frame and blinds the residual-current device.""",
    severities=("danger",),
    clauses={
        "us-boat": Clause("ABYC E-11", "2025", "grounding of sources", "memory"),
        "us": Clause("NFPA 70", "2023", "250.30, 551.40, 551.54", "memory"),
        "eu": Clause("IEC 60364-4-41", "2017", "411, 413", "memory"),
    },
    needs=("proofs",),
    never_overridden=True,
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every energised island of every state; earth and metal that reach no join, and a join behind a residual-current device, besides."""
    proof = study.proofs["neutral-earth"]
    if not proof.subjects and not proof.found and not proof.open:
        yield "rig", skipped("No source of alternating current.")
    spoken = set()
    for f in proof.found:
        spoken.add(f.subject)
        counted = judge(len(f.path)) if f.subject in proof.subjects else fails("", REMEDY)
        yield f.subject, replace(counted, message=told(f), path=f.path)
    for f in proof.open:
        spoken.add(f.subject)
        yield f.subject, replace(judge(None, f.missing), message=told(f))
    for subject in proof.subjects:
        if subject not in spoken:
            yield (
                subject,
                replace(
                    judge(1),
                    message=f"Exactly one join in every energised island (states walked: {proof.walked}).",
                ),
            )
    yield from from_proof(study, "metal", holds="No pole lies on it, and it is joined to earth where it has to be", nothing="No metal body is in the file (metal:).", remedy=REMEDY)  # fmt: skip
    yield from from_proof(study, "rcd-join", holds="No join of neutral and earth lies behind it", nothing="No residual-current device.", remedy=REMEDY)  # fmt: skip
