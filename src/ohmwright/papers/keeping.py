"""Papers that keep a rig for years: maintenance with torques, weights, serial numbers, what a buyer must know, the record of rules."""

from collections import Counter

from ohmwright.checks.gather import mass
from ohmwright.checks.place.weight import laden_of
from ohmwright.drawing.words import modules_of
from ohmwright.papers.doc import Block, Cell, Column, Doc, Fields, Heading, Points, Table, Text
from ohmwright.papers.figures import banks, members_of, stored_kWh
from ohmwright.papers.material import Material
from ohmwright.papers.quote import weight_left
from ohmwright.papers.report import each
from ohmwright.rig.model import Part
from ohmwright.takeoff.cuts import is_counted, stud_name
from ohmwright.takeoff.practice import practice
from ohmwright.working import known

_INTERVALS = ("days-30", "quarter", "year", "lead", "sealed", "generator")


def maintenance(m: Material) -> Doc:
    """The calendar, with room for dates, and the torque of every joint that has one."""
    w = m.words
    blocks: list[Block] = [
        Text(w.say("keep.what-this-is")),
        m.cautions(
            "dead-first",
            "bank-energy",
            "array-live",
            "switching-order",
            "no-unplug",
            "no-washing",
            "retorque",
        ),
    ]
    for name in _INTERVALS:
        if not _called_for(m, name):
            continue
        here = f"keep.{name}-{m.rig.host.kind}"
        lines = w.all(here if here in w.lists else f"keep.{name}")
        title = f"keep.{name}-title-{m.rig.host.kind}"
        rows: tuple[tuple[Cell, ...], ...] = tuple((text, "", "", "", "") for text in lines)
        blocks += [
            Heading(w.say(title if title in w.texts else f"keep.{name}-title"), 2),
            Table(
                (
                    Column(w.say("keep.what"), part=5),
                    *(Column(w.say("keep.dated"), part=1) for _ in range(4)),
                ),
                rows,
                ruled=True,
            ),
        ]
    blocks += [Heading(w.say("keep.torques"), 2), torques(m)]
    return m.doc("keep", blocks)


def _called_for(m: Material, interval: str) -> bool:
    """Only open lead takes water; a sealed one is looked at."""
    chemistries = {b.word("chemistry") for b in banks(m.rig)}
    match interval:
        case "lead":
            return bool(chemistries & {"flooded", "start"})
        case "sealed":
            return bool(chemistries & {"agm", "gel"})
        case "generator":
            return bool(m.rig.of_kind("generator"))
        case _:
            return True


def torques(m: Material) -> Table:
    """Torque of every part that has joints: the maker's, or a line to write it on."""
    w, u = m.words, m.units
    on: dict[str, int] = {}
    for c in m.study.graph.conductors.values():
        for terminal in (c.a, c.b):
            owner = m.study.graph.terminals[terminal].owner
            on[owner] = on.get(owner, 0) + 1
    rows: list[tuple[Cell, ...]] = []
    for p in m.rig.parts.values():
        if p.id in on:
            torque, stud = known(p.figure("torque")), known(p.figure("stud"))
            rows.append(
                (
                    p.id,
                    p.record.title,
                    stud_name(stud.value * 1000) if stud else "?",
                    on[p.id],
                    u.turn(torque.value) if torque else None,
                    "",
                    "",
                )
            )
    columns = (
        Column(w.say("schedules.device"), part=2), Column(w.say("schedules.part"), part=4), Column(w.say("schedules.thread"), part=1), Column(w.say("keep.joints"), 0, 1),
        Column(w.say("schedules.torque"), 1, 2, u.torque, unknown=w.say("schedules.makers")), Column(w.say("keep.set"), part=2), Column(w.say("keep.by"), part=2),
    )  # fmt: skip
    return Table(columns, tuple(rows), size="small", ruled=True)


def weights(m: Material) -> Doc:
    """Before, added, after; what is left; room for the ticket."""
    w, u = m.words, m.units
    blocks: list[Block] = [Text(w.say("weights.what-this-is"))]
    laden, missing = laden_of(m.study)
    masses: list[tuple[Cell, ...]] = []
    for name in ("gvwr", "loaded", "removed", "axle-limit", "tongue", "hitch-limit", "ccc-label"):
        asked = mass(m.rig, name)
        if name in m.rig.host.masses:
            masses.append(
                (
                    w.say(f"weights.{name}"),
                    u.heavy(asked.figure.value) if asked.figure else None,
                    m.origin(asked.figure.origin) if asked.figure else "?",
                )
            )
    wheels = m.rig.host.kind not in ("boat", "cabin")
    if wheels:
        masses.append(
            (
                w.say("weights.laden"),
                u.heavy(laden.value) if laden else None,
                w.say("weights.computed") if laden else ", ".join(missing),
            )
        )
    columns: tuple[Column, ...] = (
        Column(w.say("weights.what"), part=4),
        Column(w.say("parts.mass-all"), 0, 2, u.mass),
        Column(w.say("report.column.origin"), part=4),
    )
    blocks += [Table(columns, tuple(masses))] if masses else []
    blocks += list(weight_left(m))
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (p.title, p.count, u.heavy(p.mass_kg), u.heavy(None if p.mass_kg is None else p.mass_kg * p.count))
        for p in m.takeoff.parts
    )
    cable_kg = sum(c.mass_kg or 0.0 for c in m.takeoff.cuts)
    rows = (
        *rows,
        (
            w.say("weights.cable"),
            1,
            None if m.takeoff.unknown_lengths else u.heavy(cable_kg),
            None if m.takeoff.unknown_lengths else u.heavy(cable_kg),
        ),
    )
    columns = (
        Column(w.say("parts.title-column"), part=5),
        Column(w.say("parts.count"), 0, 1),
        Column(w.say("parts.mass"), 2, 2, u.mass),
        Column(w.say("parts.mass-all"), 2, 2, u.mass, summed=True),
    )
    blocks += [
        Heading(w.say("weights.added"), 2),
        Table(columns, rows, total=w.say("parts.together"), size="small"),
    ]
    if wheels:
        blocks += [Text(w.say("weights.ashore"), "note"), Heading(w.say("weights.ticket"), 2)]
        blocks.append(Fields(tuple((x, "") for x in w.all("weights.fields")), 3))
    elif m.rig.host.kind == "boat":
        blocks.append(Heading(w.say("weights.trim"), 2))
        blocks.append(Fields(tuple((x, "") for x in w.all("weights.trim-fields")), 3))
    blocks.append(m.cautions("weigh"))
    return m.doc("weights", blocks)


def serials(m: Material) -> Doc:
    """Every thing that has a plate, with room for its number."""
    w = m.words
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (p.id, p.record.title, "", "", "") for p in m.rig.parts.values() if is_counted(p)
    )
    columns = tuple(
        Column(w.say(f"serials.{c}"), part=p)
        for c, p in (("part", 2), ("what", 4), ("serial", 4), ("batch", 2), ("warranty", 3))
    )
    goods = tuple(
        dict.fromkeys(
            f"{b.id}: {practice().goods.get(b.word('chemistry') or 'unknown', practice().goods['unknown'])}."
            for b in banks(m.rig)
        )
    )
    spares = tuple((p.title, ", ".join(p.references), p.spares) for p in m.takeoff.parts if p.spares)
    aboard = (
        Column(w.say("parts.title-column"), part=4), Column(w.say("parts.references"), part=4), Column(w.say("parts.spares"), 0, 1), Column(w.say("coils.stored"), part=3),
    )  # fmt: skip
    blocks: list[Block] = [
        Table(columns, rows, ruled=True),
        *(
            (Heading(w.say("order.spares"), 2), Table(aboard, tuple((*r, "") for r in spares), ruled=True))
            if spares
            else ()
        ),
        Heading(w.say("serials.monitoring"), 2),
        Fields(tuple((x, "") for x in w.all("serials.monitoring-fields")), 2),
        Heading(w.say("serials.disposal"), 2),
        Points((*goods, *w.all("serials.disposal-notes"))),
    ]
    return m.doc("serials", blocks)


def _expected_wear(m: Material) -> tuple[Block, ...]:
    """What the model expects of the bank's life, a band and no warranty."""
    ageing = m.year.ageing if m.year else None
    if ageing is None or ageing.shortest_years is None:
        return ()
    most = str(ageing.longest_years) if ageing.longest_years is not None else m.words.say("resale.longer")
    return (Text(m.words.say("resale.wear", least=ageing.shortest_years, most=most)),)


def _modules(m: Material, array: Part) -> str:
    """The modules of a string: each sort with its count."""
    told = Counter(x.record.title or x.id for x in modules_of(m.rig, array)[: array.per_string])
    each = " + ".join(f"{n} × {title}" for title, n in told.items())
    return f"({each})" if len(told) > 1 and array.strings > 1 else each


def resale(m: Material) -> Doc:
    """What the next owner and the surveyor must know."""
    w = m.words
    facts: list[tuple[Cell, ...]] = []
    for bank in banks(m.rig):
        members = members_of(m.rig, bank)
        facts.append(
            (
                w.say("resale.bank"),
                f"{bank.id}: {len(members)} × {members[0].record.title}, {stored_kWh(m.rig, bank) or '?'} kWh",
            )
        )
    arrays = [p for p in m.rig.parts.values() if p.strings]
    facts += [(w.say("resale.array"), f"{p.id}: {p.strings} × {_modules(m, p)}") for p in arrays]
    facts += [
        (w.say("resale.rules"), m.head("resale").rules),
        (w.say("resale.revision"), f"{m.head('resale').revision}, {m.head('resale').stage}"),
    ]
    overridden = [f for f in m.findings if f.verdict == "overridden"]
    open_ones = [f for f in m.findings if f.verdict == "fail"]
    blocks: list[Block] = [
        Text(w.say("resale.what-this-is")), Text(m.statement, "strong"), Table((Column(w.say("emergency.what"), part=2), Column(w.say("emergency.fact"), part=5)), tuple(facts)),
        *_expected_wear(m), Heading(w.say("resale.health"), 2), Fields(tuple((x, "") for x in w.all("resale.health-fields")), 2), Heading(w.say("resale.handover"), 2), Points(w.all("resale.routine"), "boxes"),
    ]  # fmt: skip
    if open_ones:
        blocks += [Heading(w.say("resale.open"), 2), *each(m, open_ones, worked=False)]
    if overridden:
        blocks += [Heading(w.say("report.overridden"), 2), *each(m, overridden, worked=False)]
    blocks.append(m.cautions("no-mixing", "after-crash", "who-may-change"))
    return m.doc("resale", blocks)


def certificate(m: Material) -> Doc:
    """To which rules and edition it was built, by whom; signed by hand, and only by hand."""
    w = m.words
    head = m.head("certificate")
    overridden = [f"{f.number} {f.subject}" for f in m.findings if f.verdict == "overridden"]
    blocks: list[Block] = [
        Text(w.say("certificate.built-to", rules=head.rules), "lead"), Text(m.statement, "strong"), Text(w.say("certificate.not-applied", n=len(m.not_applied)) if m.not_applied else w.say("report.all-applied")),
        Text(w.say("certificate.overridden", list=", ".join(overridden)) if overridden else w.say("report.none-overridden")), Text(w.say("certificate.by-hand")),
        Fields(tuple((x, "") for x in w.all("certificate.fields")), 2), m.cautions("paper-proves-nothing"),
    ]  # fmt: skip
    return m.doc("certificate", blocks)
