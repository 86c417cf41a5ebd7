"""E12: metals that touch in the wet."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.walk import reach
from ohmwright.physics.sums import apart_V
from ohmwright.rig.model import Metal
from ohmwright.standards import Clause, find, table
from ohmwright.study import Study
from ohmwright.working import work

REMEDY = "Isolate them, seal the joint, or give them an anode."


def judge(first: str, second: str) -> Judgement:
    """Difference of potential in sea water against a quarter of a volt."""
    series = table("galvanic-series")
    a, b = series.cell(first, "potential"), series.cell(second, "potential")
    assert a is not None
    assert b is not None
    low, high = sorted((a, b), key=lambda c: c.value)
    apart = work(apart_V, noble_V=high.figure, base_V=low.figure)
    told = f"{first} and {second} stand {apart.value:.2f} V apart in sea water"
    return most(apart.value, find("places/galvanic").value, "V", good=f"{told}.", bad=f"{told}: the {low.id.split('/')[1]} goes.", remedy=REMEDY, steps=(apart,), clause=a.clause)  # fmt: skip


@rule(
    "place/galvanic-pair",
    "E12",
    "Galvanic pairs",
    why="Two metals, one wire and the sea are a battery that eats the cheaper metal.",
    severities=("fails",),
    clauses={"": Clause("ASTM G82", "1998", "galvanic series in flowing sea water", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each pair of bodies that conductors join and the same water wets."""
    pairs = _pairs(study)
    if not pairs:
        yield "rig", skipped("No two joined bodies are wet by the same water.")
    for a, b in pairs:
        first, second = _metal(a), _metal(b)
        if first is None or second is None:
            lost = tuple(f"metal.{m.id}.metal" for m, k in ((a, first), (b, second)) if k is None)
            yield (
                f"{a.id}, {b.id}",
                cannot_tell("What they are made of is not known.", lost, unit="V", sense="max"),
            )
        else:
            yield f"{a.id}, {b.id}", judge(first, second)


def _metal(body: Metal) -> str | None:
    """The row of the series: the first of its words that names a metal."""
    words = body.words.get("metal", "").lower().replace("-", " ").split()
    return next((r for r in table("galvanic-series").rows if r in words), None)


def _pairs(study: Study) -> tuple[tuple[Metal, Metal], ...]:
    wet = [m for m in study.rig.metal.values() if m.wet]
    if len(wet) < 2:
        return ()
    found = []
    for i, a in enumerate(wet):
        starts = [t for t in (a.id, f"{a.id}.PE") if t in study.graph.terminals]
        near = {study.graph.terminals[t].owner for t in reach(study.graph, starts, stop=lambda _: False).terminals} | set(a.joined)  # fmt: skip
        found += [
            (a, b) for b in wet[i + 1 :] if set(a.wet) & set(b.wet) and (b.id in near or a.id in b.joined)
        ]
    return tuple(found)
