"""What a form brought: bounded, with its token."""

from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request

from ohmwright.web.bench import Bench
from ohmwright.web.guard import token_is
from ohmwright.working import OhmwrightError

MOST_FIELDS = 400
MOST_TEXT = 4000


async def fields(bench: Bench, request: Request) -> FormData:
    """The fields of a form of this bench."""
    form = await request.form(max_files=1, max_fields=MOST_FIELDS)
    given = request.headers.get("x-bench-token") or form.get("token")
    if not isinstance(given, str) or not token_is(given, bench.token):
        raise OhmwrightError(
            "this form is from an older run of the bench; nothing was changed",
            remedy="open the sheet again and repeat it",
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
