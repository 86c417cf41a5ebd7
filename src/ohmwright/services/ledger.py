"""The ledger of a job: what was ordered, bought, cut, fitted and signed, by whom and when."""

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from ohmwright.change.stranded import Event
from ohmwright.rig.model import Rig
from ohmwright.services.answers import envelope
from ohmwright.services.opening import now, open_rig, today
from ohmwright.store import jobs, ledger
from ohmwright.store.jobs import Job
from ohmwright.store.ledger import Entry
from ohmwright.takeoff.count import takeoff_of
from ohmwright.takeoff.order import Made
from ohmwright.working import OhmwrightError, nearest

EVENTS = ("ordered", "bought", "cut", "fitted", "signed")
_MONEY = re.compile(r"(\d+(?:\.\d{1,2})?)\s*([A-Z]{3})\Z")


@dataclass(frozen=True, slots=True)
class Added:
    """An entry that was written for each address."""

    entries: tuple[Entry, ...]


def entries(folder: str) -> tuple[Entry, ...]:
    """Everything that the ledger of a job holds, oldest first."""
    return ledger.read_ledger(jobs.open_job(folder).ledger)


def add(
    folder: str,
    event: str,
    addresses: tuple[str, ...],
    *,
    dated: str = "",
    amount: str = "",
    by: str = "shop",
) -> Added:
    """Write an event of each address into the ledger of a job."""
    job = jobs.open_job(folder)
    if event not in EVENTS:
        near = nearest(event, EVENTS)
        raise OhmwrightError(
            f"'{event}' is no event of a ledger",
            remedy=f"did you mean {near}?" if near else f"write one of: {', '.join(EVENTS)}",
        )
    day = _day(dated)
    money = _money(amount)
    if money is not None and len(addresses) > 1:
        raise OhmwrightError("one amount for several addresses", remedy="write each with its own amount")
    rig = open_rig(folder).rig
    lengths = _lengths(rig) if event == "cut" else {}
    if event != "signed":
        for address in addresses:
            _known(rig, address)
    facts: dict[str, ledger.Json] = {"dated": day}
    if money is not None:
        facts |= {"amount": str(money[0]), "currency": money[1]}
    at = now().isoformat(timespec="seconds")
    return Added(
        tuple(
            ledger.append(
                job.ledger, at=at, event=event, by=by, facts={"address": a, **facts, **lengths.get(a, {})}
            )
            for a in addresses
        )
    )


def _lengths(rig: Rig) -> dict[str, dict[str, ledger.Json]]:
    """What is cut for each run as the rig stands: its cable and metres, so that a later change knows what lies over."""
    pieces = {c.piece or c.id: c for c in takeoff_of(rig).cuts if not c.made and c.cut_m is not None}
    out: dict[str, dict[str, ledger.Json]] = {}
    for name, c in pieces.items():
        each = out.setdefault(c.run, {"cable": c.cable, "pieces": []})["pieces"]
        assert isinstance(each, list)
        each.append({"piece": name, "m": c.cut_m})
    return out


def _day(text: str) -> str:
    try:
        return date.fromisoformat(text).isoformat() if text else today()
    except ValueError:
        raise OhmwrightError(f"'{text}' is no date", remedy="write it like 2026-04-20") from None


def _money(text: str) -> tuple[Decimal, str] | None:
    if not text:
        return None
    found = _MONEY.match(text.strip())
    try:
        if found is None:
            raise InvalidOperation
        return Decimal(found[1]), found[2]
    except InvalidOperation:
        raise OhmwrightError(
            f"'{text}' is no amount", remedy='write it like "62 USD" or "62.50 EUR"'
        ) from None


def _known(rig: Rig, address: str) -> None:
    names = [*rig.parts, *rig.runs, *rig.use.loads]
    if address not in names:
        near = nearest(address, names)
        raise OhmwrightError(
            f"the rig has no part or run '{address}'",
            remedy=f"did you mean {near}?" if near else "write the id of a part or run",
        )


def events_of(job: Job | None) -> tuple[Event, ...]:
    """What a job's ledger says was spent, for the stranded cost of a change."""
    if job is None:
        return ()
    out = []
    for e in ledger.read_ledger(job.ledger):
        address = e.facts.get("address")
        if isinstance(address, str) and e.event in EVENTS:
            amount, currency = e.facts.get("amount"), e.facts.get("currency")
            paid = (
                Decimal(amount) if isinstance(amount, str) and re.fullmatch(r"\d+(\.\d+)?", amount) else None
            )
            out.append(
                Event(e.event, address, str(e.facts.get("dated", e.at[:10])), paid, str(currency or ""))
            )
    return tuple(out)


def cut_of(job: Job | None) -> tuple[Made, ...]:
    """The pieces that a job's ledger says were cut, oldest first."""
    out = []
    for e in ledger.read_ledger(job.ledger) if job is not None else ():
        cable, pieces = e.facts.get("cable"), e.facts.get("pieces")
        if e.event != "cut" or not isinstance(cable, str) or not isinstance(pieces, list):
            continue
        for p in pieces:
            name, metres = (p.get("piece"), p.get("m")) if isinstance(p, dict) else (None, None)
            if isinstance(name, str) and isinstance(metres, int | float) and 0 < metres < 10_000:
                out.append(Made(name, cable, float(metres)))
    return tuple(out)


def entry_json(e: Entry) -> dict[str, Any]:
    """A line of the ledger."""
    return {"n": e.number, "at": e.at, "event": e.event, "by": e.by, **dict(e.facts)}


def ledger_json(folder: str, told: tuple[Entry, ...]) -> dict[str, Any]:
    """The answer of `ledger --json`."""
    return {**envelope(open_rig(folder)), "entries": [entry_json(e) for e in told]}
