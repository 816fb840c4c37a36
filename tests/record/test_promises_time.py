"""P14 and P16: opening is fast, and no clock reorders or loses anything."""

import json
import time

import pytest

from guide.record.clock import Span, between, clock_face, iso, local, stamp, time_text, wall_ms
from guide.record.lines import encode, scan
from guide.record.model import Reading
from tests.fakes import FakeClock
from tests.record.session import Session


def test_the_computers_clocks_are_read_together(system_clock):
    """Two readings at once: same boot, no jump, no sleep, and the wall clock is today's."""
    a, b = system_clock.read(), system_clock.read()
    span = between(a, b)
    assert span.same_boot
    assert 0 <= span.counted_ms < 1000
    assert (span.asleep_ms, span.step_ms) == (0, 0)
    assert abs(a.wall - time.time_ns() // 1_000_000) < 60_000


@pytest.mark.parametrize(
    ("zone", "utc", "minutes"),
    [
        ("CET-1CEST,M3.5.0,M10.5.0/3", "2026-10-25T00:59:59Z", 120),  # summer time's last second
        ("CET-1CEST,M3.5.0,M10.5.0/3", "2026-10-25T01:00:00Z", 60),
        ("CET-1CEST,M3.5.0,M10.5.0/3", "2026-07-01T12:00:00Z", 120),  # any day's zone, not today's
        ("<+0545>-5:45", "2026-07-01T12:00:00Z", 345),  # Kathmandu
        ("NST3:30", "2026-07-01T12:00:00Z", -210),
    ],
)
def test_the_computers_zone_is_asked_for_the_moment_meant(system_clock, monkeypatch, zone, utc, minutes):
    """[source: POSIX, 8.3, TZ: std offset dst, dates as month, week (5: the last) and day; west is positive.]"""
    monkeypatch.setenv("TZ", zone)
    time.tzset()
    try:
        assert system_clock.offset_at(wall_ms(utc)) == minutes
    finally:
        monkeypatch.undo()
        time.tzset()


def moved(*moves) -> Span:
    clock = FakeClock()
    a = clock.read()
    for move, seconds in moves:
        getattr(clock, move)(seconds)
    return between(a, clock.read())


@pytest.mark.parametrize(
    ("moves", "span"),
    [
        ([("run", 60)], Span(60_000, 0, 0, same_boot=True)),
        ([("run", 60), ("suspend", 3600), ("run", 30)], Span(90_000, 3_600_000, 0, same_boot=True)),
        ([("run", 90), ("step", -7200)], Span(90_000, 0, -7_200_000, same_boot=True)),
        ([("suspend", 3600), ("step", 60), ("run", 1)], Span(1000, 3_600_000, 60_000, same_boot=True)),
        ([("run", 60), ("reboot", 40), ("run", 20)], Span(120_000, 0, None, same_boot=False)),
        ([("reboot", -500)], Span(0, 0, None, same_boot=False)),
        ([("suspend", 0.4), ("run", 1)], Span(1000, 0, 0, same_boot=True)),
    ],
)
def test_what_lies_between_two_readings(moves, span):
    """Awake time is counted, sleep and set clocks are told apart, a restart leaves the wall clock [identity]."""
    assert moved(*moves) == span


def test_without_a_boot_name_agreeing_clocks_are_trusted():
    """Some systems name no boot: the clocks must agree then."""
    clock = FakeClock(boot="")
    a = clock.read()
    assert between(a, clock.run(60)).same_boot
    clock.step(3600)
    assert not between(a, clock.read()).same_boot


@pytest.mark.parametrize(("apart_ms", "same"), [(4999, True), (-4999, True), (5000, False), (-5000, False)])
def test_without_a_boot_name_the_clocks_may_be_five_seconds_apart(apart_ms, same):
    """Wall and total clock over one minute: from five seconds on somebody set one, or it is another boot [identity]."""
    a = Reading(wall=1_000_000, offset=0, awake=0, total=0, boot="")
    b = Reading(wall=1_060_000 + apart_ms, offset=0, awake=60_000, total=60_000, boot="")
    assert between(a, b).same_boot == same


def test_p16_the_order_is_the_number_never_the_time():
    """The wall clock runs backwards between two pieces: their order and lengths stay."""
    s = Session()
    s.start()
    s.run(60).piece(1)
    s.clock.step(-86_400)
    s.run(30).piece(2)
    found = scan(b"".join(encode(event) for event in s.events))
    assert found.damage is None
    assert [event.count for event in found.events if event.what == "piece_done"] == [1, 2]
    assert found.events[-1].at < found.events[0].at
    assert s.laps() == [(1, 60), (2, 30)]


def test_p16_a_steady_clock_that_runs_backwards_is_not_believed():
    """A virtual machine set back: the wall clock is taken, and said to be unverified."""
    s = Session()
    s.start()
    s.run(60)
    s.clock.awake -= 90_000
    s.clock.total -= 90_000
    s.piece()
    assert s.laps() == [(1, 60)]
    assert "not verified" in s.record.assumed[0]


def test_stamps_are_read_back_to_the_millisecond():
    """And shown as the maker's clock did [source: RFC 3339, 5.8, its second example is 1996-12-20T00:39:57Z]."""
    assert wall_ms("1996-12-19T16:39:57-08:00") == wall_ms("1996-12-20T00:39:57Z") == 851_042_397_000
    assert wall_ms("1996-12-20T00:39:57") == 851_042_397_000  # no zone: UTC, as journals are written
    for wall in (0, 1, 999, 1_772_357_400_120, 851_042_397_001):
        assert wall_ms(stamp(wall)) == wall
        assert wall_ms(iso(wall, -210)) == wall
        assert wall_ms(iso(wall, 345)) == wall
    assert stamp(851_042_397_001) == "1996-12-20T00:39:57.001Z"
    assert iso(851_042_397_000, -480) == "1996-12-19T16:39:57.000-08:00"
    assert clock_face(851_042_397_000, -480) == "16:39"
    assert local(851_042_397_000, -480).day == 19


@pytest.mark.parametrize(
    ("ms", "said"),
    [(0, "0 s"), (40_400, "40 s"), (59_600, "60 s"), (90_000, "2 min"), (720_000, "12 min"), (3_900_000, "1 h 05")],
)
def test_lengths_of_time_are_spoken(ms, said):
    """Short, without seconds where nobody needs them."""
    assert time_text(ms / 1000) == said


def test_p14_opening_is_linear_and_faster_than_plain_json():
    """20,000 records with checksums verified take no longer than json.loads line by line, by far; the bench says how far."""
    s = Session()
    for number in range(20_000):
        s.run(1).say("noted", text=f"block {number}", step="quilt/cross")
    data = b"".join(encode(event) for event in s.events)
    ours, other = [], []
    for _ in range(3):
        begun = time.process_time()
        assert scan(data).damage is None
        ours.append(time.process_time() - begun)
        begun = time.process_time()
        for line in data.splitlines():
            json.loads(line)
        other.append(time.process_time() - begun)
    assert min(ours) < min(other)
