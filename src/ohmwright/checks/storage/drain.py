"""F10: a bank that is laid up lasts until somebody comes back."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.walk import reach
from ohmwright.kinds.base import When
from ohmwright.physics.lead import self_drain_Wh_per_day
from ohmwright.physics.sums import between_Wh, sum_Wh_per_day, until_empty_days
from ohmwright.rig.model import Stay
from ohmwright.standards import PHYSICS
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, known, work

REMEDY = "Isolate it below every tap, or have somebody charge it half-way."
LAID_UP = ("laid-up", "storage", "stored")
#: A bank is left full and may go down to this. Common practice, no source.
FLOOR_ratio = 0.1


def judge(days: Step, stored: Figure, told_drain: str) -> Judgement:
    """Days until the floor against the days that it stands."""
    told = f"{told_drain}: it lasts {days.value:.0f} days; it stands {stored.value:.0f}"
    return least(days.value, stored.value, "day", good=f"{told}.", bad=f"{told}.", remedy=REMEDY, steps=(days,), roots=(stored,))  # fmt: skip


@rule(
    "storage/drain",
    "F10",
    "Drain in storage",
    why="A tenth of an ampere through a winter is a bank that its own management has cut off, and perhaps for ever.",
    severities=("fails",),
    clauses={"": PHYSICS},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank in the longest stay that it is laid up, with what is open as the stay says."""
    stays = [s for s in study.rig.use.stays if s.mode in LAID_UP]
    for bank in banks(study.rig):
        if not stays:
            yield bank.id, skipped("It is never laid up.")
        else:
            yield bank.id, _one(study, bank, max(stays, key=days_of))


def days_of(stay: Stay) -> int:
    """Days of a stay, in a year of 365.

    >>> from ohmwright.rig.model import Stay
    >>> days_of(Stay((10, 21), (4, 19)))
    181
    """
    first, last = date(2023, *stay.first), date(2023, *stay.last)
    return (last - first).days % 365 + 1


def _one(study: Study, bank: Bank, stay: Stay) -> Judgement:
    one = bank.members[0]
    capacity, volts = asked(one.figure("capacity")), asked(one.figure("nominal_voltage"))
    own = known(one.with_default("self_discharge"))
    if capacity.figure is None or volts.figure is None or own is None:
        return cannot_tell(
            "How long it lasts is not known.", (*capacity.missing, *volts.missing), unit="day", sense="min"
        )
    when: When = tuple((v, frozenset({s})) for v, s in stay.set.items() if v in study.graph.variables)
    posts = [f"{m.id}.+" for m in bank.members]
    way = reach(study.graph, posts, when=when)
    sun = any(t.owner in study.rig.parts and study.rig.parts[t.owner].kind.name.startswith("pv-controller") and t.port.endswith(".bat") for x in way.terminals for t in (study.graph.terminals[x],))  # fmt: skip
    watts, names, unknown = _drains_W(study, bank, way.terminals)
    if unknown:
        return cannot_tell("What stays on is not known.", unknown, unit="day", sense="min")
    n, s = bank.in_parallel, bank.in_series
    whole = figure(capacity.figure.value * n, "Ah", capacity.figure.origin, address=capacity.figure.address)
    system = figure(volts.figure.value * s, "V", volts.figure.origin, address=volts.figure.address)
    stored = work(between_Wh, nominal_V=system, capacity_Ah=whole, from_ratio=1.0, to_ratio=FLOOR_ratio)
    self_drain = work(self_drain_Wh_per_day, nominal_V=system, capacity_Ah=whole, loss_percent_per_month=own)
    taken = figure(24 * watts, "Wh/day", COMPUTED, address="what stays on")
    days = work(until_empty_days, stored_Wh=stored, drain_Wh_per_day=work(sum_Wh_per_day, first_Wh_per_day=taken, second_Wh_per_day=self_drain))  # fmt: skip
    told = f"{', '.join(names)} and itself drain it" if names else "Only itself drains it"
    judged = judge(days, figure(float(days_of(stay)), "1", COMPUTED, address="days laid up"), told)
    if sun and judged.verdict == "fail":
        more = f"{judged.message} Only the array keeps it up, and under snow or a cover it does not."
        return replace(judged, verdict="warn", severity="note", message=more)
    return judged


def _drains_W(
    study: Study, bank: Bank, reached: frozenset[str]
) -> tuple[float, tuple[str, ...], tuple[str, ...]]:
    """Watts of what stays on: loads at their mean, electronics, the bank's management; names; loads of which nothing is known."""
    total, names, unknown = 0.0, [], []
    for e in study.graph.elements.values():
        if e.kind != "load" or e.a not in reached:
            continue
        load = study.rig.use.loads.get(e.owner)
        if load is None:
            continue
        energy = [f.value / 24 for g in load.energy.values() if (f := known(g))]
        power = [f.value for g in load.power.values() if (f := known(g))]
        hours = [f.value / 86400 for g in load.hours.values() if (f := known(g))] or [
            f.value for g in load.duty.values() if (f := known(g))
        ]
        if load.only:
            continue
        mean = min(energy) if energy else min(power) * min(hours) if power and hours else None
        if mean is None:
            unknown.append(f"{load.id}.energy")
        else:
            total += mean
            names.append(load.id)
    members = {m.id for m in bank.members}
    owners = {study.graph.terminals[t].owner for t in reached}
    for part in study.rig.parts.values():
        mine = part.id in members
        on = part.id in owners
        for name in ("self_use", "bms_draw"):
            given = (
                known(part.figure(name)) if part.join is None and part.count == 1 and (mine or on) else None
            )
            if given is not None and given.value > 0 and (mine or part.kind.name != "battery"):
                total += given.value
                names += [part.id] if not mine else []
    return total, tuple(dict.fromkeys(names)), tuple(unknown)
