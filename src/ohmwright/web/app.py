"""The addresses of the bench. A sheet's module is imported when the sheet is first asked for, so that the register stands at once."""

from collections.abc import Awaitable, Callable, Iterable
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from ohmwright.services.desk import ConflictError
from ohmwright.services.reports import bug_report
from ohmwright.web.bench import Bench
from ohmwright.web.forms import ASKED, Brought, brought
from ohmwright.web.guard import Guard, TooLargeError
from ohmwright.web.packed import PACKING
from ohmwright.working import OhmwrightError

STATIC = Path(__file__).parent / "static"


@cache
def named(name: str) -> Callable[..., Any]:
    """The function of a sheet: `papers.make` is `make` of the module of the papers sheet."""
    module, _, function = name.partition(".")
    found: Callable[..., Any] = getattr(import_module(f"ohmwright.web.{module}"), function)
    return found


def make_app(folder: str, *, hosts: Iterable[str] = ("localhost", "127.0.0.1", "::1")) -> Starlette:
    """The bench over one folder of jobs."""
    return app_of(Bench(folder), hosts=hosts)


def app_of(
    bench: Bench,
    *,
    hosts: Iterable[str] = ("localhost", "127.0.0.1", "::1"),
    begun: Callable[[], None] = lambda: None,
) -> Starlette:
    """The addresses of a bench; `begun` is called behind the first page, which must not wait for it."""
    first = [begun]

    async def told(request: Request, work: Awaitable[Response]) -> Response:
        """What a sheet answers, or why not: a refusal, or a bug with its report, is a plain page."""
        try:
            return await work
        except ConflictError as error:
            conflict: Response = named("edits.conflict")(bench, request, error, await brought(request))
            return conflict
        except OhmwrightError as error:
            return refused(bench, request, error, await brought(request))
        except (TooLargeError, HTTPException):
            raise
        except Exception as bug:  # noqa: BLE001 - a bug becomes a report and a plain page
            return at_fault(bench, request, bug)
        finally:
            await request.close()
            while first:
                first.pop()()

    def page(name: str) -> Callable[[Request], Awaitable[Response]]:
        async def answer(request: Request) -> Response:
            return await told(request, run_in_threadpool(lambda: answer_of(name, bench, request)))

        return answer

    def form(name: str) -> Callable[[Request], Awaitable[Response]]:
        async def sent(request: Request) -> Response:
            answered: Response = await (await run_in_threadpool(named, name))(bench, request)
            return answered

        async def answer(request: Request) -> Response:
            return await told(request, sent(request))

        return answer

    at = "/jobs/{job}"
    routes = [
        Route("/", page("register.register")),
        Route("/new", form("register.new"), methods=["POST"]),
        Route("/new/nothing", page("register.nothing")),
        Route("/new/nothing", form("register.from_nothing"), methods=["POST"]),
        Route("/appearance", form("register.appearance"), methods=["POST"]),
        Route("/shelf", page("shelf.shelf")),
        Route("/shelf/add", page("shelf.blank")),
        Route("/shelf/add", form("shelf.add"), methods=["POST"]),
        Route("/shelf/part/{part}", page("shelf.part")),
        Route("/shelf/part/{part}", form("shelf.prove"), methods=["POST"]),
        Route(at, lambda r: RedirectResponse(f"{r.url.path}/job", 303)),
        Route(f"{at}/job", page("job.job")),
        Route(f"{at}/issue", form("job.issue"), methods=["POST"]),
        Route(f"{at}/one-line", page("circuit.one_line")),
        Route(f"{at}/one-line/chosen", page("circuit.chosen")),
        Route(f"{at}/beat", form("beat.beat")),
        Route(f"{at}/parts", form("building.part"), methods=["POST"]),
        Route(f"{at}/bank", form("building.bank"), methods=["POST"]),
        Route(f"{at}/runs", form("building.run"), methods=["POST"]),
        Route(f"{at}/cut-in", form("building.cut"), methods=["POST"]),
        Route(f"{at}/take-out", form("building.take"), methods=["POST"]),
        Route(f"{at}/rename", form("building.rename"), methods=["POST"]),
        Route(f"{at}/strings", form("building.strings"), methods=["POST"]),
        Route(f"{at}/ungroup", form("building.ungroup"), methods=["POST"]),
        Route(f"{at}/settings", page("settings.settings")),
        Route(f"{at}/places/put", form("places.put"), methods=["POST"]),
        Route(f"{at}/places/stand", form("places.stand"), methods=["POST"]),
        Route(f"{at}/check", page("check.check")),
        Route(f"{at}/check/missing", form("filling.fill"), methods=["POST"]),
        Route(f"{at}/follows", page("check.follows")),
        Route(f"{at}/why", page("why.why")),
        Route(f"{at}/mend", page("mending.mending")),
        Route(f"{at}/mend/begin", form("mending.begin"), methods=["POST"]),
        Route(f"{at}/mend/settle", form("mending.settle"), methods=["POST"]),
        Route(f"{at}/interview", page("interview.interview")),
        Route(f"{at}/interview/nights", page("nights.nights")),
        Route(f"{at}/interview/nights", form("almanac.begin_nights"), methods=["POST"]),
        Route(f"{at}/interview/seasons", form("interview.seasons"), methods=["POST"]),
        Route(f"{at}/places", page("places.places")),
        Route(f"{at}/roof", page("roof.roof")),
        Route(f"{at}/roof/shade", page("roof.shade")),
        Route(f"{at}/roof/lay", form("roof.lay"), methods=["POST"]),
        Route(f"{at}/roof/outline", form("roof.outline"), methods=["POST"]),
        Route(f"{at}/roof/obstacle", form("roof.obstacle"), methods=["POST"]),
        Route(f"{at}/almanac", page("almanac.almanac")),
        Route(f"{at}/almanac/begin", form("almanac.begin"), methods=["POST"]),
        Route(f"{at}/year", form("almanac.begin_typical"), methods=["POST"]),
        Route(f"{at}/almanac/stay/{{stay}}", page("almanac.stay")),
        Route(f"{at}/change-order", page("changes_paper.change_order")),
        Route(f"{at}/change-order/paper", form("changes_paper.paper"), methods=["POST"]),
        Route(f"{at}/change-order/paper/{{name}}", page("changes_paper.paper_file")),
        Route(f"{at}/papers", page("papers.papers")),
        Route(f"{at}/papers", form("papers.make"), methods=["POST"]),
        Route(f"{at}/papers/file/{{name}}", page("papers.file")),
        Route(f"{at}/photo/{{name}}", page("check.photo")),
        Route(f"{at}/{{what}}/state", page("going.state")),
        Route(f"{at}/{{what}}/stop", form("going.stop"), methods=["POST"]),
        Route(f"{at}/put", form("edits.put"), methods=["POST"]),
        Route(f"{at}/add", form("edits.add"), methods=["POST"]),
        Route(f"{at}/remove", form("edits.remove"), methods=["POST"]),
        Route(f"{at}/step", form("edits.step"), methods=["POST"]),
        Route(f"{at}/look", form("check.look_at"), methods=["POST"]),
        Route(f"{at}/override", form("check.override"), methods=["POST"]),
        Mount("/static", StaticFiles(directory=STATIC, check_dir=False)),
    ]

    async def nothing(request: Request, _: Exception) -> Response:
        return refused(bench, request, OhmwrightError("there is no such sheet", remedy="go to the register"))

    app = Starlette(routes=routes, exception_handlers={404: nothing})
    app.add_middleware(GZipMiddleware, **PACKING)
    app.add_middleware(Guard, hosts=hosts, stamp=bench.stamp)
    return app


def answer_of(name: str, bench: Bench, request: Request) -> Response:
    """What a sheet answers."""
    answer: Response = named(name)(bench, request)
    return answer


def refused(bench: Bench, request: Request, error: OhmwrightError, typed: Brought | None = None) -> Response:
    """What cannot be done: what, where, and what to write instead; with what was typed, to be mended and sent again."""
    if request.headers.get("hx-request"):
        return answer_of_error(bench, request, error)
    status = 404 if request.method == "GET" else 422
    return bench.page(
        request,
        "refused.html",
        status,
        error=error,
        where=str(error).partition(": ")[0] if hasattr(error, "at") else "",
        typed=typed,
        asked=ASKED,
        job=request.path_params.get("job", "") if status == 422 else "",
    )


def answer_of_error(bench: Bench, request: Request, error: OhmwrightError) -> Response:
    """A refusal as a piece of the sheet."""
    said: Response = named("edits.said")(bench, request, error)
    return said


def at_fault(bench: Bench, request: Request, bug: Exception) -> Response:
    """A fault of the program: where its report lies."""
    report = bug_report(["bench", request.method, request.url.path], bug)
    error = OhmwrightError("ohmwright is at fault, not your file", remedy=f"the report lies in {report}")
    if request.headers.get("hx-request"):
        return answer_of_error(bench, request, error)
    return bench.page(request, "refused.html", 500, error=error, where="", typed=None, asked=ASKED, job="")
