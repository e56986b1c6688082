"""A process that saves until it is killed, and the one that starts and kills it."""

import multiprocessing
import os
import signal
import time

import factory

from crena.records import Author, Dossier
from crena.store.database import open_store
from crena.store.revisions import read_case, save_case

WRITER = Author(by="writer", why="test")


def save_until_killed(url, files, case_id, pipe):
    """Save revision after revision; tell each one through the pipe once it is acknowledged."""
    store = open_store(url, files)
    last = read_case(store, case_id, WRITER)
    while True:
        seed = last.dossier.case.seed + 1
        dossier = Dossier(case=factory.case(seed=seed))
        last = save_case(store, case_id, last.number, dossier, WRITER)
        pipe.send((last.number, seed))


def kill_writers(place, waits_s, pipe):
    """Kill one writer after the other; tell what each acknowledged last, and wait to go on.

    Writers are forked from here, where all is imported and no connection is open.
    """
    warm = open_store(*place[:2])
    read_case(warm, place[2], WRITER)
    warm.engine.dispose()
    for wait_s in waits_s:
        pipe.send(_killed_writer(place, wait_s))
        pipe.recv()


def _killed_writer(place, wait_s):
    context = multiprocessing.get_context("fork")
    told, tells = context.Pipe(duplex=False)
    writer = context.Process(target=save_until_killed, args=(*place, tells))
    writer.start()
    tells.close()
    last = told.recv()
    time.sleep(wait_s)
    os.kill(writer.pid, signal.SIGKILL)
    writer.join()
    try:
        while True:
            last = told.recv()
    except EOFError:
        told.close()
        return last
