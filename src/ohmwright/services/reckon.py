"""Why a figure that no rule judges is what it is: of the year, of a run, of a place, of the shade, of money and mass."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from ohmwright.energy.reckoned import Reckoned
from ohmwright.services.answers import envelope, finite, steps
from ohmwright.services.lines import Lines
from ohmwright.services.opening import Opened
from ohmwright.study import Study

if TYPE_CHECKING:
    from ohmwright.energy.types import Year
    from ohmwright.services.almanac import Typical

#: Rooms of figures: what stands before the stroke of their names.
TYPICAL, MADE, MANY = "year", "made", "many"
#: Figures of a run, a place, the shade, an array, of money and mass.
OTHERS = (
    "run/current", "run/drop", "place/heat", "place/air", "place/flow", "shade/lost", "string/in-series", "string/in-parallel", "string/power", "string/home-run",
    "string/home-run-drop", "string/home-run-part", "host/aboard", "parts/price", "parts/mass", "cable/price", "cable/to-cut",
)  # fmt: skip
MADE_YEARS = 64


@dataclass(frozen=True)
class About:
    """A rig with what its figures are derived from; a year is run only when it is asked about."""

    opened: Opened
    look_up: "Callable[[], Typical] | None" = None
    made_years: "Callable[[], Year] | None" = None
    known_study: Study | None = None

    @cached_property
    def study(self) -> Study:
        """The study of the rig."""
        from ohmwright.services.opening import today

        return self.known_study or Study(self.opened.rig, today=today())

    @cached_property
    def typical(self) -> "Typical":
        """Its typical year."""
        from ohmwright.services.almanac import typical

        return self.look_up() if self.look_up is not None else typical(self.opened)

    @cached_property
    def made(self) -> "Year":
        """As many made years as the almanac has."""
        from ohmwright.services.almanac import almanac_of, kept_almanac

        if self.made_years is not None:
            return self.made_years()
        kept = kept_almanac(self.opened, MADE_YEARS)
        return (kept or almanac_of(self.opened, MADE_YEARS)).year

    @cached_property
    def many(self) -> "Year":
        """As many made years as their chances take: those of a change order."""
        from ohmwright.services.year_kept import year_kept

        return year_kept(self.opened)


def is_reckoned(what: str) -> bool:
    """Whether a name is one of these figures, not of a rule or of a figure of the file.

    >>> is_reckoned("year/sun"), is_reckoned("array/cold-voltage"), is_reckoned("M.power")
    (True, False, False)
    """
    return what.partition("/")[0] in (TYPICAL, MADE, MANY) or what in OTHERS


def names() -> tuple[str, ...]:
    """All that can be asked why beside rules and figures of the file."""
    from ohmwright.energy import why_made, why_year

    return *why_year.WHATS, *why_made.WHATS, *why_made.MANY, *OTHERS


def reckoned(where: str, what: str, subject: str | None = None) -> tuple[Opened, Reckoned]:
    """The derivation of figure `what` of `subject`."""
    from ohmwright.services.opening import open_rig

    opened = open_rig(where)
    return opened, derived(About(opened), what, subject or "")


def derived(about: About, what: str, subject: str) -> Reckoned:
    """The same, of a rig that was opened already."""
    from ohmwright.energy import why_made, why_year

    head = what.partition("/")[0]
    if head == TYPICAL:
        from ohmwright.energy.daybook import DayBook

        return why_year.year_why(about.opened.rig, DayBook(about.typical.one), what, subject)
    if head == MADE:
        return why_made.made_why(about.opened.rig, about.made, what, subject)
    if head == MANY:
        return why_made.many_why(about.opened.rig, about.many, what, subject)
    return _others()[what](about, subject)


def _others() -> Mapping[str, Callable[[About, str], Reckoned]]:
    from ohmwright.services import reckon_circuit, reckon_counts, reckon_places

    return {
        "run/current": lambda a, s: reckon_circuit.current(a.study, s),
        "run/drop": lambda a, s: reckon_circuit.drop(a.study, s),
        "place/heat": lambda a, s: reckon_places.heat(a.study, s),
        "place/air": lambda a, s: reckon_places.air(a.study, s),
        "place/flow": lambda a, s: reckon_places.flow(a.study, s),
        "shade/lost": lambda a, s: reckon_places.shade(a.opened, s),
        "parts/price": lambda a, s: reckon_counts.price(a.study, s),
        "parts/mass": lambda a, _: reckon_counts.mass_of(a.study),
        "cable/price": lambda a, _: reckon_counts.cables(a.study, a.opened),
        "cable/to-cut": lambda a, s: reckon_counts.to_cut(a.study, s),
        "host/aboard": lambda a, _: reckon_counts.aboard(a.study),
        **{name: _of_array(name) for name in reckon_counts.NAMES},
    }


def _of_array(what: str) -> Callable[[About, str], Reckoned]:
    from ohmwright.services import reckon_counts

    return lambda about, subject: reckon_counts.of_array(about.study, what, subject)


def reckoned_json(opened: Opened, done: Reckoned) -> dict[str, Any]:
    """The answer of `why --json` about such a figure."""
    return {
        **envelope(opened),
        "what": done.ask.what,
        "subject": done.ask.subject or None,
        "title": done.title,
        "value": finite(done.value),
        "unit": done.unit,
        "says": list(done.says),
        "steps": steps(done.steps, Lines(opened.rig).of),
        "lists": [
            {
                "caption": one.caption,
                "columns": list(one.columns),
                "rows": [
                    {"name": r.name, "cells": list(r.cells), "why": str(r.ask) if r.ask else None}
                    for r in one.rows
                ],
            }
            for one in done.lists
        ],
        "also": [{"told": told, "why": str(ask)} for told, ask in done.also],
    }
