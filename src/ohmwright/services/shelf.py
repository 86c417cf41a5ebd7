"""Part records: list, show, verify, add."""

from pathlib import Path
from typing import Any

from ohmwright.services.answers import envelope, given
from ohmwright.services.opening import shop_shelf
from ohmwright.shelf.add import new_record_text
from ohmwright.shelf.record import Record
from ohmwright.shelf.verify import owed
from ohmwright.store.jobs import Job
from ohmwright.store.save import save_new
from ohmwright.working import Figure, OhmwrightError, known


def _record(part: str) -> Record:
    shelf = shop_shelf()
    found = shelf.find(part)
    if found is None:
        near = shelf.near(part)
        raise OhmwrightError(
            f"the shelf has no '{part}'",
            remedy=f"did you mean {near}?" if near else "see ohmwright shelf list",
        )
    return found


def list_json(kind: str | None, job: Job | None = None) -> dict[str, Any]:
    """The answer of `shelf list --json`; with a job, its own parts are among them."""
    shelf = shop_shelf(job)
    rows = []
    for record in (
        shelf.of_kind(kind) if kind else tuple(r for i in shelf if (r := shelf.find(i)) is not None)
    ):
        mass = known(record.figures.get("mass") or _absent())
        rows.append(
            {"id": record.id, "kind": record.kind.name, "title": record.title, "mass_kg": mass.value if mass else None,
             "price": f"{record.price.amount} {record.price.currency}" if record.price else None, "from_shop": record.from_shop, **({"file": record.file} if job else {})}
        )  # fmt: skip
    if kind and not rows:
        from ohmwright import kinds
        from ohmwright.working import nearest

        near = nearest(kind, kinds.names())
        raise OhmwrightError(
            f"the shelf has no part of kind '{kind}'",
            remedy=f"did you mean {near}?" if near else "see ohmwright shelf list",
        )
    return {**envelope(), "parts": rows}


def _absent() -> Any:
    from ohmwright.working import Absent

    return Absent()


def show_json(part: str) -> dict[str, Any]:
    """The answer of `shelf show --json`."""
    record = _record(part)
    return {
        **envelope(),
        "id": record.id,
        "kind": record.kind.name,
        "title": record.title,
        "figures": [{"name": n, **given(g)} for n, g in record.figures.items()],
        "words": dict(record.words),
        "price": f"{record.price.amount} {record.price.currency}" if record.price else None,
        "missing": [n for n in record.kind.figures if n not in record.figures],
        "file": record.file,
    }


def unverified(part: str | None, job: Job | None = None) -> list[tuple[str, str, str]]:
    """Part, figure and origin of every figure without a named page."""
    shelf = shop_shelf(job)
    records = [_record(part)] if part else [r for i in shelf if (r := shelf.find(i)) is not None]
    return [
        (r.id, name, str(g.origin))
        for r in records
        for name, g in r.figures.items()
        if isinstance(g, Figure) and not g.origin.verified
    ]


def owes(part: str | None) -> list[tuple[str, str, str, str]]:
    """Part, figure, what it owes, and what is on file: of one part all that is owed, of all parts what stands on them unproved."""
    shelf = shop_shelf()
    records = [_record(part)] if part else [r for i in shelf if (r := shelf.find(i)) is not None]
    return [
        (r.id, o.name, o.debt, o.says) for r in records for o in owed(r) if part or o.debt != "not on file"
    ]


def add(
    part: str,
    kind: str,
    sheet: str,
    dated: str,
    folder: str,
    figures: tuple[str, ...],
    words: tuple[str, ...],
) -> tuple[Path, list[str]]:
    """Write a part from its data sheet into a shelf folder; the file, and the figures its kind still misses."""
    text, missing = new_record_text(
        part, kind, sheet, dated, _pairs(figures, "figure"), _pairs(words, "word")
    )
    target = Path(folder) / f"{part}.yaml"
    if target.exists():
        raise OhmwrightError(
            f"{target} is there already", remedy="change that file, or give the part another id"
        )
    target.parent.mkdir(parents=True, exist_ok=True)
    save_new(str(target), text.encode())
    return target, missing


def _pairs(given_pairs: tuple[str, ...], what: str) -> dict[str, str]:
    out: dict[str, str] = {}
    for pair in given_pairs:
        name, colon, value = pair.partition(":")
        if not colon or not value.strip():
            raise OhmwrightError(
                f"'{pair}' is no {what}",
                remedy='write "name: value", for instance "rated: 80 A @ 25 degC (p1)"',
            )
        out[name.strip()] = value.strip()
    return out
