"""B24: no equalising and no temperature compensation on lithium."""

from collections.abc import Iterator

from ohmwright.checks.battery.charge_current import chargers_of
from ohmwright.checks.circuits import banks
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import Absent, Figure, Given, Unknown

OFF = ("off", "no", "none", "off-by-choice", "disabled")
COMPENSATION = ("temperature-comp", "temperature-compensation", "temp-comp")
REMEDY = "Switch it off; replace a charger that cannot."


def judge(equalise: Given | str, compensation: Given | str, asks: str = "") -> Judgement:
    """The two settings of a charger on a lithium bank."""
    if isinstance(equalise, Figure) or (isinstance(equalise, str) and equalise.lower() not in OFF):
        return fails("Equalising is on: it drives every cell past its limit.", REMEDY, severity="danger")
    if isinstance(compensation, Figure) or (
        isinstance(compensation, str) and compensation.lower() not in OFF
    ):
        return fails(
            "Temperature compensation is on: a cold lithium battery is charged to a voltage made for lead.",
            REMEDY,
            severity="fails",
        )
    if isinstance(equalise, Unknown | Absent):
        return cannot_tell(
            "Whether it equalises is not known.",
            (asks,),
            remedy="Read its settings, and write equalise: none.",
        )
    if isinstance(compensation, Unknown | Absent):
        return passes("It does not equalise; nothing says that it compensates for temperature.")
    return passes("Both are off.")


@rule(
    "battery/equalise",
    "B24",
    "Equalising or temperature compensation on lithium",
    why="What keeps a lead-acid battery well overcharges a lithium one, and the old converter in the corner still does it.",
    severities=("danger", "fails"),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each charger of each lithium bank."""
    found = False
    for bank in banks(study.rig):
        if bank.chemistry != "lfp":
            continue
        for charger in chargers_of(study, bank):
            found = True
            compensation: Given | str = next(
                (s for k in COMPENSATION if not isinstance(s := study.rig.setting(charger.id, k), Absent)),
                Absent(),
            )
            yield (
                charger.id,
                judge(
                    study.rig.setting(charger.id, "equalise"), compensation, f"settings.{charger.id}.equalise"
                ),
            )
    if not found:
        yield "rig", skipped("No charger on a lithium bank.")
