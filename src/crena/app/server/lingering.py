"""An answer that comes before its request has ended is read before the connection closes.

Who sends three gigabytes is refused after the first of them; a connection that were closed at
once would be reset, and the sentence lost.
"""

import asyncio
from collections.abc import Callable
from typing import Final

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LINGER_S: Final = 2.0
"""So long what still comes in is thrown away, then the connection is closed (assumed)."""


class Lingering:
    """Close the connection of a large request that is answered early, but not at once."""

    def __init__(self, app: ASGIApp, is_large: Callable[[Headers], bool]) -> None:
        """Stand before an application.

        Parameters
        ----------
        app : callable
            The application.
        is_large : callable
            Tells from the headers of a request whether its body may be large.
        """
        self._app, self._is_large = app, is_large

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through; hold the end of an early answer back for a while."""
        if scope["type"] != "http" or not self._is_large(Headers(scope=scope)):
            await self._app(scope, receive, send)
            return
        ended = closes = False

        async def take() -> Message:
            nonlocal ended
            message = await receive()
            ended = not message.get("more_body", False)
            return message

        async def tell(message: Message) -> None:
            nonlocal closes
            if message["type"] == "http.response.start" and not ended:
                closes = True
                MutableHeaders(scope=message)["Connection"] = "close"
            if not closes or message["type"] == "http.response.start" or message.get("more_body"):
                await send(message)
                return
            await send({**message, "more_body": True})
            await _thrown_away(take)
            await send({"type": "http.response.body", "body": b""})

        await self._app(scope, take, tell)


async def _thrown_away(take: Receive) -> None:
    """Take what still comes in, for so long and no longer."""
    loop = asyncio.get_running_loop()
    until = loop.time() + LINGER_S
    while (left_s := until - loop.time()) > 0:
        try:
            message = await asyncio.wait_for(take(), left_s)
        except TimeoutError:
            return
        if not message.get("more_body", False):
            return
