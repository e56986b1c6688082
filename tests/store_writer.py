"""A process that saves until it is killed."""

import factory

from crena.records import Author, Dossier
from crena.store.database import open_store
from crena.store.revisions import read_case, save_case


def save_until_killed(url, files, case_id, pipe):
    """Save revision after revision; tell each one through the pipe once it is acknowledged."""
    store, author = open_store(url, files), Author(by="writer", why="test")
    last = read_case(store, case_id, author)
    while True:
        seed = last.dossier.case.seed + 1
        dossier = Dossier(case=factory.case(seed=seed))
        last = save_case(store, case_id, last.number, dossier, author)
        pipe.send((last.number, seed))
