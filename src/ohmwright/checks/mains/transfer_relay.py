"""D8: a transfer relay carries what its supply may send."""

from collections.abc import Iterator

from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.wires import rating
from ohmwright.rig.model import Part
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import Figure, tell


def judge(supply: Figure, relay: Figure) -> Judgement:
    """The breaker before it against the relay."""
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
    """Each inverter-charger against the largest device before it. A limit in its settings holds its charger back, not the loads that pass through."""
    for unit in study.rig.of_kind("inverter-charger"):
        relay = asked(unit.figure("transfer_current"))
        before, lost = _before(study, unit)
        if not before and not lost:
            yield unit.id, skipped("No supply feeds it.")
            continue
        largest = max(before, key=lambda f: f.value, default=None)
        known_bad = relay.figure is not None and largest is not None and not at_most(largest.value, relay.figure.value)  # fmt: skip
        if largest is None or relay.figure is None or (lost and not known_bad):
            missing = (*relay.missing, *lost)
            yield unit.id, cannot_tell("The breaker before it or the transfer's rating is not known.", missing, unit="A", sense="max")  # fmt: skip
        else:
            yield unit.id, judge(largest, relay.figure)


def _before(study: Study, unit: Part) -> tuple[list[Figure], tuple[str, ...]]:
    """The ratings of the devices that stand before the input of a transfer, and where those are to be written that are not known."""
    found: list[Figure] = []
    lost: list[str] = []
    for t in study.graph.terminals.values():
        if not t.port.startswith(f"{unit.id}.ac-in") or t.pole not in ("L", "L1", "L2"):
            continue
        for name in study.graph.at.get(t.id, ()):
            for g in study.guards[name].guards if name in study.guards else ():
                rated = rating(study, g) if g.device else None
                found += [rated] if rated is not None else []
                lost += [] if rated is not None else [f"{g.device or g.source}.rated"]
    return found, tuple(dict.fromkeys(lost))
