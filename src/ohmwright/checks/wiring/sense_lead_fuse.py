"""C23: small leads that take their volts from a bank have a device at the source."""

from collections.abc import Iterator

from ohmwright.checks.battery.fuse_distance import longest
from ohmwright.checks.carrying import carries
from ohmwright.checks.circuits import banks
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, fails, most, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.walk import conducts, reach
from ohmwright.checks.wires import is_alternating, wire_of
from ohmwright.circuit.devices import device_of
from ohmwright.rig.graph import Conductor
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import Figure, Step, known, tell

REMEDY = "A fuse of 1 to 5 A where it leaves the source."


def judge(
    bare_mm: float | None, allowed_mm: float, device: Figure | None, carried: Step | None, asks: str = ""
) -> Judgement:
    """Without a device it may only be as long as rule B17 lets a conductor lie bare; with one, the device suits it."""
    if device is None:
        if bare_mm is None and asks:
            return cannot_tell(f"Nothing protects it at the source, and how long it is, is not known: {allowed_mm:.0f} mm may lie bare.", (asks,), limit=allowed_mm, unit="mm", sense="max", remedy=REMEDY)  # fmt: skip
        if bare_mm is not None and at_most(bare_mm, allowed_mm):
            return passes(f"{bare_mm:.0f} mm without a device, {allowed_mm:.0f} mm may lie bare.")
        return fails("Nothing protects it at the source: chafed, it glows from end to end.", REMEDY)
    if carried is None:
        return passes(f"A {tell(device.value, 'A')} device stands before it.", roots=(device,))
    told = f"A {tell(device.value, 'A')} device stands before it; it may carry {tell(carried.value, 'A')}"
    return most(device.value, carried, "A", good=f"{told}.", bad=f"{told}.", remedy=REMEDY, roots=(device,))


@rule(
    "wiring/sense-lead-fuse",
    "C23",
    "Sense and redundant leads fused at the source",
    why="The thinnest wire on the bank has the whole bank behind it.",
    severities=("danger",),
    clauses={
        "": Clause("33 CFR 183", "consolidated text", "183.455(a); common practice elsewhere", "official")
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each sense lead of the positive pole."""
    spoke = False
    for c in study.graph.conductors.values():
        if c.role == "sense" and c.pole not in ("-", "PE", "sig") and not is_alternating(study, c):
            spoke = True
            yield c.id, _one(study, c)
    if not spoke:
        yield "rig", skipped("No sense leads.")


def _one(study: Study, c: Conductor) -> Judgement:
    graph, rig = study.graph, study.rig
    posts = {f"{m.id}.+" for b in banks(rig) for m in b.members}
    bare = reach(
        graph, (c.a, c.b), through=lambda e: conducts(e) and e.id != c.id and device_of(rig, e) is None
    )
    rules = rig.job.rules
    allowed, _ = longest(rules, petrol=False, sheathed="sheathed" in c.cable.words)
    if bare.terminals & posts:
        bare_mm = None if c.length_m is None else 1000 * c.length_m
        return judge(bare_mm, allowed.value, None, None, f"{c.run}.length")
    devices = {
        d.id: f
        for t in bare.terminals
        for n in graph.at.get(t, ())
        if (d := device_of(rig, graph.elements[n])) is not None and (f := known(d.rated)) is not None
    }
    if not devices:
        return skipped("No bank feeds it.")
    wire = wire_of(study, c.id)
    carried = carries(wire, rules, "least") if wire is not None else None
    return judge(
        None,
        allowed.value,
        max(devices.values(), key=lambda f: f.value),
        carried.ceiling if carried else None,
    )
