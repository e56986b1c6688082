"""While the server runs, uploads that no case took are cleared."""

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager, suppress
from typing import Final

from fastapi import FastAPI
from starlette.concurrency import run_in_threadpool

from crena.store.database import Store
from crena.store.uploads import clear_uploads

EVERY_S: Final = 3600.0
"""So often it is looked for what waited too long (assumed)."""


def clearing(store: Store) -> Callable[[FastAPI], AbstractAsyncContextManager[None]]:
    """Return what is done while an application runs: clearing, at the start and every hour."""

    @asynccontextmanager
    async def running(_: FastAPI) -> AsyncIterator[None]:
        task = asyncio.create_task(_again_and_again(store))
        yield
        task.cancel()
        with suppress(asyncio.CancelledError):
            await task

    return running


async def _again_and_again(store: Store) -> None:
    while True:
        with suppress(OSError):  # a file that cannot be removed now is tried again
            await run_in_threadpool(clear_uploads, store)
        await asyncio.sleep(EVERY_S)
