"""A small journal with a few records in it, and a child that may spoil its own limits and rights."""

import os
import warnings

from guide.record.journal import Journal
from tests.fakes import FakeClock

OPENED = {"what": "opened", "format": 1}


def noted(number: int) -> dict:
    return {"what": "noted", "text": f"{number} " + "x" * 30}


def kept(path, count=3) -> Journal:
    clock = FakeClock()
    journal = Journal.create(path)
    journal.append(OPENED, clock.read())
    for number in range(2, count + 1):
        journal.append(noted(number), clock.run(1))
    return journal


def in_child(run, *args) -> str:
    """Run a function in a child that may spoil its own limits and rights; gives what it printed last."""
    read, write = os.pipe()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # later Pythons warn of forks beside threads
        child = os.fork()
    if child == 0:  # pragma: no cover
        try:
            os.write(write, run(*args).encode())
        except BaseException as bad:
            os.write(write, repr(bad).encode())
        finally:
            os._exit(0)
    os.close(write)
    with os.fdopen(read) as told:
        said = told.read()
    os.waitpid(child, 0)
    return said
