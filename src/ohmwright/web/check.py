"""The check sheet: every finding as a note, what cannot be told by the figure it misses, looks and overrides."""

import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import FileResponse, Response

from ohmwright.checks.answers import accepted_text
from ohmwright.checks.engine import group_cannot_tells
from ohmwright.checks.registry import rules
from ohmwright.checks.seen import mark_of
from ohmwright.checks.types import Finding
from ohmwright.rig.entries import add_entry
from ohmwright.rig.questions import every_figure
from ohmwright.services.desk import Look, Put
from ohmwright.services.follows import block
from ohmwright.services.opening import today
from ohmwright.store.jobs import Job
from ohmwright.store.save import save_new
from ohmwright.web.bench import Bench
from ohmwright.web.circuit import Mark, margin_of, marks_of
from ohmwright.web.edits import change_text
from ohmwright.web.filling import origins
from ohmwright.web.forms import fields, needed, upload, word
from ohmwright.working import OhmwrightError, Unknown

EYES = "looked-at "
MOST_PHOTO_BYTES = 8_000_000
_PHOTO = re.compile(r"look-[0-9a-f]{16}\.(?:jpg|png)")
_KINDS = {b"\xff\xd8\xff": "jpg", b"\x89PNG\r\n\x1a\n": "png"}
ORDER = ("DANGER", "FAILS", "DISAPPOINTS", "NOTE")
#: What people write for a figure that has no page of its own to say its unit.
EXAMPLES = {
    "power": "45 W", "hours": "2 h", "energy": "160 Wh/day", "torque": "12 N.m", "length": "1.2 m", "gap": "30 mm",
    "cable": "4 mm2 70C red", "min_cable": "16 mm2", "hottest": "45 degC", "coldest": "-20 degC", "mass": "2.4 kg",
    "track": "1.9 m", "removed-ahead": "1.2 m", "trim-limit": "1 deg", "alarm": "11.8 V", "full": "14.1 V",
    "absorption": "14.2 V", "equalise": "none", "system": "tn", "metal": "bronze", "curve": "c", "type": "a",
}  # fmt: skip
SECTIONS = ("found", "missing", "eyes")


@dataclass(frozen=True, slots=True)
class Missing:
    """A figure that would settle rules: where it belongs, and whether it can be typed here."""

    address: str
    settles: tuple[str, ...]
    findings: tuple[Finding, ...]
    asked: str
    unit: str
    condition: str

    @property
    def written(self) -> str:
        """What a value looks like."""
        last = self.address.rpartition(".")[2]
        weighed = "1250 kg" if self.address.startswith("host.masses.") else ""
        example = EXAMPLES.get(last) or weighed
        if example:
            return f"like {example}"
        return f"in {self.unit}" if self.unit not in ("", "1") else ""

    @property
    def typed(self) -> bool:
        """Whether one value settles it; a part or a section of the file that is missing is more than a value."""
        return self.address != "cuts" and not self.address.endswith(".mounting")

    @property
    def sheet(self) -> str:
        """The sheet on which it is drawn sooner than typed."""
        return "roof" if self.address.rpartition(".")[2] in ("laid", "outline") else ""


@dataclass(frozen=True, slots=True)
class InShort:
    """What one rule finds wrong, in one line: its first words, and every note that says so."""

    word: str
    title: str
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class ToLookAt:
    """A question that only eyes can settle."""

    rule: str
    subject: str
    finding: Finding


def check(bench: Bench, request: Request) -> Response:
    """The sheet."""
    look = bench.desk.look(request.path_params["job"])
    put = request.query_params.get("put", "")
    done = put if put in SECTIONS and not look.letter else ""
    marks = marks_of(look, bench.circuits(look))
    typed, eyes = missing_of(look)
    found = look.checked.findings
    return bench.sheet(
        request,
        look,
        "check",
        marks=marks,
        order=ORDER,
        missing=typed,
        eyes=eyes,
        passed=[f for f in found if f.verdict == "pass"],
        skipped=[f for f in found if f.verdict == "skip"],
        not_applied=look.checked.not_applied,
        titles={r.id: r.title for r in rules().values()},
        never={r.id for r in rules().values() if r.never_overridden},
        today=today(),
        short=in_short(marks),
        origins=origins(look.rig),
        done=done,
        **{**margin_of(bench, look), "beat": bool(done)},
    )


def in_short(marks: Iterable[Mark]) -> list[InShort]:
    """The dangers and fails by their rules, the heaviest first: six strings with one fault are one line."""
    titles = {r.id: r.title for r in rules().values()}
    by_rule: dict[tuple[str, str], list[Mark]] = {}
    for m in marks:
        if m.word in ORDER[:2]:
            by_rule.setdefault((m.word, m.finding.rule), []).append(m)
    lines = [InShort(word, titles[rule], tuple(those)) for (word, rule), those in by_rule.items()]
    return sorted(lines, key=lambda line: ORDER.index(line.word))


def missing_of(look: Look) -> tuple[list[Missing], list[ToLookAt]]:
    """What cannot be told, by the figure that would settle it, the most wanted first; and what only eyes settle."""
    silent = [f for f in look.checked.findings if f.verdict == "cannot-tell"]
    asked = {a: g.asked for a, g in every_figure(look.rig) if isinstance(g, Unknown)}
    typed, eyes = [], []
    for address, numbers in group_cannot_tells(silent).items():
        about = tuple(f for f in silent if address in f.missing)
        if address.startswith(EYES):
            eyes.append(ToLookAt(about[0].rule, about[0].subject, about[0]))
            continue
        part = look.rig.parts.get(address.rpartition(".")[0])
        spec = part.kind.figures.get(address.rpartition(".")[2]) if part else None
        typed.append(
            Missing(
                address,
                numbers,
                about,
                asked.get(address, ""),
                spec.unit if spec else "",
                spec.condition if spec else "",
            )
        )
    eyes.sort(key=lambda e: (e.finding.severity != "danger", e.rule, e.subject))
    return typed, eyes


def follows(bench: Bench, request: Request) -> Response:
    """What follows since an issued revision, as a sheet of its own: `?since=A`."""
    look = bench.desk.look(request.path_params["job"])
    since = request.query_params.get("since", "")
    before = bench.desk.look(f"{look.job}@{since}")
    return bench.page(
        request,
        "follows.html",
        **{**bench.around(look, "job"), "before": before, "follows": block(before, look)},
    )


async def look_at(bench: Bench, request: Request) -> Response:
    """Write down what eyes have seen."""
    form = await fields(bench, request)
    job = request.path_params["job"]
    photo = upload(form, "photo")
    name = await _kept(bench, job, photo) if photo else ""
    entry: dict[str, str | list[str]] = {
        "rule": needed(form, "rule", "the rule"),
        "subject": needed(form, "subject", "what was looked at"),
        "found": needed(form, "found", "what was seen"),
        "by": needed(form, "by", "who looked"),
        "dated": word(form, "dated") or today(),
        "verdict": "fail" if word(form, "verdict") == "fail" else "",
        "photo": name,
    }
    entry["of"] = mark_of(bench.desk.look(job).study, str(entry["rule"]), str(entry["subject"]))
    put = Put(f"looked-at {entry['rule']} {entry['subject']}", str(entry["found"]))
    return await change_text(
        bench, request, form, lambda text, file: add_entry(text, file, ("looked-at",), entry), (put,)
    )


async def _kept(bench: Bench, job: str, photo: UploadFile) -> str:
    data = await photo.read(MOST_PHOTO_BYTES + 1)
    if len(data) > MOST_PHOTO_BYTES:
        raise OhmwrightError(
            "the picture is too large", remedy=f"send one below {MOST_PHOTO_BYTES / 1e6:g} MB"
        )
    kind = next((k for head, k in _KINDS.items() if data.startswith(head)), None)
    if kind is None:
        raise OhmwrightError("that is no picture", remedy="send a JPEG or PNG")
    name = f"look-{hashlib.sha256(data).hexdigest()[:16]}.{kind}"
    folder = Path(Job(bench.desk.folder(job)).room("docs"))

    def written() -> None:
        folder.mkdir(exist_ok=True)
        if not (folder / name).exists():
            save_new(folder / name, data)

    await run_in_threadpool(written)
    return name


def photo(bench: Bench, request: Request) -> Response:
    """A picture that was kept with a look."""
    name = request.path_params["name"]
    file = Path(Job(bench.desk.folder(request.path_params["job"].partition("@")[0])).room("docs"), name)
    if not _PHOTO.fullmatch(name) or not file.is_file():
        raise OhmwrightError("there is no such picture", remedy="look at the check sheet")
    return FileResponse(file, media_type="image/png" if name.endswith("png") else "image/jpeg")


async def override(bench: Bench, request: Request) -> Response:
    """Accept one failed rule for one subject."""
    form = await fields(bench, request)
    rule, subject = needed(form, "rule", "the rule"), needed(form, "subject", "the subject")
    look = await run_in_threadpool(bench.desk.look, request.path_params["job"])
    finding = next(
        (
            f
            for f in look.checked.findings
            if (f.rule, f.subject) == (rule, subject) and f.verdict in ("fail", "warn")
        ),
        None,
    )
    if finding is None:
        raise OhmwrightError(
            f"{rule} finds nothing in {subject} that could be accepted",
            remedy="look at the check sheet again",
        )
    if rules()[rule].never_overridden:
        raise OhmwrightError(f"{rule} cannot be overridden into an issued design", remedy="change the design")
    licensed = word(form, "licensed")
    if finding.severity == "danger" and not licensed:
        raise OhmwrightError(
            "a danger needs a second, licensed person",
            remedy="write the licence or registration of who accepts it",
        )
    entry: dict[str, str | list[str]] = {
        "rule": rule,
        "accepted": accepted_text(finding.value, finding.unit) if finding.value is not None else "",
        "subject": subject,
        "why": needed(form, "why", "the reason"),
        "by": needed(form, "by", "who accepts it"),
        "dated": today(),
        "until": word(form, "until"),
        "licensed": licensed,
    }
    return await change_text(
        bench,
        request,
        form,
        lambda text, file: add_entry(text, file, ("overrides",), entry),
        (Put(f"override {rule} {subject}", str(entry["why"])),),
    )
