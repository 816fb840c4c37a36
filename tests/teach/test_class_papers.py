"""The papers of a class: what hangs on the wall, lies at each seat, and goes into the bags, held against the plan."""

import json
import re
from itertools import pairwise

import pytest

from guide.plan.layout.panels import squares_needed
from guide.show.report_cautions import caution
from guide.teach.work import shopping
from tests.show.pages_read import Page, blanks
from tests.teach.papers import made

PATCH = re.compile(r'data-station="(\w+)" data-start-s="([\d.]+)" data-end-s="([\d.]+)"')


def parts(page):
    """A Markdown page under its second headings."""
    found = re.split(r"(?m)^## (.+)$", blanks(page))
    return dict(zip(found[1::2], found[2::2], strict=True))


def test_a_seat_s_sheet_has_its_own_times_and_no_other():
    """Every window of the plan is a row of its seat's sheet; a change that comes at once stands in its step's."""
    one = made()
    numbers = {step.key: step.number for sheet in one.told.seats for step in sheet.report.steps}
    page = blanks(one.page("markdown", papers=["seats"]))
    changed = 0
    for seat in one.planned.plan.seats:
        text = page.partition(f"## {seat.name}\n")[2].partition(f"## At home, {seat.name}")[0]
        rows = re.findall(r"(?m)^\| (\d\d:\d\d) to (\d\d:\d\d) \| (\d+)\\?\. (.+?) \| (.*?) \|$", text)
        work = [window for window in seat.windows if window.kind == "work"]
        changes = {w.end_s: w.start_s for w in seat.windows if w.kind == "change"}
        assert len(rows) == len(work)
        for window, (start, end, number, what, where) in zip(work, rows, strict=True):
            assert (start, end) == (one.told.at(changes.get(window.start_s, window.start_s)), one.told.at(window.end_s))
            assert (int(number), what.startswith(window.title)) == (numbers[window.step], True)
            assert ("oot and thread first" in what) == (window.start_s in changes)
            assert where == (f"machine {seat.machine}" if window.station == "machine" else window.station)
            changed += window.start_s in changes
        assert f"- **{seat.machine}** your machine" in text
    assert changed


def test_a_seat_s_sheet_has_a_box_for_each_piece():
    """[identity] the boxes of a step's windows are its pieces."""
    one = made()
    seat = one.told.seats[1]
    text = blanks(one.page("markdown", papers=["seats"])).partition(f"## {seat.name}\n")[2].partition("## At home")[0]
    boxes = {}
    for number, what in re.findall(r"(?m)^\| [\d:]+ to [\d:]+ \| (\d+)\\?\. (.+?) \|", text):
        boxes[int(number)] = boxes.get(int(number), 0) + what.count("☐")
    asked = {step.number: step.pieces for step in seat.report.steps if step.number in boxes and step.count != "none"}
    assert {12, 9, 2} <= set(asked.values())
    assert {number: boxes[number] for number in asked} == asked


def test_what_is_done_while_waiting_stands_in_its_row():
    """Every wait of a minute or more with something to do; as many nods and breaks as the plan has."""
    one = made()
    page = blanks(one.page("markdown", papers=["seats"]))
    for seat in one.planned.plan.seats:
        text = page.partition(f"## {seat.name}\n")[2].partition(f"## At home, {seat.name}")[0]
        waits = [w for w in seat.windows if w.kind == "wait" and w.end_s - w.start_s >= 60]
        rows = re.findall(r"(?m)^\| [\d:]+ to [\d:]+ \| Wait .*(?:Meanwhile: |Trim loose threads)", text)
        assert len(rows) == len(waits) > 0
        assert text.count("| Break. ") == len(one.planned.plan.breaks)
        assert text.count("Show it to the tutor") == sum(w.kind == "nod" for w in seat.windows)


def test_pieces_on_a_sheet_follow_each_other_without_a_gap():
    """A step that a break cuts goes on with the next piece, and its last window ends with the last one."""
    one = made()
    cut = 0
    for sheet in one.told.seats:
        spans = {}
        for window in sheet.report.day.rows:
            if window.step:
                spans.setdefault(window.row.key, []).append(
                    (window.row.pieces, window.row.finished, window.step.pieces)
                )
        for rows in spans.values():
            assert rows[0][0][0] == 1
            assert all(other[0][0] - one[0][1] in {0, 1} for one, other in pairwise(rows))
            assert not rows[-1][1] or rows[-1][0][1] == rows[-1][2]
            cut += len(rows) > 1
    assert cut


def test_the_home_sheet_says_filter_fire_and_threads_first_and_whole():
    """[source] the sentences are those of the stage files' cautions; nothing else stands before them."""
    sheets = parts(made().page("markdown", papers=["seats"]))
    home = sheets["At home, seat 2"].strip().split("\n")
    said = [caution(name, "british") for name in ("lint", "fire", "threads")]
    assert [line.removeprefix("- ▲ ") for line in home[:3]] == said
    left = re.findall(r"(?m)^\| (\d+)\\?\. (.+?) \|", sheets["At home, seat 2"])
    (seat,) = (one for one in made().planned.plan.seats if one.name == "seat 2")
    steps = {step.number: step for step in made().told.seats[1].report.steps}
    assert all(what.startswith(steps[int(number)].title) for number, what in left)
    washing = {step.key for step in steps.values() if step.stage == "wash"}
    assert {steps[int(number)].key for number, _ in left} == set(seat.home_keys) | washing


def test_every_caution_of_a_step_stands_once_and_whole_before_the_first_step():
    """On each seat's sheet those of its steps in class, on its home sheet those of its steps at home."""
    one = made()
    text = blanks(one.page("markdown", papers=["seats"]))
    for seat, sheet in zip(one.planned.plan.seats, one.told.seats, strict=True):
        here, _, home = text.partition(f"## {seat.name}\n")[2].partition(f"## At home, {seat.name}\n")
        home = home.partition("## Washing, from then on")[0]
        in_class = {w.step for w in seat.windows if w.kind == "work"}
        at_home = {window.step.key for window in sheet.home}
        for part, keys in ((here, in_class), (home, at_home)):
            asked = {name for step in one.one.steps if step.key in keys for name in step.cautions}
            assert asked
            for name in asked:
                said = f"- ▲ {caution(name, 'british')}\n"
                assert part.count(said) == 1, (seat.name, name)
                assert part.index(said) < part.index("\n|"), (seat.name, name)
        if any(w.kind == "change" for w in seat.windows):
            assert here.partition("- ▲ ")[2].startswith(caution("plug", "british"))  # before the first of them


def test_cards_say_how_each_step_is_done_and_are_printed_only_where_asked_for():
    """Every step of a seat with what to do and its cautions; none of it on what is printed otherwise."""
    one = made()
    text = blanks(one.page("markdown", papers=["cards"]))
    for sheet in one.told.seats:
        mine = text.partition(f"## Cards, {sheet.name}\n")[2].partition("## Cards, ")[0]
        for step in sheet.report.steps:
            assert f"{step.number}. {step.title}" in mine, (sheet.name, step.key)
            assert all(caution(name, "british") in mine for name in step.cautions), (sheet.name, step.key)
    assert text.count("Good enough: ") > one.page("markdown").count("Good enough: ")
    assert "Good enough" not in one.page("markdown", papers=["seats"])
    assert "Cards, seat 2" not in one.page("markdown")


def test_the_wall_chart_shows_no_more_at_a_station_than_there_are():
    """Read back from the picture: patches at one station at once are never more than its places."""
    one = made()
    found = PATCH.findall(one.page(papers=["wall"]))
    assert {station for station, _, _ in found} >= {"machine", "iron", "table"}
    for name, count in one.planned.plan.stations.items():
        spans = [(float(a), float(b)) for station, a, b in found if station == name]
        for moment, _ in spans:
            assert sum(a <= moment < b for a, b in spans) <= count, (name, moment)
    worked = sum(
        w.end_s - w.start_s
        for s in one.planned.plan.seats
        for w in s.windows
        if w.kind in {"work", "practice", "change"}
    )
    assert sum(float(b) - float(a) for _, a, b in found) == pytest.approx(worked)


@pytest.mark.parametrize(("now", "lines"), [(None, 0), (-600.0, 0), (4000.0, 1), (11_000.0, 0), (90_000.0, 0)])
def test_now_is_sewn_across_the_chart_while_the_class_runs(now, lines):
    """Not before, not in the hour between (13:00 is 10,800 s after 10:00 [identity]), not after."""
    assert made().page(papers=["wall"], now_s=now).count('data-line="now"') == lines


def test_the_tutor_s_sheet_names_every_nod_demo_and_break():
    """As many nods as the plan books, at their times."""
    one = made()
    needs = [[cell.text for cell in row.cells] for group in one.told.needs.groups for row in group]
    nods = [booked for booked in one.planned.plan.tutor if booked.seat]
    assert nods
    for booked in nods:
        there = [where for start, _, where, what in needs if start == one.told.at(booked.start_s) and "nod" in what]
        assert any(one.told.seats[booked.seat - 1].name in where for where in there)
    starts, _, _, whats = zip(*needs, strict=True)
    assert whats.count("Break") == len(one.planned.plan.breaks)
    assert "Show: Sew the cross" in whats
    assert list(starts) == sorted(starts)


def test_kits_are_alike_and_what_is_cut_for_all_fills_them():
    """[identity] 3 seats and one spare: four kits; a print that is scarce is shared out, ready squares are counted."""
    one = made()
    assert (one.count, one.spare) == (4, 1)
    each, whole = squares_needed(one.one.layout, one.one.backing, 1), squares_needed(one.all.layout, one.all.backing, 4)
    assert {name: 4 * count for name, count in each.items()} == whole
    assert [block.stack for block in one.one.layout.blocks] == [block.stack for block in one.all.layout.blocks]
    assert whole["clay dot"] <= 20  # the example's file allows no more of it
    (kit,) = one.told.kits
    held = {what: int(many.removesuffix(" ×")) for many, what in kit.holds}
    for name, count in each.items():
        assert held[f"{name}, square, 6 in × 6 in"] == count
    cut = {c.material: sum(p.count for p in c.parts if p.name == "square") for c in kit.all.cutting}
    ready = {r.material: r.count for r in kit.all.ready}
    assert {name: cut.get(name, 0) + ready.get(name, 0) for name in whole} == whole


def test_every_kit_has_a_new_needle_of_each_kind_and_a_spool_of_its_own():
    """[identity] four kits: four of each needle, four spools, four zips on the list."""
    one = made()
    from guide.teach.work import Kits

    lines = {line.item: line.quantity for line in shopping([Kits("p", 4, 1, one.one, one.all)], one.course)}
    assert lines["needle 90/14"] == lines["needle 100/16"] == lines["needle 80/12"] == "4"
    assert lines["thread"] == "4"
    assert lines["zip, 22 in"] == "4"
    assert len(one.told.labels) == 4
    assert [label.name for label in one.told.labels] == ["A. B.", "seat 2", "seat 3", "spare"]


def test_cloth_that_the_seats_cut_themselves_lies_in_the_bag_whole():
    """Nothing prepared: a kit holds lengths of cloth, and the sheet begins with the cutting."""
    one = made(prepared="")
    (kit,) = one.told.kits
    assert any(what == "moss check" and many.endswith("yd") for many, what in kit.holds)
    assert not any("square" in what for _, what in kit.holds)
    assert one.told.seats[0].report.steps[0].stage == "cut"


@pytest.mark.parametrize("poison", ["<script>alert(1)</script>", "**[x](javascript:1)**"])
def test_names_come_out_as_plain_letters(poison):
    """Whatever a seat is called: no element of it in HTML, no mark of it in Markdown."""
    name = json.dumps(poison[:24])
    page = Page(made(name=name).page())
    assert poison[:24] in page.text
    assert "script" not in {tag for tag, _ in page.elements}
    assert not page.unclosed
    assert not re.search(r"(?<!\\)\](?=\()", made(name=name).page("markdown"))


@pytest.mark.parametrize("papers", [["wall"], ["seats"], ["tutor"], ["kits"], ["cards"]])
def test_one_kind_alone_is_a_whole_page(papers):
    """Only what was asked for is on it, and every element is closed."""
    one = made()
    page = Page(one.page(papers=papers))
    heads = {
        "wall": "Saturday 6 March",
        "seats": "At home, seat 2",
        "tutor": "The tutor’s sheet",
        "kits": "Labels for the bags",
        "cards": "Cards, seat 2",
    }
    assert {kind for kind, head in heads.items() if head in page.text} == set(papers)
    assert not page.unclosed
