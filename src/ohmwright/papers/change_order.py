"""The change order: two pages at most that a customer reads and signs.

What changes, what follows from it heaviest first, what it costs and weighs, what was spent in vain, and which labels,
settings and papers are new.  Lines that find no room are counted and named as being in the check report.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from ohmwright.change.differences import Difference
from ohmwright.change.follows import RANKS, Follows, Moved, mass, of_array
from ohmwright.change.stranded import Stranded
from ohmwright.checks.types import Finding
from ohmwright.papers.doc import Block, Cell, Column, Doc, Fields, Heading, Points, Table, Text
from ohmwright.papers.labour import Costing, costing
from ohmwright.papers.material import Material
from ohmwright.papers.order_list import order_for
from ohmwright.papers.settings_sheet import told as setting_told
from ohmwright.working import QuantityError, grouped, tell

#: Figures from this rank on are counted, not judged: they stand under money and weight.
COUNTED = 5
#: What a line names by its part or cable alone, not by the whole address.
OWN_NAME = ("", "is", "cable", "array")
#: A figure that moved by less than this part of itself and turned nothing is counted only.
SMALL = 0.02
#: Roofs of what a table cell holds, so that a long name cannot push a signature off the paper.
MOST_LETTERS = 150


@dataclass(frozen=True, slots=True)
class Change:
    """Both states of a job and what lies between them. `was` and `becomes` name the states; `number` is the order's."""

    old: Material
    new: Material
    follows: Follows
    stranded: tuple[Stranded, ...]
    was: str
    becomes: str
    number: int


@dataclass(frozen=True, slots=True)
class Rows:
    """How many lines each part may have."""

    changes: int
    figures: int
    findings: int
    small: int
    letters: int = MOST_LETTERS


#: From generous to tight; the first that makes two pages is taken.
ROOMS = (
    Rows(24, 30, 12, 16),
    Rows(20, 20, 10, 12),
    Rows(16, 14, 10, 10),
    Rows(12, 8, 10, 8),
    Rows(10, 7, 10, 6),
    Rows(12, 10, 8, 8),
    Rows(12, 10, 6, 7),
    Rows(9, 8, 5, 5, 110),
    Rows(6, 5, 4, 3, 70),
)


def change_order(c: Change, rows: Rows) -> Doc:
    """The order with as many lines as `rows` gives."""
    m, w = c.new, c.new.words
    blocks: list[Block] = [
        Text(w.say("change.what-this-is", number=c.number, was=c.was, becomes=c.becomes), "lead"),
        Heading(w.say("change.changes"), 2),
        _changes(c, rows),
        Heading(w.say("change.new"), 2),
        *_findings(c, c.follows.findings_new, rows, "change.none-new"),
        Heading(w.say("change.gone"), 2),
        *_findings(c, c.follows.findings_gone, rows, "change.none-gone", short=True),
        Heading(w.say("change.follows"), 2),
        *_figures(c, rows),
        Heading(w.say("change.money"), 2),
        _money(c),
        *_unpriced(c),
        Heading(w.say("change.stranded"), 2),
        *_stranded(c, rows),
        Heading(w.say("change.again"), 2),
        Points(tuple(_short(x, 4 * rows.letters) for x in _again(c, rows))),
        Text(w.say("change.state", statement=m.statement), "strong"),
        m.cautions("old-state", "array-live", "bank-energy", "who-may-change"),
        Fields(tuple((x, "") for x in w.all("change.signatures")), 2),
    ]
    return m.doc("change", blocks)


def changed_addresses(f: Follows) -> tuple[str, ...]:
    """Parts, runs and loads that a drawing of the new state marks."""
    heads = dict.fromkeys(
        d.address.removeprefix("settings.").partition(".")[0] for d in f.changes if d.how != "removed"
    )
    return tuple(h for h in heads if " " not in h and h not in ("job", "host", "use"))


def removed_addresses(f: Follows) -> tuple[str, ...]:
    """Parts, runs and loads that the new state has no more: a drawing of the old one ticks them."""
    return tuple(
        dict.fromkeys(d.address for d in f.changes if d.how == "removed" and not set(d.address) & set(". "))
    )


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def _more(c: Change, rows: list[tuple[Cell, ...]], most: int) -> tuple[tuple[Cell, ...], ...]:
    """As many lines as there is room for, and how many are left out."""
    if len(rows) <= most:
        return tuple(rows)
    return (*rows[: most - 1], (c.new.words.say("change.more", n=len(rows) - most + 1),))


def _who(c: Change, names: Sequence[str], most: int) -> str:
    if len(names) <= most:
        return ", ".join(names)
    return c.new.words.say("change.and-more", some=", ".join(names[:most]), n=len(names) - most)


def _changes(c: Change, rows: Rows) -> Table:
    w = c.new.words
    columns = tuple(
        Column(w.say(f"change.{name}"), part=part) for name, part in (("what", 3), ("was", 4), ("becomes", 4))
    )
    told = [
        (
            _short(_who(c, names, 8), rows.letters),
            _short(was or "–", rows.letters),
            _short(becomes or "–", rows.letters),
        )
        for names, was, becomes in _lines(c)
    ]
    return Table(columns, _more(c, list(told), rows.changes), size="small")


def _lines(c: Change) -> Iterator[tuple[list[str], str, str]]:
    """What, was, becomes: parts by their titles, alike things in one line, runs that only lie otherwise together."""
    w = c.new.words
    alike: dict[tuple[str, str, str], list[str]] = {}
    wires: dict[str, dict[str, None]] = {"added": {}, "removed": {}, "changed": {}}
    runs = {*c.old.rig.runs, *c.new.rig.runs}
    for d in c.follows.changes:
        head, _, key = d.address.partition(".")
        if head in runs and key != "cable":
            wires[d.how][head] = None
        elif not d.address.startswith(("settings.", "looked-at ", "job.stage")):
            was, becomes = _titled(c.old, d, d.was), _titled(c.new, d, d.becomes)
            alike.setdefault((was, becomes, "" if key in OWN_NAME else key), []).append(
                head if key in OWN_NAME else d.address
            )
    for (was, becomes, _), names in sorted(alike.items(), key=lambda x: _weight(c, x[1])):
        yield names, was, becomes
    for how in ("removed", "added", "changed"):
        if wires[how]:
            names = list(wires[how])
            yield [w.say("change.runs", first=names[0]), *names[1:]], *_wire_words(c, how)


def _weight(c: Change, names: Sequence[str]) -> int:
    """Parts before everything else, in the order of the file."""
    return 0 if any(n in c.old.rig.parts or n in c.new.rig.parts for n in names) else 1


def _wire_words(c: Change, how: str) -> tuple[str, str]:
    w = c.new.words
    return {
        "removed": (w.say("change.run-there"), w.say("change.run-goes")),
        "added": ("", w.say("change.run-new")),
        "changed": (w.say("change.run-there"), w.say("change.run-otherwise")),
    }[how]


def _titled(m: Material, d: Difference, text: str) -> str:
    """A part by its title and count, not by its shelf entry; anything else as the file has it."""
    head, _, key = d.address.partition(".")
    part = m.rig.parts.get(head)
    if part is not None and key == "array" and part.strings:
        return m.words.say("change.array", series=part.per_string, strings=part.strings)
    if part is None or not text or key not in ("", "is"):
        return text
    members = sum(1 for p in m.rig.parts.values() if p.group == head and p.record.id == part.record.id)
    return f"{members} × {part.record.title}" if members > 1 else part.record.title


def _findings(
    c: Change, findings: tuple[Finding, ...], rows: Rows, none: str, *, short: bool = False
) -> Iterator[Block]:
    """One line for each rule and word, heaviest first, with the subjects it is about."""
    w = c.new.words
    if not findings:
        yield Text(w.say(none))
        return
    alike: dict[tuple[str, str], list[Finding]] = {}
    for f in sorted(findings, key=lambda f: (f.verdict != "fail", RANKS[f.severity])):
        alike.setdefault((f.number, _word(c, f)), []).append(f)
    told: list[tuple[Cell, ...]] = []
    for (number, word), fs in alike.items():
        subjects = _who(c, list(dict.fromkeys(f.subject for f in fs)), 5)
        said = _title(fs[0]) if short else fs[0].message
        told.append((word, number, _short(subjects, rows.letters), _short(said, 2 * rows.letters)))
    columns = tuple(
        Column(w.say(f"change.{name}"), part=part)
        for name, part in (("word", 3), ("rule", 1), ("where", 4), ("said", 8))
    )
    yield Table(columns, _more(c, told, rows.findings), size="small")


def _title(f: Finding) -> str:
    from ohmwright.checks.registry import rules

    return rules()[f.rule].title


def _word(c: Change, f: Finding) -> str:
    w = c.new.words
    return (
        w.say(f"tag.{f.severity}")
        if f.verdict == "fail"
        else w.say("change.untold", severity=w.say(f"severity.{f.severity}"))
    )


def _figures(c: Change, rows: Rows) -> Iterator[Block]:
    """One line for each figure; where it moved for many subjects, for the one that moved the farthest."""
    w = c.new.words
    alike: dict[str, list[Moved]] = {}
    small = 0
    for m in c.follows.moved:
        if m.rank >= COUNTED or of_array(m):
            continue
        turned = m.verdict_before != m.verdict_after and "fail" in (m.verdict_before, m.verdict_after)
        if not turned and (m.before is None or m.after is None):
            continue
        same_limit = m.limit_before == m.limit_after
        if m.far < SMALL and m.verdict_before == m.verdict_after and same_limit:
            small += 1
        else:
            alike.setdefault(m.name, []).append(m)
    if not alike:
        yield Text(w.say("change.none-follows"))
        return
    told: list[tuple[Cell, ...]] = []
    for name, ms in alike.items():
        m = next((x for x in ms if x.before is not None and x.after is not None), ms[0])
        where = m.subject if len(ms) == 1 else w.say("change.and-more", some=m.subject, n=len(ms) - 1)
        told.append(
            (
                _short(name, rows.letters), _short(where, rows.letters), _amount(c, m.before, m.limit_before, m.unit),
                _amount(c, m.after, m.limit_after, m.unit), _turn(c, m),
            )
        )  # fmt: skip
    columns = tuple(
        Column(w.say(f"change.{col}"), part=part)
        for col, part in (("figure", 6), ("where", 3), ("before", 4), ("after", 4), ("verdict", 4))
    )
    yield Table(columns, _more(c, told, rows.figures), size="small")
    if small:
        yield Text(w.say("change.small", n=small), "note")


def _amount(c: Change, value: float | None, limit: float | None, unit: str) -> str:
    if value is None:
        return "–"
    told = _said(value, unit)
    return told if limit is None else c.new.words.say("change.against", value=told, limit=_said(limit, unit))


def _said(value: float, unit: str) -> str:
    if unit in ("", "1"):
        return f"{value:.4g}"
    try:
        return tell(value, unit, 4)
    except (QuantityError, KeyError, ValueError):
        return f"{value:.4g} {unit}"


def _turn(c: Change, m: Moved) -> str:
    w = c.new.words
    was, now = (
        w.say(f"verdict.{v}") if v else w.say("change.not-judged")
        for v in (m.verdict_before, m.verdict_after)
    )
    if not m.verdict_before and not m.verdict_after:
        return ""
    return now if was == now else f"{was} → {now}"


def _money(c: Change) -> Table:
    """The array and its line, price, work, weight and waiting, before and after."""
    w, u = c.new.words, c.new.units
    old, new = (costing(m, order_for(m)) for m in (c.old, c.new))
    one = old.currency == new.currency
    rows: list[tuple[Cell, ...]] = []

    def line(name: str, pair: Sequence[Decimal | float | None], digits: int = 2) -> None:
        a, b = pair
        moved = (
            None
            if a is None or b is None
            else round(round(float(b), digits) - round(float(a), digits), digits)
        )
        sign = "+" if moved and moved > 0 else ""
        rows.append((name, _plain(a, digits), _plain(b, digits), sign + _plain(moved, digits)))

    if one:
        money = f", {new.currency}" if new.currency else ""
        line(w.say("change.material") + money, (old.material, new.material))
        for i, name in enumerate(("low", "high")):
            asked = [x.told[i] if x.told else None for x in (old, new)]
            line(w.say(f"change.price-{name}") + money, asked, 0)
    line(w.say("change.hours-low"), (old.low_hours, new.low_hours), 1)
    line(w.say("change.hours-high"), (old.high_hours, new.high_hours), 1)
    for m in c.follows.moved:
        if of_array(m) and None not in (m.before, m.after):
            pair = [None if x is None else u.any(x, m.unit)[0] for x in (m.before, m.after)]
            unit = "" if m.unit in ("", "1") else f", {u.any(0.0, m.unit)[1]}"
            line(f"{m.name}, {m.subject}{unit}", pair, 0 if m.unit == "1" else 2)
    masses = [u.heavy(mass(m.takeoff)) for m in (c.old, c.new)]
    line(f"{w.say('change.mass')}, {u.mass}", masses, 1)
    line(w.say("change.days"), _waits(c), 0)
    if c.old.year is not None and c.new.year is not None:
        for key in ("p50", "p90"):
            line(
                w.say(f"change.nights-{key}"),
                [m.year.nights_lost.get(key) if m.year else None for m in (c.old, c.new)],
                0,
            )
        line(
            f"{w.say('change.unserved')}, kWh",
            [sum(x.unserved_kWh for x in m.year.months) if m.year else None for m in (c.old, c.new)],
            1,
        )
    columns = (
        Column(w.say("quote.item"), part=6),
        *(Column(w.say(f"change.{x}"), part=3) for x in ("before", "after", "difference")),
    )
    return Table(columns, tuple(rows), size="small")


def asked_moved(old: Material, new: Material) -> tuple[Moved, ...]:
    """Price asked, hours of work and days of delivery, as far as they moved."""
    was, now = (costing(m, order_for(m)) for m in (old, new))
    out: list[Moved] = []

    def pair(name: str, unit: str, before: Decimal | float | None, after: Decimal | float | None) -> None:
        a, b = (None if x is None else round(float(x), 1) for x in (before, after))
        if a != b:
            out.append(Moved(name, "rig", unit, a, b, rank=5))

    if was.currency == now.currency:
        for i, name in enumerate(("low", "high")):
            asked = [x.told[i] if x.told else None for x in (was, now)]
            pair(f"price asked, {name}", now.currency, asked[0], asked[1])
    pair("hours of work, low", "h", was.low_hours, now.low_hours)
    pair("hours of work, high", "h", was.high_hours, now.high_hours)
    pair("longest delivery", "day", _longest_days(old), _longest_days(new))
    return tuple(out)


def _plain(value: Decimal | float | None, digits: int) -> str:
    return "?" if value is None else grouped(value, digits).replace("-", "−")


def _waits(c: Change) -> tuple[int | None, int | None]:
    """The longest delivery of any part, before and after."""
    return _longest_days(c.old), _longest_days(c.new)


def _longest_days(m: Material) -> int | None:
    return max((p.lead_days for p in m.takeoff.parts if p.lead_days is not None), default=None)


def _unpriced(c: Change) -> Iterator[Block]:
    w = c.new.words
    counts = [len(x.unpriced) for x in (_cost(c.old), _cost(c.new))]
    if any(counts):
        yield Text(w.say("change.unpriced", before=counts[0], after=counts[1]), "strong")
    if c.old.rig.job.currency != c.new.rig.job.currency:
        yield Text(
            w.say(
                "change.currencies", was=c.old.rig.job.currency or "?", becomes=c.new.rig.job.currency or "?"
            ),
            "strong",
        )
    yield Text(w.say("change.price-note"), "note")


def _cost(m: Material) -> Costing:
    return costing(m, order_for(m))


def _stranded(c: Change, rows: Rows) -> Iterator[Block]:
    w = c.new.words
    if not c.stranded:
        yield Text(w.say("change.none-stranded"))
        return
    columns = (
        Column(w.say("change.where"), part=2), Column(w.say("change.what"), part=5), Column(w.say("change.event"), part=2), Column(w.say("change.dated"), part=2),
        Column(w.say("change.amount"), part=2),
    )  # fmt: skip
    told: list[tuple[Cell, ...]] = [
        (s.address, _short(s.what, rows.letters), s.event, s.dated, "?" if s.amount is None else f"{s.amount:.2f} {s.currency}")
        for s in c.stranded
    ]  # fmt: skip
    yield Table(columns, _more(c, told, rows.small), size="small")
    for currency in sorted({s.currency for s in c.stranded if s.amount is not None}):
        total = sum(
            (s.amount for s in c.stranded if s.amount is not None and s.currency == currency), Decimal(0)
        )
        yield Text(w.say("change.stranded-sum", amount=f"{total:.2f}", currency=currency), "strong")
    untold = sum(s.amount is None for s in c.stranded)
    if untold:
        yield Text(w.say("change.stranded-untold", n=untold))


def _again(c: Change, rows: Rows) -> Iterator[str]:
    """Labels, settings and papers that are new."""
    w, f = c.new.words, c.follows
    for key, labels in (("change.labels-off", f.labels_gone), ("change.labels-new", f.labels_new)):
        if labels:
            yield w.say(key, n=len(labels), some=_who(c, [x.partition(" ")[0] for x in labels], rows.small))
    if not f.labels_gone and not f.labels_new:
        yield w.say("change.no-labels")
    yield from _settings(c, rows)
    papers = sorted({p.rpartition(".")[0] for p in f.papers} - {"contents", "binder"})
    yield (
        w.say("change.papers", n=len(papers), some=_who(c, papers, 40))
        if papers
        else w.say("change.no-papers")
    )


def _settings(c: Change, rows: Rows) -> Iterator[str]:
    """Settings of devices that are to be made again: each with the value before and after."""
    w = c.new.words
    told = []
    old, new = c.old.rig.settings, c.new.rig.settings
    for part in dict.fromkeys((*old, *new)):
        for key in dict.fromkeys((*old.get(part, {}), *new.get(part, {}))):
            was, becomes = (
                setting_told(m, s[part][key]) if key in s.get(part, {}) else "–"
                for m, s in ((c.old, old), (c.new, new))
            )
            if was != becomes:
                told.append(f"{part} {key}: {was} → {becomes}")
    swapped = [
        d.address.partition(".")[0]
        for d in c.follows.changes
        if d.address.endswith(".is") and d.address.partition(".")[0] in new
    ]
    if told:
        yield w.say(
            "change.settings",
            n=len(told),
            some="; ".join(told[: rows.small]) + ("; …" if len(told) > rows.small else ""),
        )
    if swapped:
        yield w.say("change.settings-swapped", some=_who(c, swapped, 8))
    if not told and not swapped:
        yield w.say("change.no-settings")
