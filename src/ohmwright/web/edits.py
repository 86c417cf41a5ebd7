"""Changes that a sheet asks for: values put, entries added and taken out, undone and done again."""

from collections.abc import Callable
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ohmwright.change.differences import differences
from ohmwright.rig.entries import remove_entry
from ohmwright.services.desk import Change, ConflictError, Put
from ohmwright.services.follows import block
from ohmwright.web.bench import Bench
from ohmwright.web.circuit import parts_of_sheet
from ohmwright.web.forms import ASKED, Brought, fields, word
from ohmwright.web.redrawn import redrawn_of, rows_between
from ohmwright.web.render import path
from ohmwright.working import OhmwrightError

MOST_PUTS = 200


async def put(bench: Bench, request: Request) -> Response:
    """Put the values that differ from what the sheet showed."""
    form = await fields(bench, request)
    asked = _asked(form)
    opened = word(form, "opened")
    job = request.path_params["job"]
    try:
        change = await run_in_threadpool(bench.desk.put, job, opened, asked)
    except ConflictError:
        raise
    except OhmwrightError as error:
        if request.headers.get("hx-request"):
            return said(bench, request, error)
        look = await run_in_threadpool(bench.desk.look, job)
        return bench.page(
            request,
            "not-put.html",
            422,
            look=look,
            error=error,
            puts=asked,
            opened=opened,
            back=_back(form, job),
        )
    return await run_in_threadpool(answered, bench, request, change, form)


def _asked(form: FormData) -> tuple[Put, ...]:
    """Fields come as `set.ADDRESS` with `was.ADDRESS` beside them; only what is otherwise is put, and what was emptied is taken out."""
    out = []
    for name in form:
        if name.startswith("set."):
            address, value = name[4:], word(form, name)
            if not value and word(form, f"was.{address}"):
                out.append(Put(address, ""))
            elif value and value != word(form, f"was.{address}"):
                page, condition = word(form, f"page.{address}"), word(form, f"condition.{address}")
                out.append(
                    Put(
                        address,
                        " ".join(
                            w
                            for w in (
                                value,
                                f"@ {condition}" if condition else "",
                                f"({page})" if page else "",
                            )
                            if w
                        ),
                    )
                )
    return tuple(out[:MOST_PUTS])


def _back(form: FormData, job: str) -> str:
    """The sheet to go back to: one of this job."""
    back = word(form, "back")
    return back if back.startswith(path("jobs", job) + "/") else path("jobs", job, "one-line")


def answered(bench: Bench, request: Request, change: Change, form: FormData) -> Response:
    """The sheet again, or the pieces of the one-line sheet that are otherwise."""
    look = change.after
    if not request.headers.get("hx-request") or word(form, "piece") != "one-line":
        return RedirectResponse(_back(form, look.job), 303)
    if look is change.before:
        return HTMLResponse(bench.text(request, "pieces/unsaid.html"))
    before = bench.drawn(change.before)
    drawn = bench.circuits(look, before) if bench.draws_at_once else bench.drawn(look)
    pieces = parts_of_sheet(look, _with_choice(request, form), drawn, before)
    return HTMLResponse(
        bench.text(
            request,
            "pieces/changed.html",
            **bench.around(look, "one-line"),
            **pieces,
            **redrawn_of(change.before, before, drawn, pieces["marks"]),
            **rerowed(bench, word(form, "rows"), pieces),
            change=change,
            follows=block(change.before, change.after),
            beat=True,
        ),
        headers={"x-put": "done"},
    )


def rerowed(bench: Bench, shown: str, pieces: dict[str, Any]) -> dict[str, Any]:
    """The rows that are otherwise than in the schedule that the page shows; None for all where it shows another one."""
    kept = bench.schedule(shown)
    same = kept[:2] == (pieces["which"], pieces["owner"])
    return {"rerowed": rows_between(kept[2], pieces["rows"]) if same else None, "shown": shown}


def _with_choice(request: Request, form: FormData) -> Request:
    scope = dict(request.scope)
    from urllib.parse import urlencode

    scope["query_string"] = urlencode({"choose": word(form, "choose"), "list": word(form, "list")}).encode()
    return Request(scope)


async def change_text(
    bench: Bench, request: Request, form: FormData, edited: Callable[[str, str], str], puts: tuple[Put, ...]
) -> Response:
    """Write what a form asks for beyond single values, and go back to its sheet."""
    job = request.path_params["job"]
    change = await run_in_threadpool(bench.desk.edit, job, word(form, "opened"), edited, puts)
    return await run_in_threadpool(answered, bench, request, change, form)


async def add(bench: Bench, request: Request) -> Response:
    """Add a load, a stay or a promise."""
    from ohmwright.web.interview import added

    form = await fields(bench, request)
    edited, puts = added(form)
    return await change_text(bench, request, form, edited, puts)


async def remove(bench: Bench, request: Request) -> Response:
    """Take an entry out: a load, a stay, a promise, an override, a look."""
    form = await fields(bench, request)
    at = tuple(word(form, "entry").split(" "))
    if at[:2] not in (("use", "loads"), ("use", "stays"), ("use", "promises")) and at[0] not in (
        "overrides",
        "looked-at",
    ):
        raise OhmwrightError("that cannot be taken out here", remedy="change it in the file")
    return await change_text(
        bench,
        request,
        form,
        lambda text, file: remove_entry(text, file, at),
        (Put(".".join(at), "taken out"),),
    )


async def step(bench: Bench, request: Request) -> Response:
    """Undo, or do again."""
    form = await fields(bench, request)
    by = -1 if word(form, "by") == "undo" else 1
    change = await run_in_threadpool(bench.desk.step, request.path_params["job"], word(form, "opened"), by)
    return await run_in_threadpool(answered, bench, request, change, form)


def said(bench: Bench, request: Request, error: OhmwrightError) -> Response:
    """A refusal as a piece of the sheet."""
    text = bench.text(request, "pieces/said.html", error=error, conflict=None)
    return HTMLResponse(text, 200, {"hx-retarget": "#said", "hx-reswap": "outerHTML"})


def conflict(bench: Bench, request: Request, error: ConflictError, typed: Brought | None = None) -> Response:
    """What the other has changed, and this change once more to be put on top of it: single values, or the form as it was sent."""
    theirs = differences(error.opened.rig, error.now.rig) if error.opened else ()
    back = path("jobs", error.now.job, "one-line")
    values = {
        "error": error,
        "theirs": theirs,
        "puts": error.puts,
        "look": error.now,
        "typed": typed if typed and not request.url.path.endswith(("/put", "/lay", "/step")) else None,
        "asked": ASKED,
        "conflict": error,
        "back": back,
    }
    if request.headers.get("hx-request"):
        text = bench.text(request, "pieces/said.html", **values)
        return HTMLResponse(text, 200, {"hx-retarget": "#said", "hx-reswap": "outerHTML"})
    return bench.page(request, "conflict.html", 409, **values)
