"""Why: the derivation of a verdict or a figure, to be followed with a pocket calculator."""

import contextlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import Response

from ohmwright.services import why as services
from ohmwright.services.words import tag_word
from ohmwright.standards import table
from ohmwright.web.bench import Bench
from ohmwright.working import OhmwrightError, Step

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
    """The page: `?what=RULE&subject=SUBJECT`, or `?what=ADDRESS` of a figure."""
    look = bench.desk.look(request.path_params["job"])
    what, subject = request.query_params.get("what", ""), request.query_params.get("subject", "")
    if not what:
        raise OhmwrightError("it was not said what to derive", remedy="choose a figure or a note")
    done = services.derived(look.checked, what, subject or None)
    steps: list[Step] = []
    for last in done.finding.steps if done.finding else ():
        steps += [s for s in last.chain() if s not in steps]
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
        },
    )
