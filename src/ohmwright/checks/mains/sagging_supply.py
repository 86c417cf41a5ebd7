"""D6: volts left at the inlet behind a long cord on a weak supply."""

from collections.abc import Iterator

from ohmwright.checks.gather import asked, setting
from ohmwright.checks.judgement import Judgement, at_least, cannot_tell, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.wires import length_of
from ohmwright.physics.copper import cable_ohm_per_m
from ohmwright.physics.drop import run_ohm, sagged_V
from ohmwright.physics.sums import part_V, sum_ohm
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, tell, work

REMEDY = "A lower supply limit, or a shorter or heavier cord."


def judge(nominal: Figure, current: Figure, cord: Figure | Step, site: Figure | None, asks: str) -> Judgement:
    """Volts at the inlet at full draw against nine tenths; a cord that fails alone needs no more figures."""
    wanted = work(part_V, part_ratio=find("alternating/sag-least").figure, whole_V=nominal)
    loop: Figure | Step = cord if site is None else work(sum_ohm, first_ohm=site, second_ohm=cord)
    left = work(sagged_V, open_V=nominal, current_A=current, loop_ohm=loop)
    told = f"At {tell(current.value, 'A')} {tell(left.value, 'V', 4)} are left at the inlet; {tell(wanted.value, 'V', 4)} are wanted"
    if site is None and at_least(left.value, wanted.value):
        return cannot_tell(f"By the cord alone {tell(left.value, 'V', 4)} are left: the resistance of the supply is not known.", (asks,), limit=wanted.value, unit="V", sense="min", remedy="Measure its loop, or the volts at the inlet under load.")  # fmt: skip
    return least(left.value, wanted, "V", good=f"{told}.", bad=f"{told}: the charger drops out, motors stall.", remedy=REMEDY, steps=(left,))  # fmt: skip


@rule(
    "mains/sagging-supply",
    "D6",
    "Sagging supply",
    why="At the far end of the pontoon everybody charges at once, and the last boat gets what is left.",
    severities=("fails",),
    clauses={"": Clause("IEC 60038", "2009", "supply voltage range", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each supply that a cord brings."""
    posts = study.rig.of_kind("supply-post", "generator")
    if not posts:
        yield "rig", skipped("No outside supply.")
    for post in posts:
        yield post.id, _one(study, post)


def _one(study: Study, post: Part) -> Judgement:
    own = post.kind.name == "generator"  # it holds its volts at its terminals
    nominal, rated = asked(post.figure("ac_voltage")), asked(post.figure("breaker" if own else "rated"))
    limits = [
        a.figure
        for u in study.rig.of_kind("inverter-charger")
        if (a := setting(study.rig, u.id, "supply-limit", "A")).figure is not None
    ]
    drawn = max((f for f in limits if f is not None), key=lambda f: f.value, default=rated.figure)
    plugged = {
        name
        for name, run in study.rig.runs.items()
        if run.plugs and post.id in (run.start.partition(".")[0], run.stop.partition(".")[0])
    }
    cords = [c for c in study.graph.conductors.values() if c.run in plugged and c.pole in ("L", "L1", "N")]
    lost = [*nominal.missing, *rated.missing, *(f"{c.run}.{'length' if c.length_m is None else 'cable'}" for c in cords if c.length_m is None or c.area_mm2 is None)]  # fmt: skip
    if nominal.figure is None or drawn is None or lost:
        return cannot_tell("What is left at the inlet cannot be told.", lost, unit="V", sense="min")
    if not cords:
        return skipped("No cord is joined to it.")
    loop: Step | None = None
    for c in cords:
        per_m = cable_ohm_per_m(
            c.area_mm2 or 1.0, c.cable.size, c.cable.system, 75.0, "high", c.cable.material
        )
        told = f"a metre of {c.cable.size or c.area_mm2} {c.cable.system} at 75 °C, printed maximum"
        one = work(run_ohm, length_m=length_of(study, c), per_m_ohm_per_m=figure(per_m, "ohm/m", COMPUTED, address=told))  # fmt: skip
        loop = one if loop is None else work(sum_ohm, first_ohm=loop, second_ohm=one)
    assert loop is not None
    return judge(
        nominal.figure,
        drawn,
        loop,
        figure(0.0, "ohm", COMPUTED, address=f"regulated by {post.id}")
        if own
        else asked(post.figure("resistance")).figure,
        f"{post.id}.resistance",
    )
