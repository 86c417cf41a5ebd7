"""The addresses of the bench."""

from collections.abc import Awaitable, Callable, Iterable
from pathlib import Path

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from ohmwright.services.desk import ConflictError
from ohmwright.services.reports import bug_report
from ohmwright.web import (
    almanac,
    beat,
    changes_paper,
    check,
    circuit,
    edits,
    interview,
    job,
    mending,
    papers,
    places,
    register,
    roof,
    shelf,
    why,
)
from ohmwright.web.bench import Bench
from ohmwright.web.guard import Guard, TooLargeError
from ohmwright.working import OhmwrightError

Page = Callable[[Bench, Request], Response]
FormPage = Callable[[Bench, Request], Awaitable[Response]]
STATIC = Path(__file__).parent / "static"


def make_app(folder: str, *, hosts: Iterable[str] = ("localhost", "127.0.0.1", "::1")) -> Starlette:
    """The bench over one folder of jobs."""
    bench = Bench(folder)

    def page(make: Page) -> Callable[[Request], Awaitable[Response]]:
        async def answer(request: Request) -> Response:
            try:
                return await run_in_threadpool(make, bench, request)
            except OhmwrightError as error:
                return refused(bench, request, error)
            except Exception as bug:  # noqa: BLE001 - a bug becomes a report and a plain page
                return at_fault(bench, request, bug)

        return answer

    def form(make: FormPage) -> Callable[[Request], Awaitable[Response]]:
        async def answer(request: Request) -> Response:
            try:
                return await make(bench, request)
            except ConflictError as error:
                return edits.conflict(bench, request, error)
            except OhmwrightError as error:
                return refused(bench, request, error)
            except (TooLargeError, HTTPException):
                raise
            except Exception as bug:  # noqa: BLE001 - a bug becomes a report and a plain page
                return at_fault(bench, request, bug)
            finally:
                await request.close()

        return answer

    at = "/jobs/{job}"
    routes = [
        Route("/", page(register.register)),
        Route("/new", form(register.new), methods=["POST"]),
        Route("/appearance", form(register.appearance), methods=["POST"]),
        Route("/shelf", page(shelf.shelf)),
        Route("/shelf/add", page(shelf.blank)),
        Route("/shelf/add", form(shelf.add), methods=["POST"]),
        Route("/shelf/part/{part}", page(shelf.part)),
        Route(at, lambda r: RedirectResponse(f"{r.url.path}/job", 303)),
        Route(f"{at}/job", page(job.job)),
        Route(f"{at}/issue", form(job.issue), methods=["POST"]),
        Route(f"{at}/one-line", page(circuit.one_line)),
        Route(f"{at}/one-line/chosen", page(circuit.chosen)),
        Route(f"{at}/beat", beat.endpoint(bench)),
        Route(f"{at}/check", page(check.check)),
        Route(f"{at}/follows", page(check.follows)),
        Route(f"{at}/why", page(why.why)),
        Route(f"{at}/mend", page(mending.mending)),
        Route(f"{at}/mend/state", page(mending.state)),
        Route(f"{at}/mend/begin", form(mending.begin), methods=["POST"]),
        Route(f"{at}/mend/stop", form(mending.stop), methods=["POST"]),
        Route(f"{at}/mend/settle", form(mending.settle), methods=["POST"]),
        Route(f"{at}/interview", page(interview.interview)),
        Route(f"{at}/places", page(places.places)),
        Route(f"{at}/roof", page(roof.roof)),
        Route(f"{at}/roof/shade", page(roof.shade)),
        Route(f"{at}/roof/lay", form(roof.lay), methods=["POST"]),
        Route(f"{at}/roof/outline", form(roof.outline), methods=["POST"]),
        Route(f"{at}/roof/obstacle", form(roof.obstacle), methods=["POST"]),
        Route(f"{at}/almanac", page(almanac.almanac)),
        Route(f"{at}/change-order", page(changes_paper.change_order)),
        Route(f"{at}/change-order/paper", form(changes_paper.paper), methods=["POST"]),
        Route(f"{at}/change-order/paper/{{name}}", page(changes_paper.paper_file)),
        Route(f"{at}/papers", page(papers.papers)),
        Route(f"{at}/papers", form(papers.make), methods=["POST"]),
        Route(f"{at}/papers/file/{{name}}", page(papers.file)),
        Route(f"{at}/photo/{{name}}", page(check.photo)),
        Route(f"{at}/put", form(edits.put), methods=["POST"]),
        Route(f"{at}/add", form(edits.add), methods=["POST"]),
        Route(f"{at}/remove", form(edits.remove), methods=["POST"]),
        Route(f"{at}/step", form(edits.step), methods=["POST"]),
        Route(f"{at}/look", form(check.look_at), methods=["POST"]),
        Route(f"{at}/override", form(check.override), methods=["POST"]),
        Mount("/static", StaticFiles(directory=STATIC, check_dir=False)),
    ]

    async def nothing(request: Request, _: Exception) -> Response:
        return refused(bench, request, OhmwrightError("there is no such sheet", remedy="go to the register"))

    app = Starlette(routes=routes, exception_handlers={404: nothing})
    app.add_middleware(Guard, hosts=hosts, token=bench.token)
    return app


def refused(bench: Bench, request: Request, error: OhmwrightError) -> Response:
    """What cannot be done: what, where, and what to write instead."""
    if request.headers.get("hx-request"):
        return edits.said(bench, request, error)
    status = 404 if request.method == "GET" else 422
    return bench.page(
        request,
        "refused.html",
        status,
        error=error,
        where=str(error).partition(": ")[0] if hasattr(error, "at") else "",
    )


def at_fault(bench: Bench, request: Request, bug: Exception) -> Response:
    """A fault of the program: where its report lies."""
    report = bug_report(["bench", request.method, request.url.path], bug)
    error = OhmwrightError("ohmwright is at fault, not your file", remedy=f"the report lies in {report}")
    if request.headers.get("hx-request"):
        return edits.said(bench, request, error)
    return bench.page(request, "refused.html", 500, error=error, where="")
