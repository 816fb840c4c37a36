"""What all tests share: hypothesis without a clock, for a busy machine is no fault of the program; and nobody's hour."""

import pytest
from hypothesis import HealthCheck, settings

from guide.record.clock import SystemClock

settings.register_profile("fraywork", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("fraywork")

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


@pytest.fixture
def system_clock(monkeypatch):
    """The computer's own clock, for the tests whose subject it is."""
    for name, real in REAL.items():
        monkeypatch.setattr(SystemClock, name, real)
    return SystemClock()
