"""The rig in words, its explicit graph, its figures and its open questions."""

from typing import Any

from ohmwright.rig.model import Part, Rig, Stay
from ohmwright.services.answers import envelope, finite, given
from ohmwright.services.opening import Opened
from ohmwright.study import Study
from ohmwright.working import Absent, Figure, known, tell


def in_words(opened: Opened, study: Study) -> list[str]:
    """What a colleague would say about the rig in twenty lines."""
    rig = opened.rig
    title = rig.job.title or rig.job.id
    lines = [
        f"{title}: {rig.host.kind or 'host not told'}, rules {rig.job.rules or 'not told'} {rig.job.edition}".rstrip()
        + "."
    ]
    if opened.revision:
        lines.append(f"Issued revision {opened.revision}, {rig.job.stage or 'stage not told'}.")
    lines += [_array(p) for p in rig.parts.values() if p.strings]
    lines += [
        _bank(p, rig)
        for p in rig.parts.values()
        if p.kind.name.startswith("battery") and "switch" not in p.kind.name and not p.group
    ]
    others = [
        p
        for p in rig.parts.values()
        if not p.strings and not p.group and not p.kind.name.startswith("battery")
    ]
    for kind in sorted({p.kind.title for p in others}):
        same = [p for p in others if p.kind.title == kind]
        lines.append(
            f"{kind}: "
            + ", ".join(
                f"{p.id} ({p.record.id})" if not p.record.bare else f"{p.id} (no plate)" for p in same
            )
            + "."
        )
    lines += [_stay(s) for s in rig.use.stays]
    g = study.graph
    lines.append(
        f"{len(rig.parts)} parts, {len(rig.use.loads)} loads, {len(rig.runs)} runs; "
        f"{len(g.terminals)} terminals, {len(g.elements)} elements, {len(g.conductors)} conductors."
    )
    return lines


def _array(p: Part) -> str:
    power = known(p.figure("power"))
    each = f" of {tell(power.value, 'W')}" if power else ""
    return f"Array {p.id}: {p.strings} string{'s' if p.strings > 1 else ''} of {p.per_string} module{'s' if p.per_string > 1 else ''}{each}, at {p.place or '?'}."


def _bank(p: Part, rig: Rig) -> str:
    volts, ah = known(p.figure("nominal_voltage")), known(p.figure("capacity"))
    rating = f" {volts.value:g} V {ah.value:g} Ah" if volts and ah else ""
    how = f", {p.join.how}{' ' + p.join.takeoff if p.join.takeoff else ''}" if p.join else ""
    where = rig.host.places.get(p.place)
    return f"Bank {p.id}: {p.count} x{rating} ({p.record.id}){how}, at {p.place or '?'}{f' ({where.regime})' if where else ''}."


def _stay(s: Stay) -> str:
    where = s.place or (f"{s.start} to {s.end}" if s.start else "place unknown")
    days = f"{s.first[0]:02d}-{s.first[1]:02d} to {s.last[0]:02d}-{s.last[1]:02d}"
    return (
        f"Stay {days}: {where}"
        + (f", {s.mode}" if s.mode else "")
        + (f", {s.nights} nights" if s.nights else "")
        + "."
    )


def graph_json(opened: Opened, study: Study) -> dict[str, Any]:
    """The answer of `show --graph --json`."""
    g = study.graph
    return {
        **envelope(opened),
        "parts": [{"id": p.id, "kind": p.kind.name, "is": p.record.id, "place": p.place or None, "group": p.group or None} for p in opened.rig.parts.values()],
        "terminals": [{"id": t.id, "part": t.owner, "pole": t.pole or None, "port": t.port or None, "place": t.place or None} for t in g.terminals.values()],
        "elements": [
            {"id": e.id, "kind": e.kind, "a": e.a, "b": e.b, "ohm": e.ohm.value if isinstance(e.ohm, Figure) else None,
             "states": {v: sorted(s) for v, s in e.when}, "role": e.role or None, "owner": e.owner, "out_a": e.out_a or None, "out_b": e.out_b or None}
            for e in g.elements.values()
        ],
        "conductors": [
            {"id": c.id, "run": c.run, "from": c.a, "to": c.b, "pole": c.pole or None, "size": c.cable.text, "area_mm2": finite(c.area_mm2), "length_m": finite(c.length_m), "role": c.role or None}
            for c in g.conductors.values()
        ],
        "variables": [{"id": v.id, "states": list(v.states), "origin": v.origin, "rule": v.rule or None} for v in g.variables.values()],
    }  # fmt: skip


def figures_json(opened: Opened) -> dict[str, Any]:
    """The answer of `show --figures --json`."""
    from ohmwright.rig.questions import every_figure

    return {
        **envelope(opened),
        "figures": [
            {"address": a, **given(g)} for a, g in every_figure(opened.rig) if not isinstance(g, Absent)
        ],
    }


def questions_json(opened: Opened) -> dict[str, Any]:
    """The answer of `show --open --json`."""
    from ohmwright.rig.questions import open_questions

    return {
        **envelope(opened),
        "open": [
            {"address": q.address, "asked": q.asked or None, "whom": q.whom}
            for q in open_questions(opened.rig)
        ],
    }


def rig_json(opened: Opened, study: Study) -> dict[str, Any]:
    """The answer of `show --json`."""
    return {**envelope(opened), "words": in_words(opened, study)}
