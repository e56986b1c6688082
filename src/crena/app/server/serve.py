"""Starting and stopping the server on this computer."""

import socket
from collections.abc import Callable
from pathlib import Path

import uvicorn

from crena.app.department import DepartmentFile, department_store, read_department
from crena.app.jobs.runner import Jobs
from crena.app.keeping import store_in
from crena.app.server.application import application
from crena.app.server.settings import Department, Settings
from crena.records import InputError
from crena.store.database import Store

STOPPING_S = 3
"""Open requests have so long to end."""


def serve(data: Path, port: int, tell: Callable[[str], None], case_id: str = "") -> None:
    """Serve the cases of a folder until the program is stopped.

    Parameters
    ----------
    data : Path
        Folder of the database and the files; made when it is not there.
    port : int
        On this computer alone; 0: any that is free.
    tell : callable
        Told the address to open.
    case_id : str, optional
        Whose plans the page opens on; else it opens on the list of cases.

    Raises
    ------
    InputError
        If the port is taken or the database cannot be opened.
    """
    listener = _listener("127.0.0.1", port)
    store = store_in(data)
    settings = Settings(port=listener.getsockname()[1])
    tell(settings.address + (f"#/case/{case_id}/closure" if case_id else ""))
    _served(store, settings, listener, {})


def serve_department(settings_file: Path, tell: Callable[[str], None]) -> None:
    """Serve the cases of a department until the program is stopped.

    Parameters
    ----------
    settings_file : Path
        TOML, as `read_department` takes it.
    tell : callable
        Told the addresses that browsers open.

    Raises
    ------
    InputError
        If a setting is wrong, the port is taken or the database cannot be opened.
    """
    found = read_department(settings_file)
    listener = _listener(found.listen, found.port)
    store = department_store(found)
    settings = Department(hosts=found.hosts, limits=found.limits)
    tell(" ".join(sorted(settings.origins)))
    _served(store, settings, listener, _tls(found))


def _served(
    store: Store, settings: Settings | Department, listener: socket.socket, tls: dict[str, str]
) -> None:
    jobs = Jobs(store)
    config = uvicorn.Config(
        application(store, jobs, settings),
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        timeout_graceful_shutdown=STOPPING_S,
        **tls,  # type: ignore[arg-type]
    )
    try:
        uvicorn.Server(config).run(sockets=[listener])
    finally:
        jobs.close()
        store.engine.dispose()


def _tls(found: DepartmentFile) -> dict[str, str]:
    if found.behind_proxy:
        return {}
    return {"ssl_certfile": str(found.certificate), "ssl_keyfile": str(found.key)}


def _listener(address: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    listener = socket.socket(family)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((address, port))
        listener.listen()  # whoever opens the address at once waits, and is not refused
    except OSError as error:
        listener.close()
        raise InputError(
            f"Port {port} of {address} cannot be had: {error.strerror}. Choose another one."
        ) from None
    return listener
