"""The order: parts with their spares, cable by size and colour, lugs by size and stud; and the cutting plan of the coils."""

from ohmwright.papers.doc import Block, Column, Doc, Heading, Points, Table, Text
from ohmwright.papers.material import Material
from ohmwright.takeoff.order import Order, order_of


def order_list(m: Material, order: Order) -> Doc:
    """What to buy besides the parts list."""
    w = m.words
    blocks: list[Block] = [
        Text(w.say("order.what-this-is")),
        m.cautions("batteries-travel", "no-mixing"),
    ]
    for table in order_tables(m, order):
        blocks += [Heading(table.title), Table(table.columns, table.rows, "", table.size, table.total)]
    if order.open_ends:
        blocks.append(Text(w.say("order.open-ends", n=order.open_ends), "strong"))
    blocks += [Heading(w.say("order.receive")), Points(w.all("order.receive-checks"), "boxes")]
    return m.doc("order", blocks, lying=True)


def order_tables(m: Material, order: Order) -> tuple[Table, ...]:
    """Spares, cable, lugs."""
    w, u, currency = m.words, m.units, order.currency
    cables = Table(
        (
            Column(w.say("order.cable"), part=4), Column(w.say("cuts.colour"), part=2), Column(w.say("order.pieces"), 0, 1), Column(w.say("order.to-cut"), 2, 2, u.length),
            Column(w.say("order.to-buy"), 2, 2, u.length), Column(w.say("order.record"), part=4, unknown="?"), Column(w.say("order.price-metre"), 2, 2, f"{currency}/m"),
            Column(w.say("order.price"), 2, 2, currency, summed=True), Column(w.say("parts.mass-all"), 2, 2, u.mass), Column(w.say("order.untold"), part=3),
        ),
        tuple(
            (c.text or w.say("order.no-cable-named"), c.colour or "–", c.pieces, u.run(c.metres), u.run(c.bought_m), c.record or None, c.price_m, c.price, u.heavy(c.kg), ", ".join(c.unknown))
            for c in order.cables
        ),
        w.say("order.cables"), "small", w.say("parts.together"),
    )  # fmt: skip
    lugs = Table(
        (
            Column(w.say("order.lug-size"), part=2), Column(w.say("schedules.stud"), part=1), Column(w.say("parts.count"), 0, 1, summed=True), Column(w.say("parts.spares"), 0, 1),
            Column(w.say("order.record"), part=3, unknown="?"), Column(w.say("order.price"), 2, 2, currency, summed=True),
        ),
        tuple((x.size, x.stud, x.count, x.spares, x.record or None, x.price) for x in order.lugs),
        w.say("order.lugs"), "small", w.say("parts.together"),
    )  # fmt: skip
    spares = Table(
        (Column(w.say("parts.title-column"), part=4), Column(w.say("parts.references"), part=4), Column(w.say("parts.spares"), 0, 1), Column(w.say("order.price"), 2, 2, currency, summed=True)),
        tuple((p.title, ", ".join(p.references), p.spares, None if p.price is None else p.price * p.spares) for p in m.takeoff.parts if p.spares),
        w.say("order.spares"), "small", w.say("parts.together"),
    )  # fmt: skip
    return tuple(t for t in (cables, lugs, spares) if t.rows)


def coil_plan(m: Material, order: Order) -> tuple[Block, ...]:
    """Which piece comes off which coil, and what is left: the off-cut register."""
    w, u = m.words, m.units
    rows: list[tuple[str | float | None, ...]] = []
    for c in order.cables:
        if not c.pieces:
            continue
        told = " · ".join(x for x in (c.text, c.colour) if x)
        rows.append(
            (
                f"{told}   {w.say('coils.exact') if c.cutting.exact else w.say('coils.not-exact', bound=c.cutting.bound)}",
            )
        )
        for n, drum in enumerate((d for d in c.cutting.drums if d.pieces), 1):
            pieces = ", ".join(f"{name} {u.run(mm / 1000):.2f}" for name, mm in drum.pieces)
            rows.append(
                (
                    f"{w.say(f'coils.{drum.source}')} {n}",
                    u.run(drum.length_mm / 1000),
                    pieces,
                    u.run(drum.left_mm / 1000),
                    "",
                )
            )
        rows += [(w.say("coils.cut-already"), None, ", ".join(c.cut), None, "")] if c.cut else []
        rows += [(w.say("coils.to-length"), u.run(mm / 1000), name, 0.0, "") for name, mm in c.cutting.whole]
    columns = (
        Column(w.say("coils.from"), part=2),
        Column(w.say("coils.length"), 2, 1, u.length, unknown="–"),
        Column(w.say("coils.pieces"), part=8),
        Column(w.say("coils.left"), 2, 1, u.length, unknown="–"),
        Column(w.say("coils.stored"), part=2),
    )
    return (
        Heading(w.say("coils.title")),
        Text(w.say("coils.what-this-is")),
        Table(columns, tuple(rows), size="small"),
    )


def order_for(m: Material) -> Order:
    """The order of this job, in its currency."""
    return order_of(m.takeoff, m.shelf, m.rig.job.currency, m.bench)
