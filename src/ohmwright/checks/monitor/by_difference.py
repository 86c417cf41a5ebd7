"""F9: what is left of a reading that is the difference of others."""

from collections.abc import Iterator

from ohmwright.checks.circuits import CONTROLLERS
from ohmwright.checks.gather import asked
from ohmwright.checks.house import house_volts
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.sums import load_A, part_A, together_A
from ohmwright.standards import PHYSICS, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Step, figure, known, tell, work

REMEDY = "A meter of its own for the DC loads."


def judge(error: Step, load: Step) -> Judgement:
    """The error of the difference against the load that it is to tell."""
    told = f"DC loads as a difference are known to ±{tell(error.value, 'A')}; they are {tell(load.value, 'A')} on the mean"
    return most(
        error.value,
        load,
        "A",
        good=f"{told}.",
        bad=f"{told}: the reading says nothing.",
        remedy=REMEDY,
        steps=(error,),
    )


@rule(
    "monitor/by-difference",
    "F9",
    "Loads by difference",
    why="Two large readings that are each off by a little make a small one that is off by all of itself.",
    severities=("disappoints",),
    clauses={"": PHYSICS},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each counter with the controllers whose output it is taken from, at full sun."""
    shunts = study.rig.of_kind("shunt")
    if not shunts:
        yield "rig", skipped("No counter.")
    watts = _dc_mean_W(study)
    outputs = [asked(c.figure("output_current")) for c in study.rig.of_kind(*CONTROLLERS)]
    for shunt in shunts:
        accuracy = asked(shunt.figure("accuracy"))
        lost = (*accuracy.missing, *(a for o in outputs if o.figure is None for a in o.missing))
        volts = house_volts(study)
        if not outputs or watts <= 0:
            yield shunt.id, skipped("Nothing is read as a difference.")
        elif accuracy.figure is None or volts is None or any(o.figure is None for o in outputs):
            yield (
                shunt.id,
                cannot_tell("How well the readings are known is not on file.", lost, unit="A", sense="max"),
            )
        else:
            total = figure(sum(o.figure.value for o in outputs if o.figure is not None), "A", COMPUTED, address="controllers at full output")  # fmt: skip
            by_sun = work(part_A, part_ratio=find("monitor/controller-reading").figure, rated_A=total)
            by_bank = work(part_A, part_ratio=accuracy.figure, rated_A=total)
            error = work(together_A, first_A=by_sun, second_A=by_bank)
            load = work(
                load_A, power_W=figure(watts, "W", COMPUTED, address="DC loads on the mean"), supply_V=volts
            )
            yield shunt.id, judge(error, load)


def _dc_mean_W(study: Study) -> float:
    total = 0.0
    alternating = {
        e.owner
        for e in study.graph.elements.values()
        if e.kind == "load" and study.graph.terminals[e.a].pole in ("L", "L1", "L2")
    }
    for load in study.rig.use.loads.values():
        if load.id in alternating:
            continue
        energy = [f.value for g in load.energy.values() if (f := known(g))]
        power = [f.value for g in load.power.values() if (f := known(g))]
        hours = [f.value / 3600 for g in load.hours.values() if (f := known(g))] or [24 * f.value for g in load.duty.values() if (f := known(g))]  # fmt: skip
        total += max(energy) / 24 if energy else max(power) * max(hours) / 24 if power and hours else 0.0
    return total
