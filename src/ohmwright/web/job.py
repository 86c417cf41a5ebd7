"""The first sheet of a job: whose it is, its revisions, and issuing the next one."""

from dataclasses import dataclass

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from ohmwright.checks.sets import SETS
from ohmwright.rig.model import Rig
from ohmwright.rig.questions import open_questions
from ohmwright.services import issue as services
from ohmwright.services.building import next_steps
from ohmwright.services.new import EDITION
from ohmwright.services.show import in_words
from ohmwright.store.jobs import Job, letter_after, revisions
from ohmwright.store.ledger import read_ledger
from ohmwright.web.bench import Bench
from ohmwright.web.circuit import Field
from ohmwright.web.forms import fields, needed, word
from ohmwright.web.render import path
from ohmwright.working import OhmwrightError


@dataclass(frozen=True, slots=True)
class Revision:
    """A letter with what the ledger says of it."""

    letter: str
    stage: str
    at: str
    by: str
    statement: str


def job(bench: Bench, request: Request) -> Response:
    """The sheet."""
    look = bench.desk.look(request.path_params["job"])
    return bench.sheet(
        request,
        look,
        "job",
        **_about(bench, look.job),
        words=in_words(look.opened, look.study),
        questions=open_questions(look.rig),
        stages=services.STAGES,
        reasons=(),
        job_fields=_job_fields(look.rig),
        nexts=next_steps(look) if not look.letter else (),
        issued=request.query_params.get("issued", ""),
    )


def _job_fields(rig: Rig) -> tuple[Field, ...]:
    """What the file says of the job, to be changed here."""
    job = rig.job
    told = {
        "title": job.title,
        "owner": job.words.get("owner", ""),
        "shop": job.words.get("shop", ""),
        "designer": job.words.get("designer", ""),
        "stage": job.stage,
        "rules": f"{job.rules} {job.edition}".strip(),
        "currency": job.currency,
        "units": job.units,
        "lawful-hands": job.words.get("lawful-hands", ""),
        "note": job.words.get("note", ""),
    }
    choices = {
        "units": (("metric", "metric"), ("us", "us")),
        "rules": tuple((f"{s} {EDITION}", f"{s} {EDITION}") for s in SETS),
    }
    return tuple(
        Field(f"job.{key}", key.replace("-", " "), value, choices=_with(choices.get(key, ()), value))
        for key, value in told.items()
    )


def _with(choices: tuple[tuple[str, str], ...], value: str) -> tuple[tuple[str, str], ...]:
    """Choices among which what stands there is one."""
    return choices if not choices or value in dict(choices) else ((value, value or "not told"), *choices)


def _about(bench: Bench, name: str) -> dict[str, object]:
    folder = Job(bench.desk.folder(name))
    entries = read_ledger(folder.ledger)
    facts = {str(e.facts.get("revision", "")): e for e in entries if e.event == "issued"}
    letters = revisions(folder)
    rows = [
        Revision(
            letter,
            services.STAGES.get(str(e.facts.get("stage", "")), "") if (e := facts.get(letter)) else "",
            e.at if e else "",
            e.by if e else "",
            str(e.facts.get("statement", "")) if e else "not in the ledger",
        )
        for letter in letters
    ]
    return {
        "revisions": rows,
        "next_letter": letter_after(letters[-1] if letters else None),
        "ledger": entries[-12:][::-1],
    }


async def issue(bench: Bench, request: Request) -> Response:
    """Issue the working file, if it still is the one that was read."""
    form = await fields(bench, request)
    name = request.path_params["job"]
    stage, by = word(form, "as"), needed(form, "by", "who issues it")
    if stage not in services.STAGES:
        raise OhmwrightError(
            "it was not said what it is issued as",
            remedy="choose one of " + ", ".join(services.STAGES.values()),
        )
    look = await run_in_threadpool(bench.desk.look, name)
    if look.sha256 != word(form, "opened"):
        raise OhmwrightError(
            "the working file was changed since this sheet was opened",
            remedy="look at it again before you issue it",
        )
    done = await run_in_threadpool(services.issue, bench.desk.folder(name), stage, by)
    if done.letter:
        return RedirectResponse(f"{path('jobs', name, 'job')}?issued={done.letter}", 303)
    return bench.sheet(
        request,
        look,
        "job",
        422,
        **_about(bench, name),
        words=in_words(look.opened, look.study),
        questions=open_questions(look.rig),
        stages=services.STAGES,
        reasons=done.reasons,
        job_fields=_job_fields(look.rig),
        nexts=(),
        issued="",
    )
