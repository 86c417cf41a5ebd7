"""A change order in words that a customer can read and sign: two pages at most."""

from collections.abc import Iterator

from ohmwright.change.differences import Difference
from ohmwright.change.follows import RANKS, Moved, of_array
from ohmwright.checks.types import Finding
from ohmwright.services.compare import Compared
from ohmwright.working import QuantityError, tell

#: Lines of each part: together they fit two pages of 60 lines.
MOST_CHANGES, MOST_FINDINGS, MOST_FIGURES, MOST_COUNTED = 24, 10, 16, 16
#: Figures from this rank on are counted, not judged.
COUNTED = 5
CABLE = "cable to cut"
#: A figure that moved by less than this part of itself, and whose verdict stayed, is counted only.
SMALL = 0.02
WORDS = {"danger": "DANGER", "fails": "FAILS", "disappoints": "DISAPPOINTS", "note": "NOTE"}


def in_words(done: Compared) -> list[tuple[str, tuple[str, ...]]]:
    """Heads with their lines."""
    old, new = done.old.opened, done.new.opened
    title = new.rig.job.title or new.rig.job.id or new.path
    out: list[tuple[str, tuple[str, ...]]] = [
        (
            f"CHANGE ORDER  {title}",
            (f"from {_name(done.old.opened.revision, old.path)} to {_name(new.revision, new.path)}",),
        ),
        (
            "What changes",
            tuple(
                _cut(
                    list(_changes(done.follows.changes, frozenset({*old.rig.runs, *new.rig.runs}))),
                    MOST_CHANGES,
                )
            ),
        ),
    ]
    for head, findings in (
        ("New, and to be settled before it is built", done.follows.findings_new),
        ("No longer open", done.follows.findings_gone),
    ):
        out.append((head, tuple(_cut(list(_findings(findings)), MOST_FINDINGS)) or ("nothing",)))
    array = tuple(m for m in done.follows.moved if of_array(m))
    judged = tuple(m for m in done.follows.moved if m.rank < COUNTED and not of_array(m))
    counted = list(_counted(tuple(m for m in done.follows.moved if m.rank >= COUNTED)))
    if done.new.study.year is None and not done.notes:
        counted.append("energy and nights: worked out with --year")
    out.append(
        (
            "What follows, before and after",
            tuple(_cut(list(_figures(judged)), MOST_FIGURES)) or ("no figure moved",),
        )
    )
    out.append(
        (
            "The array, its line, and what the host carries",
            tuple(_cut(list(_figures(array)), MOST_FIGURES)) or ("no figure moved",),
        )
    )
    out.append(
        ("Money, work, mass, cable, energy", tuple(_cut(counted, MOST_COUNTED)) or ("no figure moved",))
    )
    out.append(("Bought or cut in vain", tuple(_stranded(done)) or ("nothing, by the ledger",)))
    out.append(("Made again", tuple(_again(done))))
    out.append(
        (
            "",
            (
                done.new.statement(),
                *done.notes,
                "Agreed: ____________________   Date: ____________   For the shop: ____________________",
            ),
        )
    )
    return out


def _name(letter: str, path: str) -> str:
    return f"revision {letter}" if letter else path


def _cut(lines: list[str], most: int) -> list[str]:
    return (
        lines if len(lines) <= most else [*lines[: most - 1], f"and {len(lines) - most + 1} more: see --json"]
    )


def _changes(changes: tuple[Difference, ...], runs: frozenset[str]) -> Iterator[str]:
    """One line a change; alike things that come or go together share one, and of runs only cable is told singly."""
    alike: dict[tuple[str, str, str], list[str]] = {}
    wires: dict[str, list[str]] = {"added": [], "removed": [], "changed": []}
    for d in changes:
        head, _, what = d.address.partition(".")
        if head in runs and what != "cable":
            wires[d.how].append(head)
        elif not d.address.startswith(("settings.", "looked-at ", "job.")):
            key = (d.how, d.was, d.becomes) if d.how != "changed" else (d.how, d.address, "")
            alike.setdefault(key, []).append(d.address)
    by_address = {d.address: d for d in changes}
    for (how, was, becomes), addresses in alike.items():
        d = by_address[addresses[0]]
        who = _who(addresses)
        if how == "added":
            yield f"{who}: new: {becomes}"
        elif how == "removed":
            yield f"{who}: goes: {was}"
        else:
            yield f"{who}: {d.was or 'nothing'} -> {d.becomes or 'nothing'}"
    for how, told in (("removed", "go"), ("added", "are new"), ("changed", "end or lie otherwise")):
        if names := list(dict.fromkeys(wires[how])):
            yield f"runs {_who(names)} {told}"


def _who(addresses: list[str]) -> str:
    return (
        ", ".join(addresses)
        if len(addresses) <= 8
        else f"{', '.join(addresses[:7])} and {len(addresses) - 7} more"
    )


def _findings(findings: tuple[Finding, ...]) -> Iterator[str]:
    """One line for each rule and word, with the subjects it was about."""
    alike: dict[tuple[str, str, str], list[Finding]] = {}
    for f in sorted(findings, key=lambda f: (f.verdict != "fail", RANKS[f.severity])):
        alike.setdefault((f.number, f.severity, f.verdict), []).append(f)
    for (number, severity, verdict), fs in alike.items():
        word = WORDS[severity] if verdict == "fail" else f"CANNOT TELL ({severity})"
        yield f"{word}  {number} {_who(list(dict.fromkeys(f.subject for f in fs)))}: {fs[0].message}"


def _figures(moved: tuple[Moved, ...]) -> Iterator[str]:
    """One line for each figure; where it moved for many subjects, for the one that moved the farthest."""
    alike: dict[str, list[Moved]] = {}
    small = 0
    for m in moved:
        turned = m.verdict_before != m.verdict_after and "fail" in (m.verdict_before, m.verdict_after)
        if not turned and (m.before is None or m.after is None):
            continue
        if m.far < SMALL and m.verdict_before == m.verdict_after and _same_limit(m):
            small += 1
            continue
        alike.setdefault(m.name, []).append(m)
    for ms in alike.values():
        both = [m for m in ms if m.before is not None and m.after is not None]
        yield _figure((both or ms)[0]) + (f"  (and {len(ms) - 1} alike)" if len(ms) > 1 else "")
    if small:
        yield f"{small} more figures moved by less than {100 * SMALL:.0f} % and turned nothing"


def _counted(moved: tuple[Moved, ...]) -> Iterator[str]:
    """One line for each figure; all cable in one."""
    yield from (_figure(m) for m in moved if m.name != CABLE)
    cable = [
        f"{m.subject} {_amount(m.before, m.unit)} -> {_amount(m.after, m.unit)}"
        for m in moved
        if m.name == CABLE
    ]
    if cable:
        yield f"{CABLE}: {'; '.join(cable)}"


def _figure(m: Moved) -> str:
    limit = (
        ""
        if _same_limit(m)
        else f", limit {_amount(m.limit_before, m.unit)} -> {_amount(m.limit_after, m.unit)}"
    )
    turned = (
        f", {m.verdict_before or 'not judged'} -> {m.verdict_after or 'not judged'}"
        if m.verdict_before != m.verdict_after
        else ""
    )
    return f"{m.name}, {m.subject}: {_amount(m.before, m.unit)} -> {_amount(m.after, m.unit)}{limit}{turned}"


def _same_limit(m: Moved) -> bool:
    return m.limit_before == m.limit_after


def _amount(value: float | None, unit: str) -> str:
    if value is None:
        return "none"
    if unit in ("", "1"):
        return f"{value:.4g}"
    try:
        return tell(value, unit, 4)
    except (QuantityError, KeyError, ValueError):
        return f"{value:.2f} {unit}"


def _stranded(done: Compared) -> Iterator[str]:
    for s in done.stranded:
        price = "price not known" if s.amount is None else f"{s.amount:.2f} {s.currency}"
        yield f"{s.address}: {s.what}, {s.event} {s.dated}: {price}"
    for currency in sorted({s.currency for s in done.stranded if s.amount is not None}):
        yield f"together {done.stranded_in(currency):.2f} {currency}"


def _again(done: Compared) -> Iterator[str]:
    f = done.follows
    yield (
        f"{len(f.labels_new)} wire labels to print, {len(f.labels_gone)} to take off"
        if f.labels_new or f.labels_gone
        else "no wire label"
    )
    if f.papers:
        yield "papers that read otherwise: " + ", ".join(sorted({p.partition(".")[0] for p in f.papers}))
    settings = [d for d in f.changes if d.address.startswith("settings.")]
    if settings:
        yield "settings: " + ", ".join(
            f"{d.address.removeprefix('settings.')} {d.was or 'not set'} -> {d.becomes or 'not set'}"
            for d in settings
        )
