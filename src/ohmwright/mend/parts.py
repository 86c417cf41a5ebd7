"""Answers by another part of the shelf: a controller for more volts, an inverter that the bank carries."""

from dataclasses import replace

from ohmwright.checks.circuits import pv_circuits
from ohmwright.checks.mains.loads import behind
from ohmwright.circuit.cases import running_W
from ohmwright.mend.ask import Ask
from ohmwright.mend.devices import swap
from ohmwright.mend.edits import SetAt
from ohmwright.mend.types import Change, Ladder, Step
from ohmwright.rig.model import Part
from ohmwright.shelf.record import Record
from ohmwright.working import known

INVERTERS = ("inverter", "inverter-charger")


def controller(ask: Ask) -> list[Ladder]:
    """Another controller on the array that the finding is about, none that charges less, the cheapest first."""
    for circuit in pv_circuits(ask.study):
        about = {
            circuit.name,
            *(s.id for s in circuit.strings),
            *(m.id for s in circuit.strings for m in s.members),
        }
        if circuit.controller is not None:
            about.add(circuit.controller.id)
        if circuit.controller is not None and ask.finding.subject in about:
            part = circuit.controller
            ours = known(part.figure("output_current"))
            least = ours.value if ours is not None else 0.0
            records = [
                r
                for r in ask.shop.of_kind("pv-controller")
                if r.id != part.record.id and _figure(r, "output_current") >= least
            ]
            return [Ladder(tuple(s for r in records if (s := swap(ask, part, r)) is not None))]
    return []


def inverter(ask: Ask) -> list[Ladder]:
    """Another inverter of the same voltages, that still carries the largest load and what is promised together."""
    part = ask.rig.parts.get(ask.finding.subject)
    if part is None or part.kind.name not in INVERTERS:
        return []
    return [_inverters(ask, part, _alike(ask, part, _least_W(ask)), "")]


def joined_inverter(ask: Ask) -> list[Ladder]:
    """An inverter whose output floats gives way to one that joins neutral and earth by a relay of its own: the smallest that carries its loads.

    Only where the device has no join at all: a relay that is there and switched off is a setting, and people's.
    """
    part = ask.rig.parts.get(ask.finding.subject)
    if part is None or part.kind.name not in INVERTERS or part.word("ac_out_bond") != "none":
        return []
    records = [r for r in _alike(ask, part, _asked_W(ask, part)) if r.words.get("ac_out_bond") == "relay"]
    told = (
        f"the neutral-earth relay of {part.id} is counted as its maker delivers it: read it back; the earth of its case to the body,"
        " one join in every source state, and the trip of every residual-current device are proved by licensed hands before use"
    )
    return [replace(_inverters(ask, part, sorted(records, key=_power_W), told), preferred=True)]


def _alike(ask: Ask, part: Part, least_W: float) -> list[Record]:
    return [
        r
        for r in ask.shop.of_kind(part.kind.name)
        if r.id != part.record.id
        and all(_same(part, r, n) for n in ("dc_nominal", "ac_voltage", "frequency"))
        and (r.words.get("split") == "yes") == (part.word("split") == "yes")
        and _power_W(r) >= least_W
    ]


def _inverters(ask: Ask, part: Part, records: list[Record], told: str) -> Ladder:
    told = told or f"the mains side of {part.id} is opened, joined and proved by licensed hands"
    steps = [s for r in records if (s := swap(ask, part, r)) is not None]
    return Ladder(tuple(Step(tuple(_by_licence(c, told) for c in s.changes)) for s in steps))


def _by_licence(change: Change, told: str) -> Change:
    return replace(change, by_hand="; ".join(w for w in (told, change.by_hand) if w), licensed=True)


def _asked_W(ask: Ask, part: Part) -> float:
    """All that it feeds at once; where one is not known, what the inverter gives that stands there."""
    fed = [f.power for f in behind(ask.study, part)]
    if any(p is None for p in fed):
        return max((f.value for n in ("power", "power_40") if (f := known(part.figure(n)))), default=0.0)
    return sum(p.value for p in fed if p is not None)


def _ac_loads(ask: Ask) -> set[str]:
    return {
        e.owner
        for e in ask.study.graph.elements.values()
        if e.kind == "load"
        and ask.study.graph.terminals[e.a].pole in ("L", "L1", "L2")
        and e.owner in ask.rig.use.loads
    }


def _same(part: Part, record: Record, name: str) -> bool:
    a, b = known(part.figure(name)), known(record.figures[name]) if name in record.figures else None
    return a is not None and b is not None and abs(a.value - b.value) < 1e-6 * max(a.value, 1.0)


def _figure(record: Record, name: str) -> float:
    given = known(record.figures[name]) if name in record.figures else None
    return given.value if given is not None else 0.0


def _power_W(record: Record) -> float:
    found = [known(record.figures[n]) for n in ("power_40", "power") if n in record.figures]
    return min((f.value for f in found if f is not None), default=0.0)


def _least_W(ask: Ask) -> float:
    """The largest AC load, or the sum of what is promised together."""
    loads, ac = ask.rig.use.loads, _ac_loads(ask)
    single = max((running_W(loads[i]) or 0.0 for i in ac), default=0.0)
    together = [
        sum(
            running_W(loads[i]) or 0.0
            for i in p.words.get("together", "").replace(",", " ").split()
            if i in ac
        )
        for p in ask.rig.use.promises
    ]
    return max([single, *together])


def lower_charge(ask: Ask) -> list[Ladder]:
    """Chargers set to less, in steps of 5 A: only for what is no danger."""
    out = []
    for part in ask.rig.of_kind("inverter-charger", "dcdc-charger"):
        figure = known(part.figure("charge_current")) or known(part.figure("output_current"))
        set_A = ask.rig.setting(part.id, "charge")
        now = (known(set_A) if not isinstance(set_A, str) else None) or figure
        top = now.value if now is not None else 0.0
        was = f"{top:g} A"
        steps = [float(a) for a in range(int((top - 1) // 5 * 5), 9, -5)]
        out.append(_settings(part.id, "charge", was, [f"{a:g} A" for a in steps]))
    return out


def higher_cut_off(ask: Ask) -> list[Ladder]:
    """The inverter's own cut-off set higher, in steps of half a volt a 12 V block: it draws less current there."""
    part = ask.rig.parts.get(ask.finding.subject)
    if part is None or part.kind.name not in INVERTERS:
        return []
    nominal, delivered = known(part.figure("dc_nominal")), known(part.figure("cutoff_voltage"))
    now = ask.rig.setting(part.id, "cut-off")
    figure = known(now) if not isinstance(now, str) else None
    volts = figure or delivered
    if nominal is None or volts is None:
        return []
    blocks = nominal.value / 12.0
    steps = [v / 2 * blocks for v in range(21, 25) if v / 2 * blocks > volts.value + 1e-9]
    return [_settings(part.id, "cut-off", f"{volts.value:g} V", [f"{v:g} V" for v in steps])]


def _settings(part: str, key: str, was: str, values: list[str]) -> Ladder:
    path = f"settings.{part}.{key}"
    return Ladder(
        tuple(Step((Change("setting", path, was, v, (SetAt(path, v),)),)) for v in values), rising=True
    )
