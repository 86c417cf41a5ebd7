"""The change order sheet: two rigs of a job side by side, what follows, and what was bought in vain."""

from pathlib import Path
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response

from ohmwright.change.follows import Moved
from ohmwright.services import changes as services
from ohmwright.services.change_paper import lying
from ohmwright.services.compare import Compared
from ohmwright.services.follows import ask_of
from ohmwright.services.words import tag_word
from ohmwright.web.bench import Bench
from ohmwright.web.forms import fields, word
from ohmwright.web.going import DOING
from ohmwright.web.render import amount, path
from ohmwright.web.wanted import ORDER, begin_order, work_of
from ohmwright.working import OhmwrightError, QuantityError

#: Lines of each table that are printed; together they fill two pages of A4.
PRINTED = {"changes": 14, "new": 6, "gone": 6, "figures": 14, "counted": 8, "stranded": 8}


def change_order(bench: Bench, request: Request) -> Response:
    """The sheet; `?old=@A&new=working` sets two side by side."""
    look = bench.desk.look(request.path_params["job"])
    folder = bench.desk.folder(look.job)
    all_of_them = services.sides(folder)
    keys = [s.key for s in all_of_them]
    asked = tuple(request.query_params.get(k, "") for k in ("old", "new"))
    issued = [k for k in keys if k.startswith("@")]
    others = [k for k in keys if k != "working"]
    first = issued[-1] if issued else "working"
    chosen = (
        asked[0] or first,
        asked[1] or ("working" if first != "working" else next(iter(others), "working")),
    )
    done: Compared | None = None
    made: tuple[str, ...] = ()
    work = work_of(bench, ORDER, look)
    if all(asked):
        old, new = (services.side_of(folder, k) for k in asked)
        done = bench.orders.of(folder, old, new)
        of, names = lying(folder)
        made = names if of == services.stamp(folder, old, new) and not (work and work.going) else ()
    big, small, counted = services.figures_of(done) if done is not None else ((), (), ())
    return bench.sheet(
        request,
        look,
        "change-order",
        choices=all_of_them,
        chosen=chosen,
        names={s.key: s.name for s in all_of_them},
        done=done,
        big=big,
        small=small,
        counted=counted,
        most=PRINTED,
        made=made,
        work=work,
        doing=DOING[ORDER],
        papers=sorted({p.partition(".")[0] for p in done.follows.papers}) if done is not None else [],
        lines=services.changes_told(done) if done is not None else (),
        fresh=services.findings_of(done.follows.findings_new) if done is not None else (),
        gone=services.findings_of(done.follows.findings_gone) if done is not None else (),
        tag_word=tag_word,
        told_of=_told,
        ask_of=ask_of,
        new_side={"working": look.job}.get(
            chosen[1], f"{look.job}{chosen[1]}" if chosen[1] in issued else ""
        ),
    )


async def paper(bench: Bench, request: Request) -> Response:
    """Begin to make the paper to sign, and the circuit with what changed marked on it."""
    form = await fields(bench, request)
    job = request.path_params["job"]
    folder = bench.desk.folder(job)
    keys = word(form, "old"), word(form, "new")
    for key in keys:
        await run_in_threadpool(services.side_of, folder, key)
    look = await run_in_threadpool(bench.desk.look, job)
    await run_in_threadpool(begin_order, bench, look, *keys)
    return RedirectResponse(
        f"{path('jobs', job, 'change-order')}?{urlencode({'old': keys[0], 'new': keys[1]})}#paper", 303
    )


def paper_file(bench: Bench, request: Request) -> Response:
    """One of these papers, to be kept: never shown inside this bench."""
    folder, name = bench.desk.folder(request.path_params["job"]), request.path_params["name"]
    target = Path(services.paper_folder(folder), name)
    if name not in lying(folder)[1] or not target.is_file():
        raise OhmwrightError("there is no such paper", remedy="make it on the change order sheet")
    return FileResponse(
        target, media_type="application/pdf", filename=name, content_disposition_type="attachment"
    )


def _told(moved: Moved, value: float | None, units: str) -> str:
    """A figure before or after, as people say it."""
    if value is None:
        return "none"
    try:
        return amount(value, moved.unit or "1", units, digits=4)
    except (QuantityError, KeyError, ValueError):
        return f"{value:.2f} {moved.unit}" if len(moved.unit) == 3 else f"{value:.4g} {moved.unit}".strip()
