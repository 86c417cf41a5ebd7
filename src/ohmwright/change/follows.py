"""What follows from a change: findings gone and new, and every judged or counted figure that moved."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from ohmwright.change.differences import Difference, differences
from ohmwright.checks.types import Finding
from ohmwright.energy.types import Year
from ohmwright.study import Study
from ohmwright.takeoff.types import Takeoff

_RANK = {"danger": 0, "fails": 1, "disappoints": 2, "note": 3}
_OPEN = ("fail", "cannot-tell")


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


@dataclass(frozen=True, slots=True)
class Known:
    """All that is known of one of the two rigs."""

    study: Study
    findings: tuple[Finding, ...]
    takeoff: Takeoff
    year: Year | None = None


@dataclass(frozen=True, slots=True)
class Follows:
    """The change order in data."""

    changes: tuple[Difference, ...]
    findings_new: tuple[Finding, ...]
    findings_gone: tuple[Finding, ...]
    moved: tuple[Moved, ...]

    @property
    def open(self) -> bool:
        """A new danger or fails."""
        return any(f.verdict == "fail" and f.severity in ("danger", "fails") for f in self.findings_new)


def follows(old: Known, new: Known) -> Follows:
    """Compare two rigs with all that was derived from them."""
    was = {(f.rule, f.subject): f for f in old.findings}
    now = {(f.rule, f.subject): f for f in new.findings}
    fresh = tuple(
        f
        for k, f in now.items()
        if f.verdict in _OPEN
        and (k not in was or was[k].verdict not in _OPEN or was[k].severity != f.severity)
    )
    gone = tuple(
        f for k, f in was.items() if f.verdict in _OPEN and (k not in now or now[k].verdict not in _OPEN)
    )
    moved = sorted(
        (*_judged(was, now), *_counted(old.takeoff, new.takeoff), *years_moved(old.year, new.year)),
        key=lambda m: m.rank,
    )
    return Follows(differences(old.study.rig, new.study.rig), fresh, gone, tuple(moved))


def _judged(was: Mapping[tuple[str, str], Finding], now: Mapping[tuple[str, str], Finding]) -> list[Moved]:
    from ohmwright.checks.registry import rules

    out = []
    for key in (*was, *(k for k in now if k not in was)):
        a, b = was.get(key), now.get(key)
        x, y = (f.value if f else None for f in (a, b))
        if (x is None and y is None) or (
            x is not None and y is not None and abs(x - y) <= 1e-9 * max(abs(x), abs(y))
        ):
            continue
        either = b or a
        assert either is not None
        worst = min(_RANK[f.severity] if f.verdict == "fail" else 4 for f in (a, b) if f)
        out.append(
            Moved(
                rules()[key[0]].title,
                key[1],
                either.unit,
                x,
                y,
                a.verdict if a else "",
                b.verdict if b else "",
                worst,
            )
        )
    return out


def _counted(old: Takeoff, new: Takeoff) -> list[Moved]:
    out = [
        Moved("mass of the parts counted", "rig", "kg", mass(old), mass(new), rank=5),
        *(
            Moved("price of the parts counted", "rig", c, _price(old, c), _price(new, c), rank=5)
            for c in sorted(_currencies(old) | _currencies(new))
        ),
    ]
    sizes = {c.size for c in (*old.cuts, *new.cuts)}
    out += [
        Moved("cable to cut", size, "m", _metres(old, size), _metres(new, size), rank=6)
        for size in sorted(sizes)
    ]
    return [m for m in out if m.before != m.after]


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
    return round(sum(c.cut_m or 0.0 for c in takeoff.cuts if c.size == size), 2)


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
    for k in ("p50", "p90"):
        a, b = old.nights_lost.get(k), new.nights_lost.get(k)
        if a is not None or b is not None:
            out.append(
                Moved(
                    f"nights lost, {'usual year' if k == 'p50' else 'one year in ten'}",
                    "year",
                    "nights",
                    a,
                    b,
                    rank=4,
                )
            )
    return [m for m in out if m.before != m.after]
