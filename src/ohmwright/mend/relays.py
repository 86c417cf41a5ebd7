"""The answer to two banks that a relay puts in parallel: a charger between them, with a return of its own."""

from decimal import Decimal

from ohmwright.checks.circuits import banks
from ohmwright.checks.walk import reach
from ohmwright.mend.ask import Ask, end_at, free_id, quoted
from ohmwright.mend.edits import Put, SetAt, Take
from ohmwright.mend.types import Change, Edit, Ladder, Step
from ohmwright.mend.wiring import load_side
from ohmwright.rig.cable import read_cable
from ohmwright.rig.model import Part, Run
from ohmwright.shelf.record import Record
from ohmwright.working import known

#: Charging current from the engine as a part of the bank's capacity that is aimed at; common practice, no source.
ENGINE_CHARGE_ratio = 0.15
#: Cable from a charger to the bank that it is mounted beside.
BESIDE_m = 0.5
LONG = ", length: "

End = tuple[Run, str]


def charger_for_relay(ask: Ask) -> list[Ladder]:
    """A relay that parallels two banks gives way to a DC-DC charger: beside the bank it charges, else where the relay stood."""
    for relay in ask.rig.of_kind("voltage-sensing-relay"):
        sides = {side: run_at(ask, f"{relay.id}.{side}") for side in ("line", "load")}
        line, load = sides["line"], sides["load"]
        if line is None or load is None or len(line[0].cores) != 1 or len(load[0].cores) != 1:
            continue
        if _reaches_lithium(ask, f"{relay.id}.line", relay.id):
            engine, house = load, line
        elif _reaches_lithium(ask, f"{relay.id}.load", relay.id):
            engine, house = line, load
        else:
            continue
        stud = load_side(ask)
        if stud is None or f"{_post(ask, engine, relay.id)}.-" not in ask.study.graph.terminals:
            continue
        steps = [
            step
            for record in _chargers(ask)
            for way in (_beside_the_bank, _in_its_place)
            if (step := way(ask, relay, record, engine, house, stud)) is not None
        ]
        return [Ladder(tuple(steps))]
    return []


def run_at(ask: Ask, terminal: str) -> End | None:
    """The run that lands on a terminal, and by which end."""
    return next(((r, end_at(r, terminal)) for r in ask.rig.runs.values() if end_at(r, terminal)), None)


def _far(end: End) -> str:
    run, near = end
    return run.cores[0].b if near == "from" else run.cores[0].a


def _post(ask: Ask, engine: End, relay: str) -> str:
    """The battery at the engine's end, whatever devices lie between."""
    found = _members(ask, _far(engine), relay)
    return found[0].id if found else ask.study.graph.terminals[_far(engine)].owner


def _members(ask: Ask, terminal: str, but: str) -> list[Part]:
    """The batteries whose plus a terminal conducts to without passing a part."""
    reached = reach(
        ask.study.graph, (terminal,), through=lambda e: e.kind in ("conductor", "switch") and e.owner != but
    ).terminals
    return [m for b in banks(ask.rig) for m in b.members if f"{m.id}.+" in reached]


def _reaches_lithium(ask: Ask, terminal: str, but: str) -> bool:
    return any(m.word("chemistry") == "lfp" for m in _members(ask, terminal, but))


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


def _figure(record: Record, name: str) -> float | None:
    given = known(record.figures[name]) if name in record.figures else None
    return given.value if given is not None else None


def _beside_the_bank(
    ask: Ask, relay: Part, record: Record, engine: End, house: End, stud: str
) -> Step | None:
    """The charger stands where the house side's run begins; that run brings the engine's current to it, the relay's short one goes."""
    (in_run, _), (out_run, near) = engine, house
    place = ask.study.graph.terminals[_far(house)].place
    post = _post(ask, engine, relay.id)
    if not place or place in (relay.place, ask.rig.parts[post].place):
        return None
    new = _Charger(ask, relay, record, place)
    far = "to" if near == "from" else "from"
    way = _longer(out_run, in_run)
    out, home, back = next(new.names), next(new.names), next(new.names)
    beside = f"{LONG}{BESIDE_m:g} m"
    edits: list[Edit] = [
        Take("parts", relay.id),
        Put("parts", new.unit, new.entry),
        Take("runs", in_run.id),
        SetAt(f"runs.{out_run.id}.{near}", _far(engine)),
        SetAt(f"runs.{out_run.id}.{far}", f"{new.unit}.in.+"),
        SetAt(f"runs.{out_run.id}.cable", new.red),
        Put("runs", out, f"{{from: {new.unit}.out.+, to: {_far(house)}, cable: {quoted(new.red)}{beside}}}", out_run.id),
        Put("runs", home, f"{{from: {new.home}, to: {stud}, cable: {quoted(new.black)}{beside}}}", out),
        Put("runs", back, f"{{from: {post}.-, to: {new.back}, cable: {quoted(new.black)}{way or _asked(ask)}}}", out_run.id),
    ]  # fmt: skip
    if way.startswith(LONG):
        edits.append(SetAt(f"runs.{out_run.id}.length", way.removeprefix(LONG)))
    metres = [f.value for r in (in_run, out_run) if (f := known(r.length)) is not None]
    return new.step(
        edits, 2 * BESIDE_m + sum(metres), stud, ((out, out_run.id), (home, out_run.id), (back, out_run.id)),
        f"then {in_run.id} out; {new.unit} is mounted beside {ask.study.graph.terminals[_far(house)].owner},"
        f" {out_run.id} leads from {new.unit}.in.+ to {_far(engine)}; new are {out} from {new.unit}.out.+ to {_far(house)},"
        f" {home} from {new.home} to {stud}, {back} from {post}.- to {new.back}; it needs its trigger, and air around it",
    )  # fmt: skip


def _in_its_place(ask: Ask, relay: Part, record: Record, engine: End, house: End, stud: str) -> Step:
    """The charger stands where the relay stood, between the same two runs."""
    (in_run, in_end), (out_run, out_end) = engine, house
    new = _Charger(ask, relay, record, relay.place)
    back, home = next(new.names), next(new.names)
    edits: list[Edit] = [
        Take("parts", relay.id),
        Put("parts", new.unit, new.entry),
        SetAt(f"runs.{in_run.id}.{in_end}", f"{new.unit}.in.+"),
        SetAt(f"runs.{out_run.id}.{out_end}", f"{new.unit}.out.+"),
        SetAt(f"runs.{in_run.id}.cable", new.red),
        SetAt(f"runs.{out_run.id}.cable", new.red),
        Put("runs", back, f"{{from: {_post(ask, engine, relay.id)}.-, to: {new.back}, cable: {quoted(new.black)}{_as_long(in_run)}}}", in_run.id),
        Put("runs", home, f"{{from: {new.home}, to: {stud}, cable: {quoted(new.black)}{_as_long(out_run) or _asked(ask)}}}", out_run.id),
    ]  # fmt: skip
    metres = [f.value for r in (in_run, out_run) if (f := known(r.length)) is not None]
    laid_m = 2 * sum(metres) if new.red != out_run.cable.text else sum(metres)
    return new.step(
        edits, laid_m, stud, ((back, in_run.id), (home, out_run.id)),
        f"new are {back} from {_post(ask, engine, relay.id)}.- to {new.back} and {home} from {new.home} to {stud};"
        f" {new.unit} needs its trigger, air around it and a place it bears",
    )  # fmt: skip


class _Charger:
    """A charger that is about to stand in a rig: its id, its line, its cables."""

    def __init__(self, ask: Ask, relay: Part, record: Record, place: str) -> None:
        self.ask, self.relay, self.record = ask, relay, record
        self.unit = next(free_id(ask.rig, "U"))
        self.names = free_id(ask.rig, "W")
        shared = record.words.get("isolated") != "yes"
        self.back = f"{self.unit}.{'common' if shared else 'in'}.-"
        self.home = f"{self.unit}.{'common' if shared else 'out'}.-"
        runs_by = next((w for p in ask.rig.of_kind("alternator") if (w := p.word("run_by"))), "")
        words = [f"is: {record.id}", *([f"at: {place}"] if place else [])]
        self.entry = "{" + ", ".join([*words, *([f"run-by: {runs_by}"] if runs_by else [])]) + "}"
        cable = next(
            r.cable for s in ("load", "line") if (found := run_at(ask, f"{relay.id}.{s}")) for r in found[:1]
        )
        self.red = ask.shop.within(cable, _figure(record, "max_cable")) or cable.text
        self.black = self.red.replace(cable.colour, "black") if cable.colour else self.red

    def step(
        self, edits: list[Edit], laid_m: float, stud: str, heirs: tuple[tuple[str, str], ...], told: str
    ) -> Step:
        """One change: charger and cable together."""
        price = self.ask.shop.price(self.record)
        if price is not None:
            price += self.ask.shop.lying(read_cable(self.red), laid_m)
        touches = (self.unit, self.ask.study.graph.terminals[stud].owner)
        return Step((
            Change(
                "part", self.relay.id, self.relay.record.id, f"{self.unit}: {self.record.id}", tuple(edits), price, 6, touches, heirs,
                by_hand=f"disconnect {self.relay.id} at the starter battery first; {told}",
            ),
        ))  # fmt: skip


def _as_long(run: Run) -> str:
    length = known(run.length)
    if length is not None and length.origin.kind != "computed":
        return f"{LONG}{length.value:g} m"
    return f", via: {run.via[0]}" if run.via else ""


def _longer(run: Run, other: Run) -> str:
    """As long as two runs together; as the file has the first where its length is that of its way."""
    a, b = known(run.length), known(other.length)
    if a is None or a.origin.kind == "computed" or b is None:
        return _as_long(run)
    return f"{LONG}{a.value + b.value:g} m"


def _asked(ask: Ask) -> str:
    return f"{LONG}unknown (asked {ask.today})"
