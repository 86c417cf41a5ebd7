"""C15: conductors fit the terminals they end on."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, at_most, kept, most
from ohmwright.checks.registry import rule
from ohmwright.rig.graph import Terminal
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure

REMEDY = "Spread them over a busbar, or a terminal made for the conductor."
#: Ports whose lugs lie on one stud, and ports whose terminals take conductors up to a size.
STACKED = ("stud", "dc", "earth", "")
CLAMPED = (*STACKED, "pv", "ac", "way")


@kept
def judge_stack(count: int) -> Judgement:
    """Lugs on one stud."""
    limit = find("protection/studs-lugs")
    told = f"Up to {count} {'lug' if count == 1 else 'lugs'} on a stud, {limit.value:g} allowed"
    return most(float(count), limit.value, "1", good=f"{told}.", bad=f"{told}: the lower ones come loose.", remedy=REMEDY, clause=limit.clause)  # fmt: skip


@kept
def judge_size(area: Figure, largest: Figure) -> Judgement:
    """A conductor against the largest that its terminal takes."""
    told = f"{area.value:.3g} mm² into a terminal that takes {largest.value:g} mm²"
    return most(area.value, largest, "mm2", good=f"{told}.", bad=f"{told}: strands will be cut off to make it fit.", remedy=REMEDY, roots=(area,))  # fmt: skip


@rule(
    "wiring/fit",
    "C15",
    "Lugs, studs and bends fit",
    why="A lug that does not fit is filed, squeezed or stacked until it does, and is hot ever after.",
    severities=("fails",),
    clauses={"": Clause("ABYC E-11", "2025", "conductors on a stud", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Counted and compared by part; hole, barrel and bend only eyes can tell."""
    landings: dict[str, list[str]] = {}
    for c in study.graph.conductors.values():
        for t in (c.a, c.b):
            landings.setdefault(t, []).append(c.id)
    of_part: dict[str, list[Terminal]] = {}
    for terminal in study.graph.terminals.values():
        if terminal.id in landings:
            of_part.setdefault(terminal.owner, []).append(terminal)
    for part in study.rig.parts.values():
        if part.join is not None or part.count > 1 or part.strings:
            continue
        judged = list(_of_part(study, part, of_part.get(part.id, []), landings))
        if judged:
            yield (
                part.id,
                min(judged, key=lambda j: (j.verdict != "fail", j.margin if j.margin is not None else 1.0)),
            )
    yield from ask(
        "wiring/fit",
        ("rig",),
        "Does every lug's hole fit its stud, every barrel its strands, and is no bend tighter than the cable's?",
        "Lugs made for stud and strand; largest lug at the bottom.",
    )


def _of_part(
    study: Study, part: Part, terminals: list[Terminal], landings: dict[str, list[str]]
) -> Iterator[Judgement]:
    largest = asked(part.figure("max_cable")).figure
    for t in terminals:
        names = landings[t.id]
        if t.port_role in STACKED:
            yield judge_stack(len(names))
        areas = [a for n in names if (a := study.graph.conductors[n].area_mm2) is not None]
        if largest is not None and areas and t.port_role in CLAMPED:
            biggest = max(names, key=lambda n: study.graph.conductors[n].area_mm2 or 0.0)
            c = study.graph.conductors[biggest]
            if not at_most(c.area_mm2 or 0.0, largest.value) or len(areas) == 1:
                yield judge_size(
                    figure(c.area_mm2 or 0.0, "mm2", COMPUTED, address=f"{c.run}.cable"), largest
                )
