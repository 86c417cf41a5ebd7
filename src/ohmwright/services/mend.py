"""Propose the smallest proved repair of a rig, and write it as a new file."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from ohmwright.checks import engine
from ohmwright.mend.propose import mend as proposed
from ohmwright.mend.types import Hand, Mended, Proposed
from ohmwright.services.answers import envelope
from ohmwright.services.check import finding_json
from ohmwright.services.opening import Opened, open_rig, shop_shelf, today
from ohmwright.store import jobs
from ohmwright.store.reading import refused
from ohmwright.store.save import save_new
from ohmwright.study import Study
from ohmwright.working import FileError, Position

_FROZEN = re.compile(r"^frozen:.*?(?=^\S|\Z)", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True, slots=True)
class Repair:
    """What was proposed for a rig, and the new file it was written to, if any."""

    opened: Opened
    mended: Mended
    file: str
    not_applied: int

    @property
    def open(self) -> bool:
        """A danger that fails, or that cannot be told, remains."""
        return any(f.severity == "danger" and f.verdict in ("fail", "cannot-tell") for f in self.mended.after)

    def statement(self) -> str:
        """The one sentence that may be said about the whole."""
        fails = sum(f.severity == "danger" and f.verdict == "fail" for f in self.mended.after)
        untold = sum(f.severity == "danger" and f.verdict == "cannot-tell" for f in self.mended.after)
        applied = len({f.rule for f in self.mended.after})
        told = (
            f"With these changes {fails} danger{'' if fails == 1 else 's'} remain{'s' if fails == 1 else ''}"
            if fails
            else "With these changes no danger fails"
        )
        return f"{told} among the {applied} rules applied; {untold} cannot be told; {self.not_applied} rules are not built."


def mend(where: str, out: str = "", heed: Callable[[int, str], None] | None = None) -> Repair:
    """Propose changes for a rig. With `out` the mended rig is written there, as a file that was not there before.

    `heed` hears of every trial, by its number and the finding in hand; what it raises ends the work.
    """
    opened = open_rig(where)
    text = _FROZEN.sub("", opened.rig.text)
    shelf = shop_shelf(opened.job)
    mended = proposed(text, opened.path, shelf, today(), heed)
    if out:
        _write(out, mended.text)
    return Repair(opened, mended, out, len(engine.not_applied(Study(opened.rig, today=today()))))


def _write(out: str, text: str) -> None:
    path = Path(out)
    at = Position(out, 1, 1)
    if path.absolute().parent.name == jobs.ISSUED:
        raise FileError(
            "issued revisions are never rewritten",
            at=at,
            remedy="write to a file outside issued/, and issue the next letter",
        )
    if path.exists():
        raise FileError(
            "there is a file of that name",
            at=at,
            remedy="write the name of a new file: nothing is overwritten",
        )
    try:
        save_new(out, text.encode())
    except FileExistsError:
        raise FileError(
            "there is a file of that name",
            at=at,
            remedy="write the name of a new file: nothing is overwritten",
        ) from None
    except OSError as error:
        raise refused(out, error) from None


def money(amount: Decimal | None, currency: str) -> dict[str, str] | None:
    """An amount with its currency; None where the shelf has no price."""
    return None if amount is None else {"amount": f"{amount:.2f}", "currency": currency}


def change_json(p: Proposed, currency: str) -> dict[str, Any]:
    """One change with the finding it answers."""
    return {
        "address": p.change.address,
        "sort": p.change.sort,
        "was": p.change.was or None,
        "becomes": p.change.becomes or None,
        "why": {
            "rule": p.why.rule,
            "number": p.why.number,
            "subject": p.why.subject,
            "message": p.why.message,
        },
        "price": money(p.change.price, currency),
        "by_hand": p.change.by_hand or None,
    }


def hand_json(hand: Hand) -> dict[str, Any]:
    """Something for a person."""
    return {"what": hand.what, "subject": hand.subject, "told": hand.told or None, "rules": list(hand.rules)}


def mend_json(done: Repair) -> dict[str, Any]:
    """The answer of `mend --json`."""
    m = done.mended
    return {
        **envelope(done.opened),
        "statement": done.statement(),
        "changes": [change_json(p, m.currency) for p in m.changes],
        "price": {**(money(m.price, m.currency) or {}), "unpriced": m.unpriced},
        "cleared": [finding_json(f) for f in m.cleared],
        "remaining": [finding_json(f) for f in m.remaining],
        "needs_hands": [hand_json(h) for h in m.hands],
        "file": done.file or None,
    }
