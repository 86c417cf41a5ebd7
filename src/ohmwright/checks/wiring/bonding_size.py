"""C13: bonding conductors carry a fault until the device opens."""

from collections.abc import Iterator
from dataclasses import replace

from ohmwright.checks.array.touch_voltage import highest, touch
from ohmwright.checks.circuits import CONTROLLERS, pv_circuits
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, fails, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import country, host
from ohmwright.checks.walk import reach
from ohmwright.checks.wires import rating
from ohmwright.rig.graph import Conductor, Terminal
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, Published, find, table
from ohmwright.standards.wire import awg_area_mm2, awg_row
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, tell

REMEDY = "A larger bonding conductor."
OWN = "A bonding conductor of its own from the case to the chassis, the common ground or the earth bar."
INVERTERS = ("inverter", "inverter-charger")
#: Where the minus of a direct-current system is joined to earth.
MINUS_AT = ("busbar", "shunt", "battery")
NEC = Clause("NFPA 70", "2023", "Table 250.122", "memory")
IEC = Clause("IEC 60364-5-54", "2011", "Table 54.2", "memory")
MARINE = Clause("ABYC E-11", "2025", "DC grounding conductor", "memory")
SIZES = ("18", "16", "14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0")


def wanted_mm2(
    rules: str, device: Figure | None, largest_mm2: float | None
) -> tuple[float, Clause, str] | None:
    """Least area by rule set: the device ahead (us), one size under the largest conductor (us boats), by the largest conductor (eu)."""
    if rules == "us-boat":
        if largest_mm2 is None:
            return None
        row = awg_row(largest_mm2, table("cfr33-183.425-t5"))
        if row is None:
            return None
        under = SIZES[max(SIZES.index(row) - 1, SIZES.index("16"))]
        return (awg_area_mm2(under) or 0.0), MARINE, f"one size under the largest conductor, {under} AWG"
    if country(rules) == "us":
        row = table("nec-250.122").least_row(device.value) if device is not None else None
        cell: Published | None = table("nec-250.122").cell(row, "copper") if row else None
        return (
            None
            if cell is None or device is None
            else (cell.value, NEC, f"for a device of {tell(device.value, 'A')}")
        )
    if largest_mm2 is None:
        return None
    whole, half = find("protection/earth-whole-up-to").value, find("protection/earth-half-from").value
    if largest_mm2 <= whole:
        return largest_mm2, IEC, "as large as the conductor"
    return (whole if largest_mm2 <= half else largest_mm2 / 2), IEC, "by the largest conductor"


def judge(area: Figure, wanted: float, clause: Clause, how: str) -> Judgement:
    """Area against the least that the rule set wants, 1 % for rounded sizes."""
    told = f"{area.value:.3g} mm² bonds it; {wanted:.3g} mm² are wanted, {how}"
    return least(area.value, wanted * 0.99, "mm2", good=f"{told}.", bad=f"{told}: in a fault it burns before the device opens.", remedy=REMEDY, roots=(area,), clause=clause)  # fmt: skip


@rule(
    "wiring/bonding-size",
    "C13",
    "Size of bonding conductors",
    why="A bond is never needed until it has to carry the whole fault. Sized for looks it is a fuse in the wrong place.",
    severities=("danger",),
    clauses={"us-boat": MARINE, "us": NEC, "eu": IEC},
    needs=("guards",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each conductor from the case of a device that direct current feeds, what brings its fault back to minus, and cases without a bond."""
    spoke = False
    for c in study.graph.conductors.values():
        if c.role not in ("earth", "bond"):
            continue
        owner = _case_of(study, c)
        if owner is None:
            continue
        spoke = True
        yield c.id, _one(study, c, owner)
    for c, owners in _system_bonds(study):
        spoke = True
        judged_for = [_one(study, c, owner) for owner in owners]
        yield c.id, min(judged_for, key=lambda j: (j.verdict == "pass", j.margin or 0.0))
    for part in study.rig.of_kind(*INVERTERS, *CONTROLLERS):
        judged = None if _bonded(study, part) else _without(study, part)
        if judged is not None:
            spoke = True
            yield part.id, judged
    if not spoke:
        yield "rig", skipped("No case is bonded by a conductor of its own.")


def _system_bonds(study: Study) -> list[tuple[Conductor, list[str]]]:
    """The conductors by which a fault of direct current to earth comes back to minus, with the parts whose fault it may be."""
    terminals, kinds = study.graph.terminals, {p.id: p.kind.name for p in study.rig.parts.values()}
    cased = [
        (p.id, minus)
        for p in study.rig.of_kind(*INVERTERS, *CONTROLLERS)
        for minus in (f"{p.id}.dc.-", f"{p.id}.bat.-")
        if minus in terminals and (_bonded(study, p) or p.kind.name in INVERTERS)
    ]
    found = []
    for c in study.graph.conductors.values():
        for earth, working in ((c.a, c.b), (c.b, c.a)):
            if not _protects(terminals[earth]) or _protects(terminals[working]):
                continue
            if kinds.get(terminals[working].owner) in MINUS_AT:
                reached = reach(study.graph, (working,)).terminals
                owners = [name for name, minus in cased if minus in reached]
                found += [(c, owners)] if owners else []
    return found


def _protects(t: Terminal) -> bool:
    return t.pole == "PE" or t.port_role in ("earth", "case") or t.is_metal


def _bonded(study: Study, part: Part) -> bool:
    """By a run that lands on its case, or by the metal that it is bolted to."""
    case = f"{part.id}.case.PE"
    return bool(part.words.get("on")) or any(
        study.graph.elements[n].owner != part.id for n in study.graph.at.get(case, ())
    )


def _without(study: Study, part: Part) -> Judgement | None:
    """A case without a bond: of an inverter, what its alternating side brings; of a controller, above touch voltage."""
    if part.kind.name in CONTROLLERS:
        return _controller(study, part)
    reached = reach(study.graph, (f"{part.id}.case.PE",), stop=lambda t: t.pole == "-").terminals
    if not any(study.graph.terminals[t].pole == "-" for t in reached):
        return None
    earths = [
        c
        for c in study.graph.conductors.values()
        if c.pole == "PE" and any(study.graph.terminals[t].owner == part.id for t in (c.a, c.b) if t in study.graph.terminals)
    ]  # fmt: skip
    known_size = [c for c in earths if c.area_mm2 is not None]
    if not earths:
        return None
    judged = _one(
        study, max(known_size, key=lambda c: c.area_mm2 or 0.0) if known_size else earths[0], part.id
    )
    return replace(judged, message=f"Nothing bonds its case but the earth of its alternating side. {judged.message}", remedy=judged.remedy and OWN)  # fmt: skip


def _controller(study: Study, part: Part) -> Judgement | None:
    worst, _ = highest(study)
    names = [c.name for c in pv_circuits(study) if c.controller is not None and c.controller.id == part.id]
    volts = worst.get(names[0]) if names else None
    limit = touch(study.rig.job.rules)
    if volts is None or at_most(volts.value, limit.value):
        return None
    told = f"{tell(volts.value, 'V', 3)} in the cold stand inside, {tell(limit.value, 'V', 3)} may be touched"
    return fails(f"Nothing bonds its case: {told}, and a fault to it is never found.", OWN, roots=(volts,))


def _case_of(study: Study, c: Conductor) -> str | None:
    for t in (c.a, c.b):
        terminal = study.graph.terminals.get(t)
        if terminal is not None and terminal.port_role == "case" and terminal.owner in study.rig.parts:
            return terminal.owner
    return None


def _one(study: Study, c: Conductor, owner: str) -> Judgement:
    if c.area_mm2 is None:
        return cannot_tell("Its size is not known.", (f"{c.run}.cable",), unit="mm2", sense="min")
    device: Figure | None = None
    largest: float | None = None
    for t in study.graph.terminals.values():
        if t.owner != owner or t.pole not in ("+", "L", "L1", "L2"):
            continue
        for name in study.graph.at.get(t.id, ()):
            other, guarding = study.graph.conductors.get(name), study.guards.get(name)
            if other is None or guarding is None:
                continue
            for g in guarding.guards:
                r = rating(study, g) if g.device else None
                device = r if r is not None and (device is None or r.value > device.value) else device
            if other.area_mm2 is not None:
                largest = max(largest or 0.0, other.area_mm2)
    wanted = wanted_mm2(study.rig.job.rules, device, largest)
    if wanted is None:
        lost = (
            "the device ahead of it"
            if country(study.rig.job.rules) == "us" and host(study.rig.job.rules) != "boat"
            else "the conductor that feeds it"
        )
        return cannot_tell(
            f"What it has to carry is not known: {lost} is missing.",
            (f"{owner}.fuse_dc",),
            unit="mm2",
            sense="min",
        )
    return judge(figure(c.area_mm2, "mm2", COMPUTED, address=f"{c.run}.cable"), *wanted)
