"""What stands before every page: who may ask, from where, how much, and what a page may load."""

import hmac
from collections.abc import Iterable

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self' data:; "
    "font-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
}
KEPT = "/static/"
TYPES = "/static/type/"
SAFE = ("GET", "HEAD", "OPTIONS")
MOST_FORM_BYTES = 300_000
MOST_UPLOAD_BYTES = 12_000_000
UPLOADS = ("/new", "/look")
"""Ends of the addresses that take a file."""


class TooLargeError(Exception):
    """More came than the address takes."""


class Guard:
    """Refuses foreign hosts, foreign origins and bodies without end; sets the policy on every answer."""

    def __init__(self, app: ASGIApp, *, hosts: Iterable[str], stamp: str = "") -> None:
        self.app, self.hosts, self.stamp = app, frozenset(hosts), stamp

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        refusal = self._refusal(scope["method"], scope["path"], headers)
        if refusal:
            await PlainTextResponse(refusal[1], refusal[0])(scope, receive, _with_headers(send))
            return
        most = _most(scope["path"])
        taken = 0

        async def bounded() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > most:
                raise TooLargeError
            return message

        started = False

        async def noted(message: Message) -> None:
            nonlocal started
            started = started or message["type"] == "http.response.start"
            await send(message)

        try:
            await self.app(scope, bounded, _with_headers(noted, self._keeping(scope)))
        except TooLargeError:
            if not started:
                await PlainTextResponse(_too_large(most), 413)(scope, receive, _with_headers(send))

    def _keeping(self, scope: Scope) -> str:
        """What tells of a job is kept nowhere. What is named by its contents may be kept; else it is asked for again by its tag."""
        if not scope["path"].startswith(KEPT):
            return "no-store"
        named = (
            scope["path"].startswith(TYPES)
            or scope.get("query_string", b"").decode("latin-1") == self.stamp != ""
        )
        return "private, max-age=31536000, immutable" if named else "no-cache"

    def _refusal(self, method: str, path: str, headers: Headers) -> tuple[int, str] | None:
        if headers.get("host", "").rpartition(":")[0].strip("[]").lower() not in self.hosts:
            return 421, "The bench answers on this machine only, under its own name."
        if method in SAFE:
            return None
        site, origin = headers.get("sec-fetch-site", "same-origin"), headers.get("origin")
        if site not in ("same-origin", "none") or (
            origin is not None and origin.partition("://")[2] != headers.get("host")
        ):
            return 403, "This came from another site; nothing was changed."
        length = headers.get("content-length", "0")
        if not length.isdecimal() or int(length) > _most(path):
            return 413, _too_large(_most(path))
        return None


def token_is(given: str | None, token: str) -> bool:
    """Compare without telling by time how much was right."""
    return hmac.compare_digest((given or "").encode(), token.encode())


def _most(path: str) -> int:
    return MOST_UPLOAD_BYTES if path.endswith(UPLOADS) else MOST_FORM_BYTES


def _too_large(most: int) -> str:
    return f"That is more than {most / 1e6:g} MB; nothing was kept."


def _with_headers(send: Send, keeping: str = "no-store") -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers[name] = value
            if "cache-control" not in headers:
                headers["cache-control"] = keeping if message["status"] < 400 else "no-store"
        await send(message)

    return sent
