"""Check the working file, stamp the next letter, freeze the revision."""

import re
from dataclasses import dataclass
from typing import Any

from ohmwright import __version__
from ohmwright.services.answers import envelope
from ohmwright.services.check import Checked, check
from ohmwright.services.opening import now, today
from ohmwright.shelf.freeze import by_id, quoted
from ohmwright.shelf.record import Record
from ohmwright.store import jobs, ledger
from ohmwright.store.reading import read
from ohmwright.takeoff.order import order_of
from ohmwright.working import OhmwrightError

STAGES = {"quoted": "quoted", "change": "change order", "build": "issued for build", "built": "as built"}


@dataclass(frozen=True, slots=True)
class Issued:
    """What came of it: the letter and path of the new revision, or the reasons why there is none."""

    checked: Checked
    stage: str
    letter: str
    path: str
    reasons: tuple[str, ...]


def issue(folder: str, stage: str, by: str) -> Issued:
    """Issue the working file of a job as `stage`.

    A quote may be issued with open dangers, and says so in its frozen section.  A change order, an issue for
    build and an as-built may not: no danger may fail or be untold, and the gravest rules take no override.
    """
    job = jobs.open_job(folder)
    done = check(job.working)
    reasons = () if stage == "quoted" else tuple(_hindrances(done))
    if reasons:
        return Issued(done, stage, "", "", reasons)
    text = read(job.working).text
    if re.search(r"^frozen:", text, re.MULTILINE):
        raise OhmwrightError(
            "the working file has a frozen: section", remedy="take it out: only issued revisions have one"
        )
    letter = jobs.next_letter(job)
    path = jobs.freeze(job, letter, text.rstrip("\n") + "\n" + _frozen(done, letter, stage, by))
    facts = {
        "revision": letter,
        "stage": stage,
        "input_sha256": done.opened.sha256,
        "statement": done.statement(),
    }
    ledger.append(job.ledger, at=now().isoformat(timespec="seconds"), event="issued", by=by, facts=facts)
    return Issued(done, stage, letter, path, ())


def _hindrances(done: Checked) -> list[str]:
    from ohmwright.checks.registry import rules

    out = []
    for f in done.findings:
        if f.severity != "danger":
            continue
        if f.verdict == "fail":
            out.append(f"{f.number} {f.subject} is a danger: {f.message}")
        elif f.verdict == "cannot-tell":
            out.append(
                f"{f.number} {f.subject} cannot be told"
                + (f" without {', '.join(f.missing)}" if f.missing else "")
                + f": {f.message}"
            )
        elif f.verdict == "overridden":
            licensed = bool(f.override and f.override.get("licensed"))
            if rules()[f.rule].never_overridden:
                out.append(f"{f.number} {f.subject} takes no override into this stage.")
            elif not licensed:
                out.append(
                    f"{f.number} {f.subject} is a danger that was overridden: a second, licensed person must be named (licensed:)."
                )
    return out


def _frozen(done: Checked, letter: str, stage: str, by: str) -> str:
    from ohmwright.sky.table import table_id

    rig = done.opened.rig
    records = _records(done)
    lines = [
        "frozen:",
        f"  letter: {letter}",
        f"  stage: {quoted(STAGES[stage])}",
        f"  issued: {today()}",
        f"  by: {quoted(by)}",
        f"  program: ohmwright {__version__}",
        f"  rules: {quoted(f'{rig.job.rules} {rig.job.edition}'.strip())}",
        f"  sky-table: {quoted(table_id())}",
        f"  input-sha256: {done.opened.sha256}",
        f"  statement: {quoted(done.statement())}",
        "  parts:",
        by_id(records) or "    {}",
    ]
    return "\n".join(lines) + "\n"


def _records(done: Checked) -> dict[str, Record]:
    """What the revision needs of the shelf to stand alone: its parts, and the cables and lugs of its order."""
    opened = done.opened
    records = {p.record.id: p.record for p in opened.rig.parts.values() if not p.record.bare}
    order = order_of(done.study.takeoff, opened.shelf, opened.rig.job.currency)
    found = {name: opened.shelf.find(name) for name in order.records}
    return records | {name: record for name, record in found.items() if record is not None}


def issue_json(done: Issued) -> dict[str, Any]:
    """The answer of `issue --json`."""
    return {
        **envelope(done.checked.opened),
        "stage": done.stage,
        "letter": done.letter or None,
        "file": done.path or None,
        "statement": done.checked.statement(),
        "reasons": list(done.reasons),
    }
