"""C20: conductors that share one current are alike."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement, at_least, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.wires import is_dc
from ohmwright.rig.graph import Conductor
from ohmwright.standards import Clause, find
from ohmwright.study import Study

REMEDY = "One large conductor, or two alike of the same length, each with its own device."


def judge(pair: tuple[Conductor, ...]) -> Judgement:
    """Same size, same length, and large enough to be laid side by side at all."""
    if any(c.area_mm2 is None or c.length_m is None for c in pair):
        return cannot_tell(
            "Conductors side by side: the length or size of one is not known.",
            (f"{c.run}.{'length' if c.length_m is None else 'cable'}" for c in pair if c.length_m is None or c.area_mm2 is None),
        )  # fmt: skip
    names = " and ".join(c.run for c in pair)
    if (
        len({round(c.area_mm2 or 0.0, 3) for c in pair}) > 1
        or len({round(c.length_m or 0.0, 3) for c in pair}) > 1
    ):
        return fails(
            f"{names} share one current and differ: the shorter or thicker one carries most of it.", REMEDY
        )
    least = find("protection/parallel-least").value
    if not at_least(pair[0].area_mm2 or 0.0, least * 0.99):
        return fails(f"{names} are too small to be laid in parallel: {least:g} mm² is the least.", REMEDY)
    return passes(f"{names} are alike.")


@rule(
    "wiring/parallel-conductors",
    "C20",
    "Parallel conductors of one run",
    why="Two cables never share evenly unless they are twins, and the device ahead protects neither.",
    severities=("fails",),
    clauses={"": Clause("NFPA 70", "2023", "310.10(G)", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Direct-current conductors between the same two devices or bars."""
    beside: dict[frozenset[str], list[Conductor]] = {}
    for c in study.graph.conductors.values():
        if not is_dc(study, c) or c.role or c.run not in study.rig.runs or study.rig.runs[c.run].part_of:
            continue
        ends = frozenset(_node(study, t) for t in (c.a, c.b))
        if len(ends) == 2:
            beside.setdefault(ends, []).append(c)
    found = [tuple(cs) for cs in beside.values() if len(cs) > 1]
    if not found:
        yield "rig", skipped("No conductors lie side by side.")
    for pair in found:
        yield pair[0].run, judge(pair)


def _node(study: Study, terminal: str) -> str:
    """A bar counts as one node, a device by its terminal."""
    owner = study.rig.parts.get(study.graph.terminals[terminal].owner)
    return owner.id if owner is not None and owner.kind.name == "busbar" else terminal
