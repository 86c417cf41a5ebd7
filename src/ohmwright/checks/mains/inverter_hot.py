"""D11: what an inverter gives in the air it stands in."""

from collections.abc import Iterator

from ohmwright.checks.heat import air_at, given_in, held
from ohmwright.checks.judgement import Judgement, cannot_tell, least, skipped
from ohmwright.checks.mains.loads import behind
from ohmwright.checks.registry import rule
from ohmwright.rig.model import Part
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, known, tell

REMEDY = "Move it where it is cooler, give the bay air, or agree with the owner on what runs together."


def judge(printed: Figure | Step, air: Figure | Step, load: Figure, more: str = "") -> Judgement:
    """Power left in the air that it makes itself at that load, against the load."""
    told = f"In air of {tell(air.value, 'degC')} it gives {tell(printed.value, 'W')}; {tell(load.value, 'W')} are asked of it"
    steps = (printed,) if isinstance(printed, Step) else ()
    return least(printed.value, load, "W", good=f"{told}.{more}", bad=f"{told}: kept up, it trips on a warm day.{more}", remedy=REMEDY, steps=steps, roots=(printed, air))  # fmt: skip


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


def _one(study: Study, part: Part) -> Judgement:
    load = _asked_of(study, part)
    if load is None:
        return skipped("No load of known power hangs on it.")
    air = air_at(study, part, load.value)
    if air.air is None:
        return cannot_tell(
            "The hottest air that it stands in is not known.", air.missing, unit="W", sense="min"
        )
    printed = given_in(part, air.air)
    if printed is None:
        return cannot_tell(f"Its page says nothing about air of {tell(air.air.value, 'degC')}, which it makes itself at {tell(load.value, 'W')}.", (f"{part.id}.power_60",), unit="W", sense="min")  # fmt: skip
    return judge(printed, air.air, load, _most(study, part))


def _most(study: Study, part: Part) -> str:
    """What it holds for hours in the air that belongs to it."""
    answer = held(study).get(part.id)
    most = answer.case.converters_W[part.id] if answer is not None else None
    return "" if most is None else f" For hours it holds about {tell(most, 'W', 2)} there."


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
