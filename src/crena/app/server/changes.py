"""Changes that the server makes to a case as it was saved last, whoever saved meanwhile."""

from collections.abc import Callable

from crena.app.server.desk import Desk
from crena.app.server.plans import MOST_TRIES
from crena.records import ConflictError, Dossier, Revision
from crena.store.revisions import read_case, save_case


def changed_last(
    desk: Desk, case_id: str, why: str, change: Callable[[Dossier], Dossier]
) -> Revision:
    """Change the last saved state of a case and return the revision that this made.

    Parameters
    ----------
    desk : Desk
        The store, and who acts.
    case_id : str
        Which case.
    why : str
        For the history.
    change : callable
        Gives the new dossier, or refuses; asked again if somebody saved in between.

    Raises
    ------
    ConflictError
        If others save all the time.
    """
    for _ in range(MOST_TRIES):
        last = read_case(desk.store, case_id, desk.author(why))
        wanted = change(last.dossier)
        try:
            return save_case(desk.store, case_id, last.number, wanted, desk.author(why))
        except ConflictError:
            continue
    raise ConflictError("Others saved this case all the time. Try it again.")
