"""What stands before every route: who calls, by what name, from which page, how much."""

from http.cookies import SimpleCookie
from typing import Final

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from crena.app.server.problems import SENTENCES, problem
from crena.app.server.settings import Settings
from crena.imaging import MAX_FILE_BYTES

COOKIE: Final = "crena"

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


class Guards:
    """Refuse foreign names, foreign pages, strangers and bodies that are too large."""

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        """Stand before an application."""
        self._app, self._settings = app, settings

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        refusal = self._refusal(scope)
        if refusal is not None:
            await problem(*refusal)(scope, receive, _with_headers(send, scope["path"]))
            return
        most = most_bytes(scope["path"])
        await self._app(scope, _limited(receive, most), _with_headers(send, scope["path"]))

    def _refusal(self, scope: Scope) -> tuple[int, str] | None:
        headers = Headers(scope=scope)
        if headers.get("host", "").lower() not in self._settings.hosts:
            return 421, "The server does not answer to this name. Open the address it printed."
        if scope["method"] not in READING and self._is_foreign(headers):
            return 403, "Another page asked for this. Open Crena itself and try again."
        most = most_bytes(scope["path"])
        if not _length(headers) <= most:
            return 413, f"More than {most // 1_000_000} MB are not taken here."
        if scope["path"].startswith("/api/") and not self._is_known(headers):
            return 401, SENTENCES[401]
        return None

    def _is_foreign(self, headers: Headers) -> bool:
        origin = headers.get("origin")
        site = headers.get("sec-fetch-site", "same-origin")
        own = {f"http://{host}" for host in self._settings.hosts}
        return site not in ("same-origin", "none") or (origin is not None and origin not in own)

    def _is_known(self, headers: Headers) -> bool:
        cookie = SimpleCookie(headers.get("cookie", "")).get(COOKIE)
        return cookie is not None and self._settings.is_token(cookie.value)


def most_bytes(path: str) -> int:
    """Return how large a body may be at an address."""
    return MOST_UPLOAD_BYTES if path.endswith(UPLOADS) else MOST_BYTES


def _length(headers: Headers) -> float:
    """Return how much a request says it brings; what is no number is too much."""
    try:
        return int(headers.get("content-length", "0"))
    except ValueError:
        return float("inf")


def _limited(receive: Receive, most: int) -> Receive:
    """Cut a body that is larger than it said, or that did not say."""
    taken = 0

    async def take() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > most:
            return {"type": "http.disconnect"}
        return message

    return take


def _with_headers(send: Send, path: str) -> Send:
    async def tell(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers[name] = value
            if path.startswith("/api/"):
                headers["Cache-Control"] = "no-store"
        await send(message)

    return tell
