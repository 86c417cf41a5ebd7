"""Papers for the days of the work: what is pulled on which day, holes and their sealant, photographs before it closes."""

from collections.abc import Iterator

from ohmwright.papers.cut_list import in_order
from ohmwright.papers.doc import Block, Cell, Column, Doc, Heading, Table, Text
from ohmwright.papers.material import Material
from ohmwright.takeoff.types import CutLine

DAYS = ("outside", "inside", "board", "bank")


def site_papers(m: Material) -> Doc:
    """Pull list by day, holes, photo slots."""
    w = m.words
    blocks: list[Block] = [
        Text(w.say("site.what-this-is")),
        m.cautions("dead-first", "array-live", "bank-energy", "structure"),
    ]
    for day in DAYS:
        rows = tuple(_pulled(m, day))
        if rows:
            blocks += [Heading(w.say(f"site.day-{day}"), 2), Table(_pull_columns(m), rows, size="small")]
    blocks += [
        Heading(w.say("site.holes")),
        _holes(m),
        Heading(w.say("site.photos")),
        Text(w.say("site.photos-why"), "note"),
        Table(
            (
                Column(w.say("site.photo"), part=6),
                Column(w.say("site.file"), part=3),
                Column(w.say("site.by"), part=2),
            ),
            tuple((x, "", "") for x in _photos(m)),
            ruled=True,
        ),
    ]
    return m.doc("site", blocks, lying=True)


def day_of(m: Material, c: CutLine) -> str:
    """Weather side first, then through the inside, then the board; the bank last, when all else is proved."""
    owners = {m.study.graph.terminals[t].owner for t in (c.start, c.stop)}
    batteries = {p.id for p in m.rig.parts.values() if p.kind.name == "battery"}
    if owners & batteries or any(o.rpartition(".")[0] in batteries for o in owners):
        return "bank"
    ways = [m.rig.host.ways[r] for r in c.route if r in m.rig.host.ways]
    if not ways and _is_outside(m, owners):
        return "outside"
    if any(way.words.get(x) in ("yes", "true") for way in ways for x in ("rooftop", "underbody", "buried")):
        return "outside"
    if any(way.glands and m.rig.host.places[p].regime == "outside" for way in ways for p in (way.a, way.b)):
        return "outside"
    return "inside" if ways or c.cores > 1 else "board"


def _is_outside(m: Material, owners: set[str]) -> bool:
    """True where every end that has a place has it in the weather: module leads on a roof."""
    parts = [m.rig.parts[o.partition(".")[0]] for o in owners if o.partition(".")[0] in m.rig.parts]
    places = {p.place or m.rig.parts[p.group].place if p.group in m.rig.parts else p.place for p in parts} - {
        "",
        None,
    }
    return bool(places) and all(
        x in m.rig.host.places and m.rig.host.places[x].regime == "outside" for x in places
    )


def _pull_columns(m: Material) -> tuple[Column, ...]:
    w, u = m.words, m.units
    return (
        Column(w.say("site.done")),
        Column(w.say("site.cable")),
        Column(w.say("cuts.size"), part=2),
        Column(w.say("cuts.cut"), 2, 1, u.length),
        Column(w.say("cuts.from"), part=3),
        Column(w.say("cuts.to"), part=3),
        Column(w.say("site.route"), part=5),
        Column(w.say("site.by")),
    )


def _pulled(m: Material, day: str) -> Iterator[tuple[Cell, ...]]:
    seen: set[str] = set()
    for c in in_order(m.takeoff.cuts):
        if c.made or c.piece in seen or m.rig.runs[c.run].plugs or day_of(m, c) != day:
            continue
        seen.add(c.piece)
        yield (
            "[  ]",
            c.piece,
            c.size,
            m.units.run(c.cut_m),
            c.start,
            c.stop,
            " · ".join(c.route) or "–",
            "______",
        )


def _holes(m: Material) -> Table:
    w = m.words
    columns = tuple(
        Column(w.say(f"site.{c}"), part=p)
        for c, p in (
            ("way", 3),
            ("number", 1),
            ("cables", 4),
            ("hole", 2),
            ("structure", 3),
            ("sealant", 2),
            ("tested", 2),
        )
    )
    rows: list[tuple[Cell, ...]] = []
    for way in m.rig.host.ways.values():
        through = [r.id for r in m.rig.runs.values() if way.id in r.route]
        bulkheads = int(way.words["bulkhead"]) if way.words.get("bulkhead", "").isdecimal() else 0
        behind = w.say("site.structure-look")
        rows += [
            (way.id, n, ", ".join(through) or "–", "____", behind, "____", "____")
            for n in range(1, way.glands + bulkheads + 1)
        ]
    return Table(columns, tuple(rows), size="small", ruled=True)


def _photos(m: Material) -> Iterator[str]:
    w = m.words
    for way in m.rig.host.ways.values():
        yield w.say("site.photo-way", way=way.id)
    for p in m.rig.parts.values():
        if (
            p.kind.name
            in ("busbar", "battery-switch", "shunt", "inverter-charger", "inverter", "pv-controller")
            and not p.group
        ):
            yield w.say("site.photo-joints", part=p.id, place=p.place or "?")
    for group in m.rig.parts.values():
        if group.join is not None:
            yield w.say("site.photo-bank", part=group.id)
