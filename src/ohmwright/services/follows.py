"""What follows from a change, as the lines of a revision block: what, was, becomes, verdict; heaviest first."""

from dataclasses import dataclass, replace

from ohmwright.change.differences import Difference, differences
from ohmwright.change.follows import Moved, counted, years_moved
from ohmwright.checks.types import Finding
from ohmwright.energy.types import Year
from ohmwright.services.desk import Look, opened_text
from ohmwright.services.opening import Opened
from ohmwright.services.words import tag_word
from ohmwright.takeoff.count import takeoff_of
from ohmwright.takeoff.order import Order, order_of
from ohmwright.takeoff.types import Takeoff
from ohmwright.working import OhmwrightError, tell

#: A figure that moved by less than this part of itself is counted only.
SMALL = 0.02
_YEARLY = {
    "energy not served in the year": ("year/unserved", "year"),
    "array energy of the year": ("year/ledger", "array"),
    "array energy not wanted": ("year/ledger", "curtailed"),
}
_OF_MANY = {
    "energy not served in the year": ("many/unserved", ""),
    "array energy of the year": ("many/array", ""),
    "array energy not wanted": ("many/curtailed", ""),
    "nights lost, usual year": ("many/nights-lost", "usual"),
    "nights lost, one year in ten": ("many/nights-lost", "one-in-ten"),
}
_OF_ARRAY = {
    "modules in series": "string/in-series",
    "strings in parallel": "string/in-parallel",
    "array power": "string/power",
    "home run, cross-section": "string/home-run",
    "home run, volts lost": "string/home-run-drop",
    "home run, part of the volts lost": "string/home-run-part",
}
_RANKS = {"DANGER": 0, "FAILS": 1, "CANNOT TELL": 2, "DISAPPOINTS": 3, "NOTE": 4, "OVERRIDDEN": 5, "": 8}


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the block. `word` is the tag's word, "" for a pass; `cleared` names the word that is gone."""

    what: str
    subject: str
    was: str
    becomes: str
    word: str = ""
    cleared: str = ""
    rule: str = ""
    note: str = ""

    moved: float = 1.0
    """How far the figure went, as a part of what it was."""
    also: tuple[str, ...] = ()
    """Other subjects of which the same is to be said."""
    ask: tuple[str, str] | None = None
    """What and subject to ask why, where no rule says it."""

    @property
    def rank(self) -> tuple[int, int, float]:
        """What is new, by weight; what is cleared; what stood and moved; what only moved, the farthest first."""
        if self.word and self.note:
            return 0, _RANKS[self.word], 0.0
        if self.cleared:
            return 1, _RANKS[self.cleared], 0.0
        return 2 if self.word else 3, _RANKS[self.word], -self.moved


@dataclass(frozen=True, slots=True)
class Block:
    """What was changed, and what follows from it."""

    changes: tuple[Difference, ...]
    lines: tuple[Line, ...]
    small: int = 0
    """Figures that moved by less than one part in fifty and turned nothing: counted, not told."""

    @property
    def rows(self) -> tuple[Line, ...]:
        """The lines, with subjects of which the same is said in one."""
        out: dict[tuple[str, ...], Line] = {}
        for line in self.lines:
            key = (line.rule, line.what, line.word, line.note, line.cleared, line.was, line.becomes)
            first = out.get(key)
            out[key] = line if first is None else replace(first, also=(*first.also, line.subject))
        return tuple(out.values())

    @property
    def put_rows(self) -> tuple[tuple[str, Difference], ...]:
        """What was changed, with addresses of which the same is told in one."""
        out: dict[tuple[str, str, str], list[Difference]] = {}
        for d in self.changes:
            out.setdefault((d.how, d.was, d.becomes), []).append(d)
        return tuple(
            (
                ", ".join(d.address for d in alike[:8])
                + (f" and {len(alike) - 8} more" if len(alike) > 8 else ""),
                alike[0],
            )
            for alike in out.values()
        )

    @property
    def fresh(self) -> int:
        """How many dangers and fails are new."""
        return sum(1 for line in self.lines if line.word in ("DANGER", "FAILS") and line.note == "new")

    @property
    def gone(self) -> int:
        """How many dangers and fails are cleared."""
        return sum(1 for line in self.lines if line.cleared in ("DANGER", "FAILS"))


def block(before: Look, after: Look) -> Block:
    """Compare two rigs by what the rules found in them."""
    from ohmwright.checks.registry import rules

    was = {(f.rule, f.subject): f for f in before.checked.findings}
    now = {(f.rule, f.subject): f for f in after.checked.findings}
    lines = []
    for key in (*now, *(k for k in was if k not in now)):
        a, b = was.get(key), now.get(key)
        if a is b:
            continue
        if (line := _line(rules()[key[0]].title, a, b)) is not None:
            lines.append(line)
    lines.sort(key=lambda line: (line.rank, line.subject))
    told = tuple(line for line in lines if line.note or line.cleared or line.moved >= SMALL)
    return Block(differences(before.rig, after.rig), told, len(lines) - len(told))


def _line(title: str, a: Finding | None, b: Finding | None) -> Line | None:
    one = b or a
    assert one is not None
    if a is not None and b is not None and _judged(a) == _judged(b):
        return None
    before, after = (tag_word(f.verdict, f.severity) if f else "" for f in (a, b))
    said = (told_value(a), told_value(b))
    if before == after and said[0] == said[1]:
        return None
    if not before and not after and (a is None or b is None or "skip" in (a.verdict, b.verdict)):
        return None
    if a is not None and b is not None and said[0] == said[1] and a.limit != b.limit:
        said = (_with_limit(a, said[0]), _with_limit(b, said[1]))
    cleared = before if before and not after else ""
    note = "new" if after and after != before else ""
    return Line(
        title,
        one.subject,
        _state(a, said[0]),
        _state(b, said[1]),
        after,
        cleared,
        one.rule,
        note,
        _moved(a, b),
    )


def _judged(f: Finding) -> tuple[object, ...]:
    return f.verdict, f.severity, f.value, f.unit, f.limit


def _with_limit(f: Finding, said: str) -> str:
    return f"{said}, limit {tell(f.limit, f.unit or '1', 4)}" if f.limit is not None else said


def _moved(a: Finding | None, b: Finding | None) -> float:
    if a is None or b is None or a.value is None or b.value is None:
        return 1.0
    return abs(b.value - a.value) / max(abs(a.value), abs(b.value), 1e-12)


def told_value(f: Finding | None) -> str:
    """The judged figure of a finding as people say it."""
    return tell(f.value, f.unit or "1", 4) if f is not None and f.value is not None else ""


def _state(f: Finding | None, said: str) -> str:
    if f is None:
        return "not judged"
    if said:
        return said
    return {
        "cannot-tell": "cannot tell",
        "skip": "not for this rig",
        "fail": "open",
        "warn": "noted",
        "pass": "in order",
        "overridden": "accepted",
    }[f.verdict]


def year_lines(before: Year, after: Year) -> tuple[Line, ...]:
    """What moved in the energy year; a promise that breaks is told as such."""
    promises = {p.name: p for p in before.promises}
    out = []
    for p in after.promises:
        old = promises.get(p.name)
        if old is None or old.got != p.got or old.kept != p.kept:
            word = "DISAPPOINTS" if p.kept is False else "CANNOT TELL" if p.kept is None else ""
            cleared = "DISAPPOINTS" if p.kept and old is not None and old.kept is False else ""
            out.append(
                Line(
                    f"promise: {p.name}, asked {p.asked}",
                    "year",
                    old.got if old else "not promised",
                    p.got,
                    word,
                    cleared,
                    ask=("year/promise", p.name),
                )
            )
    return (*out, *(_year_line(m) for m in years_moved(before, after)))


def counted_lines(before: Look, after: Look) -> tuple[Line, ...]:
    """What moved in mass, price and cable to cut."""
    return _counted(*((look.study.takeoff, look.opened) for look in (before, after)))


def counted_of_texts(folder: str, before: str, after: str) -> tuple[Line, ...]:
    """The same for two texts as the working file of that folder; for a process that knows nothing else of the desk."""
    return _counted(
        *((takeoff_of(o.rig), o) for o in (opened_text(folder, text) for text in (before, after)))
    )


def _counted(before: tuple[Takeoff, Opened], after: tuple[Takeoff, Opened]) -> tuple[Line, ...]:
    moved = counted(before[0], after[0], _ordered(*before), _ordered(*after))
    lines = ((m, _year_line(m)) for m in moved)
    return tuple(
        line if m.subject == "rig" else replace(line, what=f"{m.name}, {m.subject}") for m, line in lines
    )


def _ordered(takeoff: Takeoff, opened: Opened) -> Order | None:
    """What is ordered for a rig; None where its shelf cannot say."""
    try:
        return order_of(takeoff, opened.shelf, opened.rig.job.currency)
    except OhmwrightError:
        return None


def _year_line(m: Moved) -> Line:
    return Line(
        m.name, "year", _amount(m, m.before), _amount(m, m.after), ask=_YEARLY.get(m.name) or ask_of(m)
    )


def _asked(m: Moved) -> tuple[str, str] | None:
    """Beside a sheet the year is the typical one."""
    if m.name.startswith("promise kept: "):
        return "year/promise", m.name.removeprefix("promise kept: ")
    return _YEARLY.get(m.name) or ask_of(m)


def ask_of(m: Moved) -> tuple[str, str] | None:
    """By which name a figure of a change order is asked why: of a rule, of many years, of an array, of money, mass and cable."""
    if m.rule:
        return m.rule, m.subject
    if m.name == "price of the parts counted":
        return "parts/price", m.unit
    if m.name == "cable to cut":
        return "cable/to-cut", m.subject
    if m.name in _OF_MANY:
        return _OF_MANY[m.name]
    if m.name.startswith("promise kept: "):
        return "many/promise", m.name.removeprefix("promise kept: ")
    if m.name in _OF_ARRAY:
        return _OF_ARRAY[m.name], m.subject
    if m.name == "parts and cables aboard":
        return "host/aboard", ""
    return {"mass of the parts counted": ("parts/mass", ""), "price of the cable": ("cable/price", "")}.get(
        m.name
    )


def _amount(m: Moved, value: float | None) -> str:
    if value is None:
        return "unknown"
    if m.unit.isupper() and len(m.unit) == 3:  # a currency
        return f"{value:.2f} {m.unit}"
    return f"{value:g} nights" if m.unit == "nights" else tell(value, m.unit, 4)
