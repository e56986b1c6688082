"""A write that is sent twice is done once: the second gets the answer of the first.

Of two that are on their way at once, the second waits. One server serves one store, so it is
enough that they wait for each other here.
"""

import asyncio
import hashlib
from weakref import WeakValueDictionary

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from crena.app.server.callers import CALLER
from crena.app.server.guards import READING, UPLOADS
from crena.app.server.problems import problem
from crena.records import InputError
from crena.store.answers import GivenAnswer, Question, remember, remembered
from crena.store.database import Store

LONGEST_KEY = 100

SESSION = "/api/session"
"""Its answers carry cookies, which are not remembered."""


class Repeats:
    """Remember the answers to writes that carry an `Idempotency-Key`."""

    def __init__(self, app: ASGIApp, store: Store) -> None:
        """Stand before an application."""
        self._app, self._store = app, store
        self._turns: WeakValueDictionary[tuple[str, str], asyncio.Lock] = WeakValueDictionary()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request without a key through; those of one key come one after the other."""
        key, caller = _key(scope), scope.get(CALLER)
        if key is None or caller is None:
            await self._app(scope, receive, send)
            return
        body = await _body(receive)
        asked = hashlib.sha256(f"{scope['method']} {scope['path']}\n".encode() + body).hexdigest()
        question = Question(by=caller.name, key=key, asked_sha256=asked)
        turn = self._turns.setdefault((caller.name, key), asyncio.Lock())
        async with turn:
            await self._once(scope, body, send, question)

    async def _once(self, scope: Scope, body: bytes, send: Send, question: Question) -> None:
        """Answer from memory, or do it now and remember the answer."""
        try:
            given = await run_in_threadpool(remembered, self._store, question)
        except InputError as refusal:
            await problem(422, str(refusal))(scope, _again(body), send)
            return
        if given is not None:
            await _response(given)(scope, _again(body), send)
            return
        await self._answered(scope, body, send, question)

    async def _answered(self, scope: Scope, body: bytes, send: Send, question: Question) -> None:
        status, parts = 500, []

        async def tell(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
            parts.append(message.get("body", b""))
            await send(message)

        await self._app(scope, _again(body), tell)
        if status < 500:
            answer = GivenAnswer(status=status, body=b"".join(parts).decode())
            await run_in_threadpool(remember, self._store, question, answer)


def _key(scope: Scope) -> str | None:
    """Return the key of a write; a file needs none, its content names it."""
    if scope["type"] != "http" or scope["method"] in READING or scope["path"] == SESSION:
        return None
    if scope["path"].endswith(UPLOADS):
        return None
    key = Headers(scope=scope).get("idempotency-key")
    return key if key and len(key) <= LONGEST_KEY else None


async def _body(receive: Receive) -> bytes:
    parts = []
    while True:
        message = await receive()
        parts.append(message.get("body", b""))
        if not message.get("more_body", False):
            return b"".join(parts)


def _again(body: bytes) -> Receive:
    async def receive() -> Message:
        return {"type": "http.request", "body": body, "more_body": False}

    return receive


def _response(given: GivenAnswer) -> Response:
    kind = "application/json" if given.status < 400 else "application/problem+json"
    return Response(given.body, given.status, media_type=kind)
