"""Published figures as packaged pages: each number once, with edition, clause and who has seen the page.

A page is a table (rows and columns of one unit) or a list of single figures.  A page is read when it is first
asked for.  Ids: `pv/us-continuous` is a figure of the page `pv`; `cfr33-183.425-t5/4/0/105` is the cell in row
`4/0` and column `105` of a table.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from ohmwright.standards.types import Clause, Seen
from ohmwright.working.figure import Figure, Origin, figure
from ohmwright.working.packaged import packaged, packaged_names
from ohmwright.working.quickly import quickly_made
from ohmwright.working.tree import Mapping as Branch
from ohmwright.working.tree import Scalar, Sequence, Tree, read_tree

PAGES = "ohmwright.standards.pages"
_SEEN: dict[str, Seen] = {
    "official": "official",
    "secondary": "secondary",
    "memory": "memory",
    "computed": "computed",
}


@quickly_made
@dataclass(frozen=True, slots=True)
class Published:
    """One published figure."""

    id: str
    value: float
    unit: str
    clause: Clause
    says: str = ""

    @property
    def figure(self) -> Figure:
        """As a figure in base units; its origin names the id and the clause."""
        return _figure(self)


@lru_cache(maxsize=4096)
def _figure(one: Published) -> Figure:
    origin = Origin("standard", one.id, dated=one.clause.edition)
    try:
        return figure(one.value, one.unit, origin, address=one.id)
    except KeyError:
        return Figure(one.value, one.unit, one.value, one.value, origin, address=one.id)


@dataclass(frozen=True, slots=True)
class Table:
    """A published table of one unit. A cell that the page leaves blank is None."""

    id: str
    title: str
    unit: str
    clause: Clause
    by: str
    columns: tuple[str, ...]
    rows: Mapping[str, tuple[float | None, ...]]
    seen_otherwise: Mapping[str, Seen]

    def value(self, row: str, column: str) -> float | None:
        """The cell, or None when the page has no such row or leaves it blank."""
        cells = self.rows.get(row)
        return None if cells is None or column not in self.columns else cells[self.columns.index(column)]

    def cell(self, row: str, column: str) -> Published | None:
        """The cell with its clause."""
        value = self.value(row, column)
        return (
            None
            if value is None
            else Published(f"{self.id}/{row}/{column}", value, self.unit, self.clause_of(row), self.title)
        )

    def clause_of(self, row: str) -> Clause:
        """The clause of one row: a row may have been seen by another eye than the table."""
        c = self.clause
        return Clause(c.standard, c.edition, c.clause, self.seen_otherwise.get(row, c.seen), c.note)

    def least_row(self, at_least: float) -> str | None:
        """The first row whose number is `at_least` or more (rows headed "at most")."""
        return next((r for r in self.rows if at_least <= float(r)), None)

    def __iter__(self) -> Iterator[Published]:
        for row in self.rows:
            for column in self.columns:
                if (cell := self.cell(row, column)) is not None:
                    yield cell


class UnknownPageError(KeyError):
    """No page holds that id: a mistake of the program, not of the user."""


@lru_cache(maxsize=64)
def _page(name: str) -> Branch:
    tree = read_tree(packaged(PAGES, f"{name}.yaml").decode("utf-8"), f"standards/{name}.yaml")
    assert isinstance(tree, Branch)
    return tree


def _text(branch: Branch, key: str) -> str:
    value = branch.get(key)
    return value.text if isinstance(value, Scalar) else ""


def _clause(branch: Branch) -> Clause:
    return Clause(
        _text(branch, "standard"),
        _text(branch, "edition"),
        _text(branch, "clause"),
        _SEEN[_text(branch, "seen")],
        _text(branch, "note"),
    )


@lru_cache(maxsize=64)
def table(name: str) -> Table:
    """The table of page `name`."""
    page = _page(name)
    rows = page.get("rows")
    if not isinstance(rows, Branch):
        raise UnknownPageError(name)
    otherwise = page.get("seen-otherwise")
    seen = {k: _SEEN[_text(otherwise, k)] for k in otherwise} if isinstance(otherwise, Branch) else {}
    return Table(
        name, _text(page, "title"), _text(page, "unit"), _clause(page), _text(page, "by"),
        tuple(s.text for s in _items(page.get("columns"))),
        {row: tuple(None if s.text == "-" else float(s.text) for s in _items(rows.get(row))) for row in rows},
        seen,
    )  # fmt: skip


def _items(tree: Tree | None) -> tuple[Scalar, ...]:
    return tuple(s for s in tree.items if isinstance(s, Scalar)) if isinstance(tree, Sequence) else ()


@lru_cache(maxsize=64)
def figures(name: str) -> Mapping[str, Published]:
    """The single figures of page `name`, by their ids."""
    listed = _page(name).get("figures")
    if not isinstance(listed, Branch):
        raise UnknownPageError(name)
    found: dict[str, Published] = {}
    for key in listed:
        entry = listed.get(key)
        assert isinstance(entry, Branch)
        found[f"{name}/{key}"] = Published(
            f"{name}/{key}",
            float(_text(entry, "value")),
            _text(entry, "unit"),
            _clause(entry),
            _text(entry, "says"),
        )
    return found


@lru_cache(maxsize=4096)
def find(id: str) -> Published:  # noqa: A002 - the word of the interface
    """The figure of that id: `pv/us-continuous`, or a cell of a table, `nec-690.7/-35/factor`.

    >>> find("cfr33-183.425-t5/4/0/105").value
    445.0
    """
    name, _, rest = id.partition("/")
    if f"{name}.yaml" not in _names():
        raise UnknownPageError(id)
    if "figures" in _page(name):
        found = figures(name).get(id)
    else:
        row, _, column = rest.rpartition("/")
        found = table(name).cell(row, column)
    if found is None:
        raise UnknownPageError(id)
    return found


@lru_cache(maxsize=1)
def _names() -> tuple[str, ...]:
    return packaged_names(PAGES, ".yaml")


def all_figures() -> Iterator[Published]:
    """Every published figure of the program, page by page."""
    for file in _names():
        name = file.removesuffix(".yaml")
        if "figures" in _page(name):
            yield from figures(name).values()
        else:
            yield from table(name)
