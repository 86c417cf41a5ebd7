"""B25: alarm, then the inverter's cut, then the battery's own."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.gather import Asked, asked, setting
from ohmwright.checks.islands import around, banks_at
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, least, passes
from ohmwright.checks.registry import rule
from ohmwright.physics.sums import difference_V
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, figure, tell, work


def judge(upper: Figure, lower: Figure, nominal: float, names: tuple[str, str]) -> Judgement:
    """The gap between two rungs against 0.3 V per 12 V."""
    gap = work(difference_V, first_V=upper, second_V=lower)
    wanted = find("batteries/cut-off-gap").value * nominal / 12
    told = f"{names[0]} at {tell(upper.value, 'V', 4)}, {names[1]} at {tell(lower.value, 'V', 4)}: {gap.value:.2f} V between, {wanted:.2f} V wanted"
    return least(
        gap.value,
        wanted,
        "V",
        good=f"{told}.",
        bad=f"{told}: the battery goes dark first, without a word.",
        remedy="Set the inverter's cut-off higher, the alarm above it.",
        steps=(gap,),
    )


def judge_reconnect(back: Figure, cut: Figure) -> Judgement:
    """An inverter that comes back at or below its cut-off never rests: the bank recovers by itself."""
    told = f"It stops at {tell(cut.value, 'V', 4)} and comes back at {tell(back.value, 'V', 4)}"
    if back.value > cut.value:
        return passes(f"{told}.", roots=(back, cut))
    return fails(f"{told}: it goes on and off until the bank is flat.", "Set the reconnecting volts above those of a bank at rest that has been charged again.", roots=(back, cut))  # fmt: skip


@rule(
    "battery/cut-off-ladder",
    "B25",
    "Alarm, inverter and battery cut in order",
    why="A battery that opens takes the alarm, the lights and the counter with it. The inverter has to give up first, and say so before.",
    severities=("fails",),
    clauses={
        "us-boat": Clause("ABYC E-13", "2025", "warning before shutdown", "secondary"),
        "": Clause("", "", "common practice, no source", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each inverter against the bank that it stands on, and the alarm above it."""
    for inverter in study.rig.of_kind("inverter", "inverter-charger"):
        at = banks_at(study, around_dc(study, inverter.id)) or banks(study.rig)
        if not at:
            continue
        one, n = at[0].members[0], at[0].in_series
        cut = _first(
            setting(study.rig, inverter.id, "cut-off", "V"),
            setting(study.rig, inverter.id, "low-cut-off", "V"),
            asked(inverter.figure("cutoff_voltage")),
        )
        own, nominal = asked(one.figure("cutoff_voltage")), asked(one.figure("nominal_voltage"))
        if cut.figure is None or own.figure is None or nominal.figure is None:
            yield (
                inverter.id,
                cannot_tell(
                    "The inverter's or the battery's cut-off is not known.",
                    (*cut.missing, *own.missing, *nominal.missing),
                    unit="V",
                    sense="min",
                ),
            )
            continue
        volts = nominal.figure.value * n
        battery = figure(own.figure.value * n, "V", own.figure.origin, address=own.figure.address)
        yield inverter.id, judge(cut.figure, battery, volts, ("inverter cut", "battery cut"))
        back = setting(study.rig, inverter.id, "reconnect", "V").figure
        if back is not None:
            yield inverter.id, judge_reconnect(back, cut.figure)
        for counter in study.rig.of_kind("shunt"):
            alarm = setting(study.rig, counter.id, "alarm", "V")
            if alarm.figure is None:
                yield counter.id, cannot_tell("At which volts it warns before the inverter stops is not written.", alarm.missing, unit="V", sense="min")  # fmt: skip
            else:
                yield counter.id, judge(alarm.figure, cut.figure, volts, ("alarm", "inverter cut"))


def around_dc(study: Study, part: str) -> frozenset[str]:
    """What conducts to the DC port of a part."""
    from ohmwright.checks.walk import reach

    plus = f"{part}.dc.+"
    return (
        reach(study.graph, (plus,)).terminals
        if plus in study.graph.terminals
        else around(study, part).terminals
    )


def _first(*tries: Asked) -> Asked:
    return next((t for t in tries if t.figure is not None), tries[0])
