"""The almanac sheet: the year week by week, nights lost as tally strokes, the week that is hardest, any stay by its hours."""

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ohmwright.services.almanac import Typical, kept_almanac, typical
from ohmwright.services.desk import Look
from ohmwright.services.strip import stays_of, strip_of
from ohmwright.web.bench import Bench
from ohmwright.web.forms import fields
from ohmwright.web.going import DOING
from ohmwright.web.render import path
from ohmwright.web.scale import scale_of
from ohmwright.web.strips import pictures
from ohmwright.web.wanted import ALMANAC, MADE_YEARS, begin_almanac, work_of
from ohmwright.working import OhmwrightError

MOST_KEPT = 12


def almanac(bench: Bench, request: Request) -> Response:
    """The sheet: what one made year in ten brings stands beside the typical year, once it has been worked out for this rig."""
    look = bench.desk.look(request.path_params["job"])
    work = work_of(bench, ALMANAC, look)
    trouble, made = "", None
    stays: tuple[tuple[int, str, int], ...] = ()
    try:
        year = _kept(bench, look)
        made, stays = year.almanac, stays_of(year.one)
    except OhmwrightError as error:
        trouble = str(error)
    if made is not None:
        many = work.result if work is not None else None
        made = many or kept_almanac(look.opened, MADE_YEARS) or made
    return bench.sheet(
        request,
        look,
        "almanac",
        made=made,
        trouble=trouble,
        stays=stays,
        work=work,
        doing=DOING[ALMANAC],
        made_years=MADE_YEARS,
        scale=scale_of(made.year.by_chance.get("sizes")) if made is not None else None,
    )


def stay(bench: Bench, request: Request) -> Response:
    """A stay by its hours: `?from=DAY&days=MANY`."""
    look = bench.desk.look(request.path_params["job"])
    asked = [request.query_params.get(k, "0") for k in ("from", "days")]
    first, days = (int(v) if v.isdecimal() and len(v) < 5 else 0 for v in asked)
    number = request.path_params["stay"]
    one = _kept(bench, look).one
    strip = strip_of(one, int(number) if number.isdecimal() and len(number) < 4 else 0, first, days)
    values = {"strip": strip, "pictures": pictures(strip), "stays": stays_of(one)}
    if request.headers.get("hx-request"):
        return HTMLResponse(
            bench.text(request, "pieces/strip.html", **bench.around(look, "almanac"), **values)
        )
    return bench.sheet(request, look, "stay", 200, "almanac", **values)


async def begin(bench: Bench, request: Request) -> Response:
    """Work out the made years, beside the sheets."""
    await fields(bench, request)
    look = await run_in_threadpool(bench.desk.look, request.path_params["job"])
    await run_in_threadpool(begin_almanac, bench, look)
    return RedirectResponse(path("jobs", look.address, "almanac"), 303)


def _kept(bench: Bench, look: Look) -> Typical:
    key = f"{look.address} {look.sha256}"
    if key not in bench.typical:
        bench.typical[key] = typical(look.opened)
        while len(bench.typical) > MOST_KEPT:
            bench.typical.pop(next(iter(bench.typical)))
    return bench.typical[key]
