"""The stop-use order for a rig in which a danger was found: in which order it is made dead tonight.

The order is a matter of life: both AC sources are off before any plug is pulled; then sun and engine; then the bank.
"""

from collections.abc import Iterator

from ohmwright.checks.registry import rules
from ohmwright.papers.doc import Block, Doc, Fields, Heading, Points, Text
from ohmwright.papers.material import Material
from ohmwright.papers.report import each
from ohmwright.working import known

#: Stages in which there is nothing yet that could be used.
ON_PAPER = ("interview", "draft", "quoted", "change order", "issued for build")


def wanted(m: Material) -> bool:
    """True when a danger fails in a rig that stands: as found, as built, or of no stage named."""
    return m.stage not in ON_PAPER and any(f.verdict == "fail" and f.severity == "danger" for f in m.findings)


def stop_use(m: Material) -> Doc:
    """The dangers, and the steps."""
    w = m.words
    dangers = [f for f in m.findings if f.verdict == "fail" and f.severity == "danger"]
    subjects: dict[str, dict[str, None]] = {}
    for f in dangers:
        subjects.setdefault(f"{rules()[f.rule].title} ({f.number})", {})[f.subject] = None
    blocks: list[Block] = [
        Text(w.say("stop.what-this-is", n=len(dangers)), "lead"), m.cautions("tests-rings", "bank-energy", "array-live", "cell-gas"), Heading(w.say("stop.steps")),
        Points(tuple(steps(m)), "numbers", large=True), Heading(w.say("stop.not-used")), Text(w.say("stop.not-used-why")), Points(tuple(f"{title}: {', '.join(names)}" for title, names in subjects.items())),
        Fields(tuple((x, "") for x in w.all("stop.fields")), 2), Heading(w.say("stop.dangers")), *each(m, dangers, worked=False),
    ]  # fmt: skip
    return m.doc("stop", blocks)


def steps(m: Material) -> Iterator[str]:
    """The steps of tonight, those that this rig has a part for."""
    w, rig = m.words, m.rig
    engine = bool(rig.of_kind("alternator", "starter")) or rig.host.kind in ("van", "trailer", "boat")
    yield w.say("stop.step.people" if engine else "stop.step.people-cabin")
    supplied = bool(rig.of_kind("supply-post", "generator", "shore-inlet"))
    if supplied:
        yield w.say("stop.step.supply-off")
    inverting = bool(rig.of_kind("inverter-charger", "inverter"))
    yield w.say("stop.step.inverter-off" if inverting else "stop.step.loads-off")
    cords = [r.id for r in rig.runs.values() if r.plugs]
    if cords and _double_male(m):
        yield w.say("stop.step.double-male", cords=", ".join(_double_male(m)))
    elif cords:
        yield w.say("stop.step.cord", cords=", ".join(cords))
    if rig.of_kind("module"):
        yield w.say("stop.step.array")
    if turning := rig.of_kind("hydrogenerator", "wind-generator"):
        yield w.say("stop.step.turning", parts=", ".join(p.id for p in turning))
    yield w.say("stop.step.wait")
    if rig.of_kind("battery"):
        bare = any(
            f.number in ("B16", "B17", "C2") and f.verdict in ("fail", "cannot-tell") for f in m.findings
        )
        yield w.say("stop.step.bank") + (" " + w.say("stop.step.bank-bare") if bare else "")
    relays = [p.id for p in rig.of_kind("voltage-sensing-relay")]
    if relays:
        yield w.say("stop.step.relay", relays=", ".join(relays))
    if rig.of_kind("battery"):
        over = _overcharged(m)
        yield (w.say("stop.step.overcharged", volts=over) + " " if over else "") + w.say(
            "stop.step.no-charge"
        )


def _double_male(m: Material) -> list[str]:
    """Cords of which both ends fit sockets, so that both ends are bare pins."""
    ends: dict[str, list[str]] = {}
    for t in m.study.graph.terminals.values():
        if t.owner in m.rig.runs and t.plug == "pins" and t.port not in ends.setdefault(t.owner, []):
            ends[t.owner].append(t.port)
    return [run for run, ports in ends.items() if len(ports) > 1]


def _overcharged(m: Material) -> str:
    """The highest charging setting of the file where it passes what a battery allows."""
    most = [
        f.value for p in m.rig.of_kind("battery") if (f := known(p.figure("charge_voltage_max"))) is not None
    ]
    found = []
    for values in m.rig.settings.values():
        for key in ("absorption", "equalise", "float"):
            given = values.get(key)
            figure = given if given is None or isinstance(given, str) else known(given)
            if figure is not None and not isinstance(figure, str) and most and figure.value > min(most):
                found.append(figure.value)
    return f"{max(found):.1f}" if found else ""
