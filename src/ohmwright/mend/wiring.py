"""Answers by other wiring: an end moved behind the shunt, an own return, a lead taken out, a charger for a relay."""

from collections.abc import Iterator
from decimal import Decimal

from ohmwright.checks.circuits import banks
from ohmwright.checks.walk import reach
from ohmwright.mend.ask import Ask, end_at, free_id, free_stud, quoted, room_on
from ohmwright.mend.devices import swap
from ohmwright.mend.edits import Put, SetAt, Take
from ohmwright.mend.types import Change, Edit, Ladder, Step
from ohmwright.rig.cable import read_cable
from ohmwright.rig.model import Part, Run
from ohmwright.shelf.record import Record
from ohmwright.working import known

#: Charging current from the engine as a part of the bank's capacity that is aimed at; common practice, no source.
ENGINE_CHARGE_ratio = 0.15


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


def charger_for_relay(ask: Ask) -> list[Ladder]:
    """A relay that parallels two banks gives way to a DC-DC charger with a return of its own."""
    for relay in ask.rig.of_kind("voltage-sensing-relay"):
        runs = {side: _run_at(ask, f"{relay.id}.{side}") for side in ("line", "load")}
        line, load = runs["line"], runs["load"]
        if line is None or load is None or len(line[0].cores) != 1 or len(load[0].cores) != 1:
            continue
        house = next(
            (s for s in ("line", "load") if _reaches_lithium(ask, f"{relay.id}.{s}", relay.id)), None
        )
        if house is None:
            continue
        engine = "load" if house == "line" else "line"
        rungs = [_charger(ask, relay, record, runs[engine], runs[house]) for record in _chargers(ask)]  # type: ignore[arg-type]
        return [Ladder(tuple(s for s in rungs if s is not None))]
    return []


def _run_at(ask: Ask, terminal: str) -> tuple[Run, str] | None:
    return next(((r, end_at(r, terminal)) for r in ask.rig.runs.values() if end_at(r, terminal)), None)


def _reaches_lithium(ask: Ask, terminal: str, but: str) -> bool:
    reached = reach(
        ask.study.graph, (terminal,), through=lambda e: e.kind in ("conductor", "switch") and e.owner != but
    ).terminals
    members = [m for b in banks(ask.rig) for m in b.members if f"{m.id}.+" in reached]
    return any(m.word("chemistry") == "lfp" for m in members)


def _chargers(ask: Ask) -> list[Record]:
    """Those that keep the two sides apart where the shelf has any; the nearest to a part of the bank's capacity first."""
    house = [b for b in banks(ask.rig) if b.chemistry == "lfp"]
    capacity = sum(
        f.value for b in house for m in b.members if (f := known(m.figure("capacity"))) is not None
    )
    records = ask.shop.of_kind("dcdc-charger")
    apart = [r for r in records if r.words.get("isolated") == "yes"]
    return sorted(
        apart or records,
        key=lambda r: (
            abs((_figure(r, "output_current") or 0.0) - ENGINE_CHARGE_ratio * capacity),
            ask.shop.price(r) or Decimal(10**9),
        ),
    )


def _charger(
    ask: Ask, relay: Part, record: Record, engine: tuple[Run, str], house: tuple[Run, str]
) -> Step | None:
    """The charger stands where the relay stood; its input has its own pair from the engine's battery."""
    stud = load_side(ask)
    (in_run, in_end), (out_run, out_end) = engine, house
    far = in_run.cores[0].b if in_end == "from" else in_run.cores[0].a
    post = ask.study.graph.terminals[far].owner
    minus = f"{post}.-"
    if stud is None or minus not in ask.study.graph.terminals:
        return None
    unit = next(free_id(ask.rig, "U"))
    names = free_id(ask.rig, "W")
    common = record.words.get("isolated") != "yes"
    cable = ask.shop.within(out_run.cable, _figure(record, "max_cable")) or out_run.cable.text
    black = cable.replace(out_run.cable.colour, "black") if out_run.cable.colour else cable
    back, home = next(names), next(names)
    place = f", at: {relay.place}" if relay.place else ""
    runs_by = next((w for p in ask.rig.of_kind("alternator") if (w := p.word("run_by"))), "")
    place += f", run-by: {runs_by}" if runs_by else ""
    via = _same_way(ask, out_run)
    edits: list[Edit] = [
        Take("parts", relay.id),
        Put("parts", unit, f"{{is: {record.id}{place}}}"),
        SetAt(f"runs.{in_run.id}.{in_end}", f"{unit}.in.+"),
        SetAt(f"runs.{out_run.id}.{out_end}", f"{unit}.out.+"),
        SetAt(f"runs.{in_run.id}.cable", cable),
        SetAt(f"runs.{out_run.id}.cable", cable),
        Put(
            "runs",
            back,
            f"{{from: {minus}, to: {unit}.{'common' if common else 'in'}.-, cable: {quoted(black)}{_as_long(in_run)}}}",
            in_run.id,
        ),
        Put(
            "runs",
            home,
            f"{{from: {unit}.{'common' if common else 'out'}.-, to: {stud}, cable: {quoted(black)}{via}}}",
            out_run.id,
        ),
    ]
    metres = [f.value for r in (in_run, out_run) if (f := known(r.length)) is not None]
    price = ask.shop.price(record)
    if price is not None:
        laid_m = 2 * sum(metres) if cable != out_run.cable.text else sum(metres)
        price += ask.shop.lying(read_cable(cable), laid_m)
    return Step((
        Change(
            "part", relay.id, relay.record.id, f"{unit}: {record.id}", tuple(edits), price, 6, (unit, *_bar(ask, stud)),
            ((back, in_run.id), (home, out_run.id)),
            by_hand=f"disconnect {relay.id} at the starter battery first; {unit} needs its trigger, air around it and a place it bears",
        ),
    ))  # fmt: skip


def _as_long(run: Run) -> str:
    length = known(run.length)
    if length is not None and length.origin.kind != "computed":
        return f", length: {length.value:g} m"
    return f", via: {run.via[0]}" if run.via else ""


def _same_way(ask: Ask, run: Run) -> str:
    return _as_long(run) or f", length: unknown (asked {ask.today})"
