"""What the forms of the one-line sheet ask for: parts and runs put in, devices set into runs, things renamed and taken out."""

import re
from collections.abc import Callable
from urllib.parse import urlencode

from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ohmwright.rig.edit import rename as renamed
from ohmwright.rig.edit import set_value
from ohmwright.rig.edit import ungroup as ungrouped
from ohmwright.rig.entries import flow
from ohmwright.rig.insert import put_entry
from ohmwright.rig.rework import CutIn, cut_in, join_again, restrung, take_out
from ohmwright.rig.splice import as_scalar
from ohmwright.services.building import free_run, proposed_id
from ohmwright.services.desk import Change, ConflictError, Look, Put
from ohmwright.web.adding import NewRun, adding_of
from ohmwright.web.bench import Bench
from ohmwright.web.circuit import again, parts_of_sheet, with_query
from ohmwright.web.edits import answered, said
from ohmwright.web.forms import fields, needed, word
from ohmwright.web.render import path
from ohmwright.working import NOWHERE, OhmwrightError

_ID = re.compile(r"[A-Za-z][A-Za-z0-9_-]{0,40}")
Edited = Callable[[str, str], str]


async def _done(
    bench: Bench,
    request: Request,
    form: FormData,
    edited: Edited,
    puts: tuple[Put, ...],
    then: dict[str, str],
    on_places: bool = False,
) -> Response:
    """Write it and open the sheet where the work goes on; a refusal stands on the sheet with what was typed."""
    job = request.path_params["job"]
    try:
        change = await run_in_threadpool(bench.desk.edit, job, word(form, "opened"), edited, puts)
    except ConflictError:
        raise
    except OhmwrightError as error:
        return await run_in_threadpool(_not_put, bench, request, _typed(form), error)
    if on_places:
        return RedirectResponse(path("jobs", job, "places"), 303)
    if request.headers.get("hx-request"):
        return await run_in_threadpool(_pieces, bench, request, change, then)
    told = {**then, **({"put": "1"} if change.after is not change.before else {})}
    return RedirectResponse(f"{path('jobs', job, 'one-line')}?{urlencode(told)}#chosen", 303)


def _pieces(bench: Bench, request: Request, change: Change, then: dict[str, str]) -> Response:
    """The schedule with the form that comes next, and everything else that is otherwise."""
    look = change.after
    answer = answered(bench, request, change, FormData({"piece": "one-line", **then}))
    asked = with_query(request, then)
    text = bench.text(
        request,
        "pieces/built.html",
        **bench.around(look, "one-line"),
        **parts_of_sheet(look, asked, bench.drawn(look), bench.drawn(change.before)),
    )
    where = f"{path('jobs', look.job, 'one-line')}?{urlencode(then)}"
    return HTMLResponse(Markup(bytes(answer.body).decode()) + text, headers={"hx-replace-url": where})


def _not_put(bench: Bench, request: Request, typed: dict[str, str], error: OhmwrightError) -> Response:
    if request.headers.get("hx-request"):
        return said(bench, request, error)
    return again(bench, request, typed, error)


def _typed(form: FormData) -> dict[str, str]:
    return {k: v for k in form if k not in ("token", "opened") and isinstance(v := form[k], str)}


def _look(bench: Bench, request: Request) -> Look:
    return bench.desk.look(request.path_params["job"])


def _id_of(form: FormData, proposed: str) -> str:
    name = word(form, "id") or proposed
    if not _ID.fullmatch(name):
        raise OhmwrightError(
            f"'{name[:40]}' is no id", remedy="write letters, figures and hyphens, a letter first: U2"
        )
    return name


async def part(bench: Bench, request: Request) -> Response:
    """A new part from the shelf."""
    form = await fields(bench, request)
    look = await run_in_threadpool(_look, bench, request)
    record = look.opened.shelf.find(word(form, "part"))
    try:
        if record is None:
            raise OhmwrightError(
                "no part of the shelf is chosen", remedy="search, and choose one of the list"
            )
        name = _id_of(form, proposed_id(look.rig, record.kind.name))
        if name in look.rig.parts:
            raise OhmwrightError(f"'{name}' is taken", remedy="write an id that is not used yet")
        entry = _part_entry(form, record.id, record.kind.name)
    except OhmwrightError as error:
        return await run_in_threadpool(_not_put, bench, request, _typed(form), error)
    return await _entered(bench, request, form, "parts", name, entry)


async def _entered(bench: Bench, request: Request, form: FormData, section: str, name: str, entry: str) -> Response:  # fmt: skip
    """Put a new entry into a section of the file; the form opens for the next one where that was asked."""
    more = {"new": section.removesuffix("s")} if word(form, "then") == "more" else {}
    return await _done(
        bench,
        request,
        form,
        lambda text, file: put_entry(text, file, section, name, entry),
        (Put(f"{section}.{name}", entry),),
        {"choose": name, "list": section, **more},
    )


def _part_entry(form: FormData, record: str, kind: str) -> str:
    """The part's line: what it is, where it sits, and what its kind asks for."""
    told = [f"is: {record}"]
    if place := word(form, "place"):
        told.append(f"at: {as_scalar(place, NOWHERE)}")
    if kind == "module":
        series, strings = _count(form, "series"), _count(form, "strings")
        if series * strings > 1:
            told.append(f"array: {series}s{strings}p")
    if kind == "battery" and (count := _count(form, "count")) > 1:
        told += [f"count: {count}", f"join: {_join(form)}"]
        if fuse := word(form, "each"):
            told.append(f"each: {{F: {fuse}}}")
    if kind.startswith("panel-") and (ways := _ways(word(form, "ways"))):
        told.append(f"ways: {ways}")
    if kind == "shunt" and (bank := word(form, "counts")):
        told.append(f"counts: {bank}")
    return "{" + ", ".join(told) + "}"


def _count(form: FormData, name: str) -> int:
    text = word(form, name) or "1"
    if not text.isdecimal() or not 1 <= int(text) <= 64:
        raise OhmwrightError(f"'{text[:20]}' is no count", remedy="write a whole number from 1 to 64")
    return int(text)


def _join(form: FormData) -> str:
    how = word(form, "as") or "chain"
    entry: dict[str, str | list[str]] = {"as": how}
    if how == "chain":
        entry |= {"takeoff": word(form, "takeoff") or "diagonal"}
    if how == "busbars":
        entry |= {"plus": word(form, "plus"), "minus": word(form, "minus")}
        entry |= {"lead": word(form, "link"), "lead-length": word(form, "link-length")}
    else:
        entry |= {"link": word(form, "link"), "link-length": word(form, "link-length")}
    return flow(entry, NOWHERE)


def _ways(text: str) -> str:
    """`10 A, 5 A` as the file numbers them."""
    told = [w.strip() for w in text.split(",") if w.strip()]
    return (
        "{" + ", ".join(f"{n}: {as_scalar(w, NOWHERE)}" for n, w in enumerate(told, 1)) + "}" if told else ""
    )


async def bank(bench: Bench, request: Request) -> Response:
    """One battery becomes several, joined by links or bars."""
    form = await fields(bench, request)
    name = needed(form, "name", "the battery")
    count, join = _count(form, "count"), _join(form)

    def edited(text: str, file: str) -> str:
        text = set_value(text, file, f"parts.{name}.count", str(count))
        text = set_value(text, file, f"parts.{name}.join", join)
        return (
            set_value(text, file, f"parts.{name}.each", f"{{F: {word(form, 'each')}}}")
            if word(form, "each")
            else text
        )

    return await _done(
        bench,
        request,
        form,
        edited,
        (Put(f"parts.{name}.count", str(count)),),
        {"choose": name, "list": "parts"},
    )


async def run(bench: Bench, request: Request) -> Response:
    """A new run; while an end or the cable is not plain yet, the form asks for it."""
    form = await fields(bench, request)
    look = await run_in_threadpool(_look, bench, request)
    typed = {**_typed(form), "new": "run"}
    asked = await run_in_threadpool(adding_of, look, typed)
    if not isinstance(asked, NewRun):
        raise OhmwrightError("the working file alone takes a run", remedy="open the working file")
    lacks = _lacks(asked)
    if lacks or asked.joined is None:
        error = OhmwrightError(asked.trouble or lacks, remedy="see the form")
        return await run_in_threadpool(_not_put, bench, request, typed, error)
    try:
        name = _id_of(form, asked.id)
    except OhmwrightError as error:
        return await run_in_threadpool(_not_put, bench, request, typed, error)
    entry = _run_entry(asked)
    return await _entered(bench, request, form, "runs", name, entry)


def _lacks(asked: NewRun) -> str:
    for end in asked.ends:
        if not end.typed:
            return f"it is not said where the run goes {end.label}"
        if end.end is None:
            return f"{end.typed} has several ends: choose one"
    if asked.joined is None:
        return asked.trouble or "the ends do not fit"
    return "" if asked.cable else "its cable is not named"


def _run_entry(asked: NewRun) -> str:
    how = asked.joined
    assert how is not None
    told = [f"from: {how.start}", f"to: {how.stop}", f"cable: {as_scalar(asked.cable, NOWHERE)}"]
    poles = [e.end.poles for e in asked.ends if e.end is not None and len(e.end.poles) > 1]
    if any(len(p) > len(how.poles) for p in poles) and len(how.poles) > 1:
        told.append(f"cores: {' '.join(how.poles)}")
    if asked.length:
        told.append(f"length: {as_scalar(asked.length, NOWHERE)}")
    if asked.via:
        told.append(f"via: {as_scalar(asked.via, NOWHERE)}")
    return "{" + ", ".join(told) + "}"


async def cut(bench: Bench, request: Request) -> Response:
    """A device set into a run."""
    form = await fields(bench, request)
    look = await run_in_threadpool(_look, bench, request)
    name, record = needed(form, "run", "the run"), look.opened.shelf.find(word(form, "part"))
    typed = {**_typed(form), "choose": name}
    try:
        if name not in look.rig.runs or record is None:
            raise OhmwrightError("no device of the shelf is chosen", remedy="choose one of the list")
        asked = CutIn(
            name,
            "to" if word(form, "end") == "to" else "from",
            word(form, "pole"),
            _id_of(form, proposed_id(look.rig, record.kind.name)),
            record,
            free_run(look.rig),
            _metres(word(form, "metres") or "0.1 m"),
        )
    except OhmwrightError as error:
        return await run_in_threadpool(_not_put, bench, request, typed, error)
    return await _done(
        bench,
        request,
        form,
        lambda text, file: cut_in(text, file, look.rig, asked),
        (Put(f"parts.{asked.device}", f"{{is: {record.id}}}"),),
        {"choose": asked.device, "list": "parts"},
    )


def _metres(text: str) -> float:
    from ohmwright.working import Figure, QuantityError, parse

    try:
        given = parse(text)
    except QuantityError as error:
        raise OhmwrightError(error.message, remedy=error.remedy) from None
    if not isinstance(given, Figure) or given.unit != "m" or given.value <= 0:
        raise OhmwrightError(f"'{text[:30]}' is no length", remedy="write for instance 0.1 m")
    return given.value


async def take(bench: Bench, request: Request) -> Response:
    """A part, run or load taken out; a device in a conductor leaves one run behind where that is asked."""
    form = await fields(bench, request)
    look = await run_in_threadpool(_look, bench, request)
    name = needed(form, "name", "what to take out")
    joins = word(form, "how") == "join"

    def edited(text: str, file: str) -> str:
        return (join_again if joins else take_out)(text, file, look.rig, name)

    which = "runs" if name in look.rig.runs else "loads" if name in look.rig.use.loads else "parts"
    return await _done(bench, request, form, edited, (Put(name, "taken out"),), {"list": which})


async def rename(bench: Bench, request: Request) -> Response:
    """Another id, wherever it is used."""
    form = await fields(bench, request)
    look = await run_in_threadpool(_look, bench, request)
    old, new = needed(form, "name", "what to rename"), needed(form, "id", "the new id")
    return await _done(
        bench,
        request,
        form,
        lambda text, file: renamed(text, file, old, new),
        (Put(old, f"called {new}"),),
        {"choose": new},
        old in look.rig.host.places,
    )


async def strings(bench: Bench, request: Request) -> Response:
    """Other modules in an array, and another number in series or of strings."""
    form = await fields(bench, request)
    look = await run_in_threadpool(_look, bench, request)
    name, record = needed(form, "name", "the array"), word(form, "part")
    shape = (_count(form, "series"), _count(form, "strings"))
    if name not in look.rig.parts or look.opened.shelf.find(record) is None:
        raise OhmwrightError("no module of the shelf is chosen", remedy="choose one of the list")
    laid = (free_run(look.rig), word(form, "cable"))
    return await _done(
        bench,
        request,
        form,
        lambda text, file: restrung(text, file, look.rig, name, record, shape, laid),
        (Put(f"parts.{name}.is", record),),
        {"choose": name, "list": "parts"},
    )


async def ungroup(bench: Bench, request: Request) -> Response:
    """A group written out member by member."""
    form = await fields(bench, request)
    look = await run_in_threadpool(_look, bench, request)
    name = needed(form, "name", "the group")
    return await _done(
        bench,
        request,
        form,
        lambda text, file: ungrouped(text, file, name, look.opened.shelf),
        (Put(name, "written out"),),
        {"list": "parts"},
    )
