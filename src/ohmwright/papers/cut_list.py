"""The cut list: every conductor, longest first in its size, with both ends, its label and what guards it."""

from collections.abc import Iterator

from ohmwright.papers.doc import Block, Cell, Column, Doc, Points, Table, Text
from ohmwright.papers.material import Material
from ohmwright.takeoff.types import CutLine


def cut_list(m: Material, plan: tuple[Block, ...] = ()) -> Doc:
    """Conductors to cut, and the plan by which they come off their coils."""
    w = m.words
    blocks: list[Block] = [
        Text(w.say("cuts.what-this-is")),
        m.cautions("dead-first", "bank-energy", "crimp"),
        cut_table(m),
    ]
    if m.takeoff.unknown_lengths:
        blocks.append(Text(w.say("cuts.unknown", ids=", ".join(m.takeoff.unknown_lengths)), "strong"))
    notes = (*m.takeoff.wire_notes, *m.takeoff.notes)
    blocks += [Points(notes)] if notes else []
    blocks += plan
    return m.doc("cuts", blocks, lying=True)


def cut_table(m: Material) -> Table:
    """One row per conductor; rows of one cable have its cut length once, at its first core."""
    w, u = m.words, m.units
    columns = (
        Column(w.say("cuts.id")),
        Column(w.say("cuts.label")),
        Column(w.say("cuts.size"), part=3),
        Column(w.say("cuts.colour"), part=2),
        Column(w.say("cuts.length"), 2, 2, u.length),
        Column(w.say("cuts.ends"), 2, 2, u.length),
        Column(w.say("cuts.cut"), 2, 0, u.length, summed=True, unknown=""),
        Column(w.say("cuts.from"), part=4),
        Column(w.say("cuts.to"), part=4),
        Column(w.say("cuts.end-a"), part=5),
        Column(w.say("cuts.end-b"), part=5),
        Column(w.say("cuts.guard"), part=5),
    )
    seen: set[str] = set()
    rows = tuple(_row(m, c, seen) for c in in_order(m.takeoff.cuts))
    return Table(columns, rows, size="small", total=w.say("cuts.together"))


def in_order(cuts: tuple[CutLine, ...]) -> Iterator[CutLine]:
    """By size, thickest first; longest first within a size; cores of one cable together; nothing to cut last."""
    longest = {c.piece: c.cut_m or 0.0 for c in cuts}
    yield from sorted(
        cuts, key=lambda c: (bool(c.made), -(c.area_mm2 or 0.0), c.size, -longest[c.piece], c.piece)
    )


def _row(m: Material, c: CutLine, seen: set[str]) -> tuple[Cell, ...]:
    u = m.units
    first = c.piece not in seen
    seen.add(c.piece)
    colour = c.colour + ("" if c.colour_from_file or not c.colour else " *")
    cut: Cell = (
        (u.run(c.cut_m) if c.cut_m is not None else (c.made or "?"))
        if first
        else m.words.say("cuts.same-cable")
    )
    return (
        c.id,
        c.label,
        c.size,
        colour,
        u.run(c.length_m),
        u.run(c.allowance_m),
        cut,
        c.start,
        c.stop,
        c.lug_a,
        c.lug_b,
        ", ".join(guards(m, c.id)),
    )


def guards(m: Material, conductor: str) -> tuple[str, ...]:
    """The devices that guard a conductor."""
    found = m.study.guards.get(conductor)
    return tuple(dict.fromkeys(g.device for g in found.guards if g.device)) if found else ()
