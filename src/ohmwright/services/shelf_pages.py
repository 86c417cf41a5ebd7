"""Pages for figures that a shelf file has already: what the data sheet says, with page and condition, put in its place."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from ohmwright.kinds import figure_spec
from ohmwright.rig.splice import Splice, as_scalar, insert_key, root_of, span, spliced
from ohmwright.services.opening import shop_shelf
from ohmwright.shelf.add import TAG, figure_text, hyphened
from ohmwright.shelf.freeze import quoted
from ohmwright.shelf.load import VERSION_KEY, read_file
from ohmwright.shelf.record import Record
from ohmwright.shelf.verify import Debt, owed
from ohmwright.store.conflict import save_unless_changed
from ohmwright.store.jobs import Job
from ohmwright.store.reading import read
from ohmwright.working import Absent, Figure, Given, NotThere, OhmwrightError, Position, Unknown
from ohmwright.working import tree as t

_TAGS = re.compile(r"\bd(\d{1,4})\b")
_PIECES = re.compile(
    r"(?P<value>.*?)(?: @ (?P<at>[^()]*?)| for (?P<seconds>[^()@]*?))?(?: \((?P<origin>[^()]*)\))?\Z"
)


@dataclass(frozen=True, slots=True)
class Line:
    """A figure of a record as a form shows it: the value as it is written, condition and origin beside it, what it owes."""

    name: str
    meaning: str
    unit: str
    asks: str
    """The unit of the condition that a rating of the kind must state; "" where it needs none."""
    value: str
    condition: str
    origin: str
    verified: bool
    debts: tuple[Debt, ...]


def record_of(part: str, job: Job | None = None) -> Record:
    """A record of the shelf, the job's own before the shop's."""
    shelf = shop_shelf(job)
    found = shelf.find(part)
    if found is None:
        near = shelf.near(part)
        raise OhmwrightError(
            f"the shelf has no '{part[:80]}'",
            remedy=f"did you mean {near}?" if near else "look at the list of the shelf",
        )
    return found


def lines_of(record: Record) -> tuple[Line, ...]:
    """Every figure that the record has or its kind asks for: first what it owes, last what is not on file."""
    debts: dict[str, list[Debt]] = {}
    for o in owed(record):
        debts.setdefault(o.name, []).append(o.debt)
    names = dict.fromkeys((*record.figures, *record.kind.figures))
    lines = (
        _line(record, n, record.figures.get(n, Absent()), tuple(debts.get(hyphened(n), ()))) for n in names
    )
    return tuple(sorted(lines, key=lambda line: ("not on file" in line.debts, not line.debts)))


def _line(record: Record, name: str, given: Given, debts: tuple[Debt, ...]) -> Line:
    spec = figure_spec(record.kind, name)
    meaning, unit, asks = (spec.meaning, spec.unit, spec.condition) if spec is not None else ("", "", "")
    value = condition = origin = ""
    verified = False
    if isinstance(given, Figure):
        found = _PIECES.fullmatch(given.text)
        if found is not None:
            value, condition = found["value"], found["at"] or found["seconds"] or ""
        asks = asks or ("s" if given.seconds is not None else "")
        origin, verified = str(given.origin), given.origin.verified
    elif isinstance(given, Unknown):
        value = "unknown"
    elif isinstance(given, NotThere):
        value = "none"
    return Line(hyphened(name), meaning, unit, asks, value, condition, origin, verified, debts)


def figure_words(asks: str, value: str, condition: str, page: str) -> str:
    """A figure as a file writes it: `200 A for 10 s (p3)`, `80 A @ 25 degC (p1)`."""
    with_condition = f" {'for' if asks == 's' else '@'} {condition}" if condition else ""
    return f"{value}{with_condition} ({page})"


def prove(part: str, job: Job | None, sheet: str, dated: str, figures: Mapping[str, str]) -> None:
    """Write figures with the pages of one data sheet over those of a record in the shop's or the job's shelf."""
    record = record_of(part, job)
    if not record.from_shop or not record.file:
        raise OhmwrightError(
            f"{part} is one of our generic parts, which no data sheet proves",
            remedy="add the part that you really use, from its own data sheet",
        )
    if not figures:
        raise OhmwrightError(
            "no figure has a page yet", remedy="write the page beside each figure that you found on the sheet"
        )
    loaded = read(record.file)
    text = proved_text(loaded.text, record, sheet, dated, figures)
    read_file(text, record.file, shop_shelf(job).find)
    save_unless_changed(record.file, text, loaded.sha256)


def proved_text(text: str, record: Record, sheet: str, dated: str, figures: Mapping[str, str]) -> str:
    """The text of a shelf file with these figures of one part; all its other lines stay."""
    root = root_of(text, record.file)
    parts = root.get("parts")
    entry = parts.get(record.id) if isinstance(parts, t.Mapping) else None
    if not isinstance(entry, t.Mapping):
        raise OhmwrightError(f"{record.file} has no part {record.id}", remedy="open the shelf again")
    tag, splices = _source(text, root, sheet, dated)
    new: list[tuple[str, str]] = []
    for name, told in figures.items():
        written = figure_text(record.kind, name, told).replace(f"({TAG} ", f"({tag} ")
        written = as_scalar(written, Position(record.file, 1, 1))
        there = entry.get(hyphened(name))
        if there is not None:
            splices.append(Splice(*span(text, there), written))
        else:
            new.append((hyphened(name), written))
    out = spliced(text, splices)
    for key, written in new:
        again = root_of(out, record.file).get("parts")
        assert isinstance(again, t.Mapping)
        mine = again.get(record.id)
        assert isinstance(mine, t.Mapping)
        out = spliced(out, [insert_key(out, mine, key, written)])
    return out


def _source(text: str, root: t.Mapping, sheet: str, dated: str) -> tuple[str, list[Splice]]:
    """The tag of a data sheet: the one it has already, else the next that nothing in the file uses."""
    sources = root.get("sources")
    if isinstance(sources, t.Mapping):
        for tag, e in sources.entries.items():
            if isinstance(e.value, t.Mapping):
                said = [
                    v.text if isinstance(v := e.value.get(k), t.Scalar) else "" for k in ("title", "dated")
                ]
                if said == [sheet, dated]:
                    return tag, []
    tag = f"d{max((int(n) for n in _TAGS.findall(text)), default=0) + 1}"
    written = f"{{title: {quoted(sheet)}, dated: {quoted(dated)}}}"
    if isinstance(sources, t.Mapping) and sources.entries:
        return tag, [insert_key(text, sources, tag, written)]
    line = text.find("\n", root.entries[VERSION_KEY].value.at.end) + 1
    return tag, [Splice(line, line, f"sources: {{{tag}: {written}}}\n")]
