"""The AC truth table: every settled state of the sources, with joins, residual-current devices, circuits and limits."""

from collections.abc import Sequence
from dataclasses import dataclass

from ohmwright.drawing.ac_rows import AcRow, AcStates, ac_states
from ohmwright.drawing.ac_words import (
    joins_words,
    source_words,
    stands_words,
    walked_words,
    watched_words,
    when_words,
)
from ohmwright.drawing.frame import Title, plan_sizes
from ohmwright.drawing.page import Binding, Page, bound, holds
from ohmwright.drawing.shapes import Sheet
from ohmwright.drawing.tables import Column, Row, fitted_pages
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

CAUTIONS = (
    "What is said here follows from the file's wiring alone: prove each row with a meter before anybody relies on it.",
    "A row without a neutral-earth join, or with two on one island, is a fault to mend and no way to run.",
    "A residual-current device sees a fault to earth only while there is a join ahead of it.",
    "Feel a tingle: unplug and call. Local codes and a licensed person's judgement rule over this sheet.",
)

COLUMNS = (
    Column("what feeds", 1.7),
    Column("how things are set", 2.4),
    Column("neutral-earth join", 1.6),
    Column("residual-current device and its circuits", 3.2),
    Column("limit", 2.2),
)

READING = (
    "Every combination of the switches, plugs and supplies at the top was walked, automatic devices come to rest. Combinations that do the same share a row.",
    "A device that is not named in a row may stand either way; of states that look alike the row tells how many there are.",
    "The limit is the least rating known on the way; a conductor may carry less: see the check report.",
    "Not known: a fact that nobody has told yet; both possibilities have their row.",
)


@dataclass(frozen=True, slots=True)
class AcTable:
    """What the table is made from."""

    rig: Rig
    graph: Graph
    title: Title | None = None


def ac_state_sheets(made_from: AcTable) -> tuple[Sheet, ...]:
    """The table on its sheets; none for a rig without alternating current."""
    rig = made_from.rig
    states = ac_states(rig, made_from.graph)
    if states is None:
        return ()

    def finish(pages: Sequence[Page]) -> bool:
        _notes(rig, pages[0], states)
        for page in pages:
            page.note("READING", READING)
        return all(holds(p, CAUTIONS) for p in pages)

    pages = fitted_pages(plan_sizes(rig.job), COLUMNS, [_row(rig, r) for r in states.rows], finish)
    told = {p.id: f"{p.id}, {p.record.title}" for p in rig.parts.values()}
    binding = Binding(
        made_from.title or Title(rig.job.title or rig.job.id), "AC states", "what feeds what", "S",
        f"{len(states.rows)} rows from {states.count} settled states.", CAUTIONS, told,
    )  # fmt: skip
    return bound(pages, binding)


def _notes(rig: Rig, page: Page, states: AcStates) -> None:
    varied = ", ".join(walked_words(rig, states.walked))
    walked = f"{states.count} settled states of {varied}" if states.walked else "one state"
    page.note("CANNOT TELL" if states.trouble else "WALKED", (states.trouble or walked,))


def _row(rig: Rig, row: AcRow) -> Row:
    names = tuple(source_words(rig, i.source) for i in row.islands) or ("no AC",)
    stands = tuple(stands_words(part, state) for part, state in row.stands)
    count = f"{row.states} combination{'s' if row.states != 1 else ''}"
    several = len(row.islands) > 1
    return Row(
        (
            (*names, *stands, count),
            when_words(rig, row) or ("anything else",),
            tuple(joins_words(rig, i, several) for i in row.islands) or ("–",),
            tuple(line for i in row.islands for line in watched_words(i)) or ("nothing live",),
            tuple(f"{i.source} {told}" for i in row.islands for told in i.limit) or ("–",),
        ),
        row.islands[0].source if row.islands else "",
    )
