"""The change order as a paper to sign, the circuit of the new state with what changed marked on it, and of the old one with
what goes crossed by ticks."""

import json
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

from ohmwright.change.follows import Moved
from ohmwright.drawing.frame import Follow
from ohmwright.papers.catalogue import words
from ohmwright.papers.change_order import (
    COUNTED,
    ROOMS,
    Change,
    change_order,
    changed_addresses,
    removed_addresses,
)
from ohmwright.papers.circuit_sheet import sheets_before, sheets_of
from ohmwright.papers.letters import spelt_sheet
from ohmwright.papers.press import Press, pages_of, pdf_of, pdf_of_sheet
from ohmwright.papers.stamp import Stamp
from ohmwright.services.changes import Side, order, paper_folder, stamp
from ohmwright.services.compare import Compared
from ohmwright.services.opening import Opened
from ohmwright.services.papers import FONTS, Look, folder_of, material_of
from ohmwright.store import jobs
from ohmwright.store.reading import read
from ohmwright.store.save import save
from ohmwright.working import OhmwrightError, tell

MOST_PAGES = 2
INDEX = "change-order.json"
_DRAWING = re.compile(r"change-(circuit|removed)-\d+\.pdf")
_NAME = re.compile(rf"change-order\.pdf|{_DRAWING.pattern}")
#: Lines of the revision block on the drawing.
MOST_LINES = 10


def write(done: Compared, out: str, look: Look | None = None) -> Compared:
    """Write the order and the marked circuit into the folder `out`."""
    folder = folder_of(out)
    look = look or Look()
    old, new = (material_of(c, c.study.year, look=look) for c in (done.old, done.new))
    old = replace(old, view=look.units or new.rig.job.units)
    before, after = done.old.opened, done.new.opened
    change = Change(
        old, new, done.follows, done.stranded, _name(before, new.words.language), _name(after, new.words.language), _number(after)
    )  # fmt: skip
    both = "\n".join((before.rig.sha256, after.rig.sha256))
    press = Press(str(FONTS), Stamp(new.dated, both, new.revision))
    made = ["change-order.pdf"]
    save(folder / made[0], order_pdf(change, press))
    sheets = sheets_of(new, changed_addresses(done.follows), tuple(_follows(done)))
    gone = sheets_before(replace(old, words=new.words), removed_addresses(done.follows))
    for name, drawn in (("circuit", sheets), ("removed", gone)):
        for n, sheet in enumerate(drawn, 1):
            made.append(f"change-{name}-{n}.pdf")
            save(folder / made[-1], pdf_of_sheet(spelt_sheet(sheet, new.words), press))
    for stale in folder.glob("change-*.pdf"):
        if stale.name not in made and _DRAWING.fullmatch(stale.name):
            stale.unlink()
    return replace(done, made=tuple(made))


def write_in_job(folder: str, old: Side, new: Side, heed: Callable[[str], None]) -> tuple[str, ...]:
    """Write the order between two rigs of a job over those of its last one. Which order they are of is noted last, so that a half-written one is none."""
    of, out = stamp(folder, old, new), paper_folder(folder)
    index = Path(out, INDEX)
    index.unlink(missing_ok=True)
    heed("both rigs are judged and read through")
    done = order(old, new)
    heed("the order and the marked circuit are set")
    made = write(done, out).made
    if stamp(folder, old, new) != of:
        raise OhmwrightError("one of the two rigs was changed meanwhile", remedy="make the paper again")
    save(index, json.dumps({"of": of, "papers": made}).encode())
    return made


def lying(folder: str) -> tuple[str, tuple[str, ...]]:
    """The stamp of the order whose papers lie in a job, and their names."""
    try:
        told = json.loads(read(str(Path(paper_folder(folder), INDEX))).text)
        names = tuple(str(n) for n in told["papers"])
        return str(told["of"]), tuple(n for n in names if _NAME.fullmatch(n))
    except (OSError, OhmwrightError, ValueError, KeyError, TypeError, RecursionError):
        return "", ()


def order_pdf(change: Change, press: Press) -> bytes:
    """The order with as many lines as two pages hold."""
    pdf = b""
    for rows in ROOMS:
        doc = change_order(change, rows)
        pdf = pdf_of((doc,), press, f"{doc.head.job} {doc.head.paper}", doc.language)
        if pages_of(pdf) <= MOST_PAGES:
            break
    return pdf


def _name(opened: Opened, language: str) -> str:
    w = words(language)
    if opened.revision:
        return w.say("change.revision", letter=opened.revision)
    return w.say("change.file", file=Path(opened.path).name, state=opened.rig.sha256[:12])


def _number(opened: Opened) -> int:
    """Which change order of the job this is: its own place among the issued ones, or the one behind them."""
    job = opened.job
    issued = [x for x in jobs.revisions(job) if _is_change(job.issued(x))] if job is not None else []
    return issued.index(opened.revision) + 1 if opened.revision in issued else len(issued) + 1


def _is_change(path: str) -> bool:
    return re.search(r'^  stage: "change order"$', read(path).text, re.MULTILINE) is not None


def _follows(done: Compared) -> Iterator[Follow]:
    """The heaviest lines for the drawing's revision block: one a figure."""
    from ohmwright.checks.registry import rules

    seen: set[str] = set()
    for m in done.follows.moved:
        if (
            m.rank >= COUNTED
            or m.name in seen
            or m.before is None
            or m.after is None
            or len(seen) == MOST_LINES
        ):
            continue
        seen.add(m.name)
        short = f"{rules()[m.rule].number} {m.subject}" if m.rule else m.name
        yield Follow(short, _told(m, m.before), _told(m, m.after), m.verdict_after)


def _told(m: Moved, value: float) -> str:
    return f"{value:.4g}" if m.unit in ("", "1") else tell(value, m.unit, 3).replace("mm2", "mm²")
