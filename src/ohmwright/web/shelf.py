"""The shelf: part records, one record with the pages that prove it, and a new one from its data sheet."""

import os
import re
from collections.abc import Mapping
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from ohmwright import kinds
from ohmwright.services import shelf as services
from ohmwright.services import shelf_pages
from ohmwright.services.offers import holds
from ohmwright.shelf.record import Record
from ohmwright.store.jobs import Job, shelf_files
from ohmwright.web.bench import Bench
from ohmwright.web.forms import PAGE, fields, needed, word
from ohmwright.web.render import path
from ohmwright.working import OhmwrightError


def shelf(bench: Bench, request: Request) -> Response:
    """The list, by kind; `?find=` searches in ids and titles, `?job=` shows what a job keeps for itself."""
    find = request.query_params.get("find", "")[:80]
    wanted = [holds(w) for w in re.findall(r"[\w.+/-]+", find)]
    show = request.query_params.get("show", "")
    name, job = _job(bench, request.query_params)
    own = {f.path for f in shelf_files(job)} if job is not None else set()
    unverified: dict[str, int] = {}
    for part_id, _, _ in services.unverified(None, job):
        unverified[part_id] = unverified.get(part_id, 0) + 1
    rows = [
        r
        for r in services.list_json(None, job)["parts"]
        if all(w.search(f"{r['id']} {r['id'].replace('-', ' ')} {r['title']} {r['kind']}") for w in wanted)
        and (show != "shop" or r["from_shop"])
        and (show != "unverified" or unverified.get(r["id"]))
        and (job is None or r["file"] in own)
    ]
    by_kind: dict[str, list[dict[str, object]]] = {}
    for r in rows:
        by_kind.setdefault(r["kind"], []).append(r)
    titles = {k: kind.title for k in by_kind if (kind := kinds.find(k)) is not None}
    return bench.page(
        request,
        "shelf.html",
        by_kind=dict(sorted(by_kind.items())),
        titles=titles,
        find=find,
        show=show,
        job=name,
        jobs=[n for n in bench.desk.names() if shelf_files(Job(bench.desk.folder(n)))],
        unverified=unverified,
        count=len(rows),
    )


def _job(bench: Bench, values: Mapping[str, str]) -> tuple[str, Job | None]:
    """The job whose own parts are asked for, if any."""
    name = values.get("job", "")
    return (name, Job(bench.desk.folder(name))) if name else ("", None)


def part(bench: Bench, request: Request) -> Response:
    """One record, every figure with condition and origin, and a form for the pages that prove them."""
    name, job = _job(bench, request.query_params)
    record = shelf_pages.record_of(request.path_params["part"], job)
    return _part(bench, request, record, name)


def _part(
    bench: Bench,
    request: Request,
    record: Record,
    job: str,
    status: int = 200,
    error: OhmwrightError | None = None,
    typed: Mapping[str, str] | None = None,
) -> Response:
    lines = shelf_pages.lines_of(record)
    return bench.page(
        request,
        "part.html",
        status,
        record=record,
        lines=lines,
        owed=sum(
            bool({"no page", "no condition", "unknown", "class default"} & set(line.debts)) for line in lines
        ),
        typed=typed or {},
        job=job,
        error=error,
    )


async def prove(bench: Bench, request: Request) -> Response:
    """Figures with the pages of a data sheet, over those of a record of the shop's or a job's shelf."""
    form = await fields(bench, request)
    name, job = _job(bench, {"job": word(form, "job")})
    record = await run_in_threadpool(shelf_pages.record_of, request.path_params["part"], job)
    try:
        asks = {line.name: line.asks for line in shelf_pages.lines_of(record)}
        figures = _figures(form, asks, only_with_page=True)
        sheet, dated = needed(form, "sheet", "the title of the data sheet"), needed(form, "dated", "its date")
        await run_in_threadpool(shelf_pages.prove, record.id, job, sheet, dated, figures)
    except OhmwrightError as error:
        typed = {k: word(form, k) for k in form if k != "token"}
        return await run_in_threadpool(_part, bench, request, record, name, 422, error, typed)
    return RedirectResponse(
        path("shelf", "part", record.id) + (f"?{urlencode({'job': name})}" if name else ""), 303
    )


def _figures(form: FormData, asks: Mapping[str, str], *, only_with_page: bool = False) -> dict[str, str]:
    """What was typed of each figure, as a file writes it; a value without its page is refused, or left as it is."""
    out: dict[str, str] = {}
    for field in form:
        if field.startswith("value.") and (value := word(form, field)):
            key = field[6:]
            page = _page(word(form, f"page.{key}"))
            if not page and not only_with_page:
                raise OhmwrightError(
                    f"{key} has no page",
                    remedy="write the page of the data sheet it stands on, for instance p2",
                )
            if page:
                condition = word(form, f"condition.{key}")
                out[key] = shelf_pages.figure_words(asks.get(key, ""), value, condition, page)
    return out


def _page(written: str) -> str:
    """A page as a file says it: people write 2, p. 2, page 2.

    >>> _page("2"), _page("p. 2"), _page("Page 12"), _page("p2"), _page("d1 p2")
    ('p2', 'p2', 'p12', 'p2', 'd1 p2')
    """
    numbered = PAGE.fullmatch(written)
    return f"p{numbered[1]}" if numbered else written


def blank(bench: Bench, request: Request) -> Response:
    """An empty record of a kind: `?kind=fuse`."""
    name = request.query_params.get("kind", "")
    kind = kinds.find(name)
    if name and kind is None:
        raise OhmwrightError(f"'{name[:60]}' is no kind of part", remedy="choose one from the list")
    return bench.page(
        request,
        "add-part.html",
        kind=kind,
        kinds=[k for n in kinds.names() if (k := kinds.find(n)) is not None],
        jobs=bench.desk.names(),
        like=_like(request.query_params.get("like", ""), name),
        shop=bool(os.environ.get("OHMWRIGHT_SHELF")),
    )


def _like(part: str, kind: str) -> dict[str, str]:
    """What a part of the shelf says of each figure, to be held against the data sheet."""
    if not part:
        return {}
    record = shelf_pages.record_of(part)
    if record.kind.name != kind:
        return {}
    told = ((line.name.replace("-", "_"), line) for line in shelf_pages.lines_of(record))
    return {n: " ".join(w for w in (line.value, line.condition) if w) for n, line in told if line.value}


async def add(bench: Bench, request: Request) -> Response:
    """Write a record: every figure with the page it stands on and the condition its rating holds under."""
    form = await fields(bench, request)
    kind = needed(form, "kind", "the kind")
    found = kinds.find(kind)
    asks = {n: spec.condition for n, spec in found.figures.items()} if found is not None else {}
    figures = tuple(f"{k}: {v}" for k, v in _figures(form, asks).items())
    words = tuple(f"{n[5:]}: {v}" for n in form if n.startswith("word.") and (v := word(form, n)))
    title = word(form, "title")
    where = word(form, "to")
    folder = (
        os.environ.get("OHMWRIGHT_SHELF", "")
        if where == "shop"
        else Job(bench.desk.folder(where)).room("shelf")
    )
    if not folder:
        raise OhmwrightError(
            "there is no shop shelf here",
            remedy="keep it with a job, or set OHMWRIGHT_SHELF to the shop's folder and start again",
        )
    part_id = needed(form, "part", "the part's id")
    await run_in_threadpool(
        services.add,
        part_id,
        kind,
        needed(form, "sheet", "the title of the data sheet"),
        needed(form, "dated", "its date"),
        folder,
        figures,
        (*words, *((f"title: {title}",) if title else ())),
    )
    return RedirectResponse(
        path("shelf", "part", part_id)
        if where == "shop"
        else f"{path('jobs', where, 'one-line')}?{urlencode({'new': 'part', 'find': part_id})}#chosen",
        303,
    )
