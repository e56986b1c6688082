"""Works for the tests of the queue."""

import os
import time

from crena.app.workers import Processes
from crena.records import InputError


def doubled(content, progress):
    progress("Doubling", 0.5)
    return content * 2


def refused(progress):
    raise InputError("The bar is 3 mm long; at least 5 mm are needed.")


def endless(progress):
    while True:
        progress("Going round", 0.3)
        time.sleep(0.02)


def pooled(progress):
    """Keep two processes of its own busy until it is stopped."""
    with Processes(2) as workers:
        workers.warmed()
        while True:
            busy = [workers.executor().submit(time.sleep, 0.05) for _ in range(8)]
            progress("Going round", 0.3)
            busy[0].result()


def deaf(progress):
    progress("Not listening", 0.1)
    while True:
        time.sleep(0.5)


def dying(progress):
    progress("About to die", 0.1)
    os.kill(os.getpid(), 9)


def faulty(progress):
    raise ZeroDivisionError("division by zero")
