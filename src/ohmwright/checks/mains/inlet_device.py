"""D30: on a boat a device of her own stands behind every shore inlet, near it."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement, cannot_tell, fails, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import country, host
from ohmwright.checks.walk import Reached, conducts, reach
from ohmwright.checks.wires import asks
from ohmwright.circuit.devices import device_of
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, figure, tell

REMEDY = "A two-pole breaker, better one with 30 mA, in the first metres behind the inlet."
LINES = ("L", "L1", "L2")


def judge(
    rules: str, taking: tuple[str, ...], metres: float | None, missing: tuple[str, ...] = ()
) -> Judgement:
    """`taking` names what the inlet feeds around every device; else the way to the devices is measured."""
    if taking:
        return fails(f"Nothing of hers stands between the inlet and {', '.join(taking)}: only the post can open a fault on board.", REMEDY)  # fmt: skip
    limit = find(f"alternating/inlet-device-{country(rules)}").figure
    if metres is None:
        return cannot_tell("How far her first device is from the inlet is not known.", missing, limit=limit.value, unit="m", sense="max", remedy=REMEDY)  # fmt: skip
    way = figure(metres, "m", COMPUTED, address="conductors up to the first device")
    told = f"Her first device stands {tell(metres, 'm', 3)} behind the inlet; {tell(limit.value, 'm', 3)} are allowed"
    return most(way, limit, "m", good=f"{told}.", bad=f"{told}.", remedy=REMEDY)


@rule(
    "mains/inlet-device",
    "D30",
    "A boat's own breaker behind the shore inlet",
    why="""A pontoon's breaker is somebody else's, fifty metres away, and often larger than the cable on board. What chafes
        behind the inlet burns in a locker that nobody sits beside.""",
    severities=("danger",),
    sets=("us-boat", "eu-boat"),
    clauses={
        "us-boat": Clause("ABYC E-11", "2025", "main shore power disconnect within 10 ft of the inlet", "memory"),
        "eu-boat": Clause("ISO 13297", "2020", "breaker within 3 m of the shore-power inlet", "memory"),
    },
)  # fmt: skip
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each shore inlet: what it reaches on board before any device."""
    inlets = study.rig.of_kind("shore-inlet") if host(study.rig.job.rules) == "boat" else ()
    for inlet in inlets:
        yield inlet.id, _one(study, inlet)
    if not inlets:
        yield "rig", skipped("No shore inlet.")


def _one(study: Study, inlet: Part) -> Judgement:
    way = _bare(study, inlet)
    graph = study.graph
    taking = {e.owner for e in graph.elements.values() if e.kind in ("load", "converter") and {e.a, e.b} & way.terminals}  # fmt: skip
    runs = [graph.conductors[n] for n in way.elements if n in graph.conductors]
    unknown = tuple(dict.fromkeys(asks(study, c, "length") for c in runs if c.length_m is None))
    metres = None if unknown else sum(c.length_m or 0.0 for c in runs)
    return judge(study.rig.job.rules, tuple(sorted(taking)), metres, unknown)


def _bare(study: Study, inlet: Part) -> Reached:
    """What a line pole of the inlet reaches on board through no device, one pole after the other alike."""
    cords = {r.id for r in study.rig.runs.values() if r.plugs}
    first = next(t.id for t in study.graph.terminals.values() if t.owner == inlet.id and t.pole in LINES)
    return reach(study.graph, (first,), through=lambda e: conducts(e) and e.owner not in cords and device_of(study.rig, e) is None)  # fmt: skip
