"""The parts list: what is bought, what it weighs and costs, and how it may travel."""

import re
from decimal import Decimal

from ohmwright.papers.doc import Block, Column, Doc, Points, Table, Text
from ohmwright.papers.material import Material
from ohmwright.takeoff.types import PartLine


def parts_list(m: Material) -> Doc:
    """Parts grouped by what they are."""
    w = m.words
    notes = [f"{p.record}: {note}." for p in m.takeoff.parts for note in p.notes]
    blocks: list[Block] = [
        Text(w.say("parts.what-this-is")),
        m.cautions("batteries-travel", "no-mixing"),
        parts_table(m),
    ]
    if notes:
        blocks.append(Points(tuple(dict.fromkeys(notes))))
    blocks += [Points(m.takeoff.notes)] if m.takeoff.notes else []
    return m.doc("parts", blocks, lying=True)


def _there(m: Material, p: PartLine) -> int:
    """Pieces that are bought for this job, or lie in the shop."""
    return sum(r in m.bought for r in p.references) + (m.stock or {}).get(p.record, 0)


def _goods(p: PartLine) -> str:
    """The UN number of what travels as dangerous goods; the note below the table says the rest."""
    found = next((re.search(r"UN \d{4}", note) for note in p.notes if "UN " in note), None)
    return found[0] if found else "?" if p.kind == "battery" else "–"


def parts_table(m: Material) -> Table:
    """The lines of the parts list; masses and prices by the piece and together."""
    w, u = m.words, m.units
    currency = m.rig.job.currency or next((p.currency for p in m.takeoff.parts if p.currency), "")
    columns = (
        Column(w.say("parts.title-column"), part=8),
        Column(w.say("parts.record"), part=9),
        Column(w.say("parts.references"), part=6),
        Column(w.say("parts.count"), 0, 2, summed=True),
        Column(w.say("parts.spares"), 0, 2),
        Column(w.say("parts.stock"), 0, 2, unknown="____"),
        Column(w.say("parts.to-buy"), 0, 2),
        Column(w.say("parts.goods"), part=4),
        Column(w.say("parts.mass"), 2, 3, u.mass),
        Column(w.say("parts.mass-all"), 2, 3, u.mass, summed=True),
        Column(w.say("parts.price"), 2, 4, currency),
        Column(w.say("parts.price-all"), 2, 4, currency, summed=True),
        Column(w.say("parts.lead"), 0, 2),
    )
    rows = tuple(
        (
            p.title,
            p.record,
            ", ".join(p.references),
            p.count,
            p.spares,
            None if m.stock is None else m.stock.get(p.record, 0),
            max(p.count + p.spares - _there(m, p), 0),
            _goods(p),
            u.heavy(p.mass_kg),
            u.heavy(None if p.mass_kg is None else p.mass_kg * p.count),
            p.price,
            None if p.price is None else p.price * Decimal(p.count),
            p.lead_days,
        )
        for p in m.takeoff.parts
    )
    return Table(columns, rows, size="small", total=w.say("parts.together"))
