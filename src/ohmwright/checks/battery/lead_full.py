"""B13: lead-acid batteries are filled to the brim every week."""

from collections.abc import Iterator, Sequence

from ohmwright.checks.circuits import banks
from ohmwright.checks.climate import days_lived_in
from ohmwright.checks.judgement import Judgement, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure


def full_days(soc_by_hour: Sequence[float]) -> list[bool]:
    """For each day whether the bank was full in any of its hours.

    >>> full_days([0.5] * 24 + [0.99] * 24)
    [False, True]
    """
    full = find("batteries/full-from").value
    return [max(soc_by_hour[d : d + 24]) >= full for d in range(0, len(soc_by_hour), 24)]


def longest_gap_days(days: Sequence[bool], counted: Sequence[bool]) -> int:
    """The longest run of days without a full charge while somebody lives there.

    >>> longest_gap_days([True, False, False, False, True], [True, True, True, False, False])
    2
    """
    worst = run = 0
    for full, here in zip(days, counted, strict=False):
        run = 0 if full or not here else run + 1
        worst = max(worst, run)
    return worst


def judge(per_week: Figure) -> Judgement:
    """Full charges in the worst week."""
    told = f"In its worst week it is full on {per_week.value:.0f} days"
    return least(per_week.value, find("batteries/fulls-a-week").value, "1", good=f"{told}.", bad=f"{told}: its plates sulphate.", remedy="Longer absorption, or the generator in the morning and the sun in the afternoon.", roots=(per_week,))  # fmt: skip


@rule(
    "battery/lead-full",
    "B13",
    "Lead-acid reaches full",
    why="A lead-acid battery that never gets the last ten per cent loses them for ever, and then the next ten.",
    severities=("disappoints",),
    clauses={"": Clause("IEEE 1361", "2014", "full charges", "memory")},
    needs=("year",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """The lead-acid house bank over the year."""
    lead = [b for b in banks(study.rig) if b.chemistry not in ("lfp", "start")]
    others = [b for b in banks(study.rig) if b.chemistry == "lfp"]
    for bank in lead:
        if others:
            yield bank.id, skipped("It is not the bank that the year follows.")
        elif study.year is None or not study.year.soc_by_hour:
            yield bank.id, skipped("It takes a year: run year, or check --deep.")
        else:
            days = full_days(study.year.soc_by_hour)
            here = days_lived_in(study)
            weeks = [sum(days[w : w + 7]) for w in range(len(days) - 6) if all(here[w : w + 7])] or [
                sum(days)
            ]
            yield bank.id, judge(figure(min(weeks), "1", COMPUTED, address="full days of the worst week"))
