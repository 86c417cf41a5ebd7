"""C26: what stands in a circuit carries its current, and what stands before it opens in time."""

from collections.abc import Iterable, Iterator

from ohmwright.checks.circuits import pv_circuits
from ohmwright.checks.gather import once
from ohmwright.checks.islands import own_elements
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, most, skipped, warns
from ohmwright.checks.registry import rule
from ohmwright.checks.shape import of_shape
from ohmwright.checks.walk import usual
from ohmwright.checks.wires import added, from_one_side, is_alternating, rating, tap_device
from ohmwright.circuit.guards import Guard
from ohmwright.circuit.loads import told_W
from ohmwright.physics.strings import circuit_A
from ohmwright.physics.sums import sum_A
from ohmwright.rig.graph import Conductor, Element, Terminal
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, known, tell, work

#: Kinds that open by themselves on too much current, and kinds that only bear it.
OPENS = ("fuse", "breaker", "rcbo", "panel-ac", "panel-dc")
BEARS = ("battery-switch", "busbar", "changeover", "contactor", "rcd", "reverser", "selector", "switch", "thermostat", "transfer-switch", "voltage-sensing-relay")  # fmt: skip
PANELS = ("panel-ac", "panel-dc")
#: Roles of the outputs that charge a bank.
CHARGES = ("tracker", "charger", "dcdc")
#: Less is what rounding leaves.
NO_A = 1e-6
FOR_LOAD = "Spread the load over more ways, or fit a larger device where the conductor allows it."
FOR_PART = "Fit a part of a higher rating, or a smaller device in front of it."
FOR_POWER = "Write the power of each, while it runs."


def judge(
    rated: Figure, carries: Figure | None, before: Figure | None, *, opens: bool, together: bool = False, floor: tuple[str, ...] = (), more: Figure | None = None
) -> Judgement:  # fmt: skip
    """What opens by itself against the current that lasts; what only bears it against the device before it, or that current.

    `together`: the current is that of several loads of a house, which seldom all run at once.  `floor`: loads behind it
    whose power is not written; `more`: the most that their own devices let through to them, beside what `carries` has of them.
    """
    if before is not None and not opens:
        told = f"It bears {tell(rated.value, 'A')}; the device before it lets {tell(before.value, 'A')} pass"
        return most(before, rated, "A", good=f"{told}.", bad=f"{told}: an overload burns it before that device opens.", remedy=FOR_PART, severity="danger")  # fmt: skip
    if carries is None:
        return cannot_tell("No case that lasts tells what runs through it.", ("cases",), limit=rated.value, unit="A", sense="max", severity="fails" if opens else "danger")  # fmt: skip
    if carries.value < NO_A and not floor:
        return skipped("In no case does a current run through it for hours.")
    told = f"Up to {tell(carries.value, 'A')} for hours through {tell(rated.value, 'A')}"
    if at_most(carries.value, rated.value):
        if not floor:
            return most(carries, rated, "A", good=f"{told}.", bad="")
        whole = None if more is None else work(sum_A, first_A=carries, second_A=more)
        if whole is not None and at_most(whole.value, rated.value):
            told = f"At the most {tell(whole.value, 'A')} for hours through {tell(rated.value, 'A')}: the power of {', '.join(floor)} is not written, but the devices before let no more pass"
            return most(whole, rated, "A", good=f"{told}.", bad="")
        return cannot_tell(
            f"The power of {', '.join(floor)} is not written: {tell(rated.value, 'A')} may be too little.",
            (f"{n}.power" for n in floor), limit=rated.value, unit="A", sense="max", remedy=FOR_POWER, severity="note" if together else "fails" if opens else "danger",
        )  # fmt: skip
    if not opens:
        return most(carries, rated, "A", good="", bad=f"{told}: it overheats.", remedy=FOR_PART, severity="danger")  # fmt: skip
    if together:
        return warns(f"{told} when everything behind it runs at once: it opens then.", FOR_LOAD, roots=(carries, rated))  # fmt: skip
    return most(carries, rated, "A", good="", bad=f"{told}: it opens, and what hangs on it is dark.", remedy=FOR_LOAD, severity="fails")  # fmt: skip


def judge_pushed(rated: Figure, pushed: Figure) -> Judgement:
    """What chargers push at their full output through what stands between them and the bank."""
    told = f"Full output of {pushed.address} is {tell(pushed.value, 'A')}, through {tell(rated.value, 'A')}"
    return most(pushed, rated, "A", good=f"{told}.", bad=f"{told}: it opens when sun or engine are at their best, and the bank is not charged.", remedy="A larger device where the conductor allows it, or one for each charger.", severity="fails")  # fmt: skip


@rule(
    "wiring/part-rating",
    "C26",
    "What stands in a circuit carries its current",
    why="""A fuse that is smaller than its load opens on the first long evening. A switch, a bar or a contactor cannot open:
        it gets hot, and nobody smells it until the cover has melted.""",
    severities=("danger", "fails", "note"),
    clauses={
        "us": Clause("NFPA 70", "2023", "110.3(B), 210.20, 408.36", "memory"),
        "": Clause("IEC 60364-4-43", "2008", "433.1", "memory"),
    },
    needs=("guards", "cases"),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every device, switch, bar and contactor; of a panel each way, and its main or its feed."""
    spoke = False
    for part in study.rig.parts.values():
        if part.kind.name not in (*OPENS, *BEARS):
            continue
        for subject, ports in _places(study, part):
            sides = [runs for p in ports if (runs := _landing(study, part, p))]
            if sides:
                spoke = True
                yield subject, _one(study, part, subject, sides)
    for subject, judged in (*_joins(study), *_transformers(study)):
        spoke = True
        yield subject, judged
    if not spoke:
        yield "rig", skipped("No device, switch or bar has a run that carries power.")


def _joins(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Boxes in which strings meet, against the short-circuit current of all on a bright day."""
    for circuit in pv_circuits(study):
        owners = {study.graph.elements[n].owner for n in circuit.elements}
        short = circuit.weakest("short_circuit", largest=True).figure
        for part in study.rig.of_kind("string-join"):
            rated = part.figure("rated")
            if part.id not in owners or short is None:
                continue
            if not isinstance(rated, Figure):
                yield part.id, cannot_tell("What it carries for ever is not known.", (f"{part.id}.rated",), unit="A", sense="max", severity="danger")  # fmt: skip
            else:
                amps = work(
                    circuit_A,
                    margin_factor=find("pv/us-maximum-current").figure,
                    in_parallel_count=float(circuit.parallel),
                    short_circuit_A=short,
                )
                yield part.id, judge(rated if rated.address else rated.at(f"{part.id}.rated"), figure(amps.value, "A", COMPUTED, address=f"strings of {circuit.name}"), None, opens=False)  # fmt: skip


def _transformers(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Isolation transformers, against the largest current of their primary that lasts."""
    for part in study.rig.of_kind("isolation-transformer"):
        power, volts = part.figure("apparent_power"), part.figure("ac_voltage")
        carried = _carried(study, _landing(study, part, f"{part.id}.primary"))
        if not isinstance(power, Figure) or not isinstance(volts, Figure):
            yield part.id, cannot_tell("What it carries for ever is not known.", (f"{part.id}.apparent_power",), unit="A", sense="max", severity="danger")  # fmt: skip
        elif carried is not None:
            amps = power.value / volts.value
            yield part.id, judge(Figure(amps, "A", amps, amps, power.origin, address=f"{part.id}.apparent_power"), carried, None, opens=False)  # fmt: skip


def _places(study: Study, part: Part) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What is judged of a part, and the ports at which its current goes in and out."""
    if part.kind.name not in PANELS:
        ports = dict.fromkeys(t.port for t in _terminals(study).get(part.id, ()))
        yield part.id, tuple(p for p in ports if not p.endswith(".coil"))
        return
    yield part.id, (f"{part.id}.feed",)
    for number in part.ways:
        yield f"{part.id}.{number}", (f"{part.id}.{number}",)


@once
def _terminals(study: Study) -> dict[str, list[Terminal]]:
    """The terminals of each part."""
    found: dict[str, list[Terminal]] = {}
    for t in study.graph.terminals.values():
        found.setdefault(t.owner, []).append(t)
    return found


def _landing(study: Study, part: Part, port: str, role: str = "") -> tuple[Conductor, ...]:
    """The conductors that land on a port and carry power; those of one role on any port."""
    at, conductors = study.graph.at, study.graph.conductors
    names = {
        n: None
        for t in _terminals(study).get(part.id, ())
        if (t.port == port or role) and t.pole != "PE"
        for n in at.get(t.id, ())
        if (n in conductors and conductors[n].role == role if role else n in study.guards)
    }
    return tuple(study.graph.conductors[n] for n in names)


def _one(study: Study, part: Part, subject: str, sides: list[tuple[Conductor, ...]]) -> Judgement:
    way = subject != part.id
    opens = part.kind.name in OPENS and (way or _has_main(study, part))
    given = part.ways.get(subject.rpartition(".")[2]) if way else part.figure("rated")
    if not isinstance(given, Figure):
        return cannot_tell(
            "What it carries for ever is not known.", (f"{subject}.rated",), unit="A", sense="max", severity="fails" if opens else "danger",
        )  # fmt: skip
    rated = given if given.address else given.at(f"{subject}.rated")
    every = [c for runs in sides for c in runs]
    house = not way and any(is_alternating(study, c) for c in every)
    bar = part.kind.name == "busbar"
    # What goes through a device goes in and out; on the post of a battery several runs may meet; no run goes through all of a bar.
    clear = bar or part.kind.name in PANELS or len(sides) > 1
    carried = [f for runs in sides if clear and (f := _carried(study, runs)) is not None]
    pick = max if bar else min
    carries = pick(carried, key=lambda f: f.value, default=None)
    if carries is None and _landing(study, part, "", role="sense"):
        return skipped("A sense lead hangs on it: rule C23 judges that.")
    before = None if opens else _before(study, every)
    if before is not None:
        return judge(rated, carries, before, opens=opens)
    carries = carries or _inside(study, part)
    pushed = _pushed(study, part, subject) if opens else None
    if pushed is not None and not at_most(pushed.value, rated.value):
        return judge_pushed(rated, pushed)
    floor, more = _untold(study, part, subject, carries)
    return judge(rated, carries, None, opens=opens, together=house, floor=floor, more=more)


def _inside(study: Study, part: Part) -> Figure | None:
    """What runs through the part itself for hours: of a fuse on the post of a battery no run tells it."""
    own = [e.id for e in own_elements(study, part.id)]
    lasting = [s for n, c in study.cases.items() if c.seconds is None and not (s := study.solution(n)).overloaded]  # fmt: skip
    found = [(abs(s.elements_A[e]), s.case.name) for s in lasting for e in own if e in s.elements_A]
    amps, case = max(found, default=(0.0, ""))
    return figure(amps, "A", COMPUTED, address=f"case {case}") if found else None


@once
def _untold_loads(study: Study) -> dict[str, tuple[str, ...]]:
    """Loads whose power is not written, each with its live terminals."""
    loads = study.rig.use.loads
    return {
        n: tuple(t.id for t in _terminals(study).get(n, ()) if t.pole not in ("-", "N", "PE"))
        for n, load in loads.items()
        if told_W(load) is None
    }


@once
def _sources(study: Study) -> frozenset[str]:
    """Live terminals from which loads are fed: posts of batteries, supplies, what inverters and the like give."""
    graph = study.graph
    return frozenset(
        [e.a for e in graph.elements.values() if e.kind == "source"]
        + [e.out_a for e in graph.elements.values() if e.kind == "converter" and e.out_a]
    ) | frozenset(f"{p.id}.+" for p in study.rig.of_kind("battery"))


def _untold(study: Study, part: Part, subject: str, carries: Figure | None) -> tuple[tuple[str, ...], Figure | None]:  # fmt: skip
    """Loads of unknown power on the side of a device that no source feeds, and the most that their own devices let pass beside what is counted."""
    loads = _untold_loads(study)
    if not loads:
        return (), None
    behind = of_shape(study, ("untold", subject, tuple(loads)), lambda: _behind(study, part, subject))
    lets = [_lets_to(study, n, subject) for n in behind]
    known_ones = [f for f in lets if f is not None]
    if carries is None or not lets or len(known_ones) < len(lets):
        return behind, None
    counted = 0.0 if any(is_alternating(study, c) for n in behind for c in _branches(study, n)) else _counted(study, behind, carries)  # fmt: skip
    whole = added(known_ones)
    return behind, figure(whole.value - counted, "A", COMPUTED, address=whole.address)


def _behind(study: Study, part: Part, subject: str) -> tuple[str, ...]:
    """Loads whose power is not written on the side of a device that no source feeds."""
    roads, behind = usual(study.graph), dict[str, None]()
    for e in own_elements(study, part.id):
        for end in (e.a, e.b) if _is_of(e, part, subject) else ():
            side = roads.reach_without(end, e).terminals
            if _sources(study).isdisjoint(side):
                behind |= {n: None for n, live in _untold_loads(study).items() if not side.isdisjoint(live)}
    return tuple(behind)


def _pushed(study: Study, part: Part, subject: str) -> Figure | None:
    """The output of all chargers on the side of a device that has no battery; of a PV controller no more than its modules give."""
    chargers = of_shape(study, ("pushers", subject), lambda: _pushers(study, part, subject))
    found = {n: a for n in chargers if (a := _gives_A(study, n)) is not None}
    if not found:
        return None
    return figure(sum(found.values()), "A", COMPUTED, address=", ".join(found))  # fmt: skip


def _pushers(study: Study, part: Part, subject: str) -> tuple[str, ...]:
    """Chargers whose output conducts to one side of a device while every battery lies on the other."""
    graph, posts = study.graph, {f"{p.id}.+" for p in study.rig.of_kind("battery")}
    roads, found = usual(graph), dict[str, None]()
    for e in own_elements(study, part.id):
        if not _is_of(e, part, subject):
            continue
        near, far = (roads.reach_without(t, e).terminals for t in (e.a, e.b))
        for side, other in ((near, far), (far, near)):
            if side.isdisjoint(posts) and not other.isdisjoint(posts):
                found |= {x.owner: None for x in _outputs(study) if x.out_a in side}
    return tuple(found)


@once
def _outputs(study: Study) -> tuple[Element, ...]:
    """Converters whose output charges a bank."""
    return tuple(e for e in study.graph.elements.values() if e.kind == "converter" and e.role in CHARGES)


def _gives_A(study: Study, charger: str) -> float | None:
    """Full output of a charger, where its page tells it."""
    part = study.rig.parts[charger]
    given = next((f for n in ("output_current", "charge_current") if n in part.kind.figures and (f := known(part.figure(n)))), None)  # fmt: skip
    if given is None:
        return None
    watts = [
        f.value
        for c in pv_circuits(study)
        if c.controller is part
        for s in c.strings
        for m in s.members
        if (f := known(m.figure("power")))
    ]
    volts = [f.value for p in study.rig.of_kind("battery") if (f := known(p.figure("nominal_voltage")))]
    return min(given.value, sum(watts) / min(volts)) if watts and volts else given.value


def _counted(study: Study, behind: Iterable[str], carries: Figure) -> float:
    """What the case that a current was taken from has of some loads, on direct current."""
    case = carries.address.removeprefix("case ")
    runs = study.solution(case).conductors if case in study.cases else {}
    return sum(
        max((abs(runs[c.id].current_A) for c in _branches(study, n) if c.id in runs), default=0.0)
        for n in behind
    )


def _branches(study: Study, load: str) -> list[Conductor]:
    """The conductors of a load's own cable."""
    return _untold_branches(study).get(load, [])


@once
def _untold_branches(study: Study) -> dict[str, list[Conductor]]:
    """The conductors of the own cables of all loads whose power is not written."""
    found: dict[str, list[Conductor]] = {}
    for name, guarded in study.guards.items():
        for load in guarded.averaged:
            found.setdefault(load, []).append(study.graph.conductors[name])
    return found


def _is_of(e: Element, part: Part, subject: str) -> bool:
    """Whether an element carries the current of what is judged: a whole part, a panel's main, or one way."""
    if "N" in (e.a.rpartition(".")[2], e.b.rpartition(".")[2]):
        return False
    if part.kind.name not in PANELS:
        return True
    if subject == part.id:
        return e.role == "main"
    return any(t.startswith(f"{subject}.") for t in (e.a, e.b))


def _lets_to(study: Study, load: str, subject: str) -> Figure | None:
    """What the devices nearest to a load let pass, the largest of them; None where that is what is judged, or nothing."""
    guards = [g for c in _branches(study, load) for g in study.guards[c.id].guards]
    lets = [rating(study, g) for g in guards if g.device]
    if not lets or any(g.device in (None, subject) for g in guards) or any(f is None for f in lets):
        return None
    return max((f for f in lets if f is not None), key=lambda f: f.value)


def _has_main(study: Study, part: Part) -> bool:
    """A panel without a main only bears what its feed brings."""
    if part.kind.name not in PANELS:
        return True
    return any(e.owner == part.id and e.role == "main" for e in study.graph.elements.values())


def _carried(study: Study, runs: tuple[Conductor, ...]) -> Figure | None:
    found = [(g.design_A, g.design_case) for c in runs if (g := study.guards[c.id]).design_A is not None]
    amps, case = max(found, key=lambda x: x[0] or 0.0, default=(None, ""))
    return None if amps is None else figure(amps, "A", COMPUTED, address=f"case {case}")


def _before(study: Study, runs: list[Conductor]) -> Figure | None:
    """The most that the devices around a part let pass by any one of its conductors."""
    found: list[Figure] = []
    for c in runs:
        lets = [f for g in study.guards[c.id].guards if (f := _lets(study, g)) is not None]
        if not lets:
            continue
        if not is_alternating(study, c) and (side := from_one_side(study, c, study.guards[c.id].guards)):
            lets.append(side)
        most_A = max(lets, key=lambda f: f.value)
        tap = tap_device(study, c)
        found.append(tap if tap is not None and tap.value < most_A.value else most_A)
    return max(found, key=lambda f: f.value, default=None)


def _lets(study: Study, g: Guard) -> Figure | None:
    if g.device:
        return rating(study, g)
    return None if g.limited_A is None else figure(g.limited_A, "A", COMPUTED, address=f"{g.source} at the most")  # fmt: skip
