"""Propose the smallest proved repair of a rig, and write it as a new file."""

import gc
import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from ohmwright.checks import engine
from ohmwright.checks.registry import place
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

_USUAL = gc.get_threshold()
#: Things made before the next look for rubbish; the memory of a whole mend grows by some 30 MB.
COLLECTED_AFTER = 20_000
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
        """The one sentence that may be said about the whole: what is cleared, and what remains."""
        m = self.mended
        count = {
            (s, v): sum(f.severity == s and f.verdict == v for f in m.after)
            for s in ("danger", "fails", "disappoints")
            for v in ("fail", "cannot-tell")
        }
        dangers = sum(f.severity == "danger" for f in m.cleared)
        fails = count["danger", "fail"]
        lesser = count["fails", "fail"] + count["disappoints", "fail"]
        told = f"{_of(fails, 'danger')} remain{'s' if fails == 1 else ''}" if fails else "no danger fails"
        return (
            f"With {_of(len(m.changes), 'change')} {_of(len(m.cleared), 'finding')} {'is' if len(m.cleared) == 1 else 'are'} cleared"
            f" ({_of(dangers, 'danger')}); {told} among the {len({f.rule for f in m.after})} rules applied,"
            f" {_of(lesser, 'lesser finding')} remain{'s' if lesser == 1 else ''}, {_of(count['danger', 'cannot-tell'], 'danger')} cannot be told"
            + (
                f"; {_of(self.not_applied, 'rule')} of the catalogue not applied."
                if self.not_applied
                else "."
            )
        )


def _of(count: int, noun: str) -> str:
    return f"{count} {noun}{'' if count == 1 else 's'}"


@dataclass(frozen=True, slots=True)
class Together:
    """Things for a person that are one line on paper: the same words about several parts, or several figures of one page."""

    subjects: tuple[str, ...]
    told: str
    rules: tuple[str, ...]


def together(hands: Iterable[Hand]) -> list[Together]:
    """Hands of one sort in as few lines as say the same: no question is put twice."""
    spoken = [h for h in hands if h.told]
    lines: dict[tuple[str, tuple[str, ...]], dict[str, None]] = {}
    for h in spoken:
        lines.setdefault((h.told, h.rules), {})[h.subject] = None
    out = [Together(tuple(subjects), told, rules) for (told, rules), subjects in lines.items()]
    return out + _figures([h for h in hands if not h.told])


def _figures(hands: list[Hand]) -> list[Together]:
    """Addresses of the same figure of several parts, then several figures of one part; the most wanted first."""
    left = list(hands)
    out: list[tuple[int, Together]] = []
    for name in (_figure_of, _part_of):
        groups: dict[str, list[Hand]] = {}
        for h in left:
            groups.setdefault(name(h), []).append(h)
        for group in groups.values():
            if len(group) > 1 or name is _part_of:
                rules = tuple(sorted({r for h in group for r in h.rules}, key=place))
                out.append((hands.index(group[0]), Together(tuple(h.subject for h in group), "", rules)))
                left = [h for h in left if h not in group]
    return [line for _, line in sorted(out, key=lambda x: x[0])]


def _figure_of(hand: Hand) -> str:
    return f"{hand.subject.rpartition('.')[2]} {' '.join(hand.rules)}"


def _part_of(hand: Hand) -> str:
    return hand.subject.rpartition(".")[0]


@contextmanager
def _rarely_collected() -> Iterator[None]:
    """Hundreds of rigs are read one after the other: looking for rubbish between them took a third of the time."""
    gc.set_threshold(COLLECTED_AFTER, *_USUAL[1:])
    try:
        yield
    finally:
        gc.set_threshold(*_USUAL)


def mend(where: str, out: str = "", heed: Callable[[int, str], None] | None = None) -> Repair:
    """Propose changes for a rig. With `out` the mended rig is written there, as a file that was not there before.

    `heed` hears of every trial, by its number and the finding in hand; what it raises ends the work.
    """
    opened = open_rig(where)
    text = _FROZEN.sub("", opened.rig.text)
    shelf = shop_shelf(opened.job)
    with _rarely_collected():
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
        "place": p.where or None,
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
