"""The papers sheet: make them beside the other work, list them, take them away."""

import json
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response

from ohmwright.services.desk import Look
from ohmwright.store.reading import read
from ohmwright.web.bench import Bench
from ohmwright.web.forms import fields, word
from ohmwright.web.going import DOING
from ohmwright.web.render import path
from ohmwright.web.wanted import PAPERS, begin_papers, out_of, work_of
from ohmwright.working import OhmwrightError

KINDS = {
    "pdf": "application/pdf",
    "svg": "image/svg+xml",
    "dxf": "image/vnd.dxf",
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "json": "application/json",
}


def _folder(bench: Bench, look: Look) -> Path:
    return Path(out_of(bench, look))


def _made(folder: Path) -> tuple[list[dict[str, Any]], str]:
    """The papers that lie there, and the hash of the rig they were made from."""
    index = folder / "papers.json"
    if not index.is_file():
        return [], ""
    try:
        told = json.loads(read(index).text)
        return [p for p in told["papers"] if isinstance(p["file"], str)], str(told.get("input_sha256") or "")
    except (ValueError, KeyError, TypeError):
        raise OhmwrightError("the list of papers cannot be read", remedy="make the papers again") from None


def papers(bench: Bench, request: Request) -> Response:
    """The sheet."""
    look = bench.desk.look(request.path_params["job"])
    made, of = _made(_folder(bench, look))
    return bench.sheet(
        request,
        look,
        "papers",
        papers=made,
        stale=bool(made) and of != look.sha256,
        folder=str(_folder(bench, look)),
        work=work_of(bench, PAPERS, look),
        doing=DOING[PAPERS],
    )


async def make(bench: Bench, request: Request) -> Response:
    """Begin to make the papers of the rig as it lies there."""
    form = await fields(bench, request)
    look = await run_in_threadpool(bench.desk.look, request.path_params["job"])
    await run_in_threadpool(begin_papers, bench, look, word(form, "units"))
    return RedirectResponse(path("jobs", look.address, "papers"), 303)


def file(bench: Bench, request: Request) -> Response:
    """One paper, to be kept: never shown inside this bench."""
    look = bench.desk.look(request.path_params["job"])
    folder, name = _folder(bench, look), request.path_params["name"]
    listed = {p["file"] for p in _made(folder)[0]} | {"papers.json"}
    target = folder / name
    if name not in listed or Path(name).name != name or not target.is_file():
        raise OhmwrightError("there is no such paper", remedy="make the papers, then take it from the list")
    kind = KINDS.get(name.rpartition(".")[2].lower(), "application/octet-stream")
    return FileResponse(target, media_type=kind, filename=name, content_disposition_type="attachment")
