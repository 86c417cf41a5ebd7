"""D12: big loads on the inverter's panel."""

from collections.abc import Iterator

from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.mains.loads import behind
from ohmwright.checks.registry import rule
from ohmwright.physics.sums import sum_W
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, Step, tell, work

REMEDY = "Put some of them on a panel that only shore or generator feeds, or have the rig shed them."


def judge(loads: tuple[Figure, ...], power: Figure) -> Judgement:
    """All big loads at once against the inverter."""
    total: Step | Figure = loads[0]
    for more in loads[1:]:
        total = work(sum_W, first_W=total, second_W=more)
    told = f"{len(loads)} big loads may take {tell(total.value, 'W')} at once; the inverter gives {tell(power.value, 'W')}"
    steps = (total,) if isinstance(total, Step) else ()
    return most(total.value, power, "W", good=f"{told}.", bad=f"{told}: somebody will try.", remedy=REMEDY, steps=steps, roots=loads)  # fmt: skip


@rule(
    "mains/inverter-panel-load",
    "D12",
    "Load of the inverter's panel",
    why="Whatever hangs on the inverter's panel runs from the bank one evening, all at once.",
    severities=("fails",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each inverter with the big loads behind it."""
    units = study.rig.of_kind("inverter", "inverter-charger")
    if not units:
        yield "rig", skipped("No inverter.")
    for part in units:
        fed = behind(study, part)
        unknown = tuple(f"{f.load.id}.power" for f in fed if f.power is None)
        big = tuple(
            f.power
            for f in fed
            if f.power is not None and f.power.value >= find("alternating/big-load").value
        )
        power = asked(part.figure("power"))
        if unknown or power.figure is None:
            yield part.id, cannot_tell("What hangs on it, or what it gives, is not known.", (*unknown, *power.missing), unit="W", sense="max")  # fmt: skip
        elif not big:
            yield part.id, skipped("No big load hangs on it.")
        else:
            yield part.id, judge(big, power.figure)
