"""B21: batteries with their own management in series."""

from collections.abc import Iterator

from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.gather import asked, word
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


def judge(bank: Bank) -> Judgement:
    """Members in series against what the maker allows."""
    if bank.in_series < 2:
        return skipped("Nothing in series.")
    one = bank.members[0]
    allowed, most = word(one, "series_allowed"), asked(one.figure("series_max"))
    if allowed == "no":
        return fails(
            "Its maker does not allow them in series: when one opens, its switch sees the whole string's volts and fails shut.",
            "A native battery of the bank's voltage.",
        )
    if most.figure is None and allowed != "yes":
        return cannot_tell(
            "What the maker allows in series is not known.",
            (f"{one.id}.series_max", f"{one.id}.series_allowed"),
        )
    if most.figure is not None and not at_most(bank.in_series, most.figure.value):
        return fails(
            f"{bank.in_series} in series; the maker allows {most.figure.value:g}.",
            "A native battery of the bank's voltage.",
            roots=(most.figure,),
        )
    return passes(f"{bank.in_series} in series, as the maker allows.", roots=(most.figure,))


@rule(
    "battery/series",
    "B21",
    "Batteries in series",
    why="The switches in a 12 V battery are made for 12 V. In a string of four, the first that opens has 48 V across it.",
    severities=("danger",),
    clauses={"": Clause("", "", "the maker's page", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank."""
    return ((b.id, judge(b)) for b in banks(study.rig))
