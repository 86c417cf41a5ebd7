"""What a record still owes: pages, conditions, figures."""

from dataclasses import dataclass
from typing import Literal

from ohmwright.kinds import figure_spec
from ohmwright.shelf.add import condition_stated, hyphened
from ohmwright.shelf.record import Record
from ohmwright.working import Figure, Unknown

Debt = Literal["no page", "no condition", "unknown", "not on file", "class default"]


@dataclass(frozen=True, slots=True)
class Owed:
    """A figure or word of a record that a check would mark, and why."""

    name: str
    debt: Debt
    says: str


def owed(record: Record) -> tuple[Owed, ...]:
    """Everything of the record that is unverified, without its condition, unknown or missing."""
    out: list[Owed] = []
    for name, given in record.figures.items():
        spec = figure_spec(record.kind, name)
        if isinstance(given, Unknown):
            out.append(Owed(hyphened(name), "unknown", given.asked))
        elif isinstance(given, Figure):
            if given.origin.kind == "class":
                out.append(Owed(hyphened(name), "class default", given.text))
            elif not given.origin.verified:
                out.append(Owed(hyphened(name), "no page", str(given.origin)))
            if spec is not None and not condition_stated(given, spec):
                out.append(Owed(hyphened(name), "no condition", given.text))
    out += [
        Owed(hyphened(name), "not on file", spec.meaning)
        for name, spec in record.kind.figures.items()
        if name not in record.figures
    ]
    for name, word in record.kind.words.items():
        if "unknown" in word.allowed and record.words.get(name, word.default) == "unknown":
            out.append(Owed(hyphened(name), "unknown", word.meaning))
    return tuple(out)
