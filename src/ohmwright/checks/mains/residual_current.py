"""D4: outlets and inlets have the residual-current protection of their rule set, in every source state."""

from collections.abc import Iterator

from ohmwright.checks.gather import asked, word
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import country
from ohmwright.checks.walk import reach
from ohmwright.rig.graph import Element
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import tell

DEVICES = ("rcd", "rcbo")
LINES = ("L", "L1", "L2")


def judge(
    rules: str, unprotected: tuple[str, ...], devices: tuple[Part, ...], *, inlet: bool = False
) -> Judgement:
    """`unprotected` names sources that reach the outlet (or inlet wiring) around every residual-current device."""
    if unprotected:
        what = "the wiring behind this inlet" if inlet else "this outlet"
        return fails(
            f"{', '.join(unprotected)} feed{'s' if len(unprotected) == 1 else ''} {what} without a residual-current device.",
            _remedy(rules, inlet=inlet),
        )
    unknown = tuple(
        f"{d.id}.residual"
        for d in devices
        if asked(d.figure("residual")).figure is None and word(d, "gfci") != "class-a"
    )
    if unknown:
        return cannot_tell(
            "The residual current at which its device trips is not known.", unknown, unit="A", sense="max"
        )
    limit = find("alternating/residual").figure
    worst = max(
        (f for d in devices if (f := asked(d.figure("residual")).figure) is not None),
        key=lambda f: f.value,
        default=None,
    )
    if worst is not None and not at_most(worst.value, limit.value):
        return fails(
            f"Its device trips at {tell(worst.value * 1000, '1')} mA; at most {tell(limit.value * 1000, '1')} mA protects a person.",
            _remedy(rules, inlet=inlet),
            roots=(worst,),
        )
    if country(rules) == "eu" and any(word(d, "poles") == "1" for d in devices):
        return fails(
            "Its device leaves a live conductor closed: all live conductors have to open.",
            "Fit a two-pole device.",
        )
    return passes("Every source that feeds it goes through a residual-current device.", roots=(worst,))


def _remedy(rules: str, *, inlet: bool) -> str:
    if country(rules) == "us":
        return (
            "Fit a 30 mA device within reach of the inlet."
            if inlet
            else "Fit a class A ground-fault outlet or breaker on the inverter's side of every source."
        )
    return "Fit a 30 mA device, all poles, where every source passes it, with the neutral-earth join on its supply side."


@rule(
    "mains/residual-current",
    "D4",
    "Residual-current protection",
    why="""A person passes a fifth of an ampere and no breaker notices. A residual-current device notices 30 mA, if every
        source's current goes through it and the join of neutral and earth lies before it.""",
    severities=("danger",),
    clauses={
        "us-boat": Clause("ABYC E-11", "2025", "outlets and shore inlet", "memory"),
        "us": Clause("NFPA 70", "2023", "551.41, 210.8", "memory"),
        "eu": Clause("IEC 60364-7-721", "2017", "additional protection", "secondary"),
    },
    never_overridden=True,
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every outlet, and every AC load: what is not on file as an outlet may hang on one."""
    rules = study.rig.job.rules
    subjects: dict[str, set[str]] = {}
    for e in study.graph.elements.values():
        part = study.rig.parts.get(e.owner)
        lines = {x for x in (e.a, e.b) if study.graph.terminals[x].pole in LINES}
        if (part is not None and part.kind.name == "outlet") or (
            e.kind == "load" and e.owner in study.rig.use.loads and lines
        ):
            subjects.setdefault(e.owner, set()).update(lines)
    if rules == "us-boat":
        yield from _inlets(study, rules)
    if not subjects:
        yield "rig", skipped("No outlet and no load of alternating current.")
        return
    bare = list(around_devices(study))
    for subject, terminals in subjects.items():
        own = study.rig.parts.get(subject)
        if own is not None and word(own, "gfci") == "class-a":
            yield subject, passes("It is a class A ground-fault outlet.")
        else:
            unprotected = tuple(source for source, reached in bare if terminals & reached)
            yield subject, judge(rules, unprotected, _devices(study, terminals))


def _inlets(study: Study, rules: str) -> Iterator[tuple[str, Judgement]]:
    """On a boat the wiring behind each inlet as well: what the inlet reaches inboard around every residual-current device."""
    cords = {r.id for r in study.rig.runs.values() if r.plugs}
    for inlet in study.rig.of_kind("shore-inlet"):
        own = sorted(t.id for t in study.graph.terminals.values() if t.owner == inlet.id and t.pole in LINES)
        way = reach(study.graph, own, through=lambda e: e.kind in ("conductor", "switch") and e.owner not in cords and not _is_device(study, e))  # fmt: skip
        taking = {e.owner for e in study.graph.elements.values() if e.kind in ("load", "converter") and {e.a, e.b} & way.terminals}  # fmt: skip
        yield inlet.id, judge(rules, tuple(sorted(f"{inlet.id} to {x}" for x in taking)), _devices(study, set(own)), inlet=True)  # fmt: skip


def _is_device(study: Study, e: Element) -> bool:
    part = study.rig.parts.get(e.owner)
    return part is not None and (
        part.kind.name in DEVICES or (part.kind.name == "outlet" and e.role == "rcd")
    )


def around_devices(study: Study) -> Iterator[tuple[str, frozenset[str]]]:
    """Each source of alternating current, and the terminals it reaches around every residual-current device."""
    for e in study.graph.elements.values():
        out = e.a if e.kind == "source" else e.out_a if e.kind == "converter" else ""
        if out and study.graph.terminals[out].pole in LINES:
            reached = reach(
                study.graph,
                (out,),
                through=lambda x: x.kind in ("conductor", "switch") and not _is_device(study, x),
                when=e.when,
            )
            yield e.owner, reached.terminals


def _devices(study: Study, terminals: set[str]) -> tuple[Part, ...]:
    """Residual-current devices that conduct to an outlet."""
    met = {
        study.graph.elements[n].owner
        for n in reach(study.graph, sorted(terminals)).elements
        if _is_device(study, study.graph.elements[n])
    }
    return tuple(study.rig.parts[m] for m in sorted(met))
