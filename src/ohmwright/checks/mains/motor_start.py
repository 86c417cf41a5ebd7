"""D9: the inverter starts what has to be started."""

from collections.abc import Iterator

from ohmwright.checks.gather import Asked, asked
from ohmwright.checks.judgement import Judgement, at_least, cannot_tell, most, skipped
from ohmwright.checks.mains.loads import behind
from ohmwright.checks.registry import rule
from ohmwright.rig.model import Part
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import Figure, known, tell

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
            start = known(fed.load.surge)
            if start is None:
                continue
            spoke = True
            start = start if start.address else start.at(f"{fed.load.id}.surge")
            if start.unit == "A":
                yield fed.load.id, cannot_tell("Its start is given in amperes: volt-amperes are wanted.", (f"{fed.load.id}.surge",), unit="W", sense="max")  # fmt: skip
                continue
            surge = surge_for(part, start.seconds)
            yield (
                fed.load.id,
                cannot_tell(
                    "What the inverter gives for so long is not known.", surge.missing, unit="W", sense="max"
                )
                if surge.figure is None
                else judge(start, surge.figure, fed.load.id),
            )
    if not spoke:
        yield "rig", skipped("Nothing that starts hard hangs on an inverter.")


def surge_for(part: Part, seconds: float | None) -> Asked:
    """The surge power that a page gives for at least so long; a start of unknown length counts as five seconds."""
    wanted = 5.0 if seconds is None else seconds
    for name in ("surge", "surge_2"):
        given = asked(part.figure(name))
        if (
            given.figure is not None
            and given.figure.seconds is not None
            and at_least(given.figure.seconds, wanted)
        ):
            return given
    power = asked(part.figure("power"))
    return power if power.figure is not None else Asked(None, (f"{part.id}.surge", *power.missing))
