"""What the server makes is entered into a case as it is now, whoever saved meanwhile."""

from collections.abc import Callable
from typing import Final

from crena.app.server.desk import Desk
from crena.records import ConflictError, Dossier, Revision
from crena.store.revisions import read_case, save_case

MOST_TRIES: Final = 5
"""So often somebody may save in between."""


def enter(desk: Desk, case_id: str, change: Callable[[Dossier], Dossier], why: str) -> Revision:
    """Save a change of the last revision.

    Parameters
    ----------
    desk : Desk
        With the store.
    case_id : str
        Which case.
    change : callable
        Gives the new dossier from the last one.
    why : str
        What is noted.

    Raises
    ------
    ConflictError
        If others saved each time, or the change itself is one with the case as it is now.
    """
    for _ in range(MOST_TRIES):
        last = read_case(desk.store, case_id, desk.author(f"to enter: {why}"))
        changed = change(last.dossier)
        try:
            return save_case(desk.store, case_id, last.number, changed, desk.author(why))
        except ConflictError:
            continue
    raise ConflictError("Others saved this case all the time. Do it again.")
