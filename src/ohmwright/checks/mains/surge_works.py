"""D26: a surge device stands between the poles it is made for and an earth that takes its current."""

from collections.abc import Iterator
from dataclasses import replace

from ohmwright.checks.judgement import Judgement, cannot_tell, most
from ohmwright.checks.proved import from_proof
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import host
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, tell


def judge_leads(length: Figure | None, asks: str) -> Judgement:
    """Length of the leads between its poles and where it lies."""
    limit, aim = find("protection/surge-lead-most"), find("protection/surge-lead-aim")
    remedy = "Move it to the conductors that it protects, with leads below half a metre."
    if length is None:
        return cannot_tell("How long its leads are is not known.", (asks,), limit=limit.value, unit="m", sense="max", remedy=remedy)  # fmt: skip
    told = f"Its leads are {tell(length.value, 'm')} long; {tell(aim.value, 'm')} are aimed at, {tell(limit.value, 'm')} the most"
    return most(length, limit.figure, "m", good=f"{told}.", bad=f"{told}: each metre of lead adds a thousand volts to what it lets through.", remedy=remedy, warn_above=aim.value, severity="fails", clause=limit.clause)  # fmt: skip


@rule(
    "mains/surge-works",
    "D26",
    "Surge devices stand where they can work",
    why="""A surge device on the wrong pole, or on an earth that leads nowhere, looks like protection and is none. The stroke
        goes through the controller instead.""",
    severities=("danger", "fails", "note"),
    clauses={
        "us": Clause("NFPA 70", "2023", "242", "memory"),
        "": Clause("IEC 60364-5-53", "2019", "534: surge protective devices", "memory"),
    },
    needs=("proofs",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each surge device, struck: each of its poles reaches earth. A danger in a cabin, where rule D17 asks for it."""
    cabin = host(study.rig.job.rules) == "cabin"
    for subject, judged in from_proof(
        study, "surge", holds="Struck, each of its poles reaches earth", nothing="No surge device.",
        remedy="Land each of its poles on the pole it is marked for, and its earth on the common earth by the shortest way.",
    ):  # fmt: skip
        soft = judged.verdict in ("fail", "cannot-tell") and not cabin
        yield subject, replace(judged, severity="fails") if soft else judged
    for part in study.rig.of_kind("surge-dc", "surge-ac") if study.proofs["surge"].subjects else ():
        runs = [r for r in study.rig.runs.values() if any(e.startswith(f"{part.id}.") for c in r.cores for e in (c.a, c.b))]  # fmt: skip
        unknown = next((r.id for r in runs if not isinstance(r.length, Figure)), "")
        longest = max((r.length for r in runs if isinstance(r.length, Figure)), key=lambda f: f.value, default=None)  # fmt: skip
        if runs:
            yield part.id, judge_leads(None if unknown else longest, f"{unknown}.length")
