"""The mend sheet: the answers that were found, one by one, to be accepted or passed over."""

from dataclasses import dataclass

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from ohmwright.mend.types import Hand
from ohmwright.services import mend as services
from ohmwright.services.desk import Look, Put
from ohmwright.services.mending import Answers, Item, NeedsError, accepted, keep_answers, kept_answers
from ohmwright.services.words import tag_word
from ohmwright.web.bench import Bench
from ohmwright.web.circuit import follows_of
from ohmwright.web.forms import fields, word
from ohmwright.web.going import DOING
from ohmwright.web.render import path
from ohmwright.web.wanted import MEND, begin_mend, work_of
from ohmwright.working import OhmwrightError

HEADS = {
    "do": "By hand, with these changes",
    "licensed": "Licensed hands: mains work that no file settles",
    "decide": "To decide: what remains and why",
    "look": "To look at",
    "measure": "To measure or copy from a plate",
}


@dataclass(frozen=True, slots=True)
class Row:
    """An answer on the sheet."""

    item: Item
    word: str
    state: str


def mending(bench: Bench, request: Request) -> Response:
    """The sheet."""
    return _sheet(bench, request, bench.desk.look(request.path_params["job"]))


def _sheet(bench: Bench, request: Request, look: Look, status: int = 200, needs: NeedsError | None = None) -> Response:  # fmt: skip
    change, follows = follows_of(bench, look)
    return bench.sheet(
        request, look, "mend", status, **_about(bench, look), change=change, follows=follows, ref="", which="", needs=needs
    )  # fmt: skip


def _found(bench: Bench, look: Look) -> Answers | None:
    """What was found for the working file, by this run of the bench or one before."""
    if look.letter:
        return None
    work = work_of(bench, MEND, look)
    done: Answers | None = work.result if work is not None else None
    return done or kept_answers(bench.desk.folder(look.job))


def _about(bench: Bench, look: Look) -> dict[str, object]:
    found = _found(bench, look)
    done = found.done(look.sha256) if found is not None else None
    rows = []
    for item in found.items if found is not None else ():
        state = (
            "accepted" if done is not None and item.number in done
            else "passed over" if found is not None and item.number in found.passed
            else "open"
        )  # fmt: skip
        rows.append(Row(item, tag_word(item.why.verdict, item.why.severity), state))
    hands: dict[str, list[Hand]] = {}
    for hand in found.mended.hands if found is not None else ():
        hands.setdefault(hand.what, []).append(hand)
    return {
        "work": work_of(bench, MEND, look),
        "doing": DOING[MEND],
        "found": found,
        "stale": found is not None and done is None,
        "rows": rows,
        "hands": [(head, services.together(hands[what])) for what, head in HEADS.items() if what in hands],
        "money": _money,
    }


def _money(amount: object, currency: str) -> str:
    return "no price on the shelf" if amount is None else f"{amount:.2f} {currency}"


async def begin(bench: Bench, request: Request) -> Response:
    """Look for answers to what was found in the rig as it lies there."""
    await fields(bench, request)
    look = await run_in_threadpool(bench.desk.look, request.path_params["job"])
    if look.letter:
        raise OhmwrightError(
            f"revision {look.letter} is issued and stays as it is", remedy="mend the working file"
        )

    await run_in_threadpool(begin_mend, bench, look)
    return RedirectResponse(path("jobs", look.job, "mend"), 303)


async def settle(bench: Bench, request: Request) -> Response:
    """Accept an answer, pass over it, or take it up again."""
    form = await fields(bench, request)
    look = await run_in_threadpool(bench.desk.look, request.path_params["job"])
    found = await run_in_threadpool(_found, bench, look)
    asked, how = word(form, "number").split(), word(form, "how")
    numbers = {str(i.number): i.number for i in found.items} if found is not None else {}
    if found is None or not asked or any(n not in numbers for n in asked):
        raise OhmwrightError("there is no such answer any more", remedy="look for answers again")
    chosen = frozenset(numbers[n] for n in asked)
    if how == "accept":
        try:
            await run_in_threadpool(_accept, bench, look, found, chosen, word(form, "opened"))
        except NeedsError as error:
            return await run_in_threadpool(_sheet, bench, request, look, 422, error)
    elif how == "pass":
        found.passed |= chosen
    else:
        found.passed -= chosen
    await run_in_threadpool(keep_answers, bench.desk.folder(look.job), found)
    return RedirectResponse(f"{path('jobs', look.job, 'mend')}#answer-{min(chosen)}", 303)


def _accept(bench: Bench, look: Look, found: Answers, chosen: frozenset[int], opened: str) -> None:
    done = found.done(opened)
    if done is None:
        raise OhmwrightError(
            "the working file was changed since these answers were found", remedy="look for answers again"
        )
    left = frozenset(i.number for i in found.items) - done - found.passed
    puts = tuple(
        Put(c.address, c.becomes or "taken out") for i in found.items if i.number in chosen for c in i.changes
    )
    change = bench.desk.edit(
        look.job, opened, lambda _, __: accepted(bench.desk.look(look.job), found.items, left, chosen), puts
    )
    found.passed -= chosen
    found.done_by_text[change.after.sha256] = done | chosen
