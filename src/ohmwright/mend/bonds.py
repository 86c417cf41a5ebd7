"""Answers about the earth of alternating current: a bond from a case to metal, and a join that stands too often or too far out."""

from collections.abc import Iterator
from decimal import Decimal

from ohmwright.circuit.wiring import wiring_of
from ohmwright.mend.ask import Ask, free_id, landed, quoted, room_on
from ohmwright.mend.edits import Put, SetAt, Take
from ohmwright.mend.types import Change, Ladder, Step
from ohmwright.rig.cable import read_cable
from ohmwright.rig.graph import Element
from ohmwright.rig.model import Cable, Part

#: Parts that make alternating current of their own: metal is bonded to the case of one of them.
MAKERS = ("inverter", "inverter-charger", "generator", "isolation-transformer")
SIZE = "wiring/bonding-size"
EARTH_COLOUR = {"mm2": "green-yellow", "awg": "green"}
#: Parts whose neutral-earth link is a piece of metal that a hand takes out, by the word that says so.
LINKS = ("panel-ac", "generator", "isolation-transformer")
DEAD = "dead and locked off, by licensed hands:"


def to_metal(ask: Ask) -> list[Ladder]:
    """Metal that no neutral-earth join reaches is bonded to the case of what makes the alternating current there.

    The size is the smallest of the shelf that the rule for bonding conductors lets pass.
    """
    body = ask.finding.subject
    if body not in ask.rig.metal:
        return []
    out = []
    for part in ask.rig.of_kind(*MAKERS):
        case = f"{part.id}.case.PE"
        if part.word("own") == "no" or case not in ask.study.graph.terminals or not room_on(ask.study, case):
            continue
        step = _least(ask, [_bond(ask, part, body, cable) for cable in _earth_cables(ask, part)])
        if step is not None:
            out.append(Ladder((step,)))
    return out


def _earth_cables(ask: Ask, part: Part) -> list[Cable]:
    """Single cores of the shelf in the colour of earth and the system of sizes that feeds the part, the smallest first."""
    near = [
        c.cable
        for c in ask.study.graph.conductors.values()
        for t in (c.a, c.b)
        if ask.study.graph.terminals[t].owner == part.id and c.cable.system
    ]
    system = "mm2" if not near or near[0].system == "mm2" else "awg"
    blank = read_cable(f"{'0.5 mm2' if system == 'mm2' else '18 AWG'} {EARTH_COLOUR[system]}")
    offers = [o for ladder in ask.shop.cables(blank) for o in ladder]
    made = {o.area_mm2: o.text for o in sorted(offers, key=lambda o: _dear(o.price_per_m), reverse=True)}
    return [read_cable(made[a]) for a in sorted(made)]


def _dear(price: Decimal | None) -> Decimal:
    return Decimal("Infinity") if price is None else price


def _bond(ask: Ask, part: Part, body: str, cable: Cable) -> Step:
    run = next(free_id(ask.rig, "W"))
    asked = f"unknown (asked {ask.today})"
    line = f"{{from: {part.id}.case, to: {body}, cable: {quoted(cable.text)}, length: {asked}, role: earth}}"
    where = f"bare metal of {body}" if body in ask.rig.metal else f"stud {body}"
    change = Change(
        "new run", run, "", f"{cable.text} from {part.id}.case to {body}", (Put("runs", run, line),), None, 1, (part.id,),
        by_hand=f"lay {run} the shortest way from the case of {part.id} to {where}, measure it and write its length;"
        " that it conducts is proved with the rest of the mains side",
        licensed=True,
    )  # fmt: skip
    return Step((change,))


def of_case(ask: Ask) -> list[Ladder]:
    """A case without a bond of its own gets one, to a free stud of an earth bar, else to metal that carries no module."""
    part = ask.rig.parts.get(ask.finding.subject)
    if part is None or not room_on(ask.study, f"{part.id}.case.PE"):
        return []
    frames = {p.words.get("on", "") for p in ask.rig.of_kind("module")}
    bars = [t.id for bar in ask.rig.of_kind("earth-bar") for t in ask.study.graph.terminals.values() if t.owner == bar.id and not landed(ask.study, t.id)]  # fmt: skip
    ends = [*bars[:1], *(m for m in ask.rig.metal if m not in frames)]
    cables = _earth_cables(ask, part)
    found = (_least(ask, [_bond(ask, part, end, cable) for cable in cables]) for end in ends)
    return [Ladder((step,)) for step in found if step is not None]


def _least(ask: Ask, steps: list[Step]) -> Step | None:
    """The first of these bonds, small to large, that the rule for bonding conductors lets pass; None where it cannot tell."""
    low, high = 0, len(steps)
    while low < high:
        middle = (low + high) // 2
        if _carries(ask, steps[middle]):
            high = middle
        else:
            low = middle + 1
    return steps[low] if low < len(steps) else None


def _carries(ask: Ask, step: Step) -> bool:
    text = ask.trials.edited(ask.draft.text, step.changes)
    study = ask.trials.read(text) if text is not None else None
    run = step.changes[0].address
    if study is None:
        return False
    told = [f.verdict for f in ask.trials.judged(study, (SIZE,)) if f.subject.partition(".")[0] == run]
    return told == ["pass"]


def join_behind(ask: Ask) -> Iterator[Ladder]:
    """A join on the load side of a residual-current device goes, where another one stands; else its neutral moves ahead of the device."""
    device = ask.rig.parts.get(ask.finding.subject)
    if device is None or device.kind.name not in ("rcd", "rcbo"):
        return
    ahead = next(
        (t.id for t in ask.study.graph.terminals.values() if t.port == f"{device.id}.line" and t.pole == "N"), None
    )  # fmt: skip
    for join in _joins(ask):
        yield Ladder(_out(ask, join))
        run = ask.rig.runs.get(join.owner)
        if run is None or ahead is None or len(run.cores) != 1 or not room_on(ask.study, ahead):
            continue
        core = run.cores[0]
        end, was = ("from", core.a) if ask.study.graph.terminals[core.a].pole == "N" else ("to", core.b)
        change = Change(
            "moved end", f"{run.id}.{end}", was, ahead, (SetAt(f"runs.{run.id}.{end}", ahead),), touches=(device.id,),
            by_hand=f"{DEAD} move the neutral end of {run.id} from {was} to {ahead}, ahead of {device.id}; then the trip of {device.id} by a tester",
            licensed=True,
        )  # fmt: skip
        yield Ladder((Step((change,)),))


def join_too_many(ask: Ask) -> Iterator[Ladder]:
    """Where an island has more than one join, one that is a link or a run goes: never a relay, and never the supply's own."""
    if ask.finding.value is not None and ask.finding.value > 1:
        yield from (Ladder(_out(ask, join)) for join in _joins(ask))


def _joins(ask: Ask) -> list[Element]:
    """The joins of neutral and earth that the finding's path names, or at whose neutral it ends."""
    path = ask.finding.path
    joins = [w.element for w in wiring_of(ask.rig, ask.study.graph).poles.joins]
    return [e for e in joins if e.id in path or (path and path[-1] in (e.a, e.b))]


def _out(ask: Ask, join: Element) -> tuple[Step, ...]:
    """The join taken out: the run that it is, or the link inside a part."""
    told = f"{DEAD} take it out, then prove one join in every source state"
    run = ask.rig.runs.get(join.owner)
    if run is not None and len(run.cores) == 1:
        was = f"{run.cable.text} from {run.start} to {run.stop}"
        return (
            Step(
                (Change("taken out", run.id, was, "", (Take("runs", run.id),), by_hand=told, licensed=True),)
            ),
        )
    part = ask.rig.parts.get(join.owner)
    if (
        part is None
        or part.kind.name not in LINKS
        or part.word("bond") != "fitted"
        or part.word("own") == "no"
    ):
        return ()
    was = "its link between neutral and earth"
    # the word stands in the part's own line, or under what was fitted to it
    return tuple(
        Step((Change("taken out", part.id, was, "", (SetAt(f"parts.{part.id}.{where}", "none"),), by_hand=told, licensed=True),))
        for where in ("bond", "fitted.bond")
    )  # fmt: skip
