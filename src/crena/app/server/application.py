"""The application: guards, routes and the page, put together."""

from pathlib import Path

from fastapi import FastAPI
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from fastapi.staticfiles import StaticFiles

from crena import __version__
from crena.app.jobs.runner import Jobs
from crena.app.server import (
    cases,
    checks,
    cut_slices,
    due,
    entries,
    films,
    grades,
    healing,
    jobs,
    maps,
    marking,
    numbers,
    plans,
    previews,
    road,
    scans,
    sessions,
    signing,
    sketches,
    theatre,
)
from crena.app.server.clearing import clearing
from crena.app.server.desk import Desk
from crena.app.server.guards import Guards, may_be_large
from crena.app.server.lingering import Lingering
from crena.app.server.problems import SENTENCES, add_problems, problem
from crena.app.server.repeats import Repeats
from crena.app.server.settings import Department, Settings
from crena.records.statements import CAUTION
from crena.store.database import Store

ROOMS = (
    cases,
    scans,
    maps,
    entries,
    plans,
    sketches,
    healing,
    road,
    jobs,
    numbers,
    checks,
    due,
    grades,
    theatre,
    previews,
    cut_slices,
    films,
    marking,
    signing,
    sessions,
)
"""Where the routes are."""

NO_PAGE = (
    "<!doctype html><html lang='en'><title>Crena</title><h1>Crena</h1><p>The page was not built "
    "with this copy. The server works: its description is at /api/openapi.json.</p>"
)


def application(store: Store, queue: Jobs, settings: Settings | Department) -> FastAPI:
    """Return the server's application.

    Parameters
    ----------
    store : Store
        Where cases are kept.
    queue : Jobs
        Where long work is done.
    settings : Settings or Department
        By what names it is called, and how people are let in.
    """
    app = FastAPI(
        title="Crena",
        version=__version__,
        description=CAUTION,
        openapi_url="/api/openapi.json",
        docs_url=None,
        redoc_url=None,
        lifespan=clearing(store),
    )
    app.state.desk = Desk(store=store, jobs=queue, settings=settings)
    for room in ROOMS:  # they are built already: to include a room builds them all again
        app.router.routes.extend(room.routes.routes)
    add_problems(app)
    if isinstance(settings, Settings):
        _add_door(app, settings)
    _add_page(app, settings.page)
    app.add_middleware(Repeats, store=store)
    app.add_middleware(Guards, settings=settings, store=store)
    app.add_middleware(Lingering, is_large=may_be_large)
    return app


def _add_door(app: FastAPI, settings: Settings) -> None:
    """Let in whoever has the address that the program printed."""

    @app.get("/enter/{token}", include_in_schema=False)
    def enter(token: str) -> Response:
        if not settings.is_token(token):
            return problem(401, SENTENCES[401])
        answer = RedirectResponse("/", status_code=303)
        answer.set_cookie(settings.cookie, token, httponly=True, samesite="strict", path="/")
        return answer


def _add_page(app: FastAPI, page: Path) -> None:
    """Give the page, or say that there is none."""
    if (page / "index.html").is_file():
        app.mount("/", StaticFiles(directory=page, html=True))
        return

    @app.get("/", include_in_schema=False)
    def no_page() -> HTMLResponse:
        return HTMLResponse(NO_PAGE)
