"""The job register: a ruled table, by stage and by what needs doing."""

import re
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ohmwright.services import new as services
from ohmwright.services.reports import bug_report
from ohmwright.store.jobs import Job, revisions
from ohmwright.store.reading import MOST_RIG_BYTES
from ohmwright.web.bench import Bench
from ohmwright.web.counts import Counted, counted
from ohmwright.web.forms import fields, needed, upload, word
from ohmwright.web.render import path
from ohmwright.working import OhmwrightError

DEMOS = ("trailer", "boat", "cabin", "van")
#: Jobs that are not at hand are checked while the register opens until this many seconds have gone.
PATIENCE_S = 1.5
MOST_PLACES = 6
_PLACE = re.compile(r"[A-Za-z][A-Za-z0-9-]{0,40}")
_NAME = re.compile(r"[a-z0-9][a-z0-9\-]{0,60}")
_SEVERE = ("danger", "fails", "disappoints", "note")


@dataclass(frozen=True, slots=True)
class Line:
    """A job in the register. `counts` is None while it has not been checked."""

    name: str
    title: str
    host: str
    stage: str
    letters: tuple[str, ...]
    counts: tuple[int, int, int] | None
    todo: str
    trouble: str = ""
    waiting: bool = False
    """True while it is being checked in the background."""


def register(bench: Bench, request: Request) -> Response:
    """The register."""
    until = time.monotonic() + PATIENCE_S
    find = request.query_params.get("find", "")[:80]
    every = [x for name in bench.desk.names() if (x := _line(bench, name, until)) is not None]
    wanted = find.casefold().split()
    lines = [x for x in every if all(w in _words(x) for w in wanted)]
    lines.sort(key=_weight)
    values = {
        "find": find,
        "every": len(every),
        "lines": lines,
        "stages": list(dict.fromkeys(line.stage for line in lines)),
        "waiting": sum(line.waiting for line in every),
    }
    if request.query_params.get("lines"):
        return HTMLResponse(bench.text(request, "pieces/register-lines.html", **values))
    return bench.page(
        request,
        "register.html",
        **values,
        names=bench.desk.names(),
        demos=DEMOS,
        folder=str(bench.desk.base),
        name_rule=_NAME.pattern,
    )


def _words(line: Line) -> str:
    """What a job can be found by."""
    return f"{line.name} {line.title} {line.host} {line.stage} {line.todo}".casefold()


def _weight(line: Line) -> tuple[bool, str, int, int, str]:
    counts = line.counts or (0, 0, 0)
    return not line.trouble, line.stage, -counts[0], -counts[2], line.name


def _line(bench: Bench, name: str, until: float) -> Line | None:
    """A job's line; None where its folder was taken away meanwhile."""
    try:
        letters = revisions(Job(bench.desk.folder(name)))
    except OhmwrightError:
        return None
    try:
        told = bench.counts.of(name)
        if told is None and not bench.desk.at_hand(name):
            if bench.warmth is not None and not bench.warmth.gave_up(name):
                bench.warmth.ask(name)
                return Line(name, name, "", "being checked", letters, None, "", waiting=True)
            if time.monotonic() > until:
                return Line(name, name, "", "not opened yet", letters, None, "open it, and it is checked")
        if told is None:
            lies = bench.desk.lies(name)
            told = bench.counts.note(name, lies, counted(bench.desk.look(name)))
    except OhmwrightError as error:
        return Line(name, name, "", "cannot be read", letters, None, "mend the file", str(error))
    except Exception as bug:  # noqa: BLE001 - one job that trips the program must not hide the others
        report = bug_report(["bench", "register", name], bug)
        return Line(
            name,
            name,
            "",
            "cannot be read",
            letters,
            None,
            "a fault of the program",
            f"the report lies in {report}",
        )
    if told.trouble:
        return Line(name, name, "", "cannot be read", letters, None, "mend the file", told.trouble)
    return Line(
        name,
        told.title,
        told.host,
        told.stage or "no stage",
        letters,
        (told.dangers, told.fails, told.silent),
        _todo(told, letters),
    )


def _todo(told: Counted, letters: tuple[str, ...]) -> str:
    said = []
    if told.dangers or told.fails:
        said.append(
            "clear "
            + " and ".join(
                f"{n} {w}"
                for n, w in (
                    (told.dangers, "dangers" if told.dangers > 1 else "danger"),
                    (told.fails, "fails"),
                )
                if n
            )
        )
    if told.silent:
        said.append(f"ask for what {told.silent} findings miss")
    if not said:
        said.append("issue it" if not letters else "nothing open")
    return ", ".join(said)


async def new(bench: Bench, request: Request) -> Response:
    """A new job: like a demo rig, from an old job, or from a rig file."""
    form = await fields(bench, request)
    folder = _folder(bench, form)
    file, like, old = upload(form, "file"), word(form, "like"), word(form, "from")
    if file is not None:
        data = await file.read(MOST_RIG_BYTES + 1)
        if len(data) > MOST_RIG_BYTES:
            raise OhmwrightError(
                "the file is larger than a rig file may be",
                remedy=f"keep it below {MOST_RIG_BYTES / 1e6:g} MB",
            )
        try:
            text = data.decode("utf-8")
        except UnicodeDecodeError:
            raise OhmwrightError(
                "the file is no text", remedy="hand in a rig file, saved as UTF-8 text"
            ) from None
        await run_in_threadpool(services.from_text, folder, text, "the file")
    elif like in DEMOS:
        await run_in_threadpool(services.like, folder, like)
    elif old:
        await run_in_threadpool(services.from_job, folder, bench.desk.folder(old))
    else:
        raise OhmwrightError(
            "nothing was said that the job may start from", remedy="choose a demo rig, an old job or a file"
        )
    return RedirectResponse(path("jobs", Path(folder).name, "one-line"), 303)


def nothing(bench: Bench, request: Request) -> Response:
    """The form for a job that starts from nothing: `?host=van` fills in where parts often sit."""
    return _nothing(bench, request, dict(request.query_params))


def _nothing(
    bench: Bench,
    request: Request,
    values: dict[str, str],
    status: int = 200,
    error: OhmwrightError | None = None,
) -> Response:
    host = values.get("host", "")
    host = host if host in services.HOSTS else services.HOSTS[0]
    usual = services.PLACES[host]
    rows = [
        (values.get(f"place.{n}", usual[n - 1][0] if n <= len(usual) else ""),
         values.get(f"regime.{n}", usual[n - 1][1] if n <= len(usual) else "cabin"))
        for n in range(1, MOST_PLACES + 1)
    ]  # fmt: skip
    return bench.page(
        request,
        "new-job.html",
        status,
        host=host,
        hosts=services.HOSTS,
        rows=rows,
        regimes=services.REGIMES,
        values=values,
        error=error,
        name_rule=_NAME.pattern,
    )


async def from_nothing(bench: Bench, request: Request) -> Response:
    """A job with an empty rig."""
    form = await fields(bench, request)
    values = {k: v for k in form if k != "token" and isinstance(v := form[k], str)}
    try:
        folder = _folder(bench, form)
        host, country = word(form, "host"), word(form, "country")
        if host not in services.HOSTS or country not in ("eu", "us"):
            raise OhmwrightError("host or country was not said", remedy="choose both")
        first = services.First(
            needed(form, "title", "what people call it"),
            host,
            country,
            word(form, "owner"),
            word(form, "by"),
            word(form, "wants"),
            word(form, "currency").upper(),
            tuple(_places(form)),
        )
        await run_in_threadpool(services.from_nothing, folder, first)
    except OhmwrightError as error:
        return _nothing(bench, request, values, 422, error)
    return RedirectResponse(path("jobs", Path(folder).name, "one-line"), 303)


def _places(form: FormData) -> Iterator[tuple[str, str]]:
    for n in range(1, MOST_PLACES + 1):
        name, regime = word(form, f"place.{n}"), word(form, f"regime.{n}")
        if not name:
            continue
        if not _PLACE.fullmatch(name):
            raise OhmwrightError(
                f"'{name[:40]}' is no name of a place",
                remedy="write letters, figures and hyphens: rear-locker",
            )
        if regime not in services.REGIMES:
            raise OhmwrightError(f"{name} has no regime", remedy="choose one of the list")
        yield name, regime


def _folder(bench: Bench, form: FormData) -> str:
    """The folder of a new job; an error when the name will not do or is taken."""
    name = needed(form, "name", "the name of the job").lower()
    if not _NAME.fullmatch(name):
        raise OhmwrightError(
            f"'{name[:60]}' is no name of a job",
            remedy="write small letters, figures and hyphens, for instance larkspur-2",
        )
    folder = str(bench.desk.base / name)
    if Path(folder).exists():
        raise OhmwrightError(f"there is a {name} here already", remedy="give the new job another name")
    return folder


async def appearance(bench: Bench, request: Request) -> Response:
    """Units and light, kept by the browser."""
    form = await fields(bench, request)
    back = word(form, "back", "/")
    answer = RedirectResponse(
        back if back.startswith("/") and not back.startswith(("//", "/\\")) else "/", 303
    )
    for name, allowed in (("units", ("metric", "us")), ("light", ("paper", "night", "as the screen"))):
        if (value := word(form, name)) in allowed:
            answer.set_cookie(name, value.split(" ")[0], max_age=31_000_000, samesite="lax", httponly=True)
    return answer


__all__ = ["Line", "appearance", "new", "register"]
