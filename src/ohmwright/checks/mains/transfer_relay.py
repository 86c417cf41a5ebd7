"""D8: a transfer relay carries what its supply may send."""

from collections.abc import Iterator

from ohmwright.checks.gather import asked, first_of, setting
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import Figure, tell


def judge(supply: Figure, relay: Figure) -> Judgement:
    """The supply's breaker, or the limit set, against the relay."""
    told = f"Up to {tell(supply.value, 'A')} may pass a transfer of {tell(relay.value, 'A')}"
    return most(
        supply.value,
        relay,
        "A",
        good=f"{told}.",
        bad=f"{told}: it welds shut.",
        remedy="A sub-panel before it, or a lower limit.",
        roots=(supply, relay),
    )


@rule(
    "mains/transfer-relay",
    "D8",
    "Transfer relay against its breaker",
    why="A transfer that welds shut joins two sources the next time the cord is in.",
    severities=("fails",),
    clauses={"": Clause("", "", "the maker's page", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each inverter-charger against the largest supply."""
    posts = [first_of(p, "rated", "breaker") for p in study.rig.of_kind("supply-post", "generator")]
    largest = max((p.figure for p in posts if p.figure is not None), key=lambda f: f.value, default=None)
    for unit in study.rig.of_kind("inverter-charger"):
        relay = asked(unit.figure("transfer_current"))
        limited = setting(study.rig, unit.id, "supply-limit", "A").figure
        if not posts:
            yield unit.id, skipped("No supply feeds it.")
        elif largest is None or relay.figure is None:
            yield (
                unit.id,
                cannot_tell(
                    "The supply's breaker or the transfer's rating is not known.",
                    (*relay.missing, *(a for p in posts for a in p.missing)),
                    unit="A",
                    sense="max",
                ),
            )
        else:
            yield (
                unit.id,
                judge(min(largest, limited, key=lambda f: f.value) if limited else largest, relay.figure),
            )
