"""What it costs: two pages for the customer, in nights and appliances; and the costing that stays in the shop."""

from collections.abc import Iterator
from itertools import combinations

from ohmwright.checks.place.weight import laden_of
from ohmwright.energy.types import Year
from ohmwright.papers.doc import Block, Break, Cell, Column, Doc, Heading, Points, Table, Text
from ohmwright.papers.labour import Costing, costing
from ohmwright.papers.loads import ac_loads, carried_power, lasting_power
from ohmwright.papers.material import Material
from ohmwright.papers.options import Bid, tabulation
from ohmwright.papers.order_list import order_for
from ohmwright.papers.outside import outside
from ohmwright.papers.year_pictures import buys
from ohmwright.rig.model import Load
from ohmwright.working import grouped, known, tell

#: Changes that the quote names: what helps most. Beside options there is room for fewer on its two pages.
MOST_BUYS, MOST_BUYS_BESIDE = 3, 2


def quote(m: Material, cost: Costing) -> Doc:
    """Two pages in the customer's words; no part numbers."""
    w = m.words
    blocks: list[Block] = [Text(w.say("quote.what-this-is"), "lead"), Heading(w.say("quote.does"))]
    blocks += list(promised(m))
    blocks += [Heading(w.say("quote.together"))]
    blocks += list(together(m, in_a_line=True))
    blocks += [Heading(w.say("quote.get"))]
    if m.stage == "as found":
        blocks.append(Text(w.say("quote.as-found"), "strong"))
    blocks.append(Points(tuple(_what(m))))
    blocks += list(weight_left(m))
    blocks += [
        m.cautions("array-live", "bank-energy", "who-may-change"),
        *((Break(),) if m.stage != "as found" else ()),
        Heading(w.say("quote.price")),
        _price(m, cost),
        *_offered(m, cost),
    ]
    if cost.unpriced:
        blocks.append(Text(w.say("quote.unpriced", n=len(cost.unpriced)), "strong"))
    blocks.append(Text(m.statement, "strong"))
    if any(f.verdict == "fail" and f.severity == "danger" for f in m.findings):
        blocks.append(Text(w.say("quote.dangers"), "strong"))
    if m.options:
        blocks += tabulation((Bid(m, cost), *(Bid(o, costing(o, order_for(o))) for o in m.options)))
    blocks += [Text(x, "strong") for x in m.options_note]
    blocks += list(buys(m, MOST_BUYS_BESIDE if m.options else MOST_BUYS))
    blocks += list(_terms(m))
    return m.doc("quote", blocks)


def _offered(m: Material, cost: Costing) -> Iterator[Block]:
    """How long a price holds and when the rig runs; nothing of it for a rig as it was found, which is no offer."""
    if m.stage != "as found":
        yield Text(m.words.say("quote.valid", days=cost.valid_days, dated=m.dated))
        yield Text(_days(m, cost))


def _terms(m: Material) -> Iterator[Block]:
    w = m.words
    if m.stage == "as found":
        return
    yield Heading(w.say("quote.not-in"), 2)
    yield Points(w.all("quote.exclusions"))
    yield Heading(w.say("quote.payment"), 2)
    yield Points(w.all("quote.payments"))
    yield Heading(w.say("quote.warranty"), 2)
    yield Text(w.say("quote.warranty-words"))


def _days(m: Material, cost: Costing) -> str:
    lead = [p.lead_days for p in m.takeoff.parts if p.lead_days is not None]
    return m.words.say(
        "quote.days", days=max(lead, default="?"), low=f"{cost.low_hours:.0f}", high=f"{cost.high_hours:.0f}"
    )


def promised(m: Material) -> Iterator[Block]:
    """The promises with what the year gives; the limit said aloud."""
    w = m.words
    said = {p.words.get("said") for p in m.rig.use.promises}
    if m.year is None:
        # what to write into the file is for the shop: it stands on the energy page
        note = m.year_note.partition("; ")[0].rstrip(".")
        yield Text(f"{note}." if note else w.say("energy.none"), "strong")
    elif m.year.promises:
        yield Points(
            tuple(
                w.say(
                    {True: "quote.kept", False: "quote.not-kept", None: "quote.untold"}[p.kept],
                    name=p.name,
                    asked=f"“{p.asked.rstrip('.')}”" if p.asked in said else m.said(p.asked.rstrip(".")),
                    got=m.said(p.got.rstrip(".")),
                )
                for p in m.year.promises
            )
        )
    yield from (Text(sentence, "strong") for sentence in (m.year.verdict if m.year else ()))
    if m.year is not None:
        yield Text(w.say("quote.years" if m.year.years > 1 else "quote.one-year", n=m.year.years), "note")
    others = outside(m)
    key = "quote.short-stay" if others else "quote.short-stay-sun"
    for stay in _short_stays(m.year):
        yield Text(w.say(key, stay=stay[0], shortfall=grouped(stay[1]), days=stay[2], outside=others))


def _short_stays(year: Year | None) -> list[tuple[str, float, int]]:
    """What is missing on each of the days of the typical year that lack something, and how many they are."""
    return [
        (s.name, 10.0 * round(100.0 * s.unserved_kWh / s.short_days), s.short_days)
        for s in (year.stays if year else ())
        if s.short_days
    ]


def together(m: Material, *, in_a_line: bool = False) -> Iterator[Block]:
    """What the inverter carries, and which pairs are too much for it; `in_a_line` where every appliance runs by itself."""
    w = m.words
    named = sorted(ac_loads(m), key=lambda x: -x[1])
    loads = [x for x in named if set(x[0].only) != {"shore"}]
    inverters = (*m.rig.of_kind("inverter-charger"), *m.rig.of_kind("inverter"))
    if not inverters or not named:
        yield Text(w.say("quote.no-ac"))
        return
    for p in inverters:
        rated, power = lasting_power(p), carried_power(m, p)
        if rated is None or power is None:
            yield Text(w.say("quote.inverter-unknown", part=p.record.title))
            continue
        told, at = tell(rated.value, "W", 4), rated.condition or "?"
        if power.value < rated.value:
            yield Text(w.say("quote.bank-bears", rated=told, condition=at, watts=tell(power.value, "W", 2)))
        else:
            yield Text(w.say("quote.carries", watts=told, condition=at))
        if not loads:
            continue
        if in_a_line and all(watts <= power.value for _, watts in loads):
            each = ", ".join(f"{x.id} {tell(watts, 'W', 4)}" for x, watts in loads)
            yield Text(f"{w.say('quote.each')} {each}.")
            yield from _pairs(m, loads, power.value)
            continue
        yield Text(w.say("quote.each"))
        yield Table(
            (
                Column(w.say("schedules.load")),
                Column(w.say("schedules.power"), 0, 0, "W"),
                Column(w.say("quote.alone")),
            ),
            tuple(
                (x.id, watts, w.say("quote.yes") if watts <= power.value else w.say("quote.no"))
                for x, watts in loads
            ),
            size="small",
        )
        yield from _pairs(m, loads, power.value)
    yield from _left_out(m, [x.id for x, _ in named], [x.id for x, _ in loads])


def _pairs(m: Material, loads: list[tuple[Load, float]], most_W: float) -> Iterator[Block]:
    """Which two are too much together."""
    w = m.words
    pairs = [
        f"{a.id} + {b.id} ({grouped(wa + wb)} W)"
        for (a, wa), (b, wb) in combinations(loads, 2)
        if wa <= most_W and wb <= most_W < wa + wb
    ]
    if pairs:
        yield Text(w.say("quote.pairs-too-much", pairs=", ".join(pairs)))
    elif len(loads) > 1 and all(watts <= most_W for _, watts in loads):
        yield Text(w.say("quote.all-pairs" if len(loads) > 2 else "quote.both"))


def _left_out(m: Material, named: list[str], on_bank: list[str]) -> Iterator[Block]:
    """Loads on alternating current of which the table says nothing."""
    ac = {t.owner for t in m.study.graph.terminals.values() if t.pole in ("L", "L1")}
    unknown = [x for x in m.rig.use.loads if x in ac and x not in named]
    outside = [x for x in named if x not in on_bank]
    if outside:
        yield Text(m.words.say("quote.outside-only", loads=", ".join(outside)))
    if unknown:
        yield Text(m.words.say("quote.power-unknown", loads=", ".join(unknown)))


def _what(m: Material) -> Iterator[str]:
    """What is built, in plain words: kinds and counts, no numbers of a shelf."""
    for p in m.takeoff.parts:
        if p.kind in (
            "module",
            "battery",
            "inverter-charger",
            "inverter",
            "pv-controller",
            "dcdc-charger",
            "generator",
            "shore-inlet",
            "shunt",
            "hydrogenerator",
            "wind-generator",
            "isolation-transformer",
        ):
            yield f"{p.count} × {p.title}"


def weight_left(m: Material) -> Iterator[Block]:
    """Gross rating less the laden weight, where the host has wheels."""
    w, u = m.words, m.units
    if m.rig.host.kind in ("boat", "cabin"):
        return
    laden, missing = laden_of(m.study)
    gross = known(m.rig.host.masses["gvwr"]) if "gvwr" in m.rig.host.masses else None
    if any(x.startswith("host.masses") for x in missing):
        yield Text(w.say("quote.weight-unweighed"), "strong")
    elif laden is None:
        lacking = ", ".join(dict.fromkeys(x.removesuffix(".mass") for x in missing))
        yield Text(w.say("quote.weight-untold", missing=lacking), "strong")
    elif gross is None:
        yield Text(w.say("quote.weight-unrated"), "strong")
    else:
        left = u.heavy(gross.value - laden.value)
        yield Text(
            w.say(
                "quote.weight-left",
                left=f"{left:.0f} {u.mass}",
                laden=f"{u.heavy(laden.value):.0f} {u.mass}",
                gross=f"{u.heavy(gross.value):.0f} {u.mass}",
            ),
            "strong",
        )


def _price(m: Material, cost: Costing) -> Table:
    w = m.words
    told = cost.told
    columns = (
        Column(w.say("quote.item")),
        Column(w.say("quote.low"), 0, 0, cost.currency, unknown="____"),
        Column(w.say("quote.high"), 0, 0, cost.currency, unknown="____"),
    )
    return Table(columns, ((w.say("quote.whole"), *(told or (None, None))),))


def costing_sheet(m: Material, cost: Costing) -> Doc:
    """The shop's own sheet."""
    w = m.words
    minutes = m.tasks
    work: tuple[tuple[Cell, ...], ...] = tuple(
        (w.say(f"task.{x.name}"), x.count, x.low_min, x.high_min) for x in cost.tasks
    )
    money: list[tuple[Cell, ...]] = [
        (w.say("cost.parts"), cost.parts), (w.say("cost.spares"), cost.spares), (w.say("cost.cable"), cost.cable), (w.say("cost.lugs"), cost.lugs),
        (w.say("cost.consumables", percent=minutes.consumables[1]), cost.consumables),
    ]  # fmt: skip
    blocks: list[Block] = [
        Text(w.say("cost.what-this-is")),
        Table((Column(w.say("cost.task")), Column(w.say("parts.count"), 0), Column(w.say("cost.low"), 0, 0, "min", summed=True), Column(w.say("cost.high"), 0, 0, "min", summed=True)), work, w.say("cost.work"), total=w.say("parts.together")),
        Table((Column(w.say("quote.item")), Column(w.say("cost.money"), 2, 0, cost.currency, summed=True)), tuple(money), w.say("cost.material"), total=w.say("parts.together")),
        Text(w.say("cost.rate", rate=cost.rate if cost.rate is not None else "____", currency=cost.currency, origin=cost.rate_origin, low=cost.low_hours, high=cost.high_hours)),
        _asked(m, cost),
    ]  # fmt: skip
    if cost.unpriced:
        blocks += [Heading(w.say("cost.unpriced"), 2), Points(cost.unpriced)]
    return m.doc("cost", blocks)


def _asked(m: Material, cost: Costing) -> Table:
    w, asked = m.words, cost.asked
    labour = None if cost.rate is None else (cost.low_hours * cost.rate, cost.high_hours * cost.rate)
    rows: tuple[tuple[Cell, ...], ...] = (
        (w.say("cost.material"), cost.material, cost.material),
        (w.say("cost.labour"), *(labour or (None, None))),
        (w.say("cost.with-margin", percent=cost.margin_percent), *(asked or (None, None))),
        (w.say("cost.told"), *(cost.told or (None, None))),
    )
    columns = (
        Column(w.say("quote.item")),
        Column(w.say("quote.low"), 2, 0, cost.currency),
        Column(w.say("quote.high"), 2, 0, cost.currency),
    )
    return Table(columns, rows, w.say("cost.price"))
