"""What each route needs: a route that is not in this table is shut in a department."""

from dataclasses import replace
from typing import Final

from starlette.routing import compile_path

from crena.app.server.callers import Caller
from crena.app.server.problems import SENTENCES
from crena.app.server.settings import Department, Settings
from crena.records import Case, RightsError
from crena.store.accounts import Role, covers

OPEN: Final = ("GET /api/session", "POST /api/session")
"""In a department asked by strangers: who am I, let me in."""

NEEDED: Final = {
    "DELETE /api/session": Role.READ,
    "GET /api/openapi.json": Role.READ,
    "GET /api/cases": Role.READ,
    "POST /api/cases": Role.PLAN,
    "POST /api/cases/demonstration": Role.PLAN,
    "GET /api/cases/{case_id}": Role.READ,
    "PUT /api/cases/{case_id}": Role.FOLLOW_UP,  # of the case only what FOLLOWED_UP names
    "GET /api/cases/{case_id}/history": Role.READ,
    "GET /api/cases/{case_id}/history/{number}": Role.READ,
    "GET /api/cases/{case_id}/jobs": Role.READ,
    "GET /api/cases/{case_id}/road": Role.READ,
    "PUT /api/cases/{case_id}/scan/files": Role.PLAN,
    "POST /api/cases/{case_id}/scan": Role.PLAN,
    "DELETE /api/cases/{case_id}/scan": Role.PLAN,
    "GET /api/cases/{case_id}/scan": Role.READ,
    "GET /api/cases/{case_id}/scan/voxels": Role.READ,
    "POST /api/cases/{case_id}/scan/places": Role.READ,
    "POST /api/cases/{case_id}/scan/indices": Role.READ,
    "GET /api/cases/{case_id}/scan/map": Role.READ,
    "GET /api/cases/{case_id}/scan/outlines": Role.READ,
    "GET /api/cases/{case_id}/map": Role.READ,
    "POST /api/cases/{case_id}/map": Role.PLAN,
    "GET /api/cases/{case_id}/map/shape": Role.READ,
    "POST /api/entries/pit": Role.READ,
    "POST /api/entries/tip": Role.READ,
    "POST /api/entries/anal-verge": Role.READ,
    "POST /api/cases/{case_id}/plans": Role.PLAN,
    "GET /api/cases/{case_id}/plans": Role.READ,
    "GET /api/cases/{case_id}/plans/shape": Role.READ,
    "POST /api/cases/{case_id}/preview": Role.READ,
    "POST /api/cases/{case_id}/preview/slice": Role.READ,
    "POST /api/cases/{case_id}/plans/own": Role.PLAN,
    "GET /api/cases/{case_id}/plans/{letter}/film": Role.READ,
    "POST /api/cases/{case_id}/plans/{letter}/film": Role.READ,
    "POST /api/sketch": Role.PLAN,
    "GET /api/sketch/{job_id}": Role.READ,
    "POST /api/cases/{case_id}/sign": Role.PLAN,
    "DELETE /api/cases/{case_id}/sign": Role.PLAN,
    "POST /api/cases/{case_id}/bars": Role.PLAN,
    "GET /api/cases/{case_id}/marking": Role.READ,
    "GET /api/cases/{case_id}/template-pages": Role.READ,
    "GET /api/cases/{case_id}/template-pages/{number}": Role.READ,
    "GET /api/cases/{case_id}/sheets": Role.READ,
    "GET /api/cases/{case_id}/sheets/{name}": Role.READ,
    "POST /api/cases/{case_id}/sheets/{name}": Role.FOLLOW_UP,
    "GET /api/cases/{case_id}/theatre": Role.READ,
    "GET /api/cases/{case_id}/theatre/plans": Role.READ,
    "POST /api/cases/{case_id}/theatre/plans": Role.PLAN,
    "GET /api/cases/{case_id}/theatre/figures": Role.READ,
    "POST /api/cases/{case_id}/theatre/figures": Role.PLAN,
    "GET /api/cases/{case_id}/healing": Role.READ,
    "GET /api/due": Role.READ,
    "GET /api/complications/grades": Role.READ,
    "POST /api/checks/anaesthetic": Role.READ,
    "POST /api/checks/dye": Role.READ,
    "GET /api/jobs/{job_id}": Role.READ,
    "GET /api/jobs/{job_id}/changes": Role.READ,
    "DELETE /api/jobs/{job_id}": Role.PLAN,
    "POST /api/numbers": Role.READ,
}

FOLLOWED_UP: Final = ("aftercare",)
"""Parts of a case that whoever follows up may change; all others are the plan's."""

LOG_IN = "You are not logged in, or your session is over. Log in; what you typed is kept."

PATTERNS: Final = [
    (method, compile_path(path)[0], role)
    for (method, path), role in ((name.split(" "), role) for name, role in NEEDED.items())
]


def role_needed(method: str, path: str) -> Role | None:
    """Return the role that a request needs; nothing if no route of the table fits.

    >>> role_needed("GET", "/api/cases/c12/plans").value, role_needed("PUT", "/api/due")
    ('read', None)
    """
    for known, pattern, role in PATTERNS:
        if known == method and pattern.match(path):
            return role
    return None


def refusal(
    settings: Settings | Department, caller: Caller | None, method: str, path: str
) -> tuple[int, str] | None:
    """Return status and sentence of a refusal, or nothing if the request may pass.

    Parameters
    ----------
    settings : Settings or Department
        On a laptop whoever is known may do everything.
    caller : Caller or None
        Who asks; nothing: a stranger.
    method, path : str
        What is asked for.
    """
    is_department = isinstance(settings, Department)
    if is_department and f"{method} {path}" in OPEN:
        return None
    if caller is None:
        return 401, LOG_IN if is_department else SENTENCES[401]
    if not is_department:
        return None
    needed = role_needed(method, path)
    if needed is None:
        return 404, SENTENCES[404]
    return None if covers(caller.role, needed) else (403, _sentence(caller, needed))


def refuse_beyond_follow_up(caller: Caller, last: Case, entered: Case) -> None:
    """Refuse a save that changes more of a case than the caller may.

    Raises
    ------
    RightsError
        If a part of the plan is changed by an account that may only follow up.
    """
    if covers(caller.role, Role.PLAN):
        return
    followed = {name: getattr(entered, name) for name in FOLLOWED_UP}
    if replace(last, **followed) != entered:
        raise RightsError(_sentence(caller, Role.PLAN))


def _sentence(caller: Caller, needed: Role) -> str:
    return (
        f"This needs the right to {needed.value}; your account has the right to "
        f"{caller.role.value}. Ask whoever keeps the accounts."
    )
