"""B8: batteries left aboard through the winter against the coldest they may be stored at."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks, coldest
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import Figure, tell

LAID_UP = ("laid-up", "storage", "stored")


def judge(low: Figure, limit: Figure) -> Judgement:
    """The coldest night of the lay-up against the storage limit. Heating is not credited while nobody is there."""
    told = (
        f"Laid up, it may get {tell(low.value, 'degC')}; it may be stored down to {tell(limit.value, 'degC')}"
    )
    return least(
        low.value,
        limit,
        "degC",
        good=f"{told}.",
        bad=f"{told}.",
        remedy="Take the batteries out for the winter, or have the owner accept it in writing.",
        roots=(low, limit),
    )


@rule(
    "battery/storage-cold",
    "B8",
    "Storage temperature",
    why="A heated locker is not heated in a field in January. Below the storage limit seals and electrolyte go, and so does the warranty.",
    severities=("fails",),
    clauses={"": Clause("", "", "the maker's page", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank, where a stay says that the rig is laid up."""
    stays = [(i, s) for i, s in enumerate(study.rig.use.stays, 1) if s.mode in LAID_UP]
    low, missing = coldest(study)
    typed = [s.coldest for _, s in stays if isinstance(s.coldest, Figure)]
    night = min(typed, key=lambda f: f.value) if typed and len(typed) == len(stays) else low
    for bank in banks(study.rig):
        limit = asked(bank.members[0].figure("storage_min"))
        if not stays:
            yield bank.id, skipped("No stay is laid up.")
        elif night is None or limit.figure is None:
            yield (
                bank.id,
                cannot_tell(
                    "The coldest night of the lay-up, or the storage limit, is not known.",
                    (*limit.missing, *(missing if night is None else ())),
                    unit="degC",
                    sense="min",
                ),
            )
        else:
            yield bank.id, judge(night, limit.figure)
