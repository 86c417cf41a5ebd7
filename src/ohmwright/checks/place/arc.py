"""E21: what a dropped spanner does, and what the work order says about it."""

from collections.abc import Iterator

from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.eyes import EYES
from ohmwright.checks.gather import first_of
from ohmwright.checks.islands import bank_volts
from ohmwright.checks.judgement import Judgement, at_least, cannot_tell, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.fault import spanner_W
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, Step, figure, tell, work

REMEDY = "Main fuse out first, insulated tools, cover on what is not worked on, eye protection; write it on the work order."
#: From here a tool across the posts throws metal. Common practice, no source.
THROWS_W = 5000.0


def judge(power: Step | None, *, arcs: bool, looked: str, missing: tuple[str, ...] = ()) -> Judgement:
    """The power of a bridged bank; whether the work order knows of it only eyes can tell."""
    if power is None:
        return cannot_tell(
            "What a dropped tool does there is not known.", missing, unit="W", sense="max", remedy=REMEDY
        )
    told = f"A tool across its posts turns up to {tell(power.value, 'W')} into heat"
    if not at_least(power.value, THROWS_W) and not arcs:
        return passes(f"{told}.", steps=(power,))
    more = ", and it keeps an arc" if arcs else ""
    return cannot_tell(f"{told}{more}: does the work order name fuse out, insulated tools, covers and eye protection?", (looked,), unit="W", sense="max", remedy=REMEDY)  # fmt: skip


@rule(
    "place/arc",
    "E21",
    "Arc and burn during work",
    why="A spanner across a bank is white hot before it can be let go.",
    severities=("danger",),
    clauses={"": Clause("NFPA 70E", "2024", "informative, direct-current arcs; physics", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank."""
    if not banks(study.rig):
        yield "rig", skipped("No bank.")
    for bank in banks(study.rig):
        yield bank.id, _one(bank)


def _one(bank: Bank) -> Judgement:
    volts, lost = bank_volts(bank)
    members = [first_of(m, "resistance", "short_circuit_current") for m in bank.members]
    missing = (*lost, *(a for m in members if m.figure is None for a in m.missing))
    looked = f"looked-at place/arc {bank.id}"
    if volts is None or missing:
        return judge(None, arcs=False, looked=looked, missing=missing)
    first = members[0].figure
    assert first is not None
    one_ohm = first.value if first.unit == "ohm" else volts.value / bank.in_series / first.value
    ohm = figure(one_ohm * bank.in_series / bank.in_parallel, "ohm", first.origin, address=first.address)
    power = work(spanner_W, open_V=volts, source_ohm=ohm)
    nominal = bank.members[0].figure("nominal_voltage")
    high = isinstance(nominal, Figure) and at_least(
        nominal.value * bank.in_series, find("protection/arc-bank").value
    )
    arcs = high and at_least(volts.value / ohm.value, find("protection/arc-fault").value)
    return judge(power, arcs=arcs, looked=looked)
