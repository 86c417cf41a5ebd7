"""Answers by other wiring: an end moved behind the shunt, an own return, a lead taken out."""

from collections.abc import Iterator
from decimal import Decimal

from ohmwright.checks.circuits import banks
from ohmwright.checks.walk import reach
from ohmwright.mend.ask import Ask, end_at, free_stud, room_on
from ohmwright.mend.devices import swap
from ohmwright.mend.edits import SetAt, Take
from ohmwright.mend.types import Change, Ladder, Step
from ohmwright.rig.model import Part, Run
from ohmwright.shelf.record import Record
from ohmwright.working import known


def behind_the_shunt(ask: Ask) -> list[Ladder]:
    """The run that leaves the bank before the shunt lands on the shunt's load side, or on the bar there."""
    found = next(
        ((t, ask.rig.runs[c.run]) for t, n in zip(ask.finding.path, ask.finding.path[1:], strict=False)
         if (c := ask.study.graph.conductors.get(n)) is not None and not ask.rig.runs[c.run].part_of),
        None,
    )  # fmt: skip
    shunts = ask.rig.of_kind("shunt")
    if found is None or not shunts:
        return []
    terminal, run = found
    end = end_at(run, terminal)
    if not end or len(run.cores) != 1:
        return []
    return [
        Ladder((step,)) for shunt in shunts for step in _landed(ask, run, end, terminal, f"{shunt.id}.loads")
    ]


def _landed(ask: Ask, run: Run, end: str, terminal: str, loads: str) -> Iterator[Step]:
    def move(to: str) -> Change:
        return Change(
            "moved end", f"{run.id}.{end}", terminal, to, (SetAt(f"runs.{run.id}.{end}", to),), touches=_bar(ask, to),
            by_hand=f"move the end of {run.id} from {terminal} to {to}, and see that it reaches",
        )  # fmt: skip

    if room_on(ask.study, loads):
        yield Step((move(loads),))
    for bar, stud in negative_studs(ask, loads):
        yield Step((move(stud),))
        part = ask.rig.parts[bar]
        for record in ask.shop.of_kind("busbar"):
            if (_figure(record, "rated") or 0.0) > (_rated(part) or 0.0) and _studs(record) >= _studs(
                part.record
            ):
                larger = swap(ask, part, record)
                if larger is not None:
                    yield Step((*larger.changes, move(stud)))


def _bar(ask: Ask, terminal: str) -> tuple[str, ...]:
    return (ask.study.graph.terminals[terminal].owner,)


def _figure(record: Record, name: str) -> float | None:
    given = known(record.figures[name]) if name in record.figures else None
    return given.value if given is not None else None


def _rated(part: Part) -> float | None:
    given = known(part.figure("rated"))
    return given.value if given is not None else None


def _studs(record: Record) -> int:
    return int(record.words.get("stud_count", "0"))


def negative_studs(ask: Ask, loads: str) -> list[tuple[str, str]]:
    """Free studs of the bars that the shunt's load side conducts to, the nearest bar first."""
    shunt = loads.rpartition(".")[0]
    reached = reach(
        ask.study.graph, (loads,),
        through=lambda e: e.kind == "conductor" and e.owner != shunt and e.role not in ("bond", "earth") and not _is_metal(ask, e.a, e.b),
    )  # fmt: skip
    out = []
    for part in ask.rig.of_kind("busbar"):
        studs = [t for t in reached.terminals if ask.study.graph.terminals[t].owner == part.id]
        stud = free_stud(ask.study, part.id) if studs else None
        if stud is not None:
            out.append((part.id, stud))
    return out


def _is_metal(ask: Ask, a: str, b: str) -> bool:
    return any(ask.study.graph.terminals[t].is_metal for t in (a, b))


def load_side(ask: Ask) -> str | None:
    """A free stud of the negative bar behind the shunt, else of any bar that the banks' minus reaches."""
    for shunt in ask.rig.of_kind("shunt"):
        for _, stud in negative_studs(ask, f"{shunt.id}.loads"):
            return stud
        if room_on(ask.study, f"{shunt.id}.loads"):
            return f"{shunt.id}.loads"
    for bank in banks(ask.rig):
        for _, stud in negative_studs(ask, f"{bank.members[0].id}.-"):
            return stud
    return None


def own_return(ask: Ask) -> list[Ladder]:
    """The run from a load's minus to metal ends on the negative bar instead: the frame is never credited."""
    stud = load_side(ask)
    out = []
    for run in ask.rig.runs.values():
        if stud is None or len(run.cores) != 1:
            continue
        core = run.cores[0]
        owner = {t: ask.study.graph.terminals[t].owner for t in (core.a, core.b)}
        for near, far, end in ((core.a, core.b, "to"), (core.b, core.a, "from")):
            if owner[near] == ask.finding.subject and ask.study.graph.terminals[far].is_metal:
                asked = f"unknown (asked {ask.today})"
                edits = (SetAt(f"runs.{run.id}.{end}", stud), SetAt(f"runs.{run.id}.length", asked))
                change = Change(
                    "moved end", f"{run.id}.{end}", far, stud, edits, None, 1, _bar(ask, stud),
                    by_hand=f"lay {run.id} from {near} to {stud}, measure it and write its length",
                )  # fmt: skip
                out.append(Ladder((Step((change,)),)))
    return out


def lead_out(ask: Ask) -> list[Ladder]:
    """A lead with a plug at both ends that fits sockets at both: it goes."""
    run = ask.rig.runs.get(ask.finding.subject.partition(".")[0])
    if run is None or not run.plugs:
        return []
    change = Change(
        "taken out", run.id, f"{run.cable.text} from {run.start} to {run.stop}", "", (Take("runs", run.id),), Decimal(0),
        by_hand=f"both sources dead first, then {run.id} out, then cut in two: an inlet of the right pins and a transfer that opens line"
        " and neutral take its place, by licensed hands; this file does not draw them",
    )  # fmt: skip
    return [Ladder((Step((change,)),))]
