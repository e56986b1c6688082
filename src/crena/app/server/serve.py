"""Starting and stopping the server on this computer."""

import socket
from collections.abc import Callable
from pathlib import Path

import uvicorn

from crena.app.jobs.runner import Jobs
from crena.app.keeping import store_in
from crena.app.server.application import application
from crena.app.server.settings import Settings
from crena.records import InputError

STOPPING_S = 3
"""Open requests have so long to end."""


def serve(data: Path, port: int, tell: Callable[[str], None]) -> None:
    """Serve the cases of a folder until the program is stopped.

    Parameters
    ----------
    data : Path
        Folder of the database and the files; made when it is not there.
    port : int
        On this computer alone; 0: any that is free.
    tell : callable
        Told the address to open.

    Raises
    ------
    InputError
        If the port is taken or the database cannot be opened.
    """
    listener = _listener(port)
    store = store_in(data)
    jobs = Jobs(store)
    settings = Settings(port=listener.getsockname()[1])
    tell(settings.address)
    config = uvicorn.Config(
        application(store, jobs, settings),
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=STOPPING_S,
    )
    try:
        uvicorn.Server(config).run(sockets=[listener])
    finally:
        jobs.close()
        store.engine.dispose()


def _listener(port: int) -> socket.socket:
    listener = socket.socket()
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind(("127.0.0.1", port))
    except OSError:
        listener.close()
        raise InputError(f"Port {port} is taken. Choose another one with --port.") from None
    return listener
