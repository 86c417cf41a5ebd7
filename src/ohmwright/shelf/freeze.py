"""A record as text that stands alone: what an issued revision keeps of the shelf."""

from collections.abc import Iterator, Mapping

from ohmwright import kinds
from ohmwright.shelf.entry import read_entry
from ohmwright.shelf.record import Price, Record
from ohmwright.working import Figure, Given, NotThere, Origin, Unknown
from ohmwright.working import tree as t


def entry_text(record: Record, indent: str = "") -> str:
    """The record as an entry of a shelf file, every figure with its own origin, nothing taken from elsewhere."""
    pairs = [("kind", record.kind.name), ("title", record.title)]
    prices = record.prices.values() or ((record.price,) if record.price else ())
    pairs.append(("price", " / ".join(_price(p) for p in prices)))
    pairs += [(name.replace("_", "-"), figure_text(g)) for name, g in record.figures.items()]
    pairs += [(name.replace("_", "-"), word) for name, word in record.words.items()]
    return f"{indent}{record.id}: {{" + ", ".join(f"{k}: {quoted(v)}" for k, v in pairs if v) + "}"


def figure_text(given: Given) -> str:
    """A figure with its origin in brackets."""
    if isinstance(given, Figure):
        body = given.text.rsplit(" (", 1)[0] if given.text.endswith(")") else given.text
        return f"{body or f'{given.value:.10g} {given.unit}'.removesuffix(' 1')}{_origin(given.origin)}"
    if isinstance(given, Unknown):
        return f"unknown (asked {given.asked})" if given.asked else "unknown"
    return "none" if isinstance(given, NotThere) else ""


def _origin(origin: Origin) -> str:
    if origin.kind == "typed":
        return ""
    tag = {"measured": "m", "shop": "s"}.get(origin.kind, origin.tag or origin.kind)
    return " (" + " ".join(w for w in (tag, origin.page, origin.dated, origin.by) if w) + ")"


def _price(price: Price) -> str:
    days = f"{price.lead_days} days" if price.lead_days is not None else ""
    return " ".join(w for w in (price.amount, price.currency, price.dated, days) if w)


def quoted(text: str) -> str:
    """The text as a double-quoted YAML scalar."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in escaped) + '"'


class FrozenShelf:
    """The parts that an issued revision keeps: complete alone."""

    def __init__(self, parts: t.Mapping, file: str) -> None:
        self._records: dict[str, Record] = {}
        for name, entry in parts.entries.items():
            self._records[name] = read_entry(entry, self.find, file=file)

    def find(self, id: str) -> Record | None:  # noqa: A002 - the file's own word
        """The record as it was, a bare kind of that name, or None."""
        found = self._records.get(id)
        if found is None and (kind := kinds.find(id)) is not None:
            return Record(kind.name, kind, kind.title, bare=True)
        return found

    def __iter__(self) -> Iterator[str]:
        return iter(self._records)


def frozen_parts(tree: t.Tree) -> t.Mapping | None:
    """The `frozen: parts:` of a rig file, if it has them."""
    frozen = tree.get("frozen") if isinstance(tree, t.Mapping) else None
    parts = frozen.get("parts") if isinstance(frozen, t.Mapping) else None
    return parts if isinstance(parts, t.Mapping) else None


def by_id(records: Mapping[str, Record]) -> str:
    """All entries, one a line, in order of their ids."""
    return "\n".join(entry_text(records[name], "    ") for name in sorted(records))
