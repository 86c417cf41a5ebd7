"""B11: how low the bank goes in the darkest week of a year."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.climate import lived_in
from ohmwright.checks.judgement import Judgement, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.sums import in_percent
from ohmwright.sky.spots import MONTHS
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, work


def judge(lowest: Figure, chemistry: str, month: int) -> Judgement:
    """The lowest charge against 15 % for lithium, half for lead."""
    percent = work(in_percent, part_ratio=lowest)
    limit = find("batteries/least-soc-lfp" if chemistry == "lfp" else "batteries/least-soc-lead")
    told = f"In {MONTHS[month - 1]} the bank goes down to {percent.value:.0f} %"
    return least(percent.value, 100 * limit.value, "%", good=f"{told}.", bad=f"{told}: {100 * limit.value:.0f} % is to be left.", remedy="A larger array, less load, or hours of generator or shore.", steps=(percent,))  # fmt: skip


@rule(
    "battery/dark-week",
    "B11",
    "The darkest week",
    why="Means hide weeks. The week without sun is the one the owner remembers.",
    severities=("disappoints",),
    clauses={"": Clause("IEEE 1562", "2007", "method; limit is a shop rule", "memory")},
    needs=("year",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """The house bank over the months that somebody lives in; with many years the fifth percentile."""
    house = [b for b in banks(study.rig) if b.chemistry != "start"]
    if study.year is None:
        yield house[0].id if house else "rig", skipped("It takes a year: run year, or check --deep.")
        return
    for bank in house[:1]:
        lived = {month for _, month in lived_in(study)}
        months = [m for m in study.year.months if m.month in lived] or study.year.months
        worst = min(months, key=lambda m: m.soc_min if m.soc_min_p05 is None else m.soc_min_p05)
        low = worst.soc_min if worst.soc_min_p05 is None else worst.soc_min_p05
        yield (
            bank.id,
            judge(
                figure(low, "1", COMPUTED, address=f"lowest charge of {MONTHS[worst.month - 1]}"),
                bank.chemistry,
                worst.month,
            ),
        )
