"""Charts hold the figures of the JSON: every mark is read back from the drawing and held against them.

Where a place on paper is told, it is the figure's share of the largest, times the room there is [identity].
"""

import json
import re
from itertools import pairwise

import pytest

from guide.money.model import Seen, Timed
from guide.money.paces import learn
from guide.record.clock import exact_text, week_of, weeks_between
from guide.record.history import History, Total
from guide.show.pages.papers import history_page
from guide.show.pictures import times
from guide.show.screen.text import ASCII, STITCHED, trend
from tests.commands.conftest import guide, workshop
from tests.commands.worked import worked
from tests.show.pages_read import Page

__all__ = ["guide", "workshop"]
DEMO = "sessions/window-seat-cushion"


def marks(svg, tag, *names):
    """What a drawing's elements of a kind that have all these attributes say, in their order."""
    found = [dict(re.findall(r'([\w-]+)="([^"]*)"', one)) for one in re.findall(rf"<{tag} ([^>]*)/?>", svg)]
    return [[one[name] for name in names] for one in found if set(names) <= set(one)]


def floats(rows):
    return [tuple(map(float, row)) for row in rows]


def page_of(guide, *argv):
    said = guide(*argv, "--page", "-")
    assert said.code == 0, said.err
    return said.out


# --- hours by week


def test_weeks_are_those_of_the_standard():
    """[source] ISO 8601: week 1 has the year's first Thursday; 2026-01-01 is one; Monday to Sunday; 2026 has 53 weeks."""
    assert [week_of(day) for day in ("2025-12-28", "2025-12-29", "2026-01-04", "2026-01-05", "2027-01-03")] == [
        "2025-W52", "2026-W01", "2026-W01", "2026-W02", "2026-W53",
    ]  # fmt: skip
    assert weeks_between("2026-W52", "2027-W02") == ["2026-W52", "2026-W53", "2027-W01", "2027-W02"]


def test_a_weeks_line_is_as_long_as_its_hours_and_a_stitch_is_its_unit():
    """1, 4 and 0 h: the fullest takes all the height, the first a quarter of it, and a stitch with its gap is one hour."""
    svg = times.weeks("Hours", [("a", 1.0), ("b", 4.0), ("c", 0.0)], (1.0, "an hour"))
    drawn = marks(svg, "line", "data-week", "data-hours", "y1", "y2", "stroke-dasharray")
    assert [(week, float(hours)) for week, hours, *_ in drawn] == [("a", 1.0), ("b", 4.0), ("c", 0.0)]
    assert [float(y1) - float(y2) for *_, y1, y2, _ in drawn] == pytest.approx([times.HIGH / 4, times.HIGH, 0.0])
    assert {round(sum(map(float, dash.split())), 2) for *_, dash in drawn} == {times.HIGH / 4}
    assert "4.0 h" in svg


def test_hours_by_week_are_the_jsons(guide, workshop):
    """Sundays and Mondays of March, a week between without work: sums of its days, each week from Monday. [identity]

    1, 2 and 16 March 2026 are a Sunday and two Mondays: weeks 9, 10 and 12.
    """
    for day in (0, 1, 15):
        worked(DEMO, day, lambda step: step.pace_s * 1.5)
    told = json.loads(guide("history", "--json").out)
    days = {day: one["counted_ms"] for day, one in told["by_day"].items()}
    weeks = {"2026-W09": days["2026-03-01"], "2026-W10": days["2026-03-02"], "2026-W12": days["2026-03-16"]}
    assert {week: one["counted_ms"] for week, one in told["by_week"].items()} == weeks
    page = page_of(guide, "history")
    drawn = dict(marks(page, "line", "data-week", "data-hours"))
    assert {week: float(hours) for week, hours in drawn.items()} == pytest.approx(
        {week: ms / 3_600_000 for week, ms in (weeks | {"2026-W11": 0}).items()}, abs=1e-3
    )
    assert list(drawn) == sorted(drawn)
    text = Page(page).text
    for week in weeks:
        assert re.search(rf"{week} \d h \d\d [\d,]+ pieces 1\b", text)
    assert guide("history", "--by", "week").out.splitlines()[2].split()[:1] == ["2026-W09"]
    assert "week by week  ⎺⎺⎽⎺  4 h 07 in 2026-W09" in guide("history").out
    assert "2026-W10" in guide("history", "--page", "-", "--markdown").out


def test_a_stitch_stands_for_more_where_weeks_are_full():
    """At most 16 stitches one above another, a stitch being an hour, or 2, 5, 10, 50: hours over 16, rounded up to one.

    Read off the page: the height of the fullest week over a stitch with its gap. [identity]
    """
    for hours, unit, says in (
        (0.5, 1, "an hour"), (16, 1, "an hour"), (16.1, 2, "2 hours"), (32, 2, "2 hours"), (60, 5, "5 hours"),
        (150, 10, "10 hours"), (790, 50, "50 hours"), (1000, 50, "50 hours"),
    ):  # fmt: skip
        page = weeks_page({"2026-W09": hours, "2026-W10": hours / 4})
        assert f"A stitch is {says}." in page
        high, _ = marks(page, "line", "data-week", "y1", "y2", "stroke-dasharray")
        assert (float(high[1]) - float(high[2])) / sum(map(float, high[3].split())) == pytest.approx(
            hours / unit, abs=0.06
        )


def test_the_newest_year_of_weeks_is_drawn_and_the_page_says_so():
    """60 weeks from 2025-W40, 52 in 2025 [ISO 8601]: the newest 53 begin 2025-W47; the table has them all. 53: no word."""
    all_ = weeks_between("2025-W40", "2026-W47")
    assert len(all_) == 60
    page = weeks_page(dict.fromkeys(all_, 2.0))
    assert [week for week, _ in marks(page, "line", "data-week", "data-hours")] == weeks_between("2025-W47", "2026-W47")
    assert "Drawn are the newest 53 weeks; the table has all." in page
    assert all(week in Page(page).text for week in all_)
    assert "newest" not in weeks_page(dict.fromkeys(all_[-53:], 2.0))


def weeks_page(hours):
    """The page of a history that has so many hours in each week."""
    by_week = {week: Total(round(one * 3_600_000), 1, 1) for week, one in hours.items()}
    return history_page(History(by_week=by_week), {}, "html")


def test_a_history_page_of_nothing_says_so(guide, workshop):
    assert "No session yet" in page_of(guide, "history")
    assert guide("history", "--audit", "--page", "x.html").code == 2


# --- paces by session


def seen(session, day, paces, *, starter=60.0, first=True):
    laps = tuple(Timed(one, 1, n, first=first and n == 0) for n, one in enumerate(paces))
    return Seen("quilt/cross", "quilt/cross", session, "", "", day, laps, sum(paces), starter, title="Sew the cross")


def test_a_session_s_pace_is_its_later_pieces_time_over_their_number():
    """100, 70 and 50 s of which the first is a first piece: (70 + 50) / 2 = 60 s; the day is its first. [identity]"""
    rows = [seen("2026-03-01T09", 20513, [100.0, 70.0, 50.0]), seen("2026-03-08T09", 20520, [90.0, 45.0])]
    (pace,) = learn(rows, by_session=True).steps.values()
    assert [(one.session, one.day, one.pieces) for one in pace.by_session] == [
        ("2026-03-01T09", "2026-03-01", 2), ("2026-03-08T09", "2026-03-08", 1),
    ]  # fmt: skip
    assert [one.pace_s for one in pace.by_session] == pytest.approx([60.0, 45.0])
    assert learn(rows).steps["quilt/cross"].by_session == ()


def test_a_pace_of_other_sizes_is_brought_to_the_last_ones():
    """66 s where the starter pace was 60 s and 40 s where it is 50: at today's size 66 · 50/60 = 55 and 40. [identity]"""
    rows = [
        seen("2026-03-01T09", 20513, [66.0], first=False),
        seen("2026-03-08T09", 20520, [40.0], starter=50.0, first=False),
    ]
    (pace,) = learn(rows, by_session=True).steps.values()
    assert [one.pace_s for one in pace.by_session] == pytest.approx([55.0, 40.0])


def test_every_mark_of_a_pace_stands_at_its_seconds():
    """Dots, stitches and band from 0 at the foot to the largest at the top; sessions from left to right, evenly."""
    points = [("2026-03-01", 80.0), ("2026-03-02", 60.0), ("2026-03-09", 50.0)]
    svg = times.pace_chart(times.Paced("Sew the cross", points, 100.0, 45.0, 70.0))
    dots = floats(marks(svg, "circle", "data-pace-s", "cx", "cy"))
    assert dots == [
        pytest.approx((pace, times.ACROSS * place / 2, times.DOWN * (1 - pace / 100)), abs=1e-3)
        for place, (_, pace) in enumerate(points)
    ]
    assert [day for (day,) in marks(svg, "circle", "data-day")] == [day for day, _ in points]
    assert floats(marks(svg, "line", "data-starter-s", "y1", "y2", "x2")) == [(100.0, 0.0, 0.0, times.ACROSS)]
    (band,) = floats(marks(svg, "rect", "data-low-s", "data-high-s", "y", "height"))
    assert band == pytest.approx((45.0, 70.0, times.DOWN * 0.3, times.DOWN * 0.25), abs=1e-3)
    assert "stroke-dasharray" in re.search(r"<line data-starter[^>]*>", svg)[0]
    assert "1:20 on 2026-03-01 to 0:50 on 2026-03-09, 3 sessions; starter pace 1:40; range 0:45 to 1:10." in svg


def test_two_charts_of_paces_stand_in_a_row_on_a4():
    """Its 210 mm less two margins of 12 hold both, 8 mm apart, as the page's style says. [identity]"""
    chart = times.pace_chart(times.Paced("Mark the lines", [("2026-01-01", 60.0)], 60.0, 50.0, 70.0))
    assert 2 * float(re.search(r"--wide:([\d.]+)mm", chart)[1]) + 8 <= 210 - 2 * 12


@pytest.mark.parametrize("heights", [[0, 0, 0, 0], [30, 30, 30, 30], [1, 2, 29, 30], [14, 15, 15.5, 16], [30], [5, 20]])
def test_labels_beside_a_pace_never_touch_and_stay_beside_it(heights):
    """Whatever lies together: a letter's height and a quarter apart, none below the chart's foot, in their order."""
    from guide.show.pictures.svg import LEAST

    told = [(float(at), str(n), "") for n, at in enumerate(heights)]
    out = times._apart(told)
    assert [text for _, text, _ in out] == [text for _, text, _ in told]
    assert all(other[0] - one[0] >= LEAST * 1.25 - 1e-9 for one, other in pairwise(out))
    assert max(at for at, *_ in out) <= times.DOWN + 1e-9
    assert min(at for at, *_ in out) >= min(0.0, times.DOWN - LEAST * 1.25 * len(out))


def test_the_page_draws_the_six_steps_that_take_most_time_as_the_json_has_them(guide, workshop):
    """Three sessions at 1.5, 1.3 and 1.2 times the starter pace. Most time: a pace times its pieces, over the sessions."""
    for day, over in enumerate((1.5, 1.3, 1.2)):
        worked(DEMO, day, lambda step, over=over: step.pace_s * over)
    steps = json.loads(guide("paces", "--json").out)["steps"]
    took = {key: sum(one["pace_s"] * one["pieces"] for one in pace["by_session"]) for key, pace in steps.items()}
    six = sorted(took, key=lambda key: -took[key])[:6]
    for key in six:
        rates = [one["pace_s"] / steps[key]["starter_s"] for one in steps[key]["by_session"]]
        assert rates == pytest.approx([1.5, 1.3, 1.2], rel=1e-3)
    page = page_of(guide, "paces")
    found = [svg for svg in re.findall(r"<svg .*?</svg>", page, re.DOTALL) if "data-pace-s" in svg]
    assert len(found) == 6
    for key, svg in zip(six, found, strict=True):
        pace = steps[key]
        assert f'aria-label="{pace["title"]}:' in svg
        assert floats(marks(svg, "circle", "data-pace-s")) == [
            pytest.approx((one["pace_s"],), abs=1e-3) for one in pace["by_session"]
        ]
        assert floats(marks(svg, "line", "data-starter-s")) == [pytest.approx((pace["starter_s"],), abs=1e-3)]
        (band,) = floats(marks(svg, "rect", "data-low-s", "data-high-s"))
        assert band == pytest.approx((pace["low_s"], pace["high_s"]), abs=1e-3)
    table = page.partition('aria-label="Pace by session"')[2].partition("</table>")[0]
    cells = re.findall(r">([^<]+)</t[hd]>", table)
    rows = [cells[at : at + 7] for at in range(0, len(cells), 7)]
    assert rows[0] == ["session", *(steps[key]["title"] for key in six)]
    assert [row[0] for row in rows[1:]] == ["2026-03-01", "2026-03-02", "2026-03-03", "starter", "range"]
    for place, key in enumerate(six, 1):
        then = [exact_text(one["pace_s"], tenths=True) for one in steps[key]["by_session"]]
        assert [row[place] for row in rows[1:5]] == [*then, exact_text(steps[key]["starter_s"], tenths=True)]


def test_other_steps_are_drawn_on_request(guide, workshop):
    """By key, by title, by a part that is one's own; what is none or several is refused with their names."""
    worked(DEMO, 0, lambda step: step.pace_s)
    for name, title in (
        ("quilt/trim", "Trim the threads"),
        ("sew the cross", "Sew the cross"),
        ("piles", "Count the piles"),
    ):
        page = page_of(guide, "paces", "--step", name)
        assert re.findall(r'aria-label="([^":]+): [^"]* on 2026', page) == [title]
    for name, says in (("zip", "more than one step"), ("welding", "no step timed so far")):
        said = guide("paces", "--step", name, "--page", "x.html")
        assert (said.code, says in said.err) == (2, True)
        assert "Box the zip" in said.err
    assert "with --page" in guide("paces", "--step", "piles").err
    for option in ("--where", "--pupils"):
        assert guide("paces", option, "--page", "x.html").code == 2


def test_a_paces_page_of_nothing_says_so(guide, workshop):
    assert "No session has been timed yet" in page_of(guide, "paces")


def test_pages_stand_beside_the_sessions_and_beside_the_json(guide, workshop):
    """Without a name in the sessions' folder; with --json their path goes to stderr, the JSON alone to stdout."""
    worked(DEMO, 0, lambda step: step.pace_s)
    for command in ("history", "paces"):
        assert guide(command, "--markdown").out.strip() == f"sessions/{command}.md"
        said = guide(command, "--json", "--page", "p.html")
        assert json.loads(said.out)
        assert "p.html" in said.err


# --- stitches in a terminal


@pytest.mark.parametrize(
    ("values", "stitched", "ascii_"),
    [([1, 2, 3, 4, 5], "⎽⎼─⎻⎺", "_.-'\""), ([50, 10, 30], "⎺⎽─", '"_-'), ([7, 7], "⎽⎽", "__"), ([3], "⎽", "_")],
)
def test_the_more_the_higher_a_stitch_lies(values, stitched, ascii_):
    """Five heights from the least to the most; where all are alike all lie low. [identity]"""
    assert trend(values, STITCHED) == stitched
    assert trend(values, ASCII) == ascii_


def test_a_pace_with_a_trend_has_its_stitches_and_others_none(guide, workshop):
    """Eight days, a tenth quicker each: every step's stitches fall from the highest to the lowest, the newest eight."""
    for day in range(9):
        worked(DEMO, day, lambda step, day=day: step.pace_s * 2 * 0.9**day)
    (line,) = [
        one for one in guide("paces").out.splitlines() if one.strip().startswith("Sew the cross") and "% a day" in one
    ]
    row = re.search(r"% a day +([⎽⎼─⎻⎺]+)", line)[1]
    paces = [one["pace_s"] for one in json.loads(guide("paces", "--json").out)["steps"]["quilt/cross"]["by_session"]][
        -8:
    ]
    assert row == trend(paces, STITCHED)
    assert (len(row), row[0], row[-1]) == (8, "⎺", "⎽")
    assert [STITCHED.heights.index(one) for one in row] == sorted(
        (STITCHED.heights.index(one) for one in row), reverse=True
    )


def test_without_a_trend_there_is_no_stitch(guide, workshop):
    worked(DEMO, 0, lambda step: step.pace_s)
    worked(DEMO, 1, lambda step: step.pace_s)
    out = guide("paces").out + guide("history").out
    assert not set(out) & set("⎽⎼⎻⎺")


# --- where a price goes


def test_the_bar_of_a_price_is_the_jsons_parts_laid_end_to_end(guide, workshop):
    """Each part's width is its amount's share of the whole; the line above spans the interval. [identity]"""
    told = json.loads(guide("price", DEMO, "--json").out)
    page = page_of(guide, "price", DEMO)
    (svg,) = [one for one in re.findall(r"<svg .*?</svg>", page, re.DOTALL) if "data-part" in one]
    price, high, low = (float(one) for one in (told["price"]["paid"], told["high"], told["low"]))
    scale = times.BAR / max(price, high)
    parts = floats(marks(svg, "rect", "data-amount", "x", "width"))
    names = {
        "cost of making": "cost",
        "packing": "packing",
        "fee on the price": "fee",
        "fee each": "fee_each",
        "profit": "profit",
    }
    drawn = dict(marks(svg, "rect", "data-part", "data-amount"))
    assert {name: float(amount) for name, amount in drawn.items()} == pytest.approx(
        {name: float(told["price"][key]) for name, key in names.items()}
    )
    at = 0.0
    for amount, x, width in parts:
        assert (x, width) == pytest.approx((at, amount * scale), abs=2e-3)
        at += width
    assert at == pytest.approx(price * scale, abs=0.02)
    ((*ends, name),) = marks(svg, "line", "x1", "x2", "data-dimension")
    (x1, x2) = map(float, ends)
    assert name == "80 %"
    assert (x1, x2) == pytest.approx((low * scale, high * scale), abs=2e-3)
    assert f"four makings in five: {told['low']} to {told['high']}" in svg


def test_a_price_below_its_cost_names_the_loss_and_has_no_part_for_it(guide, workshop):
    """At 60.00 the cost alone is more: the profit is under nothing, and the stitches stand inside the bar."""
    page = page_of(guide, "price", DEMO, "--given", "60")
    (svg,) = [one for one in re.findall(r"<svg .*?</svg>", page, re.DOTALL) if "data-part" in one]
    assert "profit" not in dict(marks(svg, "rect", "data-part", "data-amount"))
    assert re.search(r">profit -\d", svg)
    x = float(re.search(r'x1="([\d.]+)"[^>]*data-line="price"', svg)[1])
    ends = [x + width for x, width in floats(marks(svg, "rect", "x", "width"))]
    assert x < max(ends)


def test_without_prices_there_is_no_bar(guide, workshop):
    bare = workshop / "sessions" / "bare" / "project.yaml"
    bare.parent.mkdir()
    bare.write_text(
        "project: Bare\nkind: throw\nclosure: none\ngrid: {across: 3, down: 3}\nsquare: 6 in\nseam: 1/2 in\n"
        "layers: {above: 1, below: 1}\nwadding: none\nprints:\n  - {name: moss check, width: 44 in}\n"
        "  - {name: oat stripe, width: 44 in}\n",
        encoding="utf-8",
    )
    page = page_of(guide, "price", str(bare.parent))
    assert "data-part" not in page
