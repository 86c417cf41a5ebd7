"""The second beat of a change: the sheet drawn again, then the energy year, as server-sent events."""

import asyncio
from collections.abc import AsyncIterator
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from ohmwright.services.desk import Look
from ohmwright.services.follows import counted_lines, counted_of_texts, year_lines
from ohmwright.services.reports import bug_report
from ohmwright.web.bench import Bench
from ohmwright.web.circuit import parts_of_sheet, with_query
from ohmwright.web.edits import rerowed
from ohmwright.web.redrawn import redrawn_of
from ohmwright.web.warmth import sweep
from ohmwright.working import OhmwrightError

if TYPE_CHECKING:
    from ohmwright.energy.types import Year

#: So often a stream that waits looks whether its page is still there.
LISTEN_S = 0.5


async def beat(bench: Bench, request: Request) -> Response:
    """The stream for one change: `?was=HASH&becomes=HASH`."""
    job = request.path_params["job"]
    before, after = (bench.desk.seen(job, request.query_params.get(k, "")) for k in ("was", "becomes"))
    return StreamingResponse(_beats(bench, request, before, after), media_type="text/event-stream")


async def _beats(
    bench: Bench, request: Request, before: Look | None, after: Look | None
) -> AsyncIterator[str]:
    try:
        if before is not None and after is not None:
            if "drawn" not in request.query_params:
                yield _event("drawing", await run_in_threadpool(_drawing, bench, request, before, after))
            at_once = bench.counts_at_once
            if at_once:
                yield _event("counted", await run_in_threadpool(_counted, bench, request, before, after))
            await run_in_threadpool(sweep)
            while not at_once and not await _gone(bench, request):
                counted = await run_in_threadpool(_counted_aside, bench, request, before, after)
                if counted is not None:
                    yield _event("counted", counted)
                    break
            while not await _gone(bench, request):
                year = await run_in_threadpool(_year, bench, request, before, after)
                if year is not None:
                    yield _event("year", year)
                    break
    except Exception as bug:  # noqa: BLE001 - the stream has begun, so the fault is told in it
        told = bench.text(
            request,
            "pieces/year-lines.html",
            lines=(),
            look=after,
            trouble=f"a fault of the program; the report lies in {bug_report(['bench', 'beat'], bug)}",
        )
        yield _event("year", told)
    yield _event("done", "")


async def _gone(bench: Bench, request: Request) -> bool:
    """Whether nobody waits any more, once the bench is quiet."""
    while (rest_s := bench.aside.rest_s()) > 0 and not await request.is_disconnected():
        await asyncio.sleep(min(rest_s, LISTEN_S))
    return await request.is_disconnected()


def _event(name: str, text: str) -> str:
    return f"event: {name}\n" + "".join(f"data: {line}\n" for line in text.split("\n")) + "\n"


def _drawing(bench: Bench, request: Request, before: Look, look: Look) -> str:
    """What of drawing, notes and schedule is otherwise; all of the drawing where the page has another one."""
    old = bench.drawn(before)
    drawn = bench.circuits(look, old)
    shown = request.query_params.get("rows", "")
    which, owner = bench.schedule(shown)[:2] or ("", "")
    pieces = parts_of_sheet(look, with_query(request, {"choose": owner, "list": which}), drawn)
    whole = "whole" in request.query_params
    return bench.text(
        request,
        "pieces/drawn.html",
        **bench.around(look, "one-line"),
        **pieces,
        **redrawn_of(before, old, drawn, pieces["marks"], whole=whole),
        **rerowed(bench, shown, pieces),
        was=before.sha256,
    )


def _counted(bench: Bench, request: Request, before: Look, after: Look) -> str:
    with bench.timed_counting():
        lines = counted_lines(before, after)
    return bench.text(request, "pieces/counted-lines.html", lines=lines, look=after)


def _counted_aside(bench: Bench, request: Request, before: Look, after: Look) -> str | None:
    """Of a rig in which counting takes long; None when the next change came first."""
    folder = bench.desk.folder(after.job)
    lines = bench.aside.answer(counted_of_texts, folder, before.rig.text, after.rig.text)
    if lines is None:
        return None
    return bench.text(request, "pieces/counted-lines.html", lines=lines, look=after)


def _year(bench: Bench, request: Request, before: Look, after: Look) -> str | None:
    """What the change does to the energy year; None when the next change came first."""
    try:
        years = _years(bench, before, after)
        if years is None:
            return None
        lines, trouble = year_lines(*years), ""
    except OhmwrightError as error:
        lines, trouble = (), str(error)
    return bench.text(request, "pieces/year-lines.html", lines=lines, trouble=trouble, look=after)


def _years(bench: Bench, before: Look, after: Look) -> "tuple[Year, Year] | None":
    a, b = (bench.years.now(look) for look in (before, after))
    return (a.almanac.year, b.almanac.year) if a is not None and b is not None else None
