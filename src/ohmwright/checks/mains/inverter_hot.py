"""D11: what an inverter gives in the air it stands in."""

from collections.abc import Iterator

from ohmwright.checks.gather import asked
from ohmwright.checks.heat import air_of
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, least, skipped
from ohmwright.checks.mains.loads import behind
from ohmwright.checks.registry import rule
from ohmwright.physics.ampacity import between_W
from ohmwright.rig.model import Part
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, known, tell, work

REMEDY = "Move it where it is cooler, give the bay air, or agree with the owner on what runs together."


def judge(printed: Figure | Step, air: Figure | Step, load: Figure) -> Judgement:
    """Power left in the air it stands in against what is asked of it."""
    told = f"In air of {tell(air.value, 'degC')} it gives {tell(printed.value, 'W')}; {tell(load.value, 'W')} are asked of it"
    steps = (printed,) if isinstance(printed, Step) else ()
    return least(printed.value, load, "W", good=f"{told}.", bad=f"{told}: it trips on a warm day.", remedy=REMEDY, steps=steps, roots=(printed, air))  # fmt: skip


@rule(
    "mains/inverter-hot",
    "D11",
    "Inverter in a hot bay",
    why="The number on the box is for a cool room. In a bay in August it gives three quarters of it.",
    severities=("fails",),
    clauses={"": Clause("", "", "the maker's page", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each inverter against what was promised to run together, else its largest load."""
    units = study.rig.of_kind("inverter", "inverter-charger")
    if not units:
        yield "rig", skipped("No inverter.")
    for part in units:
        yield part.id, _one(study, part)


def printed_at(part: Part, air: Figure | Step) -> Figure | Step | None:
    """The printed power up to its temperature, above it a straight line to the next one; nothing beyond the last."""
    found = sorted(
        (
            (at, f)
            for name in ("power", "power_40", "power_60")
            if (f := asked(part.figure(name)).figure) is not None
            and (at := f.condition_value("degC")) is not None
        ),
        key=lambda x: x[0],
    )
    for k, (at, f) in enumerate(found):
        if at_most(air.value, at):
            if k == 0 or at_most(at, air.value):
                return f
            low_at, low = found[k - 1]
            return work(between_W, cool_W=low, hot_W=f, cool_degC=low_at, hot_degC=at, air_degC=air)
    return None


def _one(study: Study, part: Part) -> Judgement:
    load = _asked_of(study, part)
    if load is None:
        return skipped("No load of known power hangs on it.")
    air = air_of(study, part)
    if air.air is None:
        return cannot_tell(
            "The hottest air that it stands in is not known.", air.missing, unit="W", sense="min"
        )
    printed = printed_at(part, air.air)
    if printed is None:
        return cannot_tell(f"Its page says nothing about air of {tell(air.air.value, 'degC')}.", (f"{part.id}.power_60",), unit="W", sense="min")  # fmt: skip
    return judge(printed, air.air, load)


def _asked_of(study: Study, part: Part) -> Figure | None:
    fed = {f.load.id: f.power for f in behind(study, part) if f.power is not None}
    together = [
        [fed[n] for n in p.words.get("together", "").replace(",", " ").split() if n in fed]
        for p in study.rig.use.promises
    ]
    best = max((sum(f.value for f in t) for t in together if t), default=0.0)
    single = max(fed.values(), key=lambda f: f.value, default=None)
    if single is None:
        return None
    if best > single.value:
        return figure(best, "W", COMPUTED, address="loads promised together")
    return known(single)
