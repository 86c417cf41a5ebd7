"""The AC truth table: every settled state of the sources, with joins, residual-current devices, circuits and limits."""

from dataclasses import dataclass

from ohmwright.drawing.ac_rows import AcRow, AcStates, Island, ac_states
from ohmwright.drawing.frame import Title, sizes_for
from ohmwright.drawing.page import Binding, Page, bound
from ohmwright.drawing.shapes import Sheet
from ohmwright.drawing.tables import Column, Row, table_pages
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

CAUTIONS = (
    "What is said here follows from the file's wiring alone: prove each row with a meter before anybody relies on it.",
    "A row without a neutral-earth join, or with two on one island, is a fault to mend and no way to run.",
    "A residual-current device sees a fault to earth only while there is a join ahead of it.",
    "Feel a tingle: unplug and call. Local codes and a licensed person's judgement rule over this sheet.",
)

COLUMNS = (
    Column("state", 1.5),
    Column("set by hand or from outside", 2.2),
    Column("neutral-earth join", 1.6),
    Column("residual-current device: circuits", 3.6),
    Column("limit", 2.2),
)

READING = (
    "Rows are the settled states of the proofs' own walk: every combination of the named devices, with automatic devices come to rest. States that do the same share a row.",
    "A device that is not named in a row may stand either way.",
    "The limit is the least rating known on the way; a conductor may carry less: see the check report.",
    "A letter with ? is a fact that nobody knows yet; both possibilities have their row.",
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
    pages = table_pages(sizes_for(made_from.rig.job)[0], COLUMNS, [_row(r) for r in states.rows])
    _notes(pages[0], states)
    for page in pages:
        page.note("READING", READING)
    told = {p.id: f"{p.id}, {p.record.title}" for p in rig.parts.values()}
    binding = Binding(
        made_from.title or Title(rig.job.title or rig.job.id), "AC states", "from the settled walk", "S",
        f"{len(states.rows)} rows from {states.count} settled states.", CAUTIONS, told,
    )  # fmt: skip
    return bound(pages, binding)


def _notes(page: Page, states: AcStates) -> None:
    walked = f"{states.count} settled states of {', '.join(states.walked)}" if states.walked else "one state"
    page.note("CANNOT TELL" if states.trouble else "WALKED", (states.trouble or walked,))


def _row(row: AcRow) -> Row:
    name = " + ".join(i.source for i in row.islands) or "no AC"
    stands = tuple(f"{part} {state}" for part, state in row.stands)
    count = f"{row.states} state{'s' if row.states != 1 else ''}"
    when = tuple(f"{v}{' ?' if v in row.unknown else ''}: {' or '.join(s)}" for v, s in row.when)
    return Row(
        (
            (name, *stands, count),
            (" · ".join(when) or "anything else",),
            tuple(_joins(i) for i in row.islands) or ("–",),
            tuple(line for i in row.islands for line in _watched(i)) or ("nothing live",),
            tuple(f"{i.source} {told}" for i in row.islands for told in i.limit) or ("–",),
        ),
        row.islands[0].source if row.islands else "",
    )


def _joins(island: Island) -> str:
    if not island.joins:
        return f"{island.source}: NONE"
    more = "  TWO OR MORE" if len(island.joins) > 1 else ""
    return f"{island.source}: {', '.join(island.joins)}{more}"


def _watched(island: Island) -> list[str]:
    out = []
    for guard, circuits in island.watched:
        names = "; ".join(circuits)
        blind = " (no join: blind to a fault to earth)" if guard and not island.joins else ""
        out.append(f"{guard or 'none'}{blind}: {names}")
    return out or [f"{island.source} feeds converters only"]
