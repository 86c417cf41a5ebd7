"""What the loads come to in nights: a typical year, counted beside the interview sheet and told there when it is known."""

from typing import TYPE_CHECKING, Any

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from ohmwright.rig.model import Stay
from ohmwright.services.desk import Look
from ohmwright.web.bench import Bench
from ohmwright.web.wanted import year_of
from ohmwright.web.works import Work

if TYPE_CHECKING:
    from ohmwright.energy.types import Year


def counted(bench: Bench, look: Look) -> "tuple[Year | None, Work[Any] | None]":
    """The year of a rig if it is known; else the work that counts it, begun unless somebody has stopped it."""
    if not look.rig.use.stays:
        return None, None
    made, work = year_of(bench, look)
    return (made.almanac.year if made is not None else None), work


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
