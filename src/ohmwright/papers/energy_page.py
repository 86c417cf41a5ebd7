"""The energy page: the year month by month, its promises, and what is not known of it."""

from collections.abc import Iterator

from ohmwright.energy.types import Drain, Storage, Year
from ohmwright.papers.doc import Block, Cautions, Cell, Column, Doc, Heading, Points, Table, Text
from ohmwright.papers.material import Material
from ohmwright.papers.year_pictures import bad_week, buys, months_picture, nights_by_age, sizes

#: Sums of the ledger that are no energy, by how their names end.
_NOT_kWh = {"_hours": "h", "_h": "h", "_L": "L", "_days": "d"}


def energy_page(m: Material) -> Doc:
    """The year, or the reason why there is none."""
    blocks: list[Block] = []
    if m.year is None:
        blocks += [Text(m.words.say("energy.none"), "lead"), Text(m.year_note), _cautions(m)]
    else:
        blocks += [*_told(m, m.year)]
    return m.doc("energy", blocks)


def _cautions(m: Material) -> Cautions:
    return m.cautions("energy-is-likelihood", "array-live", "no-charge-cold")


def _told(m: Material, y: Year) -> Iterator[Block]:
    w = m.words
    yield from (Text(sentence, "lead") for sentence in y.verdict)
    yield Text(w.say("energy.where", place=_place(m, y), years=y.years))
    if y.promises:
        yield Heading(w.say("energy.promises"), 2)
        yield Table(
            (
                Column(w.say("energy.promise"), part=3),
                Column(w.say("energy.asked"), part=2),
                Column(w.say("energy.got"), part=3),
                Column(w.say("energy.kept"), part=1),
            ),
            tuple(
                (
                    p.name,
                    p.asked,
                    p.got,
                    w.say({True: "energy.yes", False: "energy.no", None: "energy.untold"}[p.kept]),
                )
                for p in y.promises
            ),
        )
    yield _cautions(m)
    yield Heading(w.say("energy.months"), 2)
    yield _almanac(m, y)
    yield Text(w.say("energy.months-note"), "note")
    nights = tuple((w.say(f"energy.nights-{k}"), y.nights_lost.get(k)) for k in ("p50", "p90", "p95"))
    if any(n is not None for _, n in nights):
        yield Table((Column(w.say("energy.nights-lost")), Column(w.say("energy.nights"), 1)), nights)
    else:
        yield Text(w.say("energy.nights-untold"), "note")
    yield months_picture(m, y)
    yield from bad_week(m, y)
    yield from sizes(m, y)
    yield from buys(m)
    if y.stays:
        yield Heading(w.say("energy.stays"), 2)
        yield _stays(m, y)
    yield Heading(w.say("energy.ledger"), 2)
    yield _ledger(m, y)
    yield from _stored(m, y)
    yield from _worn(m, y)
    for title, items in (("energy.notes", y.notes), ("energy.assumptions", y.assumptions)):
        if items:
            yield Heading(w.say(title), 2)
            yield Points(items)


def _ledger(m: Material, y: Year) -> Table:
    """Sums of the year; hours, litres and days stand among them with their own unit."""
    w, u = m.words, m.units
    rows: list[tuple[Cell, ...]] = []
    for key, value in y.ledger_kWh.items():
        unit = next((unit for ending, unit in _NOT_kWh.items() if key.endswith(ending)), "kWh")
        amount, told = u.any(value, unit)
        amount = round(amount) + 0.0
        named = key.replace("_", "-")
        if key == "engine":
            turned = [k for k in ("hydrogenerator", "wind-generator") if m.rig.of_kind(k)]
            named = "-and-".join(("engine", *turned))
        if amount:
            name = w.texts.get(f"energy.sums.{named}", key.replace("_", " "))
            rows.append((name, amount, w.texts.get(f"energy.unit.{told}", told)))
    return Table((Column(w.say("energy.part")), Column(w.say("energy.year-sum"), 0), Column("")), tuple(rows))


def _stored(m: Material, y: Year) -> Iterator[Block]:
    """What draws on a laid-up bank, and the day by which somebody must act."""
    w = m.words
    for s in y.storage:
        yield Heading(w.say("energy.storage", stay=s.stay), 2)
        yield Text(told_storage(m, s), "strong")
        yield Table(
            (
                Column(w.say("energy.drain")),
                Column(w.say("energy.draw"), 1, 0, "W"),
                Column(w.say("energy.live")),
            ),
            tuple(
                (
                    _drain(m, d),
                    d.draw_W,
                    w.say("energy.ahead") if d.stays_live else w.say("energy.behind"),
                )
                for d in s.drains
            ),
        )


def _drain(m: Material, d: Drain) -> str:
    """What draws, by its title where it is a part."""
    part = m.rig.parts.get(d.subject)
    own = part is not None and d.what == part.kind.name.replace("-", " ")
    return f"{d.subject}: {part.record.title if own and part else d.what}"


def told_storage(m: Material, s: Storage) -> str:
    """How long the bank lasts when it is laid up, and when to act."""
    key = "energy.lasts" if s.lasts_the_stay else "energy.does-not-last"
    early, likely, late = s.floor_on
    return m.words.say(
        key, days=f"{s.days_to_floor[1]:.0f}", early=early, likely=likely, late=late, act=s.act_before
    )


def _worn(m: Material, y: Year) -> Iterator[Block]:
    """What is left of the bank after some years of this use, as a band."""
    if y.ageing is None or not y.ageing.capacity_ratio:
        return
    w, after = m.words, y.ageing.capacity_ratio
    yield Heading(w.say("energy.ageing"), 2)
    columns = (
        Column(w.say("energy.after"), 0),
        Column(w.say("energy.least"), 0, 0, "%"),
        Column(w.say("energy.most"), 0, 0, "%"),
    )
    yield Table(
        columns,
        tuple((n, 100 * after[n - 1][0], 100 * after[n - 1][1]) for n in (1, 5, 10, 15) if n <= len(after)),
    )
    yield from nights_by_age(m, y)
    yield Points(tuple(f"{x}." for x in y.ageing.words))


def _place(m: Material, y: Year) -> str:
    method = "; ".join(m.said(x) for x in str(y.place.get("method") or "").split("; "))
    told = " · ".join(x for x in (str(y.place.get("name") or ""), method) if x)
    band = y.place.get("band_pct")
    return f"{told} · ±{band:g} %" if isinstance(band, int | float) else told


def _almanac(m: Material, y: Year) -> Table:
    w = m.words
    columns = (
        Column(w.say("energy.month"), part=2),
        Column(w.say("energy.sun"), 0, 2, "kWh/m²", summed=True),
        Column(w.say("energy.array"), 0, 2, "kWh", summed=True),
        Column(w.say("energy.wants"), 0, 2, "kWh", summed=True),
        Column(w.say("energy.unserved"), 1, 2, "kWh", summed=True),
        Column(w.say("energy.curtailed"), 0, 2, "kWh", summed=True),
        Column(w.say("energy.lowest"), 0, 2, "%"),
    )
    months = w.all("energy.month-names")
    rows = tuple(
        (
            months[r.month - 1],
            r.irradiation_kWh_m2,
            r.array_kWh,
            r.load_kWh,
            r.unserved_kWh,
            r.curtailed_kWh,
            r.soc_min * 100,
        )
        for r in y.months
    )
    return Table(columns, rows, total=w.say("energy.year"))


def _stays(m: Material, y: Year) -> Table:
    w = m.words
    columns = (
        Column(w.say("energy.stay"), part=4),
        Column(w.say("energy.days"), 0, 1),
        Column(w.say("energy.wants"), 0, 2, "Wh/d"),
        Column(w.say("energy.array"), 0, 2, "Wh/d"),
        Column(w.say("energy.shortfall"), 0, 2, "Wh/d"),
        Column(w.say("energy.lowest"), 0, 1, "%"),
    )
    rows = tuple(
        (
            f"{s.name} ({s.mode})" if s.mode else s.name,
            s.days,
            s.load_Wh_per_day,
            s.array_Wh_per_day,
            s.shortfall_Wh_per_day,
            s.soc_min * 100,
        )
        for s in y.stays
    )
    return Table(columns, rows)
