"""What stands before every route: who calls, by what name, from which page, how much."""

from http.cookies import SimpleCookie

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from crena.app.server.callers import CALLER, caller_of
from crena.app.server.problems import problem
from crena.app.server.rights import refusal
from crena.app.server.settings import Department, Settings
from crena.imaging import MAX_FILE_BYTES
from crena.store.database import Store

MOST_BYTES = 5_000_000
"""No body may be larger."""

UPLOADS = "/scan/files"
"""End of the one address that takes larger bodies: single DICOM files."""

MOST_UPLOAD_BYTES = MAX_FILE_BYTES + 2**20
"""The route itself refuses what is larger than a file; this is for whoever goes on sending."""

READING = ("GET", "HEAD", "OPTIONS")

HEADERS = {
    "Content-Security-Policy": "default-src 'self'; img-src 'self' data: blob:; "
    "object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}

TLS_ONLY = {"Strict-Transport-Security": "max-age=31536000"}
"""In a department the browser is told to come by TLS for a year."""


class Guards:
    """Refuse foreign names, foreign pages, too large bodies, strangers, and who may not."""

    def __init__(self, app: ASGIApp, settings: Settings | Department, store: Store) -> None:
        """Stand before an application."""
        self._app, self._settings, self._store = app, settings, store
        self._headers = HEADERS | (TLS_ONLY if isinstance(settings, Department) else {})

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        tell = _with_headers(send, scope["path"], self._headers)
        refused = self._refusal(scope) or await self._unknown(scope)
        if refused is not None:
            await problem(*refused)(scope, receive, tell)
            return
        most = most_bytes(scope["path"])
        limited = Limited(receive, most)
        await self._app(scope, limited.take, _or_too_large(tell, limited, scope))

    def _refusal(self, scope: Scope) -> tuple[int, str] | None:
        headers = Headers(scope=scope)
        if headers.get("host", "").lower() not in self._settings.hosts:
            return 421, "The server does not answer to this name. Open the address it printed."
        if scope["method"] not in READING and self._is_foreign(headers):
            return 403, "Another page asked for this. Open Crena itself and try again."
        most = most_bytes(scope["path"])
        if not _length(headers) <= most:
            return 413, _too_large(most)
        return None

    async def _unknown(self, scope: Scope) -> tuple[int, str] | None:
        """Find out who asks; refuse strangers and who may not."""
        if not scope["path"].startswith("/api/"):
            return None
        cookie = SimpleCookie(Headers(scope=scope).get("cookie", "")).get(self._settings.cookie)
        said = cookie.value if cookie else ""
        caller = await run_in_threadpool(caller_of, self._store, self._settings, said)
        scope[CALLER] = caller
        return refusal(self._settings, caller, scope["method"], scope["path"])

    def _is_foreign(self, headers: Headers) -> bool:
        origin = headers.get("origin")
        site = headers.get("sec-fetch-site", "same-origin")
        is_own = origin is None or origin in self._settings.origins
        return site not in ("same-origin", "none") or not is_own


def most_bytes(path: str) -> int:
    """Return how large a body may be at an address."""
    return MOST_UPLOAD_BYTES if path.endswith(UPLOADS) else MOST_BYTES


def may_be_large(headers: Headers) -> bool:
    """Tell whether a request brings more than an ordinary body, or does not say how much."""
    return "transfer-encoding" in headers or not _length(headers) <= MOST_BYTES


def _length(headers: Headers) -> float:
    """Return how much a request says it brings; what is no number is too much."""
    try:
        return int(headers.get("content-length", "0"))
    except ValueError:
        return float("inf")


class Limited:
    """A body that is cut where it is larger than it said, or did not say."""

    def __init__(self, receive: Receive, most: int) -> None:
        """Take a body, and no more of it than so many bytes."""
        self._receive, self.most, self._taken = receive, most, 0

    @property
    def was_cut(self) -> bool:
        """Tell whether there was more."""
        return self._taken > self.most

    async def take(self) -> Message:
        """Return the next part, or that nothing more comes."""
        message = await self._receive()
        self._taken += len(message.get("body", b""))
        return {"type": "http.disconnect"} if self.was_cut else message


def _too_large(most: int) -> str:
    return f"More than {most // 1_000_000} MB are not taken here."


def _or_too_large(send: Send, body: Limited, scope: Scope) -> Send:
    """Say of a body that was cut that it is too large, whatever the route made of it."""
    began = replaced = False

    async def tell(message: Message) -> None:
        nonlocal began, replaced
        if body.was_cut and not began:
            began = replaced = True
            await problem(413, _too_large(body.most))(scope, body.take, send)
        elif not replaced:
            began = True
            await send(message)

    return tell


def _with_headers(send: Send, path: str, always: dict[str, str]) -> Send:
    async def tell(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in always.items():
                headers[name] = value
            if path.startswith("/api/"):
                headers["Cache-Control"] = "no-store"
        await send(message)

    return tell
