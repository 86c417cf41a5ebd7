"""The mend sheet: the answers that were found, one by one, to be accepted or passed over."""

from dataclasses import dataclass, field

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ohmwright.mend.types import Hand
from ohmwright.services import mend as services
from ohmwright.services.desk import Look, Put
from ohmwright.services.mending import Item, NeedsError, accepted, items_of
from ohmwright.services.words import tag_word
from ohmwright.web.bench import Bench
from ohmwright.web.circuit import follows_of
from ohmwright.web.forms import fields, word
from ohmwright.web.render import path
from ohmwright.web.works import Work
from ohmwright.working import OhmwrightError

HEADS = {
    "do": "By hand, with these changes",
    "licensed": "Licensed hands: mains work that no file settles",
    "decide": "To decide: what remains and why",
    "look": "To look at",
    "measure": "To measure or copy from a plate",
}


@dataclass(slots=True)
class Mending:
    """What was found for one text of a job, and what was accepted and passed over since."""

    sha256: str
    repair: services.Repair
    items: tuple[Item, ...]
    done_by_text: dict[str, frozenset[int]] = field(default_factory=dict)
    """Accepted answers, by the hash of the text they led to: undoing a change undoes this too."""
    passed: set[int] = field(default_factory=set)

    def done(self, sha256: str) -> frozenset[int] | None:
        """What has been accepted in a text; None for a text that came about otherwise."""
        return self.done_by_text.get(sha256)


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


def _key(look: Look) -> str:
    return f"mend {look.address}"


def _about(bench: Bench, look: Look) -> dict[str, object]:
    work = bench.mendings.get(_key(look))
    found = work.result if work is not None else None
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
    for hand in found.repair.mended.hands if found is not None else ():
        hands.setdefault(hand.what, []).append(hand)
    return {
        "work": work,
        "found": found,
        "stale": found is not None and done is None,
        "rows": rows,
        "hands": [(head, services.together(hands[what])) for what, head in HEADS.items() if what in hands],
        "money": _money,
    }


def _money(amount: object, currency: str) -> str:
    return "no price on the shelf" if amount is None else f"{amount:.2f} {currency}"


def state(bench: Bench, request: Request) -> Response:
    """How far the work is, as a piece of the sheet; the whole sheet once it has ended."""
    look = bench.desk.look(request.path_params["job"])
    work = bench.mendings.get(_key(look))
    if work is None or not work.going:
        return Response(status_code=204, headers={"hx-refresh": "true"})
    return HTMLResponse(bench.text(request, "pieces/mend-going.html", look=look, work=work))


async def begin(bench: Bench, request: Request) -> Response:
    """Look for answers to what was found in the rig as it lies there."""
    await fields(bench, request)
    look = await run_in_threadpool(bench.desk.look, request.path_params["job"])
    if look.letter:
        raise OhmwrightError(
            f"revision {look.letter} is issued and stays as it is", remedy="mend the working file"
        )

    def do(work: Work[Mending]) -> Mending:
        repair = services.mend(look.opened.path, heed=lambda n, about: work.heed(f"{n} trials; {about or 'reading'} in hand"))  # fmt: skip
        sha256 = repair.opened.sha256
        return Mending(sha256, repair, items_of(repair), {sha256: frozenset()})

    bench.mendings.begin(_key(look), do)
    return RedirectResponse(path("jobs", look.job, "mend"), 303)


async def stop(bench: Bench, request: Request) -> Response:
    """End the work."""
    await fields(bench, request)
    look = await run_in_threadpool(bench.desk.look, request.path_params["job"])
    work = bench.mendings.get(_key(look))
    if work is not None:
        work.stop()
        await run_in_threadpool(work.wait, 5.0)
    return RedirectResponse(path("jobs", look.job, "mend"), 303)


async def settle(bench: Bench, request: Request) -> Response:
    """Accept an answer, pass over it, or take it up again."""
    form = await fields(bench, request)
    look = await run_in_threadpool(bench.desk.look, request.path_params["job"])
    work = bench.mendings.get(_key(look))
    found = work.result if work is not None else None
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
    return RedirectResponse(f"{path('jobs', look.job, 'mend')}#answer-{min(chosen)}", 303)


def _accept(bench: Bench, look: Look, found: Mending, chosen: frozenset[int], opened: str) -> None:
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
