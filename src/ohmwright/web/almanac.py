"""The almanac sheet: the year week by week, nights lost as tally strokes, the week that is hardest."""

from starlette.requests import Request
from starlette.responses import Response

from ohmwright.services.almanac import Almanac
from ohmwright.services.almanac import almanac as worked
from ohmwright.services.desk import Look
from ohmwright.web.bench import Bench
from ohmwright.working import OhmwrightError

MADE_YEARS = 64
MOST_KEPT = 12


def almanac(bench: Bench, request: Request) -> Response:
    """The sheet; `?years=64` puts what one made year in ten brings beside the typical year."""
    look = bench.desk.look(request.path_params["job"])
    years = MADE_YEARS if request.query_params.get("years") == str(MADE_YEARS) else 1
    trouble, made = "", None
    try:
        made = _kept(bench, look, years)
    except OhmwrightError as error:
        trouble = str(error)
    return bench.sheet(
        request, look, "almanac", made=made, trouble=trouble, years=years, made_years=MADE_YEARS
    )


def _kept(bench: Bench, look: Look, years: int) -> Almanac:
    key = (look.address, look.sha256, years)
    if key not in bench.almanacs:
        bench.almanacs[key] = worked(look.opened, years)
        while len(bench.almanacs) > MOST_KEPT:
            bench.almanacs.pop(next(iter(bench.almanacs)))
    return bench.almanacs[key]
