"""C9: a breaker that breaks one direction only may not stand where current can come from both sides."""

from collections.abc import Iterator

from ohmwright.checks.answers import EYES
from ohmwright.checks.circuits import pv_circuits, strings_behind
from ohmwright.checks.gather import word
from ohmwright.checks.islands import own_elements, pushers
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes
from ohmwright.checks.registry import rule
from ohmwright.checks.shape import of_shape
from ohmwright.checks.walk import reach
from ohmwright.rig.model import Part
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "Fit a breaker that breaks both directions."


def judge(
    polarised: str,
    sides: tuple[tuple[str, ...], tuple[str, ...]] | None,
    asks: str = "",
    *,
    drawn: bool = False,
) -> Judgement:
    """`sides` names what can push from each side, None where only one direction is possible; `drawn`: mounted as its page draws."""
    if polarised == "no":
        return passes("It breaks both directions.")
    if sides is not None:
        a, b = (", ".join(s) for s in sides)
        if polarised == "yes":
            return fails(
                f"It breaks one direction only, but current can come from either side ({a}; {b}): opened the wrong way it burns.",
                REMEDY,
            )
        return cannot_tell(
            f"Current can come from either side ({a}; {b}); nobody knows whether it breaks both.",
            (asks,),
            remedy=REMEDY,
        )
    if polarised == "yes" and not drawn:
        return cannot_tell(
            "It breaks one direction only: somebody has to see that it is mounted as its page draws it.",
            (f"looked-at wiring/polarised {asks.partition('.')[0]}",),
            remedy="Look, and write it under looked-at.",
        )
    if polarised == "yes":
        return passes(
            "It breaks one direction only, is mounted as its page draws it, and current comes from one side."
        )
    return cannot_tell(
        "Current comes from one side, but nobody knows whether it breaks one direction only and how it is mounted.",
        (asks,),
        remedy="Copy it from its page.",
    )


@rule(
    "wiring/polarised",
    "C9",
    "Polarised breaker where current reverses",
    why="""Many direct-current breakers blow their arc with a magnet, into the chute for one direction and into the case for the
        other. There is no common arrow rule: each page draws its own.""",
    severities=("danger",),
    clauses={"": Clause("", "", "the maker's page; common practice", "memory")},
    needs=(EYES,),
    never_overridden=True,
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every breaker in a DC circuit."""
    strings = {d.id: c for c in pv_circuits(study) for d in c.devices}
    for part in study.rig.of_kind("breaker", "pv-disconnect"):
        if word(part, "current") == "ac" or (
            part.kind.name == "pv-disconnect"
            and word(part, "device") == "switch"
            and word(part, "polarised") == "no"
        ):
            continue
        circuit = strings.get(part.id)
        if circuit is None:
            both = sides_of(study, part)
        else:
            through = [
                strings_behind(study, circuit, e.id)
                for e in own_elements(study, part.id)
                if e.id in circuit.elements
            ]
            alone = circuit.parallel == 1 or all(len(t) == circuit.parallel for t in through)
            feeds_back = circuit.controller is not None and word(circuit.controller, "backfeed") != "no"
            both = (
                None
                if alone and not feeds_back
                else (
                    (circuit.name,),
                    tuple(s.id for s in circuit.strings)
                    if not alone
                    else (circuit.controller.id if circuit.controller else "",),
                )
            )
        yield part.id, judge(word(part, "polarised") or "unknown", both, f"{part.id}.polarised")


def sides_of(study: Study, part: Part) -> tuple[tuple[str, ...], tuple[str, ...]] | None:
    """What can push from each side of a device; None unless both sides have something."""
    return of_shape(study, ("sides", part.id), lambda: _sides_of(study, part))


def _sides_of(study: Study, part: Part) -> tuple[tuple[str, ...], tuple[str, ...]] | None:
    own = {e.id for e in own_elements(study, part.id)}
    for e in own_elements(study, part.id):
        found = [
            pushers(
                study,
                reach(
                    study.graph,
                    (end,),
                    through=lambda x: x.kind in ("conductor", "switch") and x.id not in own,
                ).terminals,
            )
            for end in (e.a, e.b)
        ]
        if found[0] and found[1]:
            return found[0], found[1]
    return None
