"""Stranded cost: what was bought or cut for the old rig and has no place in the new one."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from ohmwright.rig.model import Rig
from ohmwright.takeoff.order import Order
from ohmwright.takeoff.types import CutLine, Takeoff

#: Words of the ledger that mean money or material is already in a thing.
SPENT = ("ordered", "bought", "cut", "fitted")


@dataclass(frozen=True, slots=True)
class Event:
    """Something the ledger says of an address: bought, cut ... `amount` as paid, None where it does not say."""

    event: str
    address: str
    dated: str = ""
    amount: Decimal | None = None
    currency: str = ""


@dataclass(frozen=True, slots=True)
class Stranded:
    """A thing that is paid for and not wanted any more; `amount` None: nobody knows what it cost."""

    address: str
    what: str
    event: str
    dated: str
    amount: Decimal | None
    currency: str


def stranded(
    old: Rig, new: Rig, takeoff: Takeoff, order: Order | None, events: Iterable[Event]
) -> tuple[Stranded, ...]:
    """By address the first event that spent something, where the new rig has no use for the thing."""
    first: dict[str, Event] = {}
    paid: dict[str, Event] = {}
    for e in events:
        if e.event in SPENT:
            first.setdefault(e.address, e)
            if e.amount is not None:
                paid[e.address] = e
    out = []
    for address, e in first.items():
        for what, amount, currency in _lost(old, new, takeoff, order, address):
            known = paid.get(address)
            out.append(
                Stranded(
                    address,
                    what,
                    e.event,
                    e.dated,
                    known.amount if known else amount,
                    known.currency if known else currency,
                )
            )
    return tuple(out)


def _lost(
    old: Rig, new: Rig, takeoff: Takeoff, order: Order | None, address: str
) -> Iterator[tuple[str, Decimal | None, str]]:
    if address in old.parts:
        yield from _part(old, new, takeoff, address)
    elif address in old.runs:
        yield from _run(old, new, takeoff, order, address)


def _part(old: Rig, new: Rig, takeoff: Takeoff, address: str) -> Iterator[tuple[str, Decimal | None, str]]:
    was, now = old.parts[address], new.parts.get(address)
    same = now is not None and now.record.id == was.record.id
    wanted = _count(new, address) if same else 0
    for line in takeoff.parts:
        mine = [r for r in line.references if r == address or r.startswith(f"{address}.")]
        if line.record == was.record.id and mine and len(mine) > wanted:
            spare = len(mine) - wanted
            amount = None if line.price is None else line.price * spare
            yield f"{spare} x {line.title}", amount, line.currency


def _count(rig: Rig, address: str) -> int:
    part = rig.parts[address]
    members = [p for p in rig.parts.values() if p.group == address and p.record.id == part.record.id]
    return len(members) or 1


def _run(
    old: Rig, new: Rig, takeoff: Takeoff, order: Order | None, address: str
) -> Iterator[tuple[str, Decimal | None, str]]:
    was, now = old.runs[address], new.runs.get(address)
    if now is not None and now.cable.text == was.cable.text and now.length == was.length:
        return
    pieces: dict[str, CutLine] = {c.piece or c.id: c for c in takeoff.cuts if c.run == address and not c.made}
    metres = sum(c.cut_m or 0.0 for c in pieces.values())
    price = _per_metre(order, list(pieces.values()))
    amount = None if price is None else (price * Decimal(f"{metres:.3f}")).quantize(Decimal("0.01"))
    yield f"{metres:g} m of {was.cable.text}", amount, order.currency if order is not None else ""


def _per_metre(order: Order | None, pieces: list[CutLine]) -> Decimal | None:
    if order is None or not pieces:
        return None
    words = {w for w in pieces[0].cable.split() if w != pieces[0].colour}
    return next(
        (c.price_m for c in order.cables if set(c.text.split()) == words and c.price_m is not None), None
    )
