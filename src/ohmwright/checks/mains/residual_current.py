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
    """Every outlet; AC loads in eu rules; on us boats every inlet as well."""
    rules = study.rig.job.rules
    subjects: dict[str, list[str]] = {}
    for e in study.graph.elements.values():
        part = study.rig.parts.get(e.owner)
        if part is not None and part.kind.name == "outlet":
            subjects.setdefault(part.id, []).extend(
                x for x in (e.a, e.b) if study.graph.terminals[x].pole in LINES
            )
        elif e.kind == "load" and country(rules) == "eu" and study.graph.terminals[e.a].pole in LINES:
            subjects.setdefault(e.owner, []).append(e.a)
    for subject, terminals in subjects.items():
        own = study.rig.parts.get(subject)
        if own is not None and word(own, "gfci") == "class-a":
            yield subject, passes("It is a class A ground-fault outlet.")
            continue
        yield subject, judge(rules, *_feeding(study, terminals))
    if not subjects:
        yield "rig", skipped("No outlet and no load of alternating current.")


def _feeding(study: Study, terminals: list[str]) -> tuple[tuple[str, ...], tuple[Part, ...]]:
    """Sources that reach these terminals around every device, and the devices on the way of the others."""

    def is_device(e: Element) -> bool:
        part = study.rig.parts.get(e.owner)
        return part is not None and (
            part.kind.name in DEVICES or (part.kind.name == "outlet" and e.role == "rcd")
        )

    open_way = reach(
        study.graph, terminals, through=lambda e: e.kind in ("conductor", "switch") and not is_device(e)
    ).terminals
    every_way = reach(study.graph, terminals)
    met = {study.graph.elements[n].owner for n in every_way.elements if is_device(study.graph.elements[n])}
    pushed = [(e.owner, e.a) for e in study.graph.elements.values() if e.kind == "source"]
    pushed += [(e.owner, e.out_a) for e in study.graph.elements.values() if e.kind == "converter"]
    bare = [owner for owner, t in pushed if study.graph.terminals[t].pole in LINES and t in open_way]
    return tuple(dict.fromkeys(bare)), tuple(study.rig.parts[m] for m in sorted(met))
