"""A13: what a controller still gives in the air it stands in."""

from collections.abc import Iterator

from ohmwright.checks.array.hot_voltage import charging_volts
from ohmwright.checks.circuits import PvCircuit, pv_circuits
from ohmwright.checks.gather import asked
from ohmwright.checks.heat import air_of
from ohmwright.checks.judgement import Judgement, cannot_tell, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.ampacity import derated_A
from ohmwright.physics.strings import quick_output_A
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, tell, work

REMEDY = "Move it where it is cooler, or give the bay a fan."


def judge(rated: Figure, loss: Figure, at: Figure, air: Figure | Step, wanted: Step) -> Judgement:
    """Output left in the hot bay against what the array brings at noon, or the rating where that is less."""
    left = work(derated_A, rated_A=rated, loss_percent_per_K=loss, ambient_degC=air, rated_at_degC=at)
    need: Step | Figure = wanted if wanted.value <= rated.value else rated
    told = f"In air of {tell(air.value, 'degC')} it gives {tell(left.value, 'A')}; {tell(need.value, 'A')} is wanted"
    return least(
        left.value, need, "A", good=f"{told}.", bad=f"{told}: it throttles when the sun is best.", remedy=REMEDY, steps=(left,), roots=(air,)
    )  # fmt: skip


@rule(
    "array/controller-hot",
    "A13",
    "Controller in a hot bay",
    why="A controller protects itself from heat by giving less, on the afternoons that were meant to fill the bank.",
    severities=("fails",),
    clauses={"": Clause("", "", "the maker's page", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each controller at the hottest air of its place, its neighbours' heat included where that can be told."""
    for circuit in pv_circuits(study):
        if circuit.controller is None:
            yield circuit.name, skipped("No controller is joined to it.")
        else:
            yield circuit.controller.id, _one(study, circuit)


def _one(study: Study, circuit: PvCircuit) -> Judgement:
    part = circuit.controller
    assert part is not None
    rated, loss, air = asked(part.figure("output_current")), asked(part.figure("derate")), air_of(study, part)
    volts = charging_volts(study, part.id)
    powers = [asked(m.figure("power")) for s in circuit.strings for m in s.members]
    at = rated.figure.condition_value("degC") if rated.figure is not None else None
    lost = (
        *rated.missing,
        *loss.missing,
        *volts.missing,
        *(air.missing if air.air is None else ()),
        *((f"{part.id}.output_current",) if rated.figure is not None and at is None else ()),
        *(a for p in powers if p.figure is None for a in p.missing),
    )
    if (
        rated.figure is None
        or loss.figure is None
        or air.air is None
        or at is None
        or volts.figure is None
        or any(p.figure is None for p in powers)
    ):
        return cannot_tell(
            "What it gives in its bay is not known: its loss with heat, or the hottest air there, is missing.",
            lost,
            unit="A",
            sense="min",
        )
    total = sum(p.figure.value for p in powers if p.figure is not None)
    wanted = work(
        quick_output_A,
        part_ratio=find("pv/quick-output").figure,
        array_W=figure(total, "W", COMPUTED, address=f"power of {circuit.name}"),
        charge_V=volts.figure,
    )
    down = loss.figure
    positive = Figure(abs(down.value), down.unit, abs(down.value), abs(down.value), down.origin, address=down.address)  # fmt: skip
    return judge(
        rated.figure,
        positive,
        figure(at, "degC", rated.figure.origin, address=f"{part.id}.output_current"),
        air.air,
        wanted,
    )
