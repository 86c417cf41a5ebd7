"""B36: a bank is not asked for current where it is too cold or too hot to give any."""

from collections.abc import Iterator

from ohmwright.checks.battery.cold_lockout import coldest_at, place_of
from ohmwright.checks.circuits import Bank, banks, coldest, hottest
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, least, most, passes
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import Figure, tell

COLD = "Warm the box, bring the bank indoors, or choose cells for that cold."
HOT = "Air or shade for the place, or another place."


def judge_cold(air: Figure | None, least_degC: Figure | None, missing: tuple[str, ...] = ()) -> Judgement:
    """The coldest its place gets against the lowest temperature at which it gives current."""
    if air is None or least_degC is None:
        return cannot_tell("How cold it gets, or down to what temperature it gives current, is not known.", missing, unit="degC", sense="min")  # fmt: skip
    told = f"It gets down to {tell(air.value, 'degC')}; it gives current down to {tell(least_degC.value, 'degC')}"
    return least(air, least_degC, "degC", good=f"{told}.", bad=f"{told}: on that night it opens, heating and all.", remedy=COLD)  # fmt: skip


def judge_hot(air: Figure | None, most_degC: Figure | None) -> Judgement:
    """The hottest of its place against the highest temperature at which it gives current; nobody is asked for either."""
    if air is None or most_degC is None:
        return passes("Nothing says that its place gets too hot for it.")
    told = f"It gets up to {tell(air.value, 'degC')}; it gives current up to {tell(most_degC.value, 'degC')}"
    return most(air, most_degC, "degC", good=f"{told}.", bad=f"{told}: it opens on the hottest afternoon.", remedy=HOT)  # fmt: skip


@rule(
    "battery/working-temperature",
    "B36",
    "Bank works in the cold and the heat of its place",
    why="""Every page has a lowest temperature for charging and a lower one for giving current. Below that one the management
        opens the bank: the heating stops on the night that needed it.""",
    severities=("fails",),
    clauses={"": Clause("", "", "the maker's page", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank at the coldest and the hottest of its place, else of the stays."""
    outside, missing = coldest(study)
    for bank in banks(study.rig):
        limit = asked(bank.members[0].figure("discharge_min_temperature"))
        air = coldest_at(study, bank) or outside
        where = () if air is not None else (f"host.places.{place_of(bank)}.coldest", *missing)
        cold = judge_cold(air, limit.figure, (*limit.missing, *where))
        hot = judge_hot(_hottest_at(study, bank), asked(bank.members[0].figure("discharge_max_temperature")).figure)  # fmt: skip
        yield bank.id, hot if hot.verdict == "fail" else cold


def _hottest_at(study: Study, bank: Bank) -> Figure | None:
    place = study.rig.host.places.get(place_of(bank))
    given = place.figures.get("hottest") if place is not None else None
    return given if isinstance(given, Figure) else hottest(study)[0]
