"""What the loads come to in nights: a typical year, counted beside the interview sheet and told there when it is known."""

import time
from typing import TYPE_CHECKING, Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ohmwright.rig.model import Stay
from ohmwright.services.desk import Look, year_of_text
from ohmwright.web.bench import Bench
from ohmwright.web.forms import fields
from ohmwright.web.render import path
from ohmwright.web.wanted import NIGHTS, key_of, where_of, work_of
from ohmwright.web.works import Work

if TYPE_CHECKING:
    from ohmwright.energy.types import Year

LISTEN_S = 0.2


def counted(bench: Bench, look: Look) -> "tuple[Year | None, Work[Any] | None]":
    """The year of a rig if it is known; else the work that counts it, begun unless somebody has stopped it."""
    if not look.rig.use.stays:
        return None, None
    work = work_of(bench, NIGHTS, look)
    year = bench.desk.year_at_hand(look) or (work.result if work is not None else None)
    if year is None and work is None:
        work = _begin(bench, look)
    return year, work


def stay_name(stay: Stay) -> str:
    """Where it is spent."""
    return stay.place or (f"{stay.start} to {stay.end}" if stay.start else "place not told")


def about_nights(bench: Bench, look: Look) -> dict[str, Any]:
    """What the pieces of the interview sheet that tell nights are made from."""
    year, work = counted(bench, look)
    return {
        "year": year,
        "work": work if year is None else None,
        "named": stay_name,
        "kept": {p.name: p for p in year.promises} if year else {},
        "trouble": work.trouble if work is not None and year is None else "",
        "carries": [f for f in look.checked.findings if f.rule == "battery/autonomy" and f.value is not None],
    }


def nights(bench: Bench, request: Request) -> Response:
    """The pieces again: how far it is, or what came out of it."""
    look = bench.desk.look(request.path_params["job"])
    return HTMLResponse(
        bench.text(
            request,
            "pieces/nights-told.html",
            **bench.around(look, "interview"),
            **about_nights(bench, look),
            oob=True,
        )
    )


async def begin(bench: Bench, request: Request) -> Response:
    """Count them after all."""
    await fields(bench, request)
    look = await run_in_threadpool(bench.desk.look, request.path_params["job"])
    await run_in_threadpool(_begin, bench, look)
    return RedirectResponse(path("jobs", look.address, "interview") + "#stays", 303)


def _begin(bench: Bench, look: Look) -> Work[Any]:
    def go(work: Work[Any]) -> "Year":
        about = (
            (_year_at, where_of(bench, look))
            if look.letter
            else (year_of_text, bench.desk.folder(look.job), look.rig.text)
        )
        while True:
            work.heed("a typical year")
            if (rest_s := bench.aside.rest_s()) > 0:
                time.sleep(min(rest_s, LISTEN_S))
                continue
            year: Year | None = bench.aside.answer(*about)
            if year is not None:
                return bench.desk.keep_year(look, year)

    return bench.works.begin(key_of(NIGHTS, look), go)


def _year_at(where: str) -> "Year":
    """In the other process: the year of an issued revision."""
    from ohmwright.services.opening import open_rig
    from ohmwright.services.year import year_of_opened

    return year_of_opened(open_rig(where)).year
