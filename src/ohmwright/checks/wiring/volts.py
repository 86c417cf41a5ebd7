"""C27: every load, inverter, charger and coil is made for the volts that reach it."""

from collections.abc import Iterator
from dataclasses import dataclass

from ohmwright.checks.gather import Asked, asked, once
from ohmwright.checks.islands import bank_volts, banks_at
from ohmwright.checks.judgement import Judgement, cannot_tell, least, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.walk import usual
from ohmwright.physics.sums import many_V
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, Step, tell, work

REMEDY = "A part for these volts, or a converter between."
#: By kind: the figure that says what it is made for, and the port at which it gets it.
NOMINAL = {
    "inverter": ("dc_nominal", "dc"),
    "inverter-charger": ("dc_nominal", "dc"),
    "pad-heater": ("voltage", ""),
    "windlass": ("voltage", ""),
    "starter": ("voltage", ""),
    "contactor": ("coil_voltage", "coil"),
}
#: By kind: the most it bears, and where.
MOST = {
    "pv-controller": ("battery_voltage_max", "bat"),
    "pv-controller-pwm": ("battery_voltage_max", "bat"),
    "dcdc-charger": ("input_voltage_max", "in"),
    "dcdc-supply": ("input_voltage_max", "in"),
}
SUPPLIES = ("supply-post", "generator", "inverter", "inverter-charger", "isolation-transformer")


@dataclass(frozen=True, slots=True)
class Net:
    """Nominal volts that reach a terminal, the highest that may, and what would tell them."""

    nominal: tuple[Figure | Step, ...]
    highest: tuple[Figure, ...]
    missing: tuple[str, ...] = ()


def judge(made_for: Figure, gets: Figure | Step) -> Judgement:
    """Nominal against nominal: a quarter more burns it, a fifth less and it does not run."""
    more, less = find("protection/volts-above"), find("protection/volts-below")
    told = f"Made for {tell(made_for.value, 'V')}, it gets {tell(gets.value, 'V')}"
    if gets.value >= made_for.value:
        highest = work(many_V, many_count=more.figure, one_V=made_for)
        return most(gets, highest, "V", good=f"{told}.", bad=f"{told}: it burns when it is switched on.", remedy=REMEDY, severity="danger", roots=(made_for,))  # fmt: skip
    lowest = work(many_V, many_count=less.figure, one_V=made_for)
    return least(gets, lowest, "V", good=f"{told}.", bad=f"{told}: it does not run, or its motor stalls.", remedy=REMEDY, severity="fails", roots=(made_for,))  # fmt: skip


def judge_most(bears: Figure, gets: Figure) -> Judgement:
    """The highest volts of a bank against the most that an input or output bears."""
    told = f"Up to {tell(gets.value, 'V', 4)} reach it; it bears {tell(bears.value, 'V', 4)}"
    return most(gets, bears, "V", good=f"{told}.", bad=f"{told}: it is destroyed.", remedy=REMEDY, severity="danger")  # fmt: skip


@rule(
    "wiring/volts",
    "C27",
    "Parts and loads get the volts they are made for",
    why="""A pump for 12 V runs on a bank of 24 V for a minute, an inverter for 24 V on a bank of 12 V never. Both are bought
        by their watts, and the volts stand in the small print.""",
    severities=("danger", "fails"),
    clauses={
        "us": Clause("NFPA 70", "2023", "110.3(B), 110.4", "memory"),
        "": Clause("IEC 60364-5-51", "2005", "512.1.1", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Loads that say what they are made for, and the inputs of parts."""
    spoke = False
    for subject, judged in (*_of_parts(study), *_of_loads(study), *_of_supplies(study)):
        spoke = True
        yield subject, judged
    if not spoke:
        yield "rig", skipped("Nothing says which volts it is made for.")


def _of_parts(study: Study) -> Iterator[tuple[str, Judgement]]:
    for part in study.rig.parts.values():
        if part.kind.name in NOMINAL:
            name, port = NOMINAL[part.kind.name]
            given = asked(part.figure(name))
            if part.kind.name != "contactor" or given.figure is not None:
                yield from _nominal(part.id, given, _net(study, _plus(study, part, port)))
        elif part.kind.name in MOST:
            name, port = MOST[part.kind.name]
            yield from _highest(part.id, asked(part.figure(name)), _net(study, _plus(study, part, port)))
        elif part.kind.name == "alternator":
            yield from _of_alternator(study, part)


def _of_alternator(study: Study, part: Part) -> Iterator[tuple[str, Judgement]]:
    """The volts that it is regulated to, against the most that each bank bears that hangs on it."""
    gives = asked(part.figure("voltage")).figure
    start = _plus(study, part, "")
    if gives is None or start is None:
        return
    for bank in banks_at(study, usual(study.graph).reach((start,)).terminals):
        bears, _ = bank_volts(bank)
        if bears is not None:
            yield part.id, judge_most(bears, gives)


def _plus(study: Study, part: Part, port: str) -> str | None:
    names = [".".join(w for w in (part.id, port, pole) if w) for pole in ("+", "A")]
    return next((n for n in names if n in study.graph.terminals), None)


def _nominal(subject: str, made_for: Asked, net: Net) -> Iterator[tuple[str, Judgement]]:
    if not net.nominal and not net.missing:
        return
    if made_for.figure is None or net.missing:
        yield subject, cannot_tell("Which volts it is made for, or gets, is not known.", (*made_for.missing, *net.missing), unit="V")  # fmt: skip
        return
    for gets in net.nominal:
        yield subject, judge(made_for.figure, gets)


def _highest(subject: str, bears: Asked, net: Net) -> Iterator[tuple[str, Judgement]]:
    if not net.highest and not net.missing:
        return
    if bears.figure is None or not net.highest:
        yield subject, cannot_tell("The most it bears, or gets, is not known.", (*bears.missing, *net.missing), unit="V")  # fmt: skip
        return
    yield subject, judge_most(bears.figure, max(net.highest, key=lambda f: f.value))


def _of_loads(study: Study) -> Iterator[tuple[str, Judgement]]:
    for e in study.graph.elements.values():
        load = study.rig.use.loads.get(e.owner) if e.kind == "load" else None
        if load is None or not isinstance(made_for := load.figures.get("volts"), Figure):
            continue
        if study.graph.terminals[e.a].pole in ("+", "-"):
            yield from _nominal(load.id, asked(made_for), _net(study, e.a))
        elif study.graph.terminals[e.b].pole == "N":
            for gets in _supplies_at(study, e.a):
                yield load.id, judge(made_for, gets)


def _of_supplies(study: Study) -> Iterator[tuple[str, Judgement]]:
    """What is made to be fed by a supply of alternating current, against each that reaches it."""
    for part in study.rig.of_kind("inverter-charger", "isolation-transformer"):
        made_for = asked(part.figure("ac_voltage")).figure
        port = "primary" if part.kind.name == "isolation-transformer" else "ac-in"
        ways = [t for t in study.graph.terminals.values() if t.port == f"{part.id}.{port}" and t.pole in ("L", "L1")]  # fmt: skip
        if made_for is None or not ways:
            continue
        for gets in _supplies_at(study, ways[0].id, but=part.id):
            yield part.id, judge(made_for, gets)


@once
def _supplies(study: Study) -> tuple[tuple[str, str, Figure], ...]:
    """Every live pole that a supply or an inverter feeds, with its owner and its volts to neutral."""
    found = []
    for e in study.graph.elements.values():
        part = study.rig.parts.get(e.owner)
        if part is None or part.kind.name not in SUPPLIES:
            continue
        at = e.a if e.kind == "source" else e.out_a if e.kind == "converter" else ""
        volts = asked(part.figure("ac_voltage")).figure
        if at and volts is not None and study.graph.terminals[at].pole in ("L", "L1"):
            found.append((e.owner, at, volts))
    return tuple(found)


def _supplies_at(study: Study, terminal: str, *, but: str = "") -> list[Figure]:
    reached = usual(study.graph).reach((terminal,)).terminals
    return list({owner: v for owner, at, v in _supplies(study) if at in reached and owner != but}.values())


def _net(study: Study, terminal: str | None) -> Net:
    """Banks that reach a terminal; where none does, converters that feed it."""
    if terminal is None:
        return Net((), ())
    reached = usual(study.graph).reach((terminal,)).terminals
    nominal: list[Figure | Step] = []
    highest: list[Figure] = []
    missing: list[str] = []
    for bank in banks_at(study, reached):
        one = asked(bank.members[0].figure("nominal_voltage"))
        if one.figure is not None:
            nominal.append(one.figure if bank.in_series == 1 else work(many_V, many_count=float(bank.in_series), one_V=one.figure))  # fmt: skip
        missing += one.missing if one.figure is None else ()
        volts, lost = bank_volts(bank)
        highest += [volts] if volts is not None else []
        missing += lost if one.figure is None else ()
    if not nominal and not missing:
        for e in study.graph.elements.values():
            if e.kind == "converter" and e.out_a in reached and study.graph.terminals[e.out_a].pole == "+" and e.owner in study.rig.parts:  # fmt: skip
                given = asked(study.rig.parts[e.owner].figure("output_voltage"))
                nominal += [given.figure] if given.figure is not None else []
                highest += [given.figure] if given.figure is not None else []
    return Net(tuple(nominal), tuple(highest), tuple(dict.fromkeys(missing)))
