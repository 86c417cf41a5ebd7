"""The labels, to scale: what stands on every device, and both labels of every wire."""

from collections.abc import Iterator

from ohmwright.drawing.always import always_live
from ohmwright.drawing.lettering import text_width, wrapped
from ohmwright.papers.cut_list import in_order
from ohmwright.papers.doc import Block, Column, Doc, Heading, Label, Labels, Table, Text
from ohmwright.papers.figures import array_amps, at_most, banks, cold_volts, stored_kWh
from ohmwright.papers.material import Material
from ohmwright.rig.ports import is_group
from ohmwright.working import known, tell

WARNING_mm, DEVICE_mm, WIRE_mm = 5.0, 3.5, 2.5
"""Heights of capitals: 5 mm and more for warnings (common practice, no source)."""
_EM = 1 / 0.66
"""Size of the face over the height of its capitals."""


def labels_sheet(m: Material) -> Doc:
    """Warnings first, then devices, then wires."""
    w = m.words
    device = tuple(_devices(m))
    warning = tuple(_warnings(m))
    wires = tuple(
        label
        for c in in_order(m.takeoff.cuts)
        if not c.made
        for label in [_label((c.label, c.id), WIRE_mm)] * 2
    )
    blocks: list[Block] = [
        Text(w.say("labels.what-this-is")),
        m.cautions("array-live", "dead-first"),
        Heading(w.say("labels.warnings"), 2),
        Labels(tuple(label for _, label in warning)),
        Heading(w.say("labels.where"), 2),
        Table(
            (Column(w.say("labels.text"), part=4), Column(w.say("labels.place"), part=3)),
            tuple((" ".join(x.lines), place) for place, x in warning),
        ),
        m.code(),
        Heading(w.say("labels.devices"), 2),
        Labels(device),
        Heading(w.say("labels.wires"), 2),
        Text(w.say("labels.wires-note"), "note"),
        Labels(wires),
    ]
    return m.doc("labels", blocks)


def _label(
    lines: tuple[str, ...], letter_mm: float, *, warning: bool = False, most_mm: float = 150.0
) -> Label:
    told = tuple(
        part for line in lines if line for part in wrapped(line, letter_mm * _EM, most_mm - 8.0, "sans-bold")
    )
    longest = max(text_width(line, letter_mm * _EM, "sans-bold") for line in told)
    width = min(max(longest + 8.0, 22.0), most_mm)
    return Label(told, round(width, 1), round(len(told) * letter_mm * 2.1 + 3.0, 1), letter_mm, warning)


def _warnings(m: Material) -> Iterator[tuple[str, Label]]:
    """Place and label of every warning that this rig needs."""
    w, rig = m.words, m.rig

    def one(key: str, place: str, **values: object) -> tuple[str, Label]:
        return place, _label((w.say(f"label.{key}", **values),), WARNING_mm, warning=True)

    switches = rig.of_kind("pv-disconnect")
    for p in switches or rig.of_kind("pv-controller", "pv-controller-pwm"):
        near = {p.id, *_joined(m, p.id)}
        own = [f for f in m.findings if f.subject.partition(".")[0] in near]
        volts = cold_volts(own) or cold_volts(m.findings)
        amps = array_amps(own) or array_amps(m.findings)
        yield one(
            "array" if switches else "array-bare",
            f"{p.id} ({p.place})",
            volts=at_most(volts) if volts else "____",
            amps=at_most(amps) if amps else "____",
        )
        if switches:
            yield one("array-order", f"{p.id} ({p.place})")
    for p in banks(rig):
        yield one(
            "bank",
            f"{p.id} ({p.place})",
            chemistry=w.say("emergency.cells.start")
            if p.word("chemistry") == "start"
            else (p.word("chemistry") or "?").upper(),
            kWh=stored_kWh(m.rig, p) or "____",
        )
        cold = next((f for k in ("charge_min_temperature", "cell_charge_min_temperature") if (f := known(p.figure(k))) is not None), None)  # fmt: skip
        yield one(
            "bank-lithium" if p.word("chemistry") == "lfp" else "bank-lead",
            f"{p.id} ({p.place})",
            cold=tell(cold.value, cold.unit) if cold else "____",
        )
    for p in rig.of_kind("shunt"):
        yield one("shunt", f"{p.id}, {w.say('label.bank-side')} ({p.place})")
    for p in (*rig.of_kind("inverter-charger"), *rig.of_kind("inverter")):
        supplied = any(
            x.startswith(f"{p.id}.ac-in") for run in rig.runs.values() for x in (run.start, run.stop)
        )
        yield one("inverter" if supplied else "inverter-plain", f"{p.id} ({p.place})")
        if p.word("ac_out_bond") not in ("", "none"):
            yield one("bond", f"{p.id} ({p.place})", bond=p.word("ac_out_bond"))
        if p.word("split") != "yes" and rig.job.rules.startswith("us"):
            supply = known(p.figure("ac_voltage"))
            yield one(
                "multiwire",
                w.say("label.beside-ac-panel"),
                volts=tell(supply.value, "V") if supply else "____",
            )
    for p in rig.of_kind("shore-inlet"):
        yield one("inlet", f"{p.id} ({p.place})")
    for p in rig.of_kind("generator"):
        yield one("generator", f"{p.id} ({p.place})", bond=p.word("bond") or "____")
    for place in rig.host.places.values():
        if place.words.get("vapour") in ("petrol", "lp-gas"):
            yield one("ignition", place.id)
    if live := always_live(rig, m.study.graph):
        yield one("always-live", w.say("label.beside-panel"), load=", ".join(live))
    if any(f.number == "E6" and f.verdict != "skip" for f in m.findings):
        yield one("load-carrying", w.say("label.by-door"))
    for p in rig.of_kind("dcdc-charger"):
        yield one("both-ends", f"{p.id} ({p.place})")
    for name, cut in rig.cuts.items():
        yield one(
            "cut",
            ", ".join(_at(m, variable) for variable in cut.set),
            live=", ".join(cut.stays_live) or w.say("label.nothing"),
            name=name,
        )
    for never in rig.never:
        if never.by == "label":
            yield one(
                "never",
                " · ".join(v for v, _ in never.these),
                these=" + ".join(f"{v} {s}" for v, s in never.these),
            )
    yield one(
        "shop",
        w.say("label.beside-panel"),
        shop=rig.job.words.get("shop") or "____",
        revision=m.head("labels").revision,
        dated=m.dated,
    )


def _joined(m: Material, part: str) -> set[str]:
    """Arrays and controllers with a run straight to a part."""
    ends = [{run.start.partition(".")[0], run.stop.partition(".")[0]} for run in m.rig.runs.values()]
    return {x for pair in ends if part in pair for x in pair if x in m.rig.parts}


def _at(m: Material, variable: str) -> str:
    """A variable's part and where it is."""
    part = m.rig.parts.get(variable.partition(".")[0])
    return f"{part.id} ({part.place or '?'})" if part else variable


def _devices(m: Material) -> Iterator[Label]:
    for p in m.rig.parts.values():
        if is_group(p) or p.kind.name not in (
            "fuse",
            "breaker",
            "rcbo",
            "rcd",
            "battery-switch",
            "pv-disconnect",
            "switch",
            "changeover",
            "contactor",
            "selector",
        ):
            continue
        rated = known(p.figure("rated"))
        on = sorted(
            (
                c
                for c in m.takeoff.cuts
                if p.id in {m.study.graph.terminals[t].owner for t in (c.start, c.stop)}
            ),
            key=lambda c: not any(t.startswith(f"{p.id}.load") for t in (c.start, c.stop)),
        )
        yield _label(
            (f"{p.id} {tell(rated.value, 'A') if rated else ''}".strip(), on[0].label if on else ""),
            DEVICE_mm,
        )
