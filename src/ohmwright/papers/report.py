"""The check report: what was found, how it was worked out, what cannot be told, and what was not looked at."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from math import isclose

from ohmwright.checks.registry import place, rules
from ohmwright.checks.sets import clause_in
from ohmwright.checks.types import Finding, Rule, Severity, Verdict
from ohmwright.papers.doc import Block, Column, Doc, Heading, Said, Table, Text, Worked
from ohmwright.papers.material import Material
from ohmwright.standards.types import Clause
from ohmwright.working import Step, number

SEVERITIES: tuple[Severity, ...] = ("danger", "fails", "disappoints", "note")
VERDICTS: tuple[Verdict, ...] = ("fail", "cannot-tell", "warn", "overridden", "pass", "skip")


def check_report(m: Material) -> Doc:
    """The report of all rules applied to this rig."""
    return m.doc(
        "report",
        [
            *_summary(m),
            *_open(m),
            *_cannot_tell(m),
            *_overridden(m),
            *_warned(m),
            *_passed(m),
            *_seen(m),
            *_silent(m),
            *_sources(m),
            *_named(m),
        ],
    )


def _summary(m: Material) -> Iterator[Block]:
    w = m.words
    fails = Counter(f.severity for f in m.findings if f.verdict == "fail")
    by_verdict = Counter(f.verdict for f in m.findings)
    yield Text(m.statement, "lead")
    yield Text(w.say("report.what-this-is"))
    if m.units.us:
        yield Text(w.say("report.in-metric"), "note")
    yield Table(
        tuple(Column(w.say(f"severity.{s}"), 0) for s in SEVERITIES),
        (tuple(fails[s] for s in SEVERITIES),),
        title=w.say("report.fails-by-severity"),
    )
    yield Table(
        tuple(Column(w.say(f"verdict.{v}"), 0) for v in VERDICTS),
        (tuple(by_verdict[v] for v in VERDICTS),),
        title=w.say("report.findings-by-verdict"),
    )
    yield m.cautions("paper-proves-nothing", "array-live", "bank-energy", "dead-first")


def _open(m: Material) -> Iterator[Block]:
    yield Heading(m.words.say("report.open"))
    found = [f for f in m.findings if f.verdict == "fail"]
    if not found:
        yield Text(m.words.say("report.none-open"))
    for severity in SEVERITIES:
        of_it = [f for f in found if f.severity == severity]
        if of_it:
            yield Heading(f"{m.words.say(f'severity.{severity}')} ({len(of_it)})", 2)
        yield from each(m, of_it)


def each(m: Material, findings: Iterable[Finding], *, worked: bool = True) -> Iterator[Block]:
    """The findings; those of one rule that say the same of several subjects stand once, with all of these."""
    for found in alike(findings):
        yield said(m, found, worked=worked)


def alike(findings: Iterable[Finding]) -> Iterator[list[Finding]]:
    """Findings by what they say, in the order of the first of each."""
    found: dict[tuple[object, ...], list[Finding]] = {}
    for f in findings:
        found.setdefault(_same(f), []).append(f)
    return iter(found.values())


def _same(f: Finding) -> tuple[object, ...]:
    """What two findings must share to be told as one: every word and number as printed, but not whose they are."""
    override = tuple(f.override.items()) if f.override else ()
    numbers = tuple(None if x is None else f"{x:.6g}" for x in (f.value, f.low, f.high, f.limit))
    told = (
        f.rule,
        f.verdict,
        f.severity,
        f.message,
        f.remedy,
        f.clause,
        f.edition,
        f.unit,
        f.origin_unverified,
    )
    return (*told, *numbers, f.path, override)


def _steps(f: Finding) -> list[Step]:
    steps = [s for last in f.steps for s in last.chain()]
    return [s for i, s in enumerate(steps) if s not in steps[:i]]


def said(m: Material, found: Sequence[Finding], *, worked: bool = True) -> Said:
    """A finding as it is printed, with every subject that it holds for; it is worked for the first."""
    w, f = m.words, found[0]
    times = Counter(x.subject for x in found)
    steps = _steps(f) if worked else []
    lines = [
        (w.say("report.remedy"), f.remedy),
        (w.say("report.clause"), " · ".join(x for x in (f.clause, f.edition) if x)),
        (w.say("report.missing"), ", ".join(dict.fromkeys(x for one in found for x in one.missing))),
        (w.say("report.path"), " – ".join(f.path)),
        (w.say("report.limit"), limit_of(m, f) if f.value is not None else ""),
        (w.say("report.rests-on"), w.say("report.unverified") if f.origin_unverified else ""),
        (
            w.say("report.worked"),
            w.say("report.worked-for", subject=f.subject) if steps and len(times) > 1 else "",
        ),
    ]
    if f.override:
        lines.append(
            (w.say("report.override"), ", ".join(f"{k}: {m.said(v)}" for k, v in f.override.items() if v))
        )
    sort = f.severity if f.verdict == "fail" else f.verdict
    word = w.say(f"tag.{sort}")
    extra = w.say(f"severity.{f.severity}") if f.verdict == "overridden" else ""
    most = max(times.values())
    again = f"  ·  {w.say('report.times', n=most)}" if len(times) == 1 and most > 1 else ""
    return Said(
        word,
        f.number,
        f"{', '.join(times)}  ·  {f.rule}{again}",
        f.message,
        tuple(x for x in lines if x[1]),
        tuple(_worked(s) for s in steps),
        extra,
        sort,
    )


def _worked(s: Step) -> Worked:
    origins = "; ".join(
        f"{i.symbol} = {number(i.value)}{'' if i.unit in ('', '1') else f' {i.unit}'}: {i.address or ''} {i.origin}".replace(
            "  ", " "
        )
        for i in s.inputs
        if i.step is None
    )
    unit = "" if s.unit in ("", "1") else f" {s.unit}"
    return Worked(
        s.symbol,
        s.formula,
        s.substituted,
        f"{number(float(f'{s.value:.6g}'))}{unit}",
        " · ".join(x for x in (origins, s.note) if x),
    )


def limit_of(m: Material, f: Finding) -> str:
    """Value and limit in words: `129 V; at most 150 V`."""
    if f.value is None:
        return ""
    w = m.words
    value, told = m.units.any(f.value, f.unit)
    low, high, limit = (None if x is None else m.units.any(x, f.unit)[0] for x in (f.low, f.high, f.limit))
    unit = "" if told in ("", "1") else told.removeprefix("1") if told.startswith("1/") else f" {told}"
    if f.sense == "window" and low is not None and high is not None:
        return f"{_short(value, low, high)} ({_near(low, value)} … {_near(high, value)}){unit}"
    if limit is None:
        return f"{_short(value)}{unit}"
    key = {"max": "report.at-most", "min": "report.at-least"}.get(f.sense, "report.beside")
    return w.say(key, value=f"{_short(value, limit)}{unit}", limit=f"{_near(limit, value)}{unit}")


def _near(limit: float, value: float) -> str:
    """A limit as it is written; one that was worked out in four figures, unless the value would change sides of it."""
    told, few = float(f"{limit:.6g}"), float(f"{limit:.4g}")
    changes_sides = (value < few) != (value < limit) or (value > few) != (value > limit)
    return number(told if told == round(told) or changes_sides else few)


def _short(value: float, *beside: float) -> str:
    """A value in four figures, or in more where four would hide on which side of a limit it is."""
    if any(isclose(value, b) for b in beside):
        return number(float(f"{value:.6g}"))
    for digits in (4, 6, 8):
        told = float(f"{value:.{digits}g}")
        if all((told < b) == (value < b) and (told > b) == (value > b) for b in beside):
            return number(told)
    return number(value)


def _cannot_tell(m: Material) -> Iterator[Block]:
    w = m.words
    yield Heading(w.say("report.cannot-tell"))
    open_ones = [f for f in m.findings if f.verdict == "cannot-tell"]
    if not open_ones:
        yield Text(w.say("report.none-untold"))
        return
    yield Text(w.say("report.cannot-tell-why"))
    if m.missing:
        yield Table(
            (Column(w.say("report.give"), part=2), Column(w.say("report.settles"), part=3)),
            tuple((address, ", ".join(numbers)) for address, numbers in m.missing.items()),
            title=w.say("report.by-figure"),
        )
    yield from each(m, open_ones, worked=False)


def _overridden(m: Material) -> Iterator[Block]:
    yield Heading(m.words.say("report.overridden"))
    found = [f for f in m.findings if f.verdict == "overridden"]
    if not found:
        yield Text(m.words.say("report.none-overridden"))
    yield from each(m, found)


def _warned(m: Material) -> Iterator[Block]:
    found = [f for f in m.findings if f.verdict == "warn"]
    if found:
        yield Heading(m.words.say("report.warned"))
        yield from each(m, found, worked=False)


def _passed(m: Material) -> Iterator[Block]:
    w = m.words
    yield Heading(w.say("report.passed"))
    columns = tuple(
        Column(w.say(f"report.column.{c}"), part=p)
        for c, p in (("rule", 0), ("subject", 4), ("found", 12), ("value", 5), ("clause", 7))
    )
    rows = tuple(
        (found[0].number, _subjects(found), found[0].message, limit_of(m, found[0]), found[0].clause)
        for found in alike(f for f in m.findings if f.verdict == "pass")
    )
    yield Table(columns, rows, size="small")


def _subjects(found: Sequence[Finding]) -> str:
    return ", ".join(dict.fromkeys(f.subject for f in found))


def _seen(m: Material) -> Iterator[Block]:
    """What the file says that eyes found, with who looked and the photograph."""
    w = m.words
    if not m.rig.looked_at:
        return
    columns = tuple(
        Column(w.say(f"report.column.{c}"), part=p)
        for c, p in (("rule", 3), ("subject", 1), ("found", 6), ("by", 1), ("dated", 2), ("photo", 2))
    )
    yield Heading(w.say("report.eyes"))
    yield Text(w.say("report.eyes-why"))
    yield Table(
        columns,
        tuple((x.rule, x.subject, x.found, x.by, x.dated, x.photo or "–") for x in m.rig.looked_at),
        size="small",
    )


def _with_times(m: Material, row: tuple[str, str, str], times: int) -> tuple[str, str, str]:
    number, rule, message = row
    return number, rule, message if times == 1 else f"{message} ({m.words.say('report.times', n=times)})"


def _silent(m: Material) -> Iterator[Block]:
    w = m.words
    skipped = [f for f in m.findings if f.verdict == "skip"]
    if skipped:
        yield Heading(w.say("report.skipped"))
        yield Table((Column(w.say("report.column.rule")), Column(w.say("report.column.subject"), part=1), Column(w.say("report.column.why"), part=3)),
                    tuple(_with_times(m, row, n) for row, n in Counter((f.number, f.rule, f.message) for f in skipped).items()), size="small")  # fmt: skip
    yield Heading(w.say("report.not-applied"))
    if not m.not_applied:
        yield Text(w.say("report.all-applied"))
        return
    yield Text(w.say("report.not-applied-why"))
    yield Table(
        (Column(w.say("report.column.rule")), Column(w.say("report.column.title"), part=1)),
        m.not_applied,
        size="small",
    )


def _sources(m: Material) -> Iterator[Block]:
    w = m.words
    unverified = sorted(
        {
            (i.address, f"{number(i.value)} {'' if i.unit == '1' else i.unit}".strip(), str(i.origin))
            for f in m.findings
            for last in f.steps
            for s in last.chain()
            for i in s.inputs
            if i.address and i.step is None and not i.origin.verified
        }
    )
    yield Heading(w.say("report.unverified-figures"))
    yield Text(w.say("report.unverified-why") if unverified else w.say("report.none-unverified"))
    if unverified:
        yield Table((Column(w.say("report.column.figure"), part=2), Column(w.say("report.column.value"), part=1), Column(w.say("report.column.origin"), part=2)),
                    tuple(unverified), size="small")  # fmt: skip
    yield Heading(w.say("report.from-memory"))
    yield Text(w.say("report.from-memory-why"))
    remembered = sorted(
        {
            (r.number, c.standard, " · ".join(x for x in (c.clause, c.edition) if x), c.seen)
            for r, c in _clauses(m)
            if c.seen != "official"
        },
        key=lambda row: (place(row[0]), row),
    )
    yield Table(
        tuple(
            Column(w.say(f"report.column.{c}"), part=p)
            for c, p in (("rule", 0), ("standard", 2), ("clause", 2), ("seen", 1))
        ),
        tuple(remembered),
        size="small",
    )


def _named(m: Material) -> Iterator[Block]:
    """The documents and people that figures are from, by the short word that stands in the derivations."""
    w = m.words
    if m.rig.sources:
        yield Heading(w.say("report.named"))
        yield Table(
            (
                Column(w.say("report.column.tag")),
                Column(w.say("report.column.origin"), part=4),
                Column(w.say("report.column.dated"), part=1),
                Column(w.say("report.column.file"), part=3),
            ),
            tuple(
                (f"source {s.tag}", s.title, s.dated or "–", s.file or "–") for s in m.rig.sources.values()
            ),
            size="small",
        )


def _clauses(m: Material) -> Iterator[tuple[Rule, Clause]]:
    applied = {f.rule for f in m.findings}
    for made in rules().values():
        if made.id in applied:
            yield made, clause_in(made.clauses, m.rig.job.rules)
