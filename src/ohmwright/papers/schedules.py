"""The schedules: conductors with both ends, protection, studs and what lies on them, loads."""

import re
from collections.abc import Iterator
from dataclasses import replace

from ohmwright.papers.cut_list import guards, in_order
from ohmwright.papers.doc import Cell, Column, Doc, Heading, Table, Text
from ohmwright.papers.figures import guard_class
from ohmwright.papers.material import Material
from ohmwright.rig.landing import landings
from ohmwright.rig.model import ByLabel, Load, Part
from ohmwright.rig.ports import is_group
from ohmwright.takeoff.cuts import stud_name
from ohmwright.takeoff.practice import practice
from ohmwright.takeoff.types import CutLine
from ohmwright.working import Figure, Given, known, tell

GUARDING = ("fuse", "breaker", "rcbo", "rcd", "pv-disconnect")
STUDDED = ("busbar", "earth-bar", "battery", "battery-switch", "shunt")


def schedules(m: Material) -> Doc:
    """All schedules in one paper."""
    w = m.words
    return m.doc(
        "schedules",
        [
            Text(w.say("schedules.what-this-is")),
            m.cautions("dead-first", "bank-energy", "torque-is-makers"),
            *(b for t in tables(m) for b in (Heading(t.title), replace(t, title=""))),
        ],
        lying=True,
    )


def tables(m: Material) -> tuple[Table, ...]:
    """The tables, for print and for machines."""
    return (conductors(m), protection(m), studs(m), loads(m))


def conductors(m: Material) -> Table:
    """Strip, lug, sleeve, label and torque at both ends, with the current it is made for."""
    w, u = m.words, m.units
    columns = (
        Column(w.say("cuts.id")),
        Column(w.say("cuts.label")),
        Column(w.say("cuts.size"), part=2),
        Column(w.say("cuts.length"), 2, 1, u.length),
        Column(w.say("schedules.end"), part=3),
        Column(w.say("schedules.lug"), part=3),
        Column(w.say("schedules.strip"), 0 if not u.us else 2, 0, u.small, unknown=w.say("schedules.makers")),
        Column(w.say("schedules.die")),
        Column(w.say("schedules.sleeve"), 0 if not u.us else 1, 1, u.small),
        Column(w.say("schedules.torque"), 1, 0, u.torque, unknown=w.say("schedules.makers")),
        Column(w.say("schedules.design"), 1, 1, "A"),
        Column(w.say("schedules.drop"), 2, 1, "V"),
        Column(w.say("cuts.guard"), part=3),
    )
    drops = _drops(m)
    rows: list[tuple[Cell, ...]] = []
    for c in in_order(m.takeoff.cuts):
        for end, (at, lug, torque) in enumerate(
            ((c.start, c.lug_a, c.torque_a_Nm), (c.stop, c.lug_b, c.torque_b_Nm))
        ):
            first = end == 0
            found = m.study.guards.get(c.id) if first else None
            rows.append(
                (
                    c.id if first else "",
                    c.label if first else "",
                    c.size if first else "",
                    u.run(c.length_m) if first else "",
                    at,
                    lug,
                    None if not c.made else "–",
                    w.say("schedules.makers") if lug.startswith("ring") else "–",
                    u.little(_sleeve_mm(c)) if lug.startswith("ring") else "–",
                    u.turn(torque) if lug not in ("plug", "PV connector") else "–",
                    _design_A(m, c, found.design_A if found else None) if first else "",
                    drops.get(c.id, "–") if first else "",
                    ", ".join(guards(m, c.id)) if first else "",
                )
            )
    return Table(columns, tuple(rows), w.say("schedules.conductors"), "small", pairs=True)


def _design_A(m: Material, c: CutLine, amps: float | None) -> Cell:
    """The current it is made for; unknown where it feeds one load whose power nobody has told, a dash where none is meant to flow."""
    load = m.rig.use.loads.get(c.run.removesuffix(".branch"))
    if load is not None and not any(known(given) for given in load.power.values()):
        return None
    return "–" if amps is None else amps


def _sleeve_mm(c: CutLine) -> float:
    return practice().sleeve_mm(c.area_mm2)


def _drops(m: Material) -> dict[str, float]:
    """The largest drop of each conductor over the cases that last and were solved."""
    out: dict[str, float] = {}
    for name, case in m.study.cases.items():
        if case.seconds is None:
            solution = m.study.solution(name)
            if solution.converged:
                for k, r in solution.conductors.items():
                    out[k] = max(out.get(k, 0.0), r.drop_V)
    return out


def protection(m: Material) -> Table:
    """Every device that guards, with what it is rated for and the most it may have to break."""
    w = m.words
    columns = tuple(
        Column(w.say(f"schedules.{name}"), digits, part, unit)
        for name, digits, part, unit in (
            ("device", -1, 2, ""), ("part", -1, 4, ""), ("place", -1, 2, ""), ("class", -1, 2, ""), ("rated", 0, 1, "A"), ("voltage", 0, 1, "V"),
            ("breaks", -1, 4, ""), ("must-break", 0, 2, "A"), ("guards", -1, 5, ""),
        )
    )  # fmt: skip
    return Table(columns, tuple(_device(m, p) for p in _guarding(m)), w.say("schedules.protection"), "small")


def _guarding(m: Material) -> Iterator[Part]:
    return (p for p in m.rig.parts.values() if p.kind.name in GUARDING and not is_group(p))


def _device(m: Material, p: Part) -> tuple[Cell, ...]:
    breaks = " · ".join(
        told for name in ("interrupt", "interrupt_2", "interrupt_3") if (told := _said(p.figure(name)))
    )
    worst = [f.through_A[p.id] for f in m.study.faults.values() if p.id in f.through_A]
    guarded = [c for c in m.study.guards if p.id in guards(m, c)]
    return (
        p.id,
        p.record.title,
        p.place or "?",
        guard_class(m.words, p) or p.kind.title,
        _number(p.figure("rated")),
        _number(p.figure("voltage")),
        breaks or "?",
        max(worst) if worst else "–",
        ", ".join(guarded),
    )


def _number(given: Given) -> float | None:
    figure = known(given)
    return figure.value if figure else None


def _said(given: Given) -> str:
    """A rating with its condition: `50000 A @ 80 V`."""
    if not isinstance(given, Figure):
        return ""
    told = tell(given.value, given.unit, 3)
    return f"{told} @ {given.condition}" if given.condition else told


def studs(m: Material) -> Table:
    """Every stud that carries power: its lugs from the bottom up, thickest first, and how many it takes."""
    w, u = m.words, m.units
    columns = (
        Column(w.say("schedules.stud"), part=2),
        Column(w.say("schedules.thread"), part=1),
        Column(w.say("schedules.torque"), 1, 1, u.torque, unknown=w.say("schedules.makers")),
        Column(w.say("schedules.takes"), 0, 1),
        Column(w.say("schedules.on-it"), 0, 1),
        Column(w.say("schedules.stack"), part=8),
    )
    area = {c.id: c.area_mm2 or 0.0 for c in m.takeoff.cuts}
    rows: list[tuple[Cell, ...]] = []
    for at, landing in landings(m.study.graph).items():
        part = m.rig.parts.get(m.study.graph.terminals[at].owner)
        if part is None or part.kind.name not in STUDDED:
            continue
        stud = known(part.figure("stud"))
        torque = known(part.figure("torque"))
        stack = sorted(landing.conductors, key=lambda c: -area.get(c, 0.0))
        rows.append(
            (
                at,
                stud_name(stud.value * 1000) if stud else "?",
                u.turn(torque.value if torque else None),
                landing.takes,
                len(stack),
                ", ".join(stack),
            )
        )
    rows.sort(key=lambda row: [int(x) if x.isdigit() else x for x in re.split(r"(\d+)", str(row[0]))])
    return Table(columns, tuple(rows), w.say("schedules.studs"), "small")


def loads(m: Material) -> Table:
    """Everything that takes power, as the file says it."""
    w = m.words
    columns = tuple(
        Column(w.say(f"schedules.{name}"), part=part)
        for name, part in (
            ("load", 2),
            ("fed-by", 2),
            ("power", 3),
            ("energy", 3),
            ("hours", 3),
            ("duty", 3),
            ("priority", 2),
        )
    )
    return Table(
        columns, tuple(_load(m, x) for x in m.rig.use.loads.values()), w.say("schedules.loads"), "small"
    )


def _load(m: Material, load: Load) -> tuple[Cell, ...]:
    fed = ", ".join(load.fed.values()) or (m.words.say("schedules.own-wires") if load.wired else "?")
    return (
        load.id,
        fed,
        *(_labelled(x) for x in (load.power, load.energy, load.hours, load.duty)),
        load.priority or "–",
    )


def _labelled(by_label: ByLabel) -> str:
    told = []
    for label, given in by_label.items():
        figure = known(given)
        value = (figure.text.partition(" (")[0] or tell(figure.value, figure.unit, 3)) if figure else "?"
        told.append(f"{value} {label}".strip())
    return " / ".join(told) or "–"
