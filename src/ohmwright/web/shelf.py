"""The shelf: part records, one record, and a new one from its data sheet."""

import os
import re
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from ohmwright import kinds
from ohmwright.services import shelf as services
from ohmwright.services.offers import holds
from ohmwright.store.jobs import Job
from ohmwright.web.bench import Bench
from ohmwright.web.forms import fields, needed, word
from ohmwright.web.render import path
from ohmwright.working import OhmwrightError


def shelf(bench: Bench, request: Request) -> Response:
    """The list, by kind; `?find=` searches in ids and titles."""
    find = request.query_params.get("find", "")[:80]
    wanted = [holds(w) for w in re.findall(r"[\w.+/-]+", find)]
    show = request.query_params.get("show", "")
    unverified: dict[str, int] = {}
    for part_id, _, _ in services.unverified(None):
        unverified[part_id] = unverified.get(part_id, 0) + 1
    rows = [
        r
        for r in services.list_json(None)["parts"]
        if all(w.search(f"{r['id']} {r['id'].replace('-', ' ')} {r['title']} {r['kind']}") for w in wanted)
        and (show != "shop" or r["from_shop"])
        and (show != "unverified" or unverified.get(r["id"]))
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
        unverified=unverified,
        count=len(rows),
    )


def part(bench: Bench, request: Request) -> Response:
    """One record, every figure with condition and origin."""
    told = services.show_json(request.path_params["part"])
    kind = kinds.find(told["kind"])
    return bench.page(request, "part.html", part=told, kind=kind)


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
        shop=bool(os.environ.get("OHMWRIGHT_SHELF")),
    )


async def add(bench: Bench, request: Request) -> Response:
    """Write a record: every figure with the page it stands on and the condition its rating holds under."""
    form = await fields(bench, request)
    kind = needed(form, "kind", "the kind")
    figures = []
    for name in form:
        if name.startswith("value.") and (value := word(form, name)):
            key = name[6:]
            condition, page = word(form, f"condition.{key}"), word(form, f"page.{key}")
            if not page:
                raise OhmwrightError(
                    f"{key} has no page",
                    remedy="write the page of the data sheet it stands on, for instance p2",
                )
            figures.append(f"{key}: {value}{f' @ {condition}' if condition else ''} ({page})")
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
        tuple(figures),
        (*words, *((f"title: {title}",) if title else ())),
    )
    return RedirectResponse(
        path("shelf", "part", part_id)
        if where == "shop"
        else f"{path('jobs', where, 'one-line')}?{urlencode({'new': 'part', 'find': part_id})}#chosen",
        303,
    )
