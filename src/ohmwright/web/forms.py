"""What a form brought: bounded, with its token."""

import re
from contextlib import suppress
from dataclasses import dataclass

from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request

from ohmwright.web.bench import Bench
from ohmwright.web.guard import token_is
from ohmwright.working import OhmwrightError

MOST_FIELDS = 400
MOST_TEXT = 4000
#: The number of a page, however it is written.
PAGE = re.compile(r"(?:p(?:age|\.)?\s*)?(\d{1,4})", re.IGNORECASE)
#: What a form carries beside what a person wrote into it.
CARRIED = frozenset(
    (
        "token",
        "opened",
        "back",
        "piece",
        "choose",
        "list",
        "rows",
        "rule",
        "subject",
        "kind",
        "how",
        "entry",
        "then",
    )
)


async def fields(bench: Bench, request: Request) -> FormData:
    """The fields of a form of this bench."""
    form = await request.form(max_files=1, max_fields=MOST_FIELDS)
    given = request.headers.get("x-bench-token") or form.get("token")
    if not isinstance(given, str) or not token_is(given, bench.token):
        raise OhmwrightError(
            "this form is from a bench over other jobs, or from another user's; nothing was changed",
            remedy="look whether this is the job you mean, then put it once more",
        )
    return form


def word(form: FormData, name: str, default: str = "") -> str:
    """A field's text."""
    value = form.get(name, default)
    if not isinstance(value, str):
        return default
    if len(value) > MOST_TEXT:
        raise OhmwrightError(f"{name} is longer than {MOST_TEXT} characters", remedy="write a shorter one")
    return value.strip()


def upload(form: FormData, name: str) -> UploadFile | None:
    """A file that was chosen, or None."""
    value = form.get(name)
    return value if isinstance(value, UploadFile) and value.filename else None


def needed(form: FormData, name: str, what: str) -> str:
    """A field that must not be empty."""
    value = word(form, name)
    if not value:
        raise OhmwrightError(f"{what} is missing", remedy=f"write {what}")
    return value


#: What a field asks for, where its name does not say it.
ASKED = {
    "found": "what was seen", "by": "by whom", "dated": "when", "why": "reason", "until": "holds until",
    "licensed": "licence or registration of who accepts", "photo": "photograph", "rig": "rig file",
    "origin": "these figures come from (a tag of the sources, m and a date, or new)", "document": "title of the new document", "of": "its date",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Brought:
    """What came with a form that was refused, to be shown and sent again: nothing that was written is lost."""

    to: str
    opened: str
    carried: tuple[tuple[str, str], ...]
    written: tuple[tuple[str, str], ...]
    files: tuple[str, ...]


async def brought(request: Request) -> Brought | None:
    """What a refused form brought; None where it was none."""
    if request.method != "POST":
        return None
    with suppress(HTTPException, ClientDisconnect, RuntimeError):
        form = await request.form(max_files=1, max_fields=MOST_FIELDS)
        carried, written, files = [], [], []
        for name, value in form.multi_items():
            if isinstance(value, UploadFile):
                files.append(name)
            elif name in CARRIED or name.startswith("was."):
                carried.append((name, value))
            elif value.strip() or form.get(f"value.{name.partition('.')[2]}"):
                written.append((name, value))
        query = f"?{request.url.query}" if request.url.query else ""
        kept = tuple((k, v) for k, v in carried if k not in ("token", "opened"))
        opened = str(form.get("opened", ""))
        return Brought(request.url.path + query, opened, kept, tuple(written), tuple(files))
    return None
