"""The almanac sheet: the year week by week, nights lost as tally strokes, the week that is hardest, any stay by its hours."""

from collections.abc import Callable
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ohmwright.services.almanac import kept_almanac, notes_of
from ohmwright.services.desk import Look
from ohmwright.services.strip import day_name, lost_by_month, stays_of, strip_of, told_day
from ohmwright.web.bench import Bench
from ohmwright.web.forms import fields
from ohmwright.web.going import DOING
from ohmwright.web.render import path
from ohmwright.web.scale import scale_of
from ohmwright.web.strips import pictures
from ohmwright.web.wanted import (
    ALMANAC,
    MADE_YEARS,
    YEAR,
    begin_almanac,
    begin_year,
    work_of,
    year_of,
)
from ohmwright.web.works import Work


def almanac(bench: Bench, request: Request) -> Response:
    """The sheet: what one made year in ten brings stands beside the typical year, once it has been worked out for this rig."""
    look = bench.desk.look(request.path_params["job"])
    typical, running = year_of(bench, look)
    values: dict[str, Any] = {"made": None, **_waits(running)}
    if typical is not None:
        work = work_of(bench, ALMANAC, look)
        many = work.result if work is not None else None
        made = many or kept_almanac(look.opened, MADE_YEARS) or typical.almanac
        values |= {
            "made": made,
            "notes": notes_of(made),
            "months": typical.almanac.year.months,
            "in_stays": typical.almanac.year.stays,
            "lost_in": lost_by_month(typical.one),
            "day_name": day_name,
            "told_day": told_day,
            "stays": stays_of(typical.one),
            "work": work,
            "doing": DOING[ALMANAC],
            "made_years": MADE_YEARS,
            "scale": scale_of(made.year.by_chance.get("sizes")),
        }
    return bench.sheet(request, look, "almanac", **values)


def stay(bench: Bench, request: Request) -> Response:
    """A stay by its hours: `?from=DAY&days=MANY`."""
    look = bench.desk.look(request.path_params["job"])
    asked = [request.query_params.get(k, "0") for k in ("from", "days")]
    first, days = (int(v) if v.isdecimal() and len(v) < 5 else 0 for v in asked)
    number = request.path_params["stay"]
    which = int(number) if number.isdecimal() and len(number) < 4 else 0
    typical, running = year_of(bench, look)
    if typical is None:
        if request.headers.get("hx-request"):
            return Response(status_code=204, headers={"hx-refresh": "true"})
        return bench.sheet(request, look, "stay", 200, "almanac", strip=None, number=which, **_waits(running))
    strip = strip_of(typical.one, which, first, days)
    values = {
        "strip": strip,
        "number": which,
        "pictures": pictures(strip),
        "stays": stays_of(typical.one),
        "day_name": day_name,
    }
    if request.headers.get("hx-request"):
        return HTMLResponse(
            bench.text(request, "pieces/strip.html", **bench.around(look, "almanac"), **values)
        )
    return bench.sheet(request, look, "stay", 200, "almanac", **values)


def _waits(work: Work[Any] | None) -> dict[str, Any]:
    """What a sheet tells that waits for the typical year."""
    return {"work": work, "doing": DOING[YEAR]}


async def begin(bench: Bench, request: Request) -> Response:
    """Work out the made years, beside the sheets."""
    return await _begun(bench, request, begin_almanac, "almanac")


async def begin_typical(bench: Bench, request: Request) -> Response:
    """Run the typical year after all."""
    return await _begun(bench, request, begin_year, "almanac")


async def begin_nights(bench: Bench, request: Request) -> Response:
    """Count the nights of the typical year after all."""
    return await _begun(bench, request, begin_year, "interview", "#stays")


async def _begun(
    bench: Bench, request: Request, start: Callable[[Bench, Look], object], sheet: str, part: str = ""
) -> Response:
    await fields(bench, request)
    look = await run_in_threadpool(bench.desk.look, request.path_params["job"])
    await run_in_threadpool(start, bench, look)
    return RedirectResponse(path("jobs", look.address, sheet) + part, 303)
