"""F8: the counter finds out that the bank is full."""

from collections.abc import Iterator

from ohmwright.checks.battery.lead_full import full_days, longest_gap_days
from ohmwright.checks.climate import days_lived_in
from ohmwright.checks.gather import setting
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.sums import difference_V, many_V
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, Step, tell, work

REMEDY = "Set its mark of full a tenth of a volt per 12 V under the absorption voltage, and its end current above the chargers'."


def judge_volts(full: Figure, highest: Step) -> Judgement:
    """The mark against the lowest absorption voltage less a tenth of a volt per 12 V."""
    told = f"It calls the bank full from {tell(full.value, 'V', 4)}; {tell(highest.value, 'V', 4)} is the most that is reached for sure"
    return most(
        full.value,
        highest,
        "V",
        good=f"{told}.",
        bad=f"{told}: it never resets.",
        remedy=REMEDY,
        roots=(full,),
    )


def judge_current(counter: Figure, charger: Figure, name: str) -> Judgement | None:
    """The counter's end current must lie above the charger's."""
    if counter.value > charger.value:
        return None
    return fails(f"It waits for {tell(counter.value, 'A')}, but {name} stops at {tell(charger.value, 'A')}: it never resets.", REMEDY, roots=(counter, charger))  # fmt: skip


def judge_days(gap: int) -> Judgement:
    """The longest time without a full charge."""
    limit = find("monitor/days-between-fulls").value
    told = f"Up to {gap} days go by without a full charge"
    return most(
        float(gap),
        limit,
        "day",
        good=f"{told}.",
        bad=f"{told}: its count drifts away.",
        remedy="Fill it by shore or generator once a month.",
    )


@rule(
    "monitor/full-mark",
    "F8",
    "Full mark can be reached",
    why="A counter that never meets its mark of full adds up its errors until it says anything.",
    severities=("disappoints",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each counter with its settings against those of every charger; with a year the days between."""
    shunts = study.rig.of_kind("shunt")
    if not shunts:
        yield "rig", skipped("No counter.")
    for shunt in shunts:
        yield shunt.id, _one(study, shunt)
        if study.year is not None and study.year.soc_by_hour:
            yield (
                shunt.id,
                judge_days(longest_gap_days(full_days(study.year.soc_by_hour), days_lived_in(study))),
            )


def _one(study: Study, shunt: Part) -> Judgement:
    full, end = setting(study.rig, shunt.id, "full", "V"), setting(study.rig, shunt.id, "end-current", "A")
    mark = full.figure
    if mark is None:
        return cannot_tell("From which voltage it calls the bank full is not known.", (f"settings.{shunt.id}.full",), unit="V", sense="max")  # fmt: skip
    absorb = [
        a.figure
        for p in study.rig.settings
        if p != shunt.id and (a := setting(study.rig, p, "absorption", "V")).figure is not None
    ]
    levels = [f for f in absorb if f is not None and 0.8 < f.value / mark.value < 1.25]
    if not levels:
        return cannot_tell("No charger's absorption voltage is set.", ("settings",), unit="V", sense="max")
    lowest = min(levels, key=lambda f: f.value)
    under = work(
        many_V, many_count=max(1.0, round(lowest.value / 14)), one_V=find("monitor/full-below").figure
    )
    judged = judge_volts(mark, work(difference_V, first_V=lowest, second_V=under))
    if judged.verdict != "pass" or end.figure is None:
        return judged
    for p in study.rig.settings:
        other = setting(study.rig, p, "end-current", "A")
        if (
            p != shunt.id
            and other.figure is not None
            and (found := judge_current(end.figure, other.figure, p)) is not None
        ):
            return found
    return judged
