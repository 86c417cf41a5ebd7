"""The proposals of a mend one by one: what belongs together, and putting one into the working file."""

import os
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from decimal import Decimal

from ohmwright.checks.types import Finding
from ohmwright.mend.trial import Draft, Trials
from ohmwright.mend.types import Change, Mended
from ohmwright.mend.walls import new_dangers, refused
from ohmwright.services.desk import Look
from ohmwright.services.kept import found, keep, name_of
from ohmwright.services.mend import Repair, mend
from ohmwright.services.opening import shop_shelf, today
from ohmwright.working import OhmwrightError


@dataclass(frozen=True, slots=True)
class Item:
    """One answer to one finding: the changes that were found for it, in their order."""

    number: int
    why: Finding
    changes: tuple[Change, ...]

    @property
    def price(self) -> Decimal | None:
        """What it adds to the parts list; None where one of its prices is not known."""
        known = [c.price for c in self.changes]
        return None if None in known else sum((p for p in known if p is not None), Decimal(0))


@dataclass(slots=True)
class Answers:
    """What was found for one text of a job, and what was accepted and passed over since."""

    sha256: str
    mended: Mended
    statement: str
    seconds: float
    items: tuple[Item, ...]
    done_by_text: dict[str, frozenset[int]]
    """Accepted answers, by the hash of the text they led to: undoing a change undoes this too."""
    passed: set[int] = field(default_factory=set)

    def done(self, sha256: str) -> frozenset[int] | None:
        """What has been accepted in a text; None for a text that came about otherwise."""
        return self.done_by_text.get(sha256)


ROOM = "answers"


def answers_for(folder: str, heed: Callable[[int, str], None]) -> Answers:
    """Look for answers to what was found in the working file of a job, and keep them."""
    began = time.monotonic()
    repair = mend(folder, heed=heed)
    sha256 = repair.opened.sha256
    answers = Answers(
        sha256,
        repair.mended,
        repair.statement(),
        time.monotonic() - began,
        items_of(repair),
        {sha256: frozenset()},
    )
    keep_answers(folder, answers)
    return answers


def keep_answers(folder: str, answers: Answers) -> None:
    """Keep the answers of a job, with what was accepted and passed over."""
    keep(ROOM, _name(folder), answers)


def kept_answers(folder: str) -> Answers | None:
    """The answers that were found for a job last."""
    return found(Answers, ROOM, _name(folder))


def _name(folder: str) -> str:
    return name_of(os.path.realpath(folder))


def items_of(repair: Repair) -> tuple[Item, ...]:
    """The proposals, those that answer one and the same finding together."""
    groups: dict[tuple[str, str], tuple[Finding, list[Change]]] = {}
    for p in repair.mended.changes:
        groups.setdefault((p.why.rule, p.why.subject), (p.why, []))[1].append(p.change)
    return tuple(Item(n, why, tuple(changes)) for n, (why, changes) in enumerate(groups.values(), 1))


class NeedsError(OhmwrightError):
    """Answers that do not stand alone; `more` are the numbers of those that they go with."""

    def __init__(self, numbers: frozenset[int], more: frozenset[int], because: str) -> None:
        self.numbers, self.more = numbers, more
        super().__init__(
            f"answer {_told(numbers)} does not stand alone: {because}",
            remedy=f"accept it together with {_told(more)}, or pass over it",
        )


def accepted(look: Look, items: tuple[Item, ...], left: frozenset[int], numbers: frozenset[int]) -> str:
    """The text that lies there with some answers put in; `left` are those that may still go with them.

    It is read again and judged by every rule: answers that would bring a danger of their own, or that build on others,
    are not put in; those that they go with are told, where there are any.
    """
    trials = Trials(look.opened.path, shop_shelf(look.opened.job), today())
    before = Draft(look.rig.text, look.study, look.checked.findings)
    text, reason = _tried(trials, before, items, numbers)
    if text is not None:
        return text
    for more in _company(items, left - numbers, numbers):
        if _tried(trials, before, items, numbers | more)[0] is not None:
            raise NeedsError(numbers, more, reason)
    raise OhmwrightError(
        f"answer {_told(numbers)} is not put in: {reason}", remedy="pass over it, or look for answers again"
    )


def _tried(trials: Trials, before: Draft, items: tuple[Item, ...], numbers: frozenset[int]) -> tuple[str | None, str]:  # fmt: skip
    """The text with those answers, or None and the reason why not."""
    changes = tuple(c for i in items if i.number in numbers for c in i.changes)
    heirs = {a: b for c in changes for a, b in c.heirs}
    text = trials.edited(before.text, changes)
    after = trials.draft(text) if text is not None else None
    if text is None or after is None:
        return None, "it does not fit the file as it lies there"
    if fresh := new_dangers(before, after, heirs):
        return (
            None,
            f"it brings a danger, {fresh[0].number} {fresh[0].subject}: {fresh[0].message.rstrip('.')}",
        )
    reason = refused(before, after, changes, heirs)
    return (None, reason) if reason else (text, "")


def _company(items: tuple[Item, ...], left: frozenset[int], numbers: frozenset[int]) -> Iterator[frozenset[int]]:  # fmt: skip
    """What may go with some answers: one other, the nearest before them first; all that come before; all."""
    first = min(numbers)
    others = sorted((i.number for i in items if i.number in left), key=lambda n: (n > first, abs(n - first)))
    yield from (frozenset({n}) for n in others)
    before = frozenset(n for n in others if n < first)
    yield from (s for s in (before, frozenset(others)) if len(s) > 1)


def _told(numbers: frozenset[int]) -> str:
    return ", ".join(str(n) for n in sorted(numbers))
