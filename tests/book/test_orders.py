"""Order plans: fewest late, then least days late, against every sequence there is; hours; chances."""

import random
from datetime import date, datetime, timedelta
from decimal import Decimal
from itertools import combinations, permutations
from pathlib import Path

import pytest

from guide.book.answers import Job, chances, cost_of, hours_of, planned
from guide.book.file import read_book
from guide.errors import WrongUse
from tests.commands.worked import worked
from tests.record.faults import FULL

MONDAY = datetime.fromisoformat("2026-03-02T09:00")  # a Monday, by the calendar
EVENINGS = "mon-fri 19:00-21:00, sat 10:00-16:00"


def finished(start: datetime, spans: list[tuple[int, float, float]], seconds: float) -> datetime:
    """The judge's own clock: walk through the free hours, five minutes at a time, until the work is done."""
    at, left = start, seconds
    while left > 0:
        clock = at.hour + at.minute / 60
        if any(at.weekday() == day and a <= clock < b for day, a, b in spans):
            left -= 300
        at += timedelta(minutes=5)
    return at


SPANS = [(day, 19, 21) for day in range(5)] + [(5, 10, 16)]


def judged(sequence, start) -> tuple[int, int]:
    """Late orders and days late of a sequence, by the judge's own clock."""
    worked, late, days = 0.0, 0, 0
    for job in sequence:
        worked += job.hands_s
        ready = finished(start, SPANS, worked) + timedelta(seconds=job.waits_s)
        mine = max((ready.date() - job.due).days, 0) if job.due else 0
        late, days = late + (mine > 0), days + mine
    return late, days


def drawn(rng: random.Random, most: int) -> list[Job]:
    """Orders in steps of five minutes, some due on no day."""
    return [
        Job(
            number,
            300.0 * rng.randint(4, 80),
            60.0 * rng.choice((0, 0, 110, 600)),
            None if rng.random() < 0.15 else date(2026, 3, 2) + timedelta(days=rng.randint(0, 14)),
        )
        for number in range(1, rng.randint(2, most) + 1)
    ]


def test_plans_equal_an_exhaustive_search():
    """Up to 7 orders: every sequence is weighed by a clock that walks through the hours."""
    rng = random.Random(3)
    some_late = 0
    for _ in range(60 if FULL else 12):
        jobs = drawn(rng, 7 if FULL else 5)
        slots = planned(jobs, hours_of(EVENINGS, MONDAY))
        clock = {}
        for size in range(1, 1 << len(jobs)):
            worked = sum(job.hands_s for at, job in enumerate(jobs) if size >> at & 1)
            clock.setdefault(worked, finished(MONDAY, SPANS, worked))

        def cost(sequence, clock=clock):
            worked, late, days = 0.0, 0, 0
            for job in sequence:
                worked += job.hands_s
                ready = clock[worked] + timedelta(seconds=job.waits_s)
                mine = max((ready.date() - job.due).days, 0) if job.due else 0
                late, days = late + (mine > 0), days + mine
            return late, days

        best = min(cost(sequence) for sequence in permutations(jobs))
        found = judged([slot.job for slot in slots], MONDAY)
        assert found == best == (sum(slot.days_late > 0 for slot in slots), sum(slot.days_late for slot in slots))
        some_late += best[0] > 0
    assert some_late, "nothing was ever late: the search says little"


def test_of_many_orders_as_many_are_on_time_as_can_be():
    """Fifteen orders, beyond the exact search: the number late is what the exact search gives on them (Moore, 1968)."""
    from guide.book import answers

    for seed in (7, 9, 10):  # long waits, by which the latest end of work is not in the order of the days due
        rng = random.Random(seed)
        jobs = [
            Job(
                n,
                60.0 * rng.randint(20, 300),
                3600.0 * rng.choice((0, 2, 24, 96, 150)),
                date(2026, 3, 2) + timedelta(days=rng.randint(1, 16)),
            )
            for n in range(13)
        ]
        free = hours_of(EVENINGS, MONDAY)
        sequence = [slot.job for slot in planned(jobs, free)]
        many = cost_of(sequence, free)
        exact = cost_of(answers._exact(jobs, free), free)
        assert many[0] == exact[0]
        assert many[1] >= exact[1]
        for a, b in combinations(range(len(sequence)), 2):  # no exchange of two makes it better
            other = sequence[:]
            other[a], other[b] = other[b], other[a]
            assert cost_of(other, free) >= many


def test_hours_are_walked_as_the_calendar_has_them():
    """Two hours an evening: three hours of work begun on Monday morning end on Tuesday at 20:00 [identity]."""
    free = hours_of(EVENINGS, MONDAY)
    assert free.after(3 * 3600) == datetime.fromisoformat("2026-03-03T20:00")
    assert free.after(2 * 3600) == datetime.fromisoformat("2026-03-02T21:00")
    assert free.begins(2 * 3600) == datetime.fromisoformat("2026-03-03T19:00")
    assert free.after(10 * 3600 + 1800) == datetime.fromisoformat("2026-03-07T10:30")  # Saturday
    assert free.after(0) == MONDAY  # nothing to do is done at once, not when the last evening ended
    assert free.begins(0) == datetime.fromisoformat("2026-03-02T19:00")
    assert free.after(17 * 3600) == datetime.fromisoformat("2026-03-09T20:00")  # the Monday after


def test_washing_runs_while_the_next_is_begun():
    """Two orders of an hour each with ten hours of drying: the second is begun at once, not when the first is dry."""
    jobs = [Job(1, 3600, 36_000, date(2026, 3, 3)), Job(2, 3600, 36_000, date(2026, 3, 3))]
    slots = planned(jobs, hours_of("mon-sun 09:00-17:00", MONDAY))
    assert [slot.ready for slot in slots] == [
        datetime.fromisoformat("2026-03-02T20:00"),
        datetime.fromisoformat("2026-03-02T21:00"),
    ]


def test_one_three_days_late_is_better_than_two_one_day_late():
    """Two days of work each; by hand: 1 then 2 is one late, by 3 days; 2 then 1 is two late, by 2 days in all."""
    jobs = [Job(1, 57_600, 0, date(2026, 3, 4)), Job(2, 57_600, 0, date(2026, 3, 2))]
    slots = planned(jobs, hours_of("mon-sun 09:00-17:00", MONDAY))
    assert [(slot.job.number, slot.days_late) for slot in slots] == [(1, 0), (2, 3)]


def test_a_chance_is_the_share_of_draws_in_time():
    """By hand: three draws of four end before 21:00 on Monday, two hours from its start."""
    free = hours_of(EVENINGS, MONDAY)
    slots = planned([Job(1, 3600, 0, date(2026, 3, 2)), Job(2, 3600, 0, None)], free)
    draws = [[3600, 1], [7200, 1], [7201, 1], [60, 1]]
    assert [slot.job.number for slot in slots] == [1, 2]
    assert chances(slots, draws, free) == [0.75, None]


@pytest.mark.parametrize("text", ["", "mon", "mon 19-21", "mon 21:00-19:00", "xxx 19:00-21:00", "mon 25:00-26:00"])
def test_what_is_no_hours_is_refused(text):
    with pytest.raises(WrongUse):
        hours_of(text, MONDAY)


def test_hours_over_each_other_are_refused():
    with pytest.raises(WrongUse, match="lie over each other"):
        hours_of("mon-fri 19:00-21:00, wed 20:00-22:00", MONDAY)
    assert hours_of("mon 19:00-20:00, mon 20:00-21:00", MONDAY).after(7200) == datetime.fromisoformat(
        "2026-03-02T21:00"
    )


DEMO = "sessions/window-seat-cushion"


def test_an_order_from_taking_to_paid(guide):
    assert guide("order", "add", "M. Oak", "seat cushion", "--count", "2", "--price", "140", "--deposit", "40",
                 "--paid", "40", "--due", "2026-11-18", "--on", "2026-11-01").code == 0  # fmt: skip
    said = guide("order")
    assert "2 days late" in said.out  # the tests' day is 2026-11-20
    assert "240.00 EUR" in said.out
    assert guide("order", "change", "1", "--due", "2026-12-12", "--count", "3").code == 0
    assert "late" not in guide("order").out
    assert guide("book", "made", "seat cushion", "--count", "3", "--cost", "20", "--hours", "3 h").code == 0
    assert guide("order", "deliver", "1", "--tickets", "1-3", "--paid", "380").code == 0
    book = read_book("sessions")
    assert (book.orders[1].owing, book.orders[1].open) == (0, False)
    assert [(sale.got, sale.place, sale.buyer) for sale in book.sales] == [(Decimal(140), "order", "M. Oak")] * 3
    assert guide("order", "deliver", "1", "--count", "1").code == 2
    assert guide("order", "off", "1").code == 2


def test_an_order_is_never_made_less_than_was_delivered(guide):
    guide("order", "add", "M. Oak", "seat cushion", "--count", "3")
    guide("order", "deliver", "1", "--count", "2")
    assert guide("order", "change", "1", "--count", "1").code == 2
    assert guide("order", "change", "1", "--count", "2").code == 0
    assert not read_book("sessions").orders[1].open


def test_a_plan_takes_times_from_the_project_and_its_session(guide):
    """Due yesterday it cannot be; the same order with a month's time can; nothing is written."""
    guide("order", "add", "M. Oak", "seat cushion", "--project", DEMO, "--due", "2026-11-19")
    guide("order", "add", "R. Reed", "runner", "--takes", "3 h", "--due", "2026-12-20")
    before = Path("sessions/book.jsonl").read_bytes()
    import json

    said = guide("order", "plan", "--hours", EVENINGS, "--json")
    assert said.code == 0, said.err
    data = json.loads(said.out)
    by = {one["number"]: one for one in data["orders"]}
    assert data["late"] == 1
    assert (by[1]["chance"], by[2]["chance"]) == (0.0, 1.0)
    assert by[2]["hands_on_s"] == 3 * 3600
    assert any(line["item"] == "moss check" for line in data["buy"])
    assert Path("sessions/book.jsonl").read_bytes() == before


def test_as_many_are_sold_for_an_order_as_it_asks_for(guide):
    guide("order", "add", "M. Oak", "runner", "--count", "2", "--price", "60")
    guide("book", "made", "runner", "--count", "3")
    assert guide("sell", "1,2", "--got", "60", "--order", "1").code == 0
    assert not read_book("sessions").orders[1].open
    assert guide("sell", "3", "--got", "60", "--order", "1").code == 2


def test_what_is_delivered_without_a_ticket_is_said_to_be_in_no_sales(guide):
    guide("order", "add", "M. Oak", "runner", "--count", "2", "--price", "60")
    guide("book", "made", "runner")
    assert "in no sales" not in guide("order", "deliver", "1", "--tickets", "1").err
    assert "in no sales" in guide("order", "deliver", "1", "--count", "1").err
    assert [sale.got for sale in read_book("sessions").sales] == [60]


@pytest.mark.parametrize("room", [80, 100])
def test_the_plan_of_orders_fits_its_terminal(guide, monkeypatch, room):
    """At 80 columns long names are cut short; with room enough nothing is left out."""
    monkeypatch.setenv("COLUMNS", str(room))
    guide("order", "add", "R. Reed", "a runner for the long oak table", "--takes", "3 h", "--due", "2026-11-10")
    guide("order", "add", "M. Oak", "mat", "--takes", "30 h", "--due", "2026-12-12", "--count", "2")
    rows = guide("order", "plan", "--hours", EVENINGS).out.split("\n")
    assert max(map(len, rows)) <= room
    late = next(row for row in rows if row.startswith("1 "))
    assert "▲" in late
    assert ("long oak table" in late) == (room > 80)
    guide("order", "change", "1", "--article", "mat")
    rows = guide("order", "plan", "--hours", EVENINGS).out.split("\n")
    assert max(map(len, rows)) <= room
    late = next(row for row in rows if row.startswith("1 "))
    assert ("2026-11-10, " in late) == ("Fri 20 Nov 19:00" in late) == (room == 100)  # a Friday, by the calendar


def test_what_is_left_of_an_order_is_what_is_not_delivered(guide):
    """Four of 3 h each, one delivered: 9 h; a session that is half done has half of its work left, by the forecast."""
    import json

    def left():
        return [
            one["hands_on_s"] for one in json.loads(guide("order", "plan", "--hours", EVENINGS, "--json").out)["orders"]
        ]

    guide("order", "add", "R. Reed", "runner", "--takes", "3 h", "--count", "4")
    assert guide("order", "deliver", "1", "--count", "1").code == 0
    assert left() == [9 * 3600]
    guide("order", "off", "1")
    guide("order", "add", "M. Oak", "seat cushion", "--project", DEMO)
    (whole,) = left()
    steps = json.loads(guide("plan", DEMO, "--json").out)["steps"]
    first, *_ = steps[len(steps) // 2 :]
    done = steps[: len(steps) // 2]
    worked(DEMO, 0, lambda step: step.pace_s, until=first["key"])
    (rest,) = left()
    took = sum(step["pace_s"] * step["pieces"] for step in done)
    assert rest == pytest.approx(whole - took, rel=0.1)


def test_of_an_order_that_nobody_can_reckon_no_moment_and_no_chance_is_told(guide):
    """What takes an unknown time is not ready this minute, and no chance of it is known."""
    import json

    assert guide("order", "add", "B. B.", "mat", "--price", "20", "--due", "2026-12-12").code == 0
    said = guide("order", "plan", "--hours", EVENINGS)
    row = next(line for line in said.out.splitlines() if "1 × mat" in line)
    assert "not known" in row
    assert "%" not in row
    (one,) = json.loads(guide("order", "plan", "--hours", EVENINGS, "--json").out)["orders"]
    assert (one["known"], one["chance"]) == (False, None)


def test_what_to_buy_for_all_spends_no_cloth_of_the_shelf_twice(guide, workshop):
    """Two orders of a throw of 24 squares a print; 24 and 24 lie there: one is cut from the shelf, the other is bought.

    So the list asks for what one of them would need, with nothing on the shelf [identity].
    """
    import json

    text = (
        "project: Lap square\nkind: throw\ngrid: {across: 6, down: 4}\nsquare: 6 in\nseam: 1/2 in\nback: none\n"
        "closure: none\nlayers: {above: 1, below: 1}\nwadding: none\nprints:\n"
        "  - {name: moss check, width: 44 in, price: 9.60 / yd, on_hand: shelf}\n"
        "  - {name: oat stripe, width: 44 in, price: 9.60 / yd, on_hand: shelf}\n"
    )
    for name in ("one", "two"):
        (workshop / "sessions" / name).mkdir()
        (workshop / "sessions" / name / "project.yaml").write_text(text, encoding="utf-8")
        guide("order", "add", "B. Elm", "lap square", "--project", name)

    def bought():
        data = json.loads(guide("order", "plan", "--hours", EVENINGS, "--json").out)
        return {row["item"]: row["quantity"] for row in data["buy"] if row["counter"] == "cloth"}

    two = bought()
    assert two.keys() == {"moss check", "oat stripe"}
    for name in two:
        assert guide("shelf", "add", name, "--squares", "24", "--size", "6in x 6in").code == 0
    one = bought()
    assert one.keys() == two.keys()
    assert all(0 < float(one[name]) < float(two[name]) for name in two)
    guide("order", "off", "2")
    assert bought() == {}
