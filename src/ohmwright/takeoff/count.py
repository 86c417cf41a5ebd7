"""A rig counted: parts grouped by what they are, conductors to cut, and what cannot be counted."""

from collections.abc import Iterable
from decimal import Decimal

from ohmwright.rig.model import Part, Rig
from ohmwright.takeoff.cuts import cuts_of, is_counted
from ohmwright.takeoff.practice import practice
from ohmwright.takeoff.types import CutLine, PartLine, Takeoff
from ohmwright.working import known


def takeoff_of(rig: Rig) -> Takeoff:
    """Everything of a rig that is bought, cut or made."""
    cuts = cuts_of(rig)
    unknown = tuple(c.id for c in cuts if c.length_m is None and not c.made)
    return Takeoff(_parts(rig), cuts, tuple(_notes(rig)), unknown, tuple(_wire_notes(cuts)))


def _parts(rig: Rig) -> tuple[PartLine, ...]:
    by_record: dict[tuple[str, float | None], list[Part]] = {}
    for part in rig.parts.values():
        if is_counted(part):
            mass = known(part.figure("mass"))
            by_record.setdefault((part.record.id, mass.value if mass else None), []).append(part)
    return tuple(_line(rig, mass, parts) for (_, mass), parts in by_record.items())


def _line(rig: Rig, mass_kg: float | None, parts: list[Part]) -> PartLine:
    record = parts[0].record
    price = record.price_in(rig.job.currency) if rig.job.currency else record.price
    notes: list[str] = []
    if record.kind.name == "battery":
        chemistry = parts[0].word("chemistry") or "unknown"
        notes.append(practice().goods.get(chemistry, practice().goods["unknown"]))
    if record.bare:
        notes.append("only its kind is known: no figures, no price")
    return PartLine(
        record=record.id,
        title=record.title,
        count=len(parts),
        references=tuple(p.id for p in parts),
        mass_kg=mass_kg,
        price=Decimal(price.amount) if price else None,
        currency=price.currency if price else rig.job.currency,
        lead_days=price.lead_days if price else None,
        notes=tuple(notes),
        kind=record.kind.name,
        spares=practice().spare_fuses if record.kind.name == "fuse" and not record.bare else 0,
    )


def _wire_notes(cuts: Iterable[CutLine]) -> list[str]:
    guessed = sorted({c.run for c in cuts if not c.colour_from_file and c.colour})
    if not guessed:
        return []
    return ["Colour not in the file, taken from shop practice: " + ", ".join(guessed) + "."]


def _notes(rig: Rig) -> list[str]:
    out = []
    no_price = [
        p.id for p in rig.parts.values() if is_counted(p) and p.record.price_in(rig.job.currency) is None
    ]
    if no_price and rig.job.currency:
        out.append(f"No price in {rig.job.currency}: " + ", ".join(no_price) + ".")
    elif no_price:
        out.append("The job names no currency: prices stand as the shelf has them.")
    not_ours = [p.id for p in rig.parts.values() if p.words.get("own") in ("no", "false")]
    if not_ours:
        out.append("Not ours, not bought: " + ", ".join(not_ours) + ".")
    if rig.job.stage == "as found":
        out.append(
            "The rig is as found: these parts are there already; nothing is ordered from this list before the mend is agreed."
        )
    return out
