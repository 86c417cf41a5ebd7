"""Why: the derivation of a verdict or a figure, to be followed with a pocket calculator."""

import contextlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from starlette.requests import Request
from starlette.responses import Response

from ohmwright.services import reckon
from ohmwright.services import why as services
from ohmwright.services.almanac import Typical, kept_almanac
from ohmwright.services.desk import Look
from ohmwright.services.lines import Lines
from ohmwright.services.words import tag_word
from ohmwright.services.year_kept import year_at_hand
from ohmwright.standards import table
from ohmwright.web.bench import Bench
from ohmwright.web.going import DOING
from ohmwright.web.wanted import ALMANAC, MADE_YEARS, YEAR, work_of, year_of
from ohmwright.working import OhmwrightError, Step

if TYPE_CHECKING:
    from ohmwright.energy.types import Year

#: On which sheet a figure stands.
OF_SHEET = {
    "year": "almanac",
    "made": "almanac",
    "many": "change-order",
    "run": "one-line",
    "place": "places",
    "shade": "roof",
    "string": "one-line",
}
SEEN = {
    "official": "on the official page",
    "primary": "on the page itself",
    "secondary": "in a second hand",
    "memory": "from memory",
}


@dataclass(frozen=True, slots=True)
class Used:
    """A published table that a derivation took a figure from; `cells` are the ones it took."""

    name: str
    title: str
    told: str
    note: str
    by: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, tuple[float | None, ...]], ...]
    cells: frozenset[tuple[str, str]]


def used_tables(steps: Iterable[Step]) -> Iterator[Used]:
    """The tables behind the inputs of some steps."""
    cells: dict[str, set[tuple[str, str]]] = {}
    for step in steps:
        for i in step.inputs:
            name, _, cell = (i.address or "").partition("/")
            row, slash, column = cell.rpartition("/")
            if slash:
                cells.setdefault(name, set()).add((row, column))
    for name, taken in cells.items():
        with contextlib.suppress(KeyError, OhmwrightError, FileNotFoundError):
            listed = table(name)
            yield Used(
                name,
                listed.title,
                f"{listed.clause}; seen: {SEEN.get(listed.clause.seen, listed.clause.seen)}",
                listed.clause.note,
                listed.by,
                tuple(listed.columns),
                tuple(listed.rows.items()),
                frozenset(taken),
            )


def why(bench: Bench, request: Request) -> Response:
    """The page: `?what=RULE&subject=SUBJECT`, `?what=ADDRESS` of a figure of the file, or of a figure that no rule judges."""
    look = bench.desk.look(request.path_params["job"])
    what, subject = request.query_params.get("what", ""), request.query_params.get("subject", "")
    if not what:
        raise OhmwrightError("it was not said what to derive", remedy="choose a figure or a note")
    if reckon.is_reckoned(what):
        return reckoned(bench, request, look, what, subject)
    done = services.derived(look.checked, what, subject or None)
    steps = in_order(done.finding.steps if done.finding else ())
    word = tag_word(done.finding.verdict, done.finding.severity) if done.finding else ""
    return bench.page(
        request,
        "why.html",
        **{
            **bench.around(look, "check"),
            "done": done,
            "steps": steps,
            "word": word,
            "tables": list(used_tables(steps)),
            "asked": asked,
            "line_of": Lines(look.rig).of,
        },
    )


def in_order(last: Iterable[Step]) -> list[Step]:
    """Steps behind those that they rest on, each once."""
    out: list[Step] = []
    for one in last:
        out += [s for s in one.chain() if s not in out]
    return out


def asked(address: str) -> tuple[str, str] | None:
    """What and subject of an input that can be asked why itself."""
    what, _, subject = address.partition(" ")
    if reckon.is_reckoned(what):
        return what, subject
    return (address, "") if "." in address and "/" not in address and " " not in address else None


def reckoned(bench: Bench, request: Request, look: Look, what: str, subject: str) -> Response:
    """A figure of the year, a run, a place, the shade, of money or mass: told once its year is at hand."""
    head = what.partition("/")[0]
    typical: Typical | None = None
    made: Year | None = None
    if head == reckon.TYPICAL:
        typical, work = year_of(bench, look)
        if typical is None:
            return bench.sheet(request, look, "reckoned", 200, "almanac", done=None, work=work, doing=DOING[YEAR], waits="year", what=what, subject=subject)  # fmt: skip
    if head == reckon.MADE:
        work = work_of(bench, ALMANAC, look)
        kept = (work.result if work is not None else None) or kept_almanac(look.opened, MADE_YEARS)
        if kept is None:
            return bench.sheet(request, look, "reckoned", 200, "almanac", done=None, work=work, doing=DOING[ALMANAC], waits="almanac", what=what, subject=subject)  # fmt: skip
        made = kept.year
    if head == reckon.MANY and year_at_hand(look.opened) is None:
        return bench.sheet(request, look, "reckoned", 200, "change-order", done=None, work=None, waits="order", what=what, subject=subject)  # fmt: skip
    about = reckon.About(
        look.opened,
        (lambda: typical) if typical is not None else None,
        (lambda: made) if made is not None else None,
        look.study,
    )
    done = reckon.derived(about, what, subject)
    return bench.sheet(
        request,
        look,
        "reckoned",
        200,
        OF_SHEET.get(head, "check"),
        done=done,
        steps=in_order(done.steps),
        tables=[],
        asked=asked,
        line_of=Lines(look.rig).of,
    )
