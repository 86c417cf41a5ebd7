"""F4: a tow cord that charges by itself brings little."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.walk import reach
from ohmwright.physics.copper import cable_ohm_per_m
from ohmwright.physics.lead import cord_A
from ohmwright.physics.sums import sum_ohm
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, tell, work

REMEDY = "A cable of its own with a DC-DC charger."


def judge(current: Step) -> Judgement:
    """What the cord brings into a bank at rest against what people count on."""
    wanted = find("monitor/tow-cord").figure
    told = f"Through the cord {tell(current.value, 'A')} flow into the bank; {tell(wanted.value, 'A')} are counted on"
    return least(current.value, wanted.value, "A", good=f"{told}.", bad=f"{told}: hours of driving bring next to nothing.", remedy=REMEDY, steps=(current,))  # fmt: skip


@rule(
    "charging/tow-cord",
    "F4",
    "Charging by a tow cord",
    why="Ten metres of thin wire and two plugs lose the one volt that would have charged.",
    severities=("disappoints",),
    sets=("us-vehicle", "eu-vehicle"),
    clauses={"": Clause("", "", "physics; common practice, no source", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each tow socket that reaches a bank without a charger between."""
    sockets = study.rig.of_kind("tow-socket")
    if not sockets:
        yield "rig", skipped("No tow socket.")
    for socket in sockets:
        yield socket.id, _one(study, socket)


def _one(study: Study, socket: Part) -> Judgement:
    way = reach(study.graph, (f"{socket.id}.aux.+",))
    bank = next((b for b in banks(study.rig) for m in b.members if f"{m.id}.+" in way.terminals), None)
    if bank is None:
        return skipped("A charger stands between it and the bank, or it charges none.")
    volts, own = asked(socket.figure("voltage")), asked(socket.figure("resistance"))
    nominal = asked(bank.members[0].figure("nominal_voltage"))
    post = next(f"{m.id}.+" for m in bank.members if f"{m.id}.+" in way.terminals)
    cable = [study.graph.conductors[n] for n in way.edges(post) if n in study.graph.conductors]
    lost = [*volts.missing, *own.missing, *nominal.missing, *(f"{c.run}.length" for c in cable if c.length_m is None or c.area_mm2 is None)]  # fmt: skip
    if volts.figure is None or own.figure is None or nominal.figure is None or lost:
        return cannot_tell("What the cord brings cannot be told.", lost, unit="A", sense="min")
    wire = sum(2 * (c.length_m or 0.0) * cable_ohm_per_m(c.area_mm2 or 1.0, c.cable.size, c.cable.system, 75.0, "high", c.cable.material) for c in cable)  # fmt: skip
    ohm: Figure | Step = work(sum_ohm, first_ohm=own.figure, second_ohm=figure(wire, "ohm", COMPUTED, address="cord out and back at 75 °C"))  # fmt: skip
    system = figure(
        nominal.figure.value * bank.in_series, "V", nominal.figure.origin, address=nominal.figure.address
    )
    return judge(work(cord_A, source_V=volts.figure, bank_V=system, loop_ohm=ohm))
