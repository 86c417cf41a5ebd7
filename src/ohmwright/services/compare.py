"""Two rigs: the change order in data, with what it strands."""

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from ohmwright.change.differences import Difference
from ohmwright.change.follows import Follows, Known, Moved, follows, heaviest
from ohmwright.change.stranded import Event, Stranded, stranded
from ohmwright.energy.types import Year
from ohmwright.services.answers import envelope, finite
from ohmwright.services.check import Checked, checked, finding_json
from ohmwright.services.ledger import events_of
from ohmwright.services.opening import Opened, open_rig, today
from ohmwright.store.jobs import Job
from ohmwright.study import Study
from ohmwright.takeoff.order import order_of
from ohmwright.working import OhmwrightError


@dataclass(frozen=True, slots=True)
class Compared:
    """An old and a new rig, what follows from the change, and what was spent in vain."""

    old: Checked
    new: Checked
    follows: Follows
    stranded: tuple[Stranded, ...]
    notes: tuple[str, ...] = ()
    made: tuple[str, ...] = ()
    """Files that were written: the order to sign, and the circuit of the new state with its marks."""

    @property
    def open(self) -> bool:
        """A new danger or fails."""
        return self.follows.open

    def stranded_in(self, currency: str) -> Decimal:
        """What is stranded in one currency, as far as it is known."""
        return sum(
            (s.amount for s in self.stranded if s.amount is not None and s.currency == currency), Decimal(0)
        )


def compare(old: str, new: str, *, with_year: bool = False, with_papers: bool = True) -> Compared:
    """Compare two rigs. `with_year` runs the energy year of both, `with_papers` says which papers read otherwise: each takes seconds."""
    a, b = open_rig(old), open_rig(new)
    notes: list[str] = []
    known = [_known(o, with_year, with_papers, notes) for o in (a, b)]
    (old_checked, before), (new_checked, after) = known
    if before.year is not None and after.year is not None:
        notes.append(
            f"Energy and nights rest on {before.year.years} made years of weather before and {after.year.years} after."
        )
    found = follows(before, after)
    if with_papers:
        moved = (*found.moved, *_asked(old_checked, new_checked))
        found = replace(found, moved=tuple(sorted(moved, key=heaviest)))
    job = b.job or a.job
    lost = stranded(a.rig, b.rig, before.takeoff, before.order, _events(job, a.job))
    return Compared(old_checked, new_checked, found, lost, tuple(dict.fromkeys(notes)))


def _asked(old: Checked, new: Checked) -> tuple[Moved, ...]:
    """What the shop asks, works and waits for."""
    from ohmwright.papers.change_order import asked_moved
    from ohmwright.services.papers import material_of

    return asked_moved(*(material_of(c, None) for c in (old, new)))


def _events(*of: Job | None) -> list[Event]:
    folders: dict[str, Job] = {j.folder: j for j in of if j is not None}
    return [e for j in folders.values() for e in events_of(j)]


def _known(opened: Opened, with_year: bool, with_papers: bool, notes: list[str]) -> tuple[Checked, Known]:
    year = _year(opened, notes) if with_year else None
    done = checked(opened, Study(opened.rig, year=year, today=today()))
    takeoff = done.study.takeoff
    order = order_of(takeoff, opened.shelf, opened.rig.job.currency)
    return done, Known(
        done.study, done.findings, takeoff, year, order, _papers(done, year) if with_papers else {}
    )


def _year(opened: Opened, notes: list[str]) -> Year | None:
    from ohmwright.services.year_kept import year_kept

    try:
        year = year_kept(opened)
    except OhmwrightError as error:
        notes.append(f"The year of {opened.rig.job.id or opened.path} cannot be told: {error}.")
        return None
    return year


def _papers(done: Checked, year: Year | None) -> dict[str, str]:
    """Fingerprint of each paper by its file: what it would print under one and the same head, without printing it."""
    from ohmwright.papers.pack import pack_of
    from ohmwright.services.papers import material_of

    rig = done.opened.rig
    study = Study(replace(rig, sha256="0" * 64), year=year, today=today())
    same = replace(material_of(done, year), study=study, dated=today(), revision="", stage="", size="a4")
    return {p.file: p.fingerprint for p in pack_of(same)}


def difference_json(d: Difference) -> dict[str, Any]:
    """One change."""
    return {"address": d.address, "how": d.how, "was": d.was or None, "becomes": d.becomes or None}


def moved_json(m: Moved) -> dict[str, Any]:
    """One figure before and after."""
    return {
        "name": m.name,
        "subject": m.subject,
        "unit": m.unit or None,
        "before": finite(m.before),
        "after": finite(m.after),
        "limit_before": finite(m.limit_before),
        "limit_after": finite(m.limit_after),
        "verdict_before": m.verdict_before or None,
        "verdict_after": m.verdict_after or None,
        "rule": m.rule or None,
    }


def stranded_json(s: Stranded) -> dict[str, Any]:
    """One thing that is paid for and not wanted."""
    money = None if s.amount is None else {"amount": f"{s.amount:.2f}", "currency": s.currency}
    return {"address": s.address, "what": s.what, "event": s.event, "dated": s.dated, "price": money}


def compare_json(done: Compared) -> dict[str, Any]:
    """The answer of `compare --json`: the envelope is the new rig's."""
    f = done.follows
    old = done.old.opened
    return {
        **envelope(done.new.opened),
        "old": {"rig": old.rig.job.id, "revision": old.revision or None, "input_sha256": old.rig.sha256},
        "statement": done.new.statement(),
        "changes": [difference_json(d) for d in f.changes],
        "findings_new": [finding_json(x) for x in f.findings_new],
        "findings_gone": [finding_json(x) for x in f.findings_gone],
        "figures": [moved_json(m) for m in f.moved],
        "papers": list(f.papers),
        "labels": {"gone": list(f.labels_gone), "new": list(f.labels_new)},
        "stranded": [stranded_json(s) for s in done.stranded],
        "files": list(done.made),
        "notes": list(done.notes),
    }
