"""B5: days on which a lived-in rig cannot charge because its batteries are too cold."""

from collections.abc import Iterator

from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, at_least, cannot_tell, least, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.study.stays import EMPTY
from ohmwright.working import COMPUTED, Figure, figure, known, tell

REMEDY = "Bring the bank indoors, or into an insulated box that is kept warm."


def judge(
    air: Figure | None, cut: Figure | None, days: Figure | None, missing: tuple[str, ...] = ()
) -> Judgement:
    """The coldest the bank gets against the cut of its charge; below it the days of a year decide."""
    if air is None or cut is None:
        return cannot_tell("How cold the bank gets, or where its charge is cut, is not known.", missing, unit="degC", sense="min")  # fmt: skip
    told = (
        f"The bank gets down to {tell(air.value, 'degC')}; its charge is cut below {tell(cut.value, 'degC')}"
    )
    if at_least(air.value, cut.value):
        return least(air.value, cut, "degC", good=f"{told}.", bad="", roots=(air,))
    if days is None:
        return skipped(f"{told}: on how many days is counted by the year, run check --deep.")
    counted = f"{told}: on {days.value:.0f} days of the year nothing charges for some hours"
    return most(
        days.value, 0.0, "day", good=f"{counted}.", bad=f"{counted}.", remedy=REMEDY, roots=(air, cut)
    )


@rule(
    "battery/cold-lockout",
    "B5",
    "Days on which charging is locked by cold",
    why="A bank that protects itself from the cold stands empty under a bright winter sky.",
    severities=("fails",),
    clauses={"": Clause("", "", "the maker's page", "memory")},
    needs=("year",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each lithium bank in the stays that somebody lives in."""
    locked = study.year.ledger_kWh.get("locked_days") if study.year is not None else None
    days = None if locked is None else figure(locked, "1", COMPUTED, address="locked days of the year")
    for bank in banks(study.rig):
        if bank.chemistry not in ("lfp", "unknown", "mixed"):
            yield bank.id, skipped("Lead-acid may be charged in the cold.")
            continue
        if not any(s.mode not in EMPTY for s in study.rig.use.stays):
            yield bank.id, skipped("Nobody lives in it.")
            continue
        cut, air = asked(bank.members[0].figure("charge_min_temperature")), coldest_at(study, bank)
        if cut.not_there:
            cut = asked(bank.members[0].figure("cell_charge_min_temperature"))
        lost = (*cut.missing, *((f"host.places.{place_of(bank)}.coldest",) if air is None else ()))
        yield bank.id, judge(air, cut.figure, days, lost)


def place_of(bank: Bank) -> str:
    """The place a bank sits in."""
    return bank.group.place or bank.members[0].place


def coldest_at(study: Study, bank: Bank) -> Figure | None:
    """The coldest air of a bank's place, as typed; a place that is kept warm counts as warm as it is kept."""
    place = study.rig.host.places.get(place_of(bank))
    if place is None:
        return None
    for key in ("kept-above", "kept_above", "coldest"):
        given = known(place.figures[key]) if key in place.figures else None
        if given is not None:
            return given if given.address else given.at(f"host.places.{place.id}.{key}")
    return None
