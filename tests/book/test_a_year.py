"""A new user finds what earns most and what is late without a flag: on one page, first."""

import json
from collections import defaultdict
from decimal import Decimal
from pathlib import Path

import pytest

from guide.book.file import read_entries
from guide.commands.sessions import open_here, plan_of
from tests.book.a_year import written
from tests.commands.worked import worked
from tests.show.test_pages_browser import AXE, RULES


@pytest.fixture
def year(workshop, guide):
    written(workshop)
    return guide


DEMO = "sessions/window-seat-cushion"


def by_hand() -> dict[str, Decimal]:
    """What an hour of each article earned, from the lines alone."""
    made, left, hours = {}, defaultdict(Decimal), defaultdict(Decimal)
    for entry in read_entries("sessions")[0]:
        if entry.what == "made":
            made |= dict.fromkeys(entry.tickets, entry)
        if entry.what == "sold":
            (ticket,) = entry.tickets
            left[made[ticket].title] += entry.amount - (entry.fee or 0) - made[ticket].cost
            hours[made[ticket].title] += Decimal(repr(made[ticket].hours))
    return {title: left[title] / hours[title] for title in left}


def test_what_earns_most_and_what_is_late_stand_first(year):
    said = year("book")
    assert said.code == 0
    best = max(by_hand().items(), key=lambda one: one[1])
    rows = said.out.split("\n")
    assert rows[0].startswith("Earns most an hour")
    assert rows[2].strip().startswith(best[0])
    assert f"{best[1]:.2f} EUR" in rows[2]
    late = [row for row in rows if row.startswith("▲")]
    assert [row.split(",")[0] for row in late] == ["▲ order 3", "▲ order 4"]
    assert "8 days" in late[0]  # due 12 November, it is the 20th
    assert "2 days" in late[1]
    assert len(rows) < 45


def test_it_fits_a_terminal_of_80_columns(year):
    assert max(map(len, year("book").out.split("\n"))) <= 80
    assert max(map(len, year("order").out.split("\n"))) <= 80


def test_a_page_has_the_charts_and_every_article(year):
    html = year("book", "--page", "-").out
    assert html.count("<svg") == 3
    assert all(title in html for title in by_hand())
    assert year("book", "--page", "book.md").out.split() == ["book.md"]


def test_the_page_stands_beside_the_book_where_no_place_is_named(year, workshop):
    """As a log stands beside its journal; its path is what is printed."""
    assert year("book", "--markdown").out.split() == [str(Path("sessions", "book.md"))]
    page = (workshop / "sessions" / "book.md").read_text(encoding="utf-8")
    assert all(title in page for title in by_hand())


@pytest.mark.browser
@pytest.mark.parametrize("width", [320, 1280])
def test_the_page_in_a_browser(year, page, workshop, width):
    """From a phone on nothing lies beyond the edge. [source] WCAG 2.2, 1.4.10, and axe-core's rules as the judge."""
    assert year("book", "--page", "book.html").code == 0
    page.set_viewport_size({"width": width, "height": 800})
    page.goto((workshop / "book.html").as_uri())
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
    assert not page.bad
    if AXE.is_file():
        page.evaluate(AXE.read_text(encoding="utf-8") + ";0")
        found = page.evaluate("rules => axe.run(document, {runOnly: rules})", RULES)
        assert [(v["id"], [n["html"][:200] for n in v["nodes"]][:3]) for v in found["violations"]] == []


def test_sessions_that_were_worked_come_to_the_same_by_hand(workshop, guide):
    """Four sessions of two projects on four days, entered and sold: hours by the paces they were worked at, by hand.

    What an hour earned: what was got, less fees and the materials that guide price says, over those hours [identity].
    """
    source = workshop / DEMO / "project.yaml"
    other = workshop / "sessions" / "lap-square"
    other.mkdir()
    text = source.read_text(encoding="utf-8").replace("project: Window seat cushion", "project: Lap square")
    (other / "project.yaml").write_text(text, encoding="utf-8")
    left, hours = defaultdict(Decimal), defaultdict(float)
    sold = (
        (DEMO, 1.0, "140", "0"),
        (DEMO, 1.2, "125", "10"),
        (str(other), 0.8, "150", "0"),
        (str(other), 1.5, "90", "4"),
    )
    for day, (folder, speed, got, fee) in enumerate(sold):
        session = worked(folder, day * 30, lambda step, speed=speed: step.pace_s * speed)
        assert guide("book", "enter", "--yes").code == 0
        assert guide("sell", str(day + 1), "--got", got, "--fee", f"{fee}%", "--at", "stall").code == 0
        quoted = json.loads(guide("price", str(session), "--json").out)
        steps = plan_of(open_here(Path(folder))).steps
        took = sum(step.pace_s * speed * step.pieces for step in steps) / 3600
        assert quoted["costs"]["hours"] == pytest.approx(took, abs=0.01)
        title = "Lap square" if folder == str(other) else "Window seat cushion"
        hours[title] += took
        left[title] += Decimal(got) * (100 - Decimal(fee)) / 100 - Decimal(quoted["costs"]["materials"])
    data = json.loads(guide("book", "--json").out)
    found = {one["name"]: (one["sold"], float(one["an_hour"])) for one in data["articles"]}
    assert found == {
        name: (2, pytest.approx(float(left[name]) / hours[name], abs=0.006))
        for name in ("Window seat cushion", "Lap square")
    }
    rows = guide("book").out.split("\n")
    best = max(left, key=lambda name: float(left[name]) / hours[name])
    assert rows[2].strip().startswith(best)
