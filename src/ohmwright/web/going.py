"""How far long work is, and ending it: one pair of addresses for every sheet that has any."""

from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ohmwright.services.desk import Look
from ohmwright.web.bench import Bench
from ohmwright.web.forms import fields, word
from ohmwright.web.render import path
from ohmwright.web.wanted import ALMANAC, MEND, NIGHTS, ORDER, PAPERS, YEAR, stop_work, work_of
from ohmwright.working import OhmwrightError

#: What each work does, as its sheet tells it while it goes on.
DOING = {
    PAPERS: "The papers are made",
    ALMANAC: "Made years are worked out",
    MEND: "Looking for answers, each one tried, read again and judged by all rules",
    ORDER: "The paper to sign is made",
    NIGHTS: "The nights of a typical year are counted",
    YEAR: "The typical year of this rig is worked out beside this sheet",
}


def _asked(bench: Bench, request: Request) -> tuple[str, Look]:
    what = request.path_params["what"]
    if what not in DOING:
        raise OhmwrightError("there is no such sheet", remedy="go to the register")
    return what, bench.desk.look(request.path_params["job"])


def state(bench: Bench, request: Request) -> Response:
    """How far it is, as a piece of the sheet; the whole sheet once it has ended."""
    what, look = _asked(bench, request)
    work = work_of(bench, what, look)
    if work is None or not work.going:
        return Response(status_code=204, headers={"hx-refresh": "true"})
    return HTMLResponse(bench.text(request, "pieces/going.html", look=look, work=work, what=what, doing=DOING[what]))  # fmt: skip


async def stop(bench: Bench, request: Request) -> Response:
    """End it: what was finished stays, what was half done is not there."""
    form = await fields(bench, request)
    what, look = await run_in_threadpool(_asked, bench, request)
    await run_in_threadpool(stop_work, bench, what, look)
    pair = {k: word(form, k) for k in ("old", "new") if what == ORDER and word(form, k)}
    sheet = ALMANAC if what == YEAR else what
    return RedirectResponse(path("jobs", look.address, sheet) + (f"?{urlencode(pair)}" if pair else ""), 303)
