"""Figures that were missing, put in together with where they come from: a page of a document, or who measured or said them."""

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from ohmwright.rig.edit import set_value
from ohmwright.rig.entries import flow
from ohmwright.rig.insert import put_entry
from ohmwright.rig.lookups import OWN_TAGS
from ohmwright.rig.model import Rig
from ohmwright.services.desk import Put
from ohmwright.services.opening import today
from ohmwright.web.bench import Bench
from ohmwright.web.edits import MOST_PUTS, change_text
from ohmwright.web.forms import PAGE, fields, needed, word
from ohmwright.working import NOWHERE, Figure, OhmwrightError, QuantityError, parse, parse_origin

NEW = "new"


def origins(rig: Rig) -> tuple[tuple[str, str], ...]:
    """Where a figure may come from, as the file writes it and in words; documents of the file by their titles."""
    return (
        ("", "not said"),
        (f"m {today()}", "measured today"),
        ("o", "said by the owner"),
        ("s", "shop practice"),
        *((tag, s.title or tag) for tag, s in rig.sources.items()),
        (NEW, "another document, named here"),
    )


async def fill(bench: Bench, request: Request) -> Response:
    """Put them in; a document that the file does not know yet is entered under its sources."""
    form = await fields(bench, request)
    look = await run_in_threadpool(bench.desk.look, request.path_params["job"])
    origin = word(form, "origin")
    entry: dict[str, str | list[str]] = {}
    if origin == NEW:
        origin = _free_tag(look.rig)
        entry = {"title": needed(form, "document", "the title of the document"), "dated": word(form, "of")}
    puts = tuple(_puts(form, origin, look.rig))[:MOST_PUTS]
    if not puts:
        raise OhmwrightError("no value was written", remedy="write one beside the figure that you know")

    def edited(text: str, file: str) -> str:
        if entry:
            text = put_entry(text, file, "sources", origin, flow(entry, NOWHERE))
        for p in puts:
            text = set_value(text, file, p.address, p.value)
        return text

    return await change_text(bench, request, form, edited, puts)


def _puts(form: FormData, origin: str, rig: Rig) -> list[Put]:
    out = []
    for name in form:
        if not name.startswith("set.") or not (value := word(form, name)):
            continue
        address = name[4:]
        condition, page = word(form, f"condition.{address}"), word(form, f"page.{address}")
        if condition:
            value = f"{value} @ {condition}"
        told = _told(page, origin, address, rig)
        out.append(Put(address, f"{value} ({told})" if told and _takes_origin(value) else value))
    return out


def _told(page: str, origin: str, address: str, rig: Rig) -> str:
    """What stands in the bracket: the origin that was chosen with its page, or an origin that was written out."""
    numbered = PAGE.fullmatch(page)
    if not page or (numbered and origin[:2] in ("o", "s", "m ")):
        return origin
    if not numbered:
        tag = parse_origin(page).tag
        if tag in (*OWN_TAGS, *rig.sources, ""):
            return page
    if origin and numbered:
        return f"{origin} p{numbered[1]}"
    raise OhmwrightError(
        f"{address}: it is not said which document '{page[:40]}' is a page of",
        remedy=f"go back and choose the document above the table, or write it out: {next(iter(rig.sources), 'd1')} p3, or m {today()}",
    )


def _takes_origin(value: str) -> bool:
    """Whether it is a quantity that tells no origin yet; words and cables take none."""
    try:
        given = parse(value)
    except QuantityError:
        return False
    return isinstance(given, Figure) and given.origin.kind == "typed"


def _free_tag(rig: Rig) -> str:
    return next(f"d{n}" for n in range(1, 1000) if f"d{n}" not in rig.sources)
