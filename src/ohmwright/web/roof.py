"""The roof sheet: modules laid on their surface, what stands there, shadows by hour, what shade costs."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, QueryParams
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ohmwright.rig.model import Obstacle, Rig, Stay
from ohmwright.services import roof as services
from ohmwright.services.desk import Change, Look, Put
from ohmwright.services.roof import Cost, Surface
from ohmwright.web.bench import Bench
from ohmwright.web.circuit import follows_of
from ohmwright.web.forms import fields, needed, word
from ohmwright.web.render import path, written
from ohmwright.web.roof_drawing import drawing, left_out
from ohmwright.working import OhmwrightError

HEADINGS = tuple((45 * k, services.compass_of(45.0 * k)) for k in range(8))
NEW = "new"


@dataclass(frozen=True, slots=True)
class View:
    """What of the roof is looked at: a surface, a stay, a day, a heading of the host."""

    surface: Surface | None
    stays: tuple[tuple[int, Stay], ...]
    stay_number: int
    day: str
    heading_deg: float
    heading_free: bool

    @property
    def stay(self) -> Stay | None:
        """The stay whose sun is taken."""
        return next((s for n, s in self.stays if n == self.stay_number), None)

    def query(self, **other: str | int) -> str:
        """The same look as words of an address, with something otherwise."""
        told: dict[str, str | int] = {"stay": self.stay_number, "day": self.day}
        if self.surface is not None:
            told["place"] = self.surface.place.id
        if self.heading_free:
            told["heading"] = round(self.heading_deg)
        return urlencode({**told, **other})


def view_of(rig: Rig, query: QueryParams) -> tuple[View, tuple[Surface, ...]]:
    """The look that an address asks for, or the first of everything."""
    all_of_them = services.surfaces(rig)
    surface = next(
        (s for s in all_of_them if s.place.id == query.get("place")), all_of_them[0] if all_of_them else None
    )
    stays = services.stays_of(rig)
    asked = query.get("stay", "")
    numbers = [n for n, _ in stays]
    number = int(asked) if asked.isdecimal() and len(asked) < 4 and int(asked) in numbers else next(iter(numbers), 0)  # fmt: skip
    day = query.get("day", "")
    stay = dict(stays).get(number)
    told = services.heading_told(stay)
    fixed = surface.bearing_of_x_deg if surface is not None else None
    free = fixed is None and told is None
    heading = query.get("heading", "")
    typed = float(heading) if heading.isdecimal() and len(heading) < 4 else 0.0
    bearing = fixed if fixed is not None else told if told is not None else typed
    day = day if day in services.DESIGN_DAYS else "21 Dec"
    return View(surface, stays, number, day, bearing, free), all_of_them


def roof(bench: Bench, request: Request) -> Response:
    """The sheet."""
    look = bench.desk.look(request.path_params["job"])
    change, follows = follows_of(bench, look)
    return bench.sheet(
        request, look, "roof", **_about(request, look), change=change, follows=follows, costs=_costs(look, request), before=None
    )  # fmt: skip


def _about(request: Request, look: Look) -> dict[str, Any]:
    view, all_of_them = view_of(look.rig, request.query_params)
    units = "us" if request.cookies.get("units") == "us" else "metric"
    spot = services.spot_latitude_deg(view.stay)
    shadows = (
        services.shadows(view.surface, spot, services.DESIGN_DAYS[view.day], view.heading_deg)
        if view.surface is not None and spot is not None
        else ()
    )
    fixed = bool(look.letter)
    return {
        "view": view,
        "surfaces": all_of_them,
        "surface": view.surface,
        "left_out": left_out(view.surface) if view.surface is not None else (),
        "plan": drawing(view.surface, shadows, units, fixed=fixed) if view.surface is not None else "",
        "shadows": shadows,
        "days": tuple(services.DESIGN_DAYS),
        "headings": HEADINGS,
        "compass": services.compass_of,
        "amiss": services.amiss,
        "obstacle_text": _text,
        "here_back": path("jobs", look.address, "roof") + "?" + view.query(),
        "ref": "",
        "which": "",
    }


def _text(obstacle: Obstacle | None, key: str) -> str:
    """What a field of an obstacle holds."""
    if obstacle is None:
        return ""
    pairs = {"at": (obstacle.at, " "), "size": (obstacle.size, " x ")}
    if key in pairs:
        pair, between = pairs[key]
        return between.join(f"{v:.10g}" for v in pair) + " m" if pair else ""
    if key == "note":
        return obstacle.note
    return written({"height": obstacle.height, "open": obstacle.open, "above": obstacle.above}[key])


def _costs(look: Look, request: Request) -> tuple[Cost, ...]:
    view, _ = view_of(look.rig, request.query_params)
    if view.surface is None or view.stay is None:
        return ()
    here = {m.array for m in view.surface.modules}
    return tuple(c for c in services.shade_of(look.opened, view.stay) if c.shade.array in here)


def shade(bench: Bench, request: Request) -> Response:
    """What shade costs now, as a piece of the sheet, with what it cost before a change: `?was=HASH&module=M.1.1`."""
    look = bench.desk.look(request.path_params["job"])
    before = bench.desk.seen(look.job, request.query_params.get("was", ""))
    costs, old = _costs(look, request), _costs(before, request) if before is not None else None
    return HTMLResponse(
        bench.text(
            request,
            "pieces/roof-shade.html",
            **bench.around(look, "roof"),
            **_about(request, look),
            costs=costs,
            before={_key(c): c for c in old} if old is not None else None,
            read_out=_told(look, request, costs, old),
        )
    )


def _key(cost: Cost) -> tuple[str, str]:
    return cost.shade.array, cost.shade.scene


def _told(look: Look, request: Request, costs: tuple[Cost, ...], old: tuple[Cost, ...] | None) -> str:
    """Where the module lies and what that costs, to be read out."""
    module = request.query_params.get("module", "")
    part = look.rig.parts.get(module)
    said = (
        f"{module} lies at {_spot(part.laid)}{', turned' if part.turned else ''}."
        if part and part.laid
        else ""
    )
    was = {_key(c): c for c in old or ()}
    for c in costs:
        if part is not None and c.shade.array not in (part.id, part.group):
            continue
        now, then = 100 * c.shade.year.lost_ratio, was.get(_key(c))
        said += f" Shade takes {now:.2f} % of the year of {c.shade.array} {c.shade.scene}"
        said += f", was {100 * then.shade.year.lost_ratio:.2f} %." if then is not None else "."
    return said.strip()


def _spot(at: tuple[float, float]) -> str:
    return f"{at[0]:.3f} {at[1]:.3f} m"


# ---------------------------------------------------------------------------------------------------- changing


async def lay(bench: Bench, request: Request) -> Response:
    """Lay modules: fields come as `lay.MODULE` with `was.MODULE` beside them; only what is otherwise is put."""
    form = await fields(bench, request)
    asked = [
        (name[4:], value)
        for name in form
        if name.startswith("lay.") and (value := " ".join(word(form, name).split())) != word(form, f"was.{name[4:]}")
    ]  # fmt: skip
    if word(form, "room"):
        asked = [(name[5:], word(form, name)) for name in form if name.startswith("room.")]
    look = await run_in_threadpool(bench.desk.look, request.path_params["job"])
    puts = tuple(Put(services.address_of(look.rig, m), p) for m, p in asked)

    def edited(text: str, file: str) -> str:
        from ohmwright.rig.read import read_rig

        rig = look.rig
        for module, place in asked:
            text = services.laid(rig, module, place)(text, file)
            rig = read_rig(text, file, look.opened.shelf)
        if not word(form, "anyway") and (
            worse := services.worsened(look.rig, rig, tuple(m for m, _ in asked))
        ):
            raise DoesNotFitError(worse, tuple(asked))
        return text

    try:
        change = await run_in_threadpool(bench.desk.edit, look.job, word(form, "opened"), edited, puts)
    except DoesNotFitError as error:
        return _does_not_fit(bench, request, look, error)
    return await run_in_threadpool(_answered, bench, request, change, asked[0][0] if asked else "")


class DoesNotFitError(OhmwrightError):
    """Modules would lie over the outline, on an obstacle or on each other."""

    def __init__(self, worse: tuple[str, ...], asked: tuple[tuple[str, str], ...]) -> None:
        self.worse, self.asked = worse, asked
        super().__init__("; ".join(worse), remedy="lay it elsewhere, or put it there all the same")


def _does_not_fit(bench: Bench, request: Request, look: Look, error: DoesNotFitError) -> Response:
    values = {"error": error, "look": look, "query": str(request.query_params)}
    if request.headers.get("hx-request"):
        text = bench.text(request, "pieces/roof-refused.html", **values)
        return HTMLResponse(text, 200, {"hx-retarget": "#said", "hx-reswap": "outerHTML"})
    return bench.page(request, "roof-refused.html", 422, **{**bench.around(look, "roof"), **values})


async def outline(bench: Bench, request: Request) -> Response:
    """Tell the outline of a place."""
    form = await fields(bench, request)
    place, size = needed(form, "place", "the place"), needed(form, "outline", "the outline")
    puts = (Put(f"host.places.{place}.outline", size),)
    return await _changed(bench, request, form, services.outlined(place, size), puts)


async def obstacle(bench: Bench, request: Request) -> Response:
    """Put an obstacle on a place, tell one otherwise, or take it away."""
    form = await fields(bench, request)
    place, name = needed(form, "place", "the place"), needed(form, "name", "the name of the obstacle")
    look = await run_in_threadpool(bench.desk.look, request.path_params["job"])
    address = f"host.places.{place}.obstacles.{name}"
    if word(form, "how") == "take":
        edited, puts = services.obstacle_taken(look.rig, place, name), (Put(address, "taken out"),)
        return await _changed(bench, request, form, edited, puts)
    told = {k: word(form, k) for k in services.OBSTACLE_KEYS if k in form}
    new = word(form, "how") == NEW
    if new:
        for key, what in (("at", "where it stands"), ("size", "its size"), ("height", "its height")):
            needed(form, key, what)
    else:
        told = {k: v for k, v in told.items() if v != word(form, f"was.{k}")}
    edited = services.obstacle_put(look.rig, place, name, told, new=new)
    return await _changed(
        bench, request, form, edited, tuple(Put(f"{address}.{k}", v) for k, v in told.items() if v)
    )


async def _changed(bench: Bench, request: Request, form: FormData, edited: Callable[[str, str], str], puts: tuple[Put, ...]) -> Response:  # fmt: skip
    job = request.path_params["job"]
    change = await run_in_threadpool(bench.desk.edit, job, word(form, "opened"), edited, puts)
    return await run_in_threadpool(_answered, bench, request, change, "")


def _answered(bench: Bench, request: Request, change: Change, module: str) -> Response:
    look = change.after
    if not request.headers.get("hx-request"):
        return RedirectResponse(f"{path('jobs', look.job, 'roof')}?{request.query_params}", 303)
    _, follows = follows_of(bench, look)
    return HTMLResponse(
        bench.text(
            request,
            "pieces/roof.html",
            **{**bench.around(look, "roof"), **_about(request, look)},
            change=change,
            follows=follows,
            beat=change.after is not change.before,
            costs=None,
            before=None,
            moved=module,
        )
    )
