"""What follows from a change: findings gone and new, and every judged or counted figure that moved."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

from ohmwright.change.arrays import array_figures
from ohmwright.change.differences import Difference, differences
from ohmwright.change.weights import weight_figures
from ohmwright.checks.types import Finding
from ohmwright.energy.types import Year
from ohmwright.study import Study
from ohmwright.takeoff.order import Order
from ohmwright.takeoff.types import Takeoff

RANKS = {"danger": 0, "fails": 1, "disappoints": 2, "note": 3}
#: The rank of what fails neither before nor after; and how far a danger's figure moves before it is told with the fails.
STOOD, FAR = 4, 0.5
_OPEN = ("fail", "cannot-tell")
Key = tuple[str, str, int]


@dataclass(frozen=True, slots=True)
class Moved:
    """A figure before and after; None where there was or is none. `rank` orders heaviest first."""

    name: str
    subject: str
    unit: str
    before: float | None
    after: float | None
    verdict_before: str = ""
    verdict_after: str = ""
    rank: int = 9
    limit_before: float | None = None
    limit_after: float | None = None
    rule: str = ""
    grave: int = 9
    """How bad the rule's worst is, 0 for a danger: what stood and moved is told in this order."""

    @property
    def far(self) -> float:
        """How far it went, as a part of the larger of the two; 1 where one of them is not known."""
        if self.before is None or self.after is None:
            return 1.0
        most = max(abs(self.before), abs(self.after))
        return abs(self.after - self.before) / most if most else 0.0


@dataclass(frozen=True, slots=True)
class Known:
    """All that is known of one of the two rigs."""

    study: Study
    findings: tuple[Finding, ...]
    takeoff: Takeoff
    year: Year | None = None
    order: Order | None = None
    papers: Mapping[str, str] = field(default_factory=dict)
    """Fingerprint of every paper by its file name."""


@dataclass(frozen=True, slots=True)
class Follows:
    """The change order in data."""

    changes: tuple[Difference, ...]
    findings_new: tuple[Finding, ...]
    findings_gone: tuple[Finding, ...]
    moved: tuple[Moved, ...]
    labels_gone: tuple[str, ...] = ()
    labels_new: tuple[str, ...] = ()
    papers: tuple[str, ...] = ()
    """Papers that read otherwise now."""

    @property
    def open(self) -> bool:
        """A new danger or fails."""
        return any(f.verdict == "fail" and f.severity in ("danger", "fails") for f in self.findings_new)


def follows(old: Known, new: Known) -> Follows:
    """Compare two rigs with all that was derived from them."""
    was, now = by_key(old.findings), by_key(new.findings)
    fresh = tuple(f for k, f in now.items() if f.verdict in _OPEN and not _as_grave(was.get(k), f))
    gone = tuple(f for k, f in was.items() if f.verdict in _OPEN and not _is_open(now.get(k)))
    moved = sorted(
        (
            *_judged(was, now), *derived_moved(old.study, new.study), *_counted(old, new), *years_moved(old.year, new.year),
        ),
        key=heaviest,
    )  # fmt: skip
    labels = [{f"{c.label} {c.id}" for c in k.takeoff.cuts if not c.made} for k in (old, new)]
    papers = {p for p in {*old.papers, *new.papers} if old.papers.get(p) != new.papers.get(p)}
    return Follows(
        differences(old.study.rig, new.study.rig), fresh, gone, tuple(moved), tuple(sorted(labels[0] - labels[1])),
        tuple(sorted(labels[1] - labels[0])), tuple(sorted(papers)),
    )  # fmt: skip


def of_array(m: Moved) -> bool:
    """Figures that no rule judges, and the hot volts where they pass as before: who reads an order looks for them together."""
    return m.rank == STOOD and (
        not m.rule or (m.rule == "array/hot-voltage" and m.verdict_before == m.verdict_after)
    )


def heaviest(m: Moved) -> tuple[int, int, float]:
    """The order in which figures are told."""
    return m.rank, m.grave, -m.far


def by_key(findings: Sequence[Finding]) -> dict[Key, Finding]:
    """Findings by rule and subject; where a rule speaks of a subject more than once, by their order."""
    out: dict[Key, Finding] = {}
    counted: dict[tuple[str, str], int] = {}
    for f in sorted(findings, key=lambda f: f.verdict not in _OPEN):
        n = counted[f.rule, f.subject] = counted.get((f.rule, f.subject), 0) + 1
        out[f.rule, f.subject, n] = f
    return out


def _is_open(f: Finding | None) -> bool:
    return f is not None and f.verdict in _OPEN


def _as_grave(before: Finding | None, after: Finding) -> bool:
    """Open before, and no lighter: a question that became a fail is new."""
    return (
        before is not None
        and before.verdict in _OPEN
        and before.severity == after.severity
        and not (before.verdict == "cannot-tell" and after.verdict == "fail")
    )


def _judged(was: Mapping[Key, Finding], now: Mapping[Key, Finding]) -> list[Moved]:
    from ohmwright.checks.registry import rules

    out = []
    for key in (*was, *(k for k in now if k not in was)):
        a, b = was.get(key), now.get(key)
        x, y = (f.value if f else None for f in (a, b))
        p, q = (f.limit if f else None for f in (a, b))
        if (x is None and y is None) or (_same(x, y) and _same(p, q)):
            continue
        either = b or a
        assert either is not None
        worst = min(RANKS[f.severity] if f.verdict == "fail" else STOOD for f in (a, b) if f)
        made = Moved(
            rules()[key[0]].title, key[1], either.unit, x, y, a.verdict if a else "", b.verdict if b else "", worst, p, q, key[0],
            RANKS[rules()[key[0]].severities[0]],
        )  # fmt: skip
        out.append(replace(made, rank=1) if _stands_elsewhere(made) else made)
    return out


def _stands_elsewhere(m: Moved) -> bool:
    """A danger's figure that passes as before, at less than half or more than twice of what it was: a string's cold volts, say."""
    return m.rank == STOOD and m.grave == 0 and None not in (m.before, m.after) and m.far >= FAR


def _same(x: float | None, y: float | None) -> bool:
    if x is None or y is None:
        return x is y
    return abs(x - y) <= 1e-9 * max(abs(x), abs(y))


def derived_moved(old: Study, new: Study) -> list[Moved]:
    """Figures that no rule judges: strings, power, home run and what is lost in it; what the host carries."""
    was, now = ({**array_figures(s), **weight_figures(s)} for s in (old, new))
    out = []
    for (name, subject), (before, unit) in was.items():
        after = now[name, subject][0] if (name, subject) in now else None
        if not _same(before, after):
            out.append(Moved(name, subject, unit, before, after, rank=4, grave=1))
    out += [
        Moved(n, s, unit, None, a, rank=4, grave=1) for (n, s), (a, unit) in now.items() if (n, s) not in was
    ]
    return out


def _counted(old: Known, new: Known) -> list[Moved]:
    return counted(old.takeoff, new.takeoff, old.order, new.order)


def counted(a: Takeoff, b: Takeoff, old: Order | None, new: Order | None) -> list[Moved]:
    """Mass, price and cable as far as they moved."""
    out = [Moved("mass of the parts counted", "rig", "kg", mass(a), mass(b), rank=5)]
    out += [
        Moved("price of the parts counted", "rig", c, _price(a, c), _price(b, c), rank=5)
        for c in sorted(_currencies(a) | _currencies(b))
    ]
    if old is not None and new is not None and old.currency == new.currency:
        out.append(Moved("price of the cable", "rig", new.currency, _cables(old), _cables(new), rank=5))
    sizes = {c.size for c in (*a.cuts, *b.cuts) if not c.made}
    out += [
        Moved("cable to cut", size or "size not known", "m", _metres(a, size), _metres(b, size), rank=6)
        for size in sorted(sizes)
    ]
    return [m for m in out if m.before != m.after]


def _cables(order: Order) -> float:
    return float(sum((c.price for c in order.cables if c.price is not None), Decimal(0)))


def mass(takeoff: Takeoff) -> float:
    """Kilograms of everything whose mass is known."""
    parts = sum((line.mass_kg or 0.0) * line.count for line in takeoff.parts)
    return round(parts + sum(c.mass_kg or 0.0 for c in takeoff.cuts), 3)


def _currencies(takeoff: Takeoff) -> set[str]:
    return {line.currency for line in takeoff.parts if line.price is not None and line.currency}


def _price(takeoff: Takeoff, currency: str) -> float:
    total = sum(
        (
            line.price * line.count
            for line in takeoff.parts
            if line.price is not None and line.currency == currency
        ),
        Decimal(0),
    )
    return float(total)


def _metres(takeoff: Takeoff, size: str) -> float:
    pieces = {c.piece or c.id: c.cut_m or 0.0 for c in takeoff.cuts if c.size == size and not c.made}
    return round(sum(pieces.values()), 2)


def years_moved(old: Year | None, new: Year | None) -> list[Moved]:
    """Figures of the year that are otherwise."""
    if old is None or new is None:
        return []

    def total(y: Year, name: str) -> float:
        return float(sum(getattr(m, name) for m in y.months))

    names: Sequence[tuple[str, str, str]] = (
        ("energy not served in the year", "unserved_kWh", "kWh"),
        ("array energy of the year", "array_kWh", "kWh"),
        ("array energy not wanted", "curtailed_kWh", "kWh"),
    )
    out = [Moved(name, "year", unit, total(old, key), total(new, key), rank=5) for name, key, unit in names]
    for k, told in (("p50", "usual year"), ("p90", "one year in ten")):
        a, b = old.nights_lost.get(k), new.nights_lost.get(k)
        if a is not None or b is not None:
            out.append(Moved(f"nights lost, {told}", "year", "nights", a, b, rank=5))
    kept = [{p.name: p.kept for p in y.promises} for y in (old, new)]
    for name in dict.fromkeys((*kept[0], *kept[1])):
        a, b = (_told(k.get(name)) for k in kept)
        if a != b:
            out.append(Moved(f"promise kept: {name}", "year", "1", a, b, rank=5))
    return [m for m in out if m.before != m.after]


def _told(kept: bool | None) -> float | None:
    return None if kept is None else float(kept)
