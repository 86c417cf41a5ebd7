"""C10: a conductor may be no hotter than the terminals it ends in."""

from collections.abc import Iterator
from dataclasses import replace

from ohmwright.checks.carrying import carries
from ohmwright.checks.gather import asked
from ohmwright.checks.islands import own_elements
from ohmwright.checks.judgement import Judgement, at_least, cannot_tell, kept, least, most, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import country, host
from ohmwright.checks.wires import is_alternating, is_dc, rated, wire_of
from ohmwright.rig.graph import Conductor
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, known, tell

REMEDY = "A larger conductor, or a device with terminals of a higher class."
#: Kinds whose studs carry a bank's current.
STUDS = ("fuse", "breaker", "battery-switch", "inverter", "inverter-charger", "contactor", "battery")
CODE = Clause("NFPA 70", "2023", "110.14(C)(1)", "secondary")
#: Below this a stud is no matter of temperature but of the lug.
SMALL_A = 30.0


def judge_listed(device: Figure, allowed: Step, class_degC: float, told: str) -> Judgement:
    """A listed terminal: the device against the table column of the lowest terminal."""
    said = f"{tell(device.value, 'A')} device; at terminals of {class_degC:g} °C the conductor may carry {tell(allowed.value, 'A')} ({told})"
    return most(device.value, allowed, "A", good=f"{said}.", bad=f"{said}: the terminal gets hotter than it is made for.", remedy=REMEDY, roots=(device,), clause=CODE, severity="danger")  # fmt: skip


@kept
def judge_stud(area: Figure, minimum: Figure | None, by_table: bool | None, asks: str) -> Judgement:
    """A bare stud below 60 V: the smallest conductor that the device's page allows at its rating."""
    if minimum is not None:
        told = f"{area.value:g} mm² on a stud that wants {minimum.value:g} mm² at its full rating"
        return least(area.value, minimum, "mm2", good=f"{told}.", bad=f"{told}: the conductor heats the device.", remedy=REMEDY, roots=(area,), severity="fails")  # fmt: skip
    if by_table:
        return passes("It is as large as a listed terminal of 75 °C would ask for.", roots=(area,))
    return cannot_tell("The smallest conductor that its page allows is not on file.", (asks,), unit="mm2", sense="min", severity="fails", remedy="Copy it from the device's page.")  # fmt: skip


@rule(
    "wiring/terminal-class",
    "C10",
    "Temperature class of terminals",
    why="Cable for 105 °C on a terminal for 60 °C cooks the terminal, and the breaker trips from the heat of its own cable.",
    severities=("danger", "fails"),
    clauses={
        "us": CODE,
        "eu": Clause("", "", "the maker's page; common practice, no source", "memory"),
    },
    needs=("guards",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Alternating current and cabins in the United States by the code; studs of direct current by the maker's page."""
    rules = study.rig.job.rules
    spoke = False
    for name, guarding in study.guards.items():
        c = study.graph.conductors[name]
        if country(rules) != "us" or not is_alternating(study, c):
            continue
        ratings = [r for _, r in rated(study, guarding.guards) if r is not None]
        if ratings:
            spoke = True
            yield name, _listed(study, c, max(ratings, key=lambda f: f.value))
    listed_dc = country(rules) == "us" and host(rules) == "cabin"
    for part in study.rig.of_kind(*STUDS):
        for subject, judged in _studs(study, part, listed_dc):
            spoke = True
            yield subject, judged
    if not spoke:
        yield "rig", skipped("No terminal that this rule is about.")


def _listed(study: Study, c: Conductor, device: Figure) -> Judgement:
    wire = wire_of(study, c.id)
    if wire is None:
        return cannot_tell("Its size is not known.", (f"{c.run}.cable",), unit="A", sense="max")
    low = find("protection/terminal-60-up-to").value
    classes = [60.0 if device.value <= low else 75.0]
    owners = [
        study.rig.parts.get(study.graph.terminals[t].owner) for t in (c.a, c.b) if t in study.graph.terminals
    ]
    marked = [known(p.figure("terminal_class")) for p in owners if p is not None]
    if marked and all(f is not None for f in marked):
        classes = [min(f.value for f in marked if f is not None)]
    carried = carries(replace(wire, ambient=None), "us-cabin", "least", terminal_degC=classes[0])
    if carried is None:
        return cannot_tell("No row of the table fits this conductor.", (wire.asks,), unit="A", sense="max")
    return judge_listed(
        device, carried.ceiling, classes[0], carried.told.replace(", used here as the shop's own rule", "")
    )


def _studs(study: Study, part: Part, listed: bool) -> Iterator[tuple[str, Judgement]]:
    rated = (
        asked(part.figure("rated")).figure
        or asked(part.figure("discharge_max")).figure
        or asked(part.figure("fuse_dc")).figure
    )
    if rated is not None and not at_least(rated.value, SMALL_A):
        return
    minimum = asked(part.figure("min_cable")).figure
    smallest: Conductor | None = None
    for t in _power_terminals(study, part):
        largest = _largest(study, part, t)
        if largest is not None and (
            smallest is None or (largest.area_mm2 or 0.0) < (smallest.area_mm2 or 0.0)
        ):
            smallest = largest
    if smallest is None or smallest.area_mm2 is None:
        return
    by_table = None
    wire = wire_of(study, smallest.id)
    if wire is not None and rated is not None:
        carried = carries(replace(wire, ambient=None), "us-cabin", "least", terminal_degC=75.0)
        by_table = carried is not None and at_least(carried.ceiling.value, rated.value)
        if listed and carried is not None:
            yield part.id, judge_listed(rated, carried.ceiling, 75.0, carried.told)
            return
    area = figure(smallest.area_mm2, "mm2", COMPUTED, address=f"{smallest.run}.cable")
    yield part.id, judge_stud(area, minimum, by_table, f"{part.id}.min_cable")


def _largest(study: Study, part: Part, terminal: str) -> Conductor | None:
    """The conductor on a stud that takes its heat away: taps beside it are judged by what stands before them."""
    found = [
        c
        for n in study.graph.at.get(terminal, ())
        if (c := study.graph.conductors.get(n)) is not None
        and c.area_mm2 is not None
        and is_dc(study, c)
        and c.role != "sense"
        and _main(study, part, c)
    ]
    return max(found, key=lambda c: c.area_mm2 or 0.0, default=None)


def _power_terminals(study: Study, part: Part) -> tuple[str, ...]:
    """Both sides of what stands in a line, coils and signals left out; the direct-current port of an inverter, a battery's posts."""
    if part.kind.series:
        return tuple(dict.fromkeys(t for e in own_elements(study, part.id) for t in (e.a, e.b)))
    return tuple(t.id for t in study.graph.terminals.values() if t.owner == part.id and t.port_role == "dc")


def _main(study: Study, part: Part, c: Conductor) -> bool:
    """Not a small lead that merely takes its supply from this stud behind a small device elsewhere."""
    guarding = study.guards.get(c.id)
    if guarding is None or part.kind.name == "battery":
        return guarding is not None
    inside = {part.id}
    return any(g.device in inside for g in guarding.guards) or part.kind.name not in ("fuse", "breaker")
