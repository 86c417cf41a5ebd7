"""The proposals of a mend one by one: what belongs together, and putting one into the working file."""

from dataclasses import dataclass
from decimal import Decimal

from ohmwright.checks.types import Finding
from ohmwright.mend.trial import Draft, Trials
from ohmwright.mend.types import Change
from ohmwright.mend.walls import new_dangers, refused
from ohmwright.services.desk import Look
from ohmwright.services.mend import Repair
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


def items_of(repair: Repair) -> tuple[Item, ...]:
    """The proposals, those that answer one and the same finding together."""
    groups: dict[tuple[str, str], tuple[Finding, list[Change]]] = {}
    for p in repair.mended.changes:
        groups.setdefault((p.why.rule, p.why.subject), (p.why, []))[1].append(p.change)
    return tuple(Item(n, why, tuple(changes)) for n, (why, changes) in enumerate(groups.values(), 1))


@dataclass(frozen=True, slots=True)
class Accepted:
    """The text with an answer put in, and the numbers of all that went in for it."""

    text: str
    numbers: tuple[int, ...]


def accepted(look: Look, items: tuple[Item, ...], done: frozenset[int], number: int) -> Accepted:
    """Put one answer into the text that lies there.

    Where it brings a danger of its own that another answer of the list settles, that one goes in with it; where it
    builds on one that is not in, or would bring a danger that nothing settles, it is refused and the reason told.
    """
    wanted = {number}
    trials = Trials(look.opened.path, shop_shelf(look.opened.job), today())
    before = Draft(look.rig.text, look.study, look.checked.findings)
    heirs = {a: b for i in items for c in i.changes for a, b in c.heirs}
    while True:
        chosen = [i for i in items if i.number in wanted]
        changes = tuple(c for i in chosen for c in i.changes)
        text = trials.edited(look.rig.text, changes)
        after = trials.draft(text) if text is not None else None
        if text is None or after is None:
            raise OhmwrightError(
                _builds_on(trials, look, items, done, wanted), remedy="accept that one first"
            )
        fresh = new_dangers(before, after, heirs)
        if not fresh:
            if reason := refused(before, after, changes, heirs):
                raise OhmwrightError(f"answer {number} is not put in: {reason}", remedy="pass over it")
            return Accepted(text, tuple(sorted(wanted)))
        about = {(f.rule, f.subject) for f in fresh}
        more = {
            i.number for i in items if (i.why.rule, i.why.subject) in about and i.number not in done
        } - wanted
        if not more:
            first = fresh[0]
            raise OhmwrightError(
                f"answer {number} alone brings a danger: {first.number} {first.subject}, {first.message}",
                remedy="accept the answers before it first, or look for answers again",
            )
        wanted |= more


def _builds_on(trials: Trials, look: Look, items: tuple[Item, ...], done: frozenset[int], wanted: set[int]) -> str:  # fmt: skip
    """Why the changes do not fit the text: another answer that has to go in first, where there is one."""
    told = ", ".join(str(n) for n in sorted(wanted))
    for item in items:
        if item.number in wanted or item.number in done:
            continue
        changes = [c for i in items if i.number in wanted | {item.number} for c in i.changes]
        text = trials.edited(look.rig.text, changes)
        if text is not None and trials.read(text) is not None:
            return f"answer {told} builds on answer {item.number}, which is not in the file"
    return f"answer {told} does not fit the file as it lies there"


__all__ = ["Accepted", "Item", "accepted", "items_of"]
