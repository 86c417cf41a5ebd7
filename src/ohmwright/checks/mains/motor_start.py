"""D9: the inverter starts what has to be started."""

from collections.abc import Iterator

from ohmwright.checks.gather import Asked, asked
from ohmwright.checks.judgement import Judgement, at_least, cannot_tell, most, skipped
from ohmwright.checks.mains.loads import Fed, behind
from ohmwright.checks.registry import rule
from ohmwright.circuit.cases import SURGE_s
from ohmwright.circuit.starts import Start
from ohmwright.rig.model import Part
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import Figure, figure, known, tell

REMEDY = "A soft start, a smaller motor, or a larger inverter."


def judge(start: Figure, surge: Figure, load: str) -> Judgement:
    """What a load asks at its start against what the inverter gives for so long."""
    told = f"{load} asks {tell(start.value, 'VA')} to start; the inverter gives {tell(surge.value, 'W')} for so long"
    return most(start.value, surge, "W", good=f"{told}.", bad=f"{told}: it trips, or the motor hums and burns.", remedy=REMEDY, roots=(start,))  # fmt: skip


@rule(
    "mains/motor-start",
    "D9",
    "Motor start",
    why="A well pump of 750 W asks seven kilowatts for the first second.",
    severities=("fails",),
    clauses={"": Clause("", "", "the makers' pages", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each load with a start behind each inverter."""
    spoke = False
    for part in study.rig.of_kind("inverter", "inverter-charger"):
        for fed in behind(study, part):
            start = study.starts.get(fed.load.id)
            if start is None:
                continue
            spoke = True
            yield fed.load.id, _one(part, fed, start)
    if not spoke:
        yield "rig", skipped("Nothing that starts hard hangs on an inverter.")


def _one(part: Part, fed: Fed, start: Start) -> Judgement:
    """What the network says that the start asks, against what this inverter's page gives for its seconds."""
    asks = known(fed.load.surge)
    if start.asked_VA is None or asks is None:
        return cannot_tell("Its start is given in amperes, and the volts it runs at are not known.", start.missing, unit="W", sense="max")  # fmt: skip
    given = surge_for(part, start.seconds)
    if given.figure is None:
        return cannot_tell("What the inverter gives for so long is not known.", given.missing, unit="W", sense="max")  # fmt: skip
    if asks.unit == "A":
        asked_VA = figure(start.asked_VA, "VA", asks.origin, address=f"{fed.load.id}.surge times its volts")
    else:
        asked_VA = asks if asks.address else asks.at(f"{fed.load.id}.surge")
    return judge(asked_VA, given.figure, fed.load.id)


def surge_for(part: Part, seconds: float | None) -> Asked:
    """The surge power that a page gives for at least so long; a start of unknown length counts as five seconds, and the largest speaks."""
    wanted = SURGE_s if seconds is None else seconds
    given = [asked(part.figure(name)) for name in ("surge", "surge_2")]
    lasting = [g for g in given if g.figure is not None and g.figure.seconds is not None and at_least(g.figure.seconds, wanted)]  # fmt: skip
    power = asked(part.figure("power"))
    best = [g for g in (*lasting, power) if g.figure is not None]
    if not best:
        return Asked(None, (f"{part.id}.surge", *power.missing))
    return max(best, key=lambda g: g.figure.value if g.figure is not None else 0.0)
