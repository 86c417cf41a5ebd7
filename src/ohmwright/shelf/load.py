"""The shelf: our own generic parts, over them the shop's, over them the job's.

The packaged files are indexed by their lines and an entry is read when it is first asked for.  Files of a shop
or a job come as texts and are read whole.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import ROUND_HALF_EVEN, Decimal
from functools import cache

from ohmwright import kinds
from ohmwright.shelf.entry import Finder, check_id, mapping, read_entry, refuse, scalar
from ohmwright.shelf.record import Price, Record
from ohmwright.working import nearest, packaged, packaged_names
from ohmwright.working import tree as t

PACKAGE = "ohmwright.shelf.parts"
FORMAT = "1"
VERSION_KEY = "ohmwright-shelf"
FILE_KEYS = (VERSION_KEY, "sources", "priced", "templates", "parts")
_ENTRY = re.compile(r"^  ([a-z0-9][a-z0-9.-]*):", re.MULTILINE)
_SECTION = re.compile(r"^([a-z-]+):", re.MULTILINE)

#: What one dollar of the demo prices is in other currencies: invented round figures of 2026-02-01, for demos only.
DEMO_RATES: dict[str, Decimal] = {"EUR": Decimal("0.9"), "GBP": Decimal("0.8"), "NOK": Decimal("10.5")}


class Shelf:
    """Finds parts by id. What the job says goes before the shop, the shop before our own."""

    def __init__(self, shop: Mapping[str, str] | None = None, job: Mapping[str, str] | None = None) -> None:
        self._records: dict[str, Record] = {}
        for texts in (shop or {}, job or {}):
            for name in sorted(texts):
                self._records.update(read_file(texts[name], name, self.find))

    def find(self, id: str) -> Record | None:  # noqa: A002 - the file's own word
        """The record, a bare kind of that name, or None."""
        found = self._records.get(id) or _packaged_record(id)
        if found is None and (kind := kinds.find(id)) is not None:
            return Record(kind.name, kind, kind.title, bare=True)
        return found

    def __iter__(self) -> Iterator[str]:
        """All ids, ours and theirs; bare kinds are not among them."""
        yield from sorted({*self._records, *(i for i, place in _index().items() if not place.template)})

    def near(self, id: str) -> str | None:  # noqa: A002 - the file's own word
        """The id or kind nearest to a misspelt one."""
        return nearest(id, [*self, *kinds.names()])

    def of_kind(self, kind: str) -> tuple[Record, ...]:
        """All records of that kind, in order of their ids."""
        return tuple(r for i in self if (r := self.find(i)) is not None and r.kind.name == kind)


def read_file(text: str, file: str, like: Finder) -> dict[str, Record]:
    """The records of a shop's or job's file; later entries may take after earlier ones and after the shelf below."""
    tree = mapping(t.read_tree(text, file), "a shelf file")
    for key, entry in tree.entries.items():
        if key not in FILE_KEYS:
            near = nearest(key, FILE_KEYS)
            refuse(
                entry.key.at,
                f"'{key}' is no section of a shelf file",
                f"did you mean {near}?" if near else f"write one of: {', '.join(FILE_KEYS)}",
                key,
            )
    version = tree.get(VERSION_KEY)
    if version is None or scalar(version, FORMAT).text != FORMAT:
        refuse(
            (version or tree).at,
            "the file does not say its version",
            f"write {VERSION_KEY}: {FORMAT} in its first line",
        )
    priced = scalar(tree.entries["priced"].value, "a date").text if "priced" in tree else ""
    out: dict[str, Record] = {}
    templates: dict[str, Record] = {}

    def known(name: str) -> Record | None:
        return out.get(name) or templates.get(name) or like(name)

    for section, into in (("templates", templates), ("parts", out)):
        if (found := tree.get(section)) is not None:
            for entry in mapping(found, "parts by id").entries.values():
                into[check_id(entry.key)] = read_entry(entry, known, priced=priced, file=file, from_shop=True)
    return out


class _Place:
    """Where an entry stands in the packaged files."""

    __slots__ = ("end", "file", "line", "start", "template")

    def __init__(self, file: str, start: int, end: int, line: int, template: bool) -> None:
        self.file, self.start, self.end, self.line, self.template = file, start, end, line, template


@cache
def _text(file: str) -> str:
    return packaged(PACKAGE, file).decode("utf-8")


@cache
def _index() -> dict[str, _Place]:
    out: dict[str, _Place] = {}
    for file in packaged_names(PACKAGE, ".yaml"):
        text = _text(file)
        sections = [(m.start(), m[1]) for m in _SECTION.finditer(text)]
        for n, (start, section) in enumerate(sections):
            if section not in ("templates", "parts"):
                continue
            stop = sections[n + 1][0] if n + 1 < len(sections) else len(text)
            entries = list(_ENTRY.finditer(text, start, stop))
            for i, m in enumerate(entries):
                end = entries[i + 1].start() if i + 1 < len(entries) else stop
                out[m[1]] = _Place(
                    file, m.start(), end, text.count("\n", 0, m.start()), section == "templates"
                )
    return out


@cache
def _packaged_entry(name: str) -> Record | None:
    place = _index().get(name)
    if place is None:
        return None
    text = _text(place.file)
    tree = mapping(t.read_tree("\n" * place.line + text[place.start : place.end], place.file), "a part")
    dated = re.search(r"^priced: *(\S+)", text, re.MULTILINE)
    record = read_entry(
        tree.entries[name], _packaged_entry, priced=dated[1] if dated else "", file=place.file
    )
    return replace(record, prices=_in_all_currencies(record.price)) if record.price else record


def _packaged_record(name: str) -> Record | None:
    place = _index().get(name)
    return _packaged_entry(name) if place is not None and not place.template else None


def _in_all_currencies(price: Price) -> dict[str, Price]:
    """Our demo prices in the currencies of the demo jobs, rounded as a price list would."""
    out = {price.currency: price}
    for currency, rate in DEMO_RATES.items():
        amount = Decimal(price.amount) * rate
        step = Decimal(1) if amount >= 20 else Decimal("0.1")
        out[currency] = replace(price, amount=str(amount.quantize(step, ROUND_HALF_EVEN)), currency=currency)
    return out
