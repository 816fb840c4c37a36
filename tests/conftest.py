"""What all tests share: hypothesis without a clock, for a busy machine is no fault of the program; and nobody's hour."""

import os
import pickle
import sys
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any

if os.environ.pop("PYTHONDONTWRITEBYTECODE", ""):
    # Hundreds of children start the program: where nothing compiled is kept beside the sources, it is kept apart.
    apart = Path(__file__).parent.parent / ".cache" / "compiled"
    sys.pycache_prefix = os.environ.setdefault("PYTHONPYCACHEPREFIX", str(apart))
    sys.dont_write_bytecode = False

import pytest
from hypothesis import HealthCheck, settings

from guide.money import forecast
from guide.plan import make
from guide.plan.layout import panels
from guide.record.clock import SystemClock

settings.register_profile("fraywork", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("fraywork")


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers() -> int:
    """One more than there are cores: who types at a terminal or looks at a page waits as long as it works."""
    return (os.cpu_count() or 1) + 1


REAL = {name: getattr(SystemClock, name) for name in ("read", "offset_at")}


@pytest.fixture(scope="session", autouse=True)
def nobodys_hour():
    """The computer's own clock and zone cannot be read in this process: a test passes a clock in, or says so."""

    def refused(*_):
        raise AssertionError("a test read the computer's clock: pass one in (tests/fakes.py)")

    with pytest.MonkeyPatch.context() as patch:
        for name in REAL:
            patch.setattr(SystemClock, name, refused)
        yield


# The searches and the draws that most commands begin with; the tests of each call it by its own name, and it is done.
SEEDED = ((panels, "lay"), (make, "cut_material"), (forecast, "_play"))

REAL_WORK = {name: getattr(module, name) for module, name in SEEDED}


@pytest.fixture(scope="session", autouse=True)
def done_once():
    """What a project's panels, its cutting and its forecast come to is worked out once for all commands that ask.

    They are pure, and the same seed gives the same answer: what `test_layout`, `test_cutting` and `test_forecast` hold.
    """
    with pytest.MonkeyPatch.context() as patch:
        for module, name in SEEDED:
            patch.setattr(module, name, remembered(REAL_WORK[name]))
        yield


@pytest.fixture(scope="module")
def anew(done_once):
    """All of it worked out each time it is asked for, to the end of a file: the same question gets the same answer."""
    with pytest.MonkeyPatch.context() as patch:
        for module, name in SEEDED:
            patch.setattr(module, name, REAL_WORK[name])
        yield


def remembered(work: Callable[..., Any]) -> Callable[..., Any]:
    """Give what the same arguments gave before; what went wrong goes wrong anew."""

    @lru_cache(maxsize=256)
    def done(asked: bytes) -> bytes:
        args, options = pickle.loads(asked)
        return pickle.dumps(work(*args, **options))

    return lambda *args, **options: pickle.loads(done(pickle.dumps((args, options))))


@pytest.fixture
def system_clock(monkeypatch):
    """The computer's own clock, for the tests whose subject it is."""
    for name, real in REAL.items():
        monkeypatch.setattr(SystemClock, name, real)
    return SystemClock()
