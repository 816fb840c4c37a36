"""Every kind of project has its pages: throws, envelopes, plain backs, no wadding, metric, batches, quilts for a child."""

import re

import pytest
from msgspec.structs import replace

from guide.plan.make import make_plan
from guide.read.places import language_for, open_project
from guide.read.project import read_project
from guide.read.stage_keys import CAUTIONS
from guide.show.pages.checklist import LARGE, render_checklist
from guide.show.pages.log import render_log
from guide.show.pages.plan import render_plan, render_sheet
from guide.show.pages.price import render_price, render_quote, render_tickets
from guide.show.pages.step_art import art_of, step_pictures
from guide.show.report import report
from guide.show.report_cautions import SENTENCES
from tests.show import samples
from tests.show.demo import DEMO
from tests.show.pages_read import Page, blanks

KINDS = {  # top-level keys of the demo, and what they say instead (None: left out)
    "envelope": {"closure": "{type: envelope, overlap: 4 in, hem: 1 in, double_hem: true}"},
    "plain back": {"back": "{plain: clay dot}"},
    "zip along a column": {"closure": "{type: zip, after_column: 1}"},
    "no wadding": {"wadding": "none"},
    "six at once": {"make": "6"},
    "metric": {"units": "metric"},
    "american": {"words": "american"},
    "for an infant": {"for": "infant"},
    "for a child": {"for": "child"},
    "washed first": {"washed_first": "true"},
    "plus": {"quilting": "plus"},
    "not quilted": {"quilting": "none"},
    "throw": {
        "kind": "throw", "closure": "none", "back": None, "pad": None, "extras": None, "grid": "{across: 6, down: 8}",
    },
}  # fmt: skip


def planned(name):
    return plan_of(KINDS[name])


def plan_of(changes):
    """The plan of the demo with other top-level keys; None leaves one out."""
    text = (DEMO / "project.yaml").read_text(encoding="utf-8").replace(", at_most: 20", "")
    for key, value in changes.items():
        line = "" if value is None else f"{key}: {value}\n"
        text, count = re.subn(rf"^{key}:.*\n(?:[ -].*\n)*", line, text, flags=re.MULTILINE)
        assert count == 1 or (value and not count), (
            f"the demo no longer has a key {key!r} to leave out, or has it twice"
        )
        text += "" if count else line
    language = language_for(DEMO, {})
    project, loaded = read_project(text, "project.yaml", language.stages)
    assert project is not None, [str(problem) for problem in loaded.problems]
    return make_plan(project, language)


@pytest.fixture(scope="module", params=sorted(KINDS))
def made(request):
    plan = planned(request.param)
    return request.param, plan, samples.full_report(plan, rec=samples.record(plan))


def test_every_page_of_every_kind_is_made(made):
    """Both forms of each page render whole, with the steps of that kind on them."""
    _, plan, full = made
    for render in (render_log, render_plan, render_checklist, render_sheet, render_quote, render_tickets):
        assert Page(render(full)).text
        assert render(full, "markdown").startswith("# ")
    text = Page(render_checklist(full)).text
    assert all(step.title in text for step in full.steps)
    assert len(full.steps) == len(plan.steps)


def test_no_page_shows_a_hole(made):
    """Nothing that does not apply, no None, no template left over reaches a maker's eye."""
    _, _, full = made
    for render in (render_log, render_plan, render_checklist, render_sheet):
        text = Page(render(full)).text
        assert "does not apply" not in text
        assert not re.search(r"\bNone\b|\{\{|\}\}|\bnan\b", text)


def test_pictures_are_those_of_the_kind(made):
    """A zip is drawn where there is one, an envelope where there is one, a wadding where there is one."""
    name, _, full = made
    assert ("wadding" in str(step_pictures(full)["stack"])) == (name != "no wadding")
    assert {"front", "back", "stack"} <= set(step_pictures(full))
    steps = set(art_of(full))
    assert ("closure/zip_box" in steps) == (name not in {"envelope", "throw"})
    assert ("closure/envelope_hem" in steps) == (name == "envelope")
    assert ("quilt/trim" in steps) == (name != "not quilted")
    assert {"join/rows", "join/panel", "snip/rows", "snip/crossings"} <= steps


@pytest.mark.parametrize("large", [False, True])
def test_every_picture_of_a_step_is_high_enough_to_be_read_on_paper(made, large):
    """[practice] 35 mm or more but for a strip of cloth, on cards and in large print, where all is printed 1.53 as large."""
    least = {True: 35 / LARGE if large else 35, False: 15}
    for name, drawn in art_of(made[2], large=large).items():
        for svg in re.findall(r"<svg.*?</svg>", drawn if "/" in name else ""):
            wide = float(re.search(r"--wide:([\d.]+)mm", svg)[1])
            _, _, across, high = map(float, re.search(r'viewBox="([^"]+)"', svg)[1].split())
            assert high * wide / across >= least["data-cloth" not in svg], name


def test_the_cutting_picture_holds_every_piece(made):
    """As many parts are drawn as the plan places, over all the pieces of cloth."""
    from guide.show.pages.step_art import cutting_pictures

    _, plan, full = made
    placed = sum(len(cloth.placements) for cutting in plan.cutting for cloth in cutting.cloths)
    assert sum(str(one.picture).count("data-part=") for one in cutting_pictures(full)) == placed


def test_a_narrow_panel_shows_in_the_log_with_what_hangs_from_it():
    """[identity] 3/4 in narrow: the zip is cut 3/4 in shorter, the outer seam runs 1 1/2 in less, each beside its plan."""
    opened = open_project(DEMO, {})
    first = make_plan(opened.project, opened.language)
    width = first.quantities["panel_width"].value
    then = make_plan(opened.project, opened.language, {"panel_width": width - 19.05})
    full = report(then, samples.record(first), first=first, texts=True)
    text = Page(render_log(full)).text
    for row in ("zip as cut 19 in 18 1/4 in", "outer seam all round 70 in 68 1/2 in", "opening 18 in 17 1/4 in"):
        assert row in text
    assert "| zip as cut | 19 in | 18 1/4 in |" in blanks(render_log(full, "markdown"))


def test_an_american_maker_reads_american_words_in_text_and_pictures():
    """`words: american`: zipper and batting everywhere on the checklist; the maker's own title is left alone."""
    plan = planned("american")
    full = samples.full_report(plan, rec=samples.record(plan))
    page = render_checklist(full)
    text = Page(page.replace(full.project.title, "")).text.lower()
    assert "zipper" in text
    assert "batting" in text
    assert not re.search(r"\bzip\b|\bwadding\b", text)
    assert full.project.title == "Window seat cushion"
    assert f"<h1>{full.project.title}</h1>" in page


def text_of(name, render):
    plan = planned(name)
    return Page(render(samples.full_report(plan, rec=samples.record(plan)))).text


def test_a_throw_s_ticket_has_neither_pad_nor_closure():
    """Only a cushion has a pad whose label stays, and only what shuts is photographed open and shut. [practice]"""
    throw = text_of("throw", render_tickets)
    assert "pad" not in throw.lower()
    assert "closure" not in throw
    cushion = text_of("envelope", render_tickets)
    assert "pad's own label" in cushion
    assert "closure, open and shut" in cushion


def test_the_warning_for_an_infant_hangs_on_the_piece_itself():
    """On the swing ticket and on the care slip. [source] AAP 2022; NHS safer sleep"""
    assert text_of("for an infant", render_tickets).count("under one") == 2
    assert "under one" not in text_of("throw", render_tickets)


@pytest.mark.parametrize("fmt", ["html", "markdown"])
def test_the_care_slip_says_what_the_buyer_has_to_mind(fmt):
    """Fire for every piece [practice]; small parts and long threads too where it is for an infant. [memory: CPSC]"""
    for name, infant in (("throw", False), ("for an infant", True)):
        plan = planned(name)
        text = render_tickets(samples.full_report(plan, rec=samples.record(plan)), fmt)
        assert "A frayed cotton edge catches and burns fast" in text
        assert ("No buttons, beads or loose pulls" in text) == infant
        assert ("Long threads can wind round small fingers" in text) == infant


@pytest.mark.parametrize("fmt", ["html", "markdown"])
@pytest.mark.parametrize("whom", ["anyone", "child", "infant"])
def test_a_child_s_quilt_is_for_floor_or_lap_and_only_an_infant_s_speaks_of_sleep(whom, fmt):
    """Ages said on every page a buyer or a maker reads. [source] AAP 2022; NHS safer sleep [memory] CPSC"""
    plan = plan_of(KINDS["throw"] | {"for": whom})
    full = samples.full_report(plan, rec=samples.record(plan))
    for render in (render_tickets, render_quote, render_checklist):
        text = render(full, fmt)
        assert ("A quilt for a child is for floor or lap" in text) == (whom != "anyone"), render
        assert ("children under three" in text) == (whom != "anyone"), render
        assert ("sleep space of a child under one" in text) == (whom == "infant"), render


def test_every_caution_a_step_may_name_has_its_sentence_and_every_sentence_is_asked_for():
    """None falls silent, and none is written for nobody."""
    of_pages = {"lap", "selling"}
    assert set(SENTENCES) == {*CAUTIONS, *of_pages}


def test_the_care_slip_does_not_contradict_itself():
    """Alone the first time, with like colours after: never both of one wash."""
    text = text_of("envelope", render_tickets)
    assert "the first time alone and in a laundry bag, later with like colours" in text
    assert "Wash it alone" not in text


@pytest.mark.parametrize("name", ["throw", "envelope"])
def test_nylon_is_spoken_of_only_where_there_is_a_zip(name):
    """No zip, no nylon: neither in cautions nor in steps."""
    for render in (render_plan, render_checklist, render_sheet, render_log):
        assert "nylon" not in text_of(name, render).lower()
    assert "Nylon melts: the iron's tip only" in text_of("plain back", render_checklist)


def test_the_unpicker_has_a_caution_of_its_own():
    """At the tacking nobody cuts with a blade that shuts."""
    (step,) = [step for step in planned("plain back").steps if step.id == "zip_unpick"]
    assert step.cautions == ("unpicker",)


def test_a_size_is_said_to_be_before_or_after_the_wash():
    """The checklist's two sizes are named, and the washed one is the ticket's."""
    text = text_of("plus", render_checklist)
    assert "as sewn, before washing" in text
    assert "washed, about" in text
    assert re.search(r"\bfinished\b", text.split("Before you start")[0]) is None


def test_pieces_are_counted_in_the_plural():
    """`of 3 cloths`, `of 3 strips`, `of 12 stacks`; one stays one."""
    sheet = text_of("envelope", render_sheet)
    assert re.search(r"of 3 (cloths|strips|piles)", sheet)
    assert not re.search(r"of (?:[2-9]|\d\d) (?:cloth|strip|pile|stack|block|seam|edge)\b", sheet)


def test_the_run_sheet_shows_how_a_size_and_a_note_are_typed_in():
    """The example it prints is for its own first measuring step, and is taken as it stands."""
    from guide.record.enter import Paced, enter
    from guide.record.model import Reading

    plan = planned("plus")
    line = re.search(r'"(step \d+, 16:30[^"]*)"', text_of("plus", render_sheet))
    steps = [Paced(one.key, one.pieces, one.piece, one.pace_s, measure=one.measure or "") for one in plan.steps]
    record = samples.record(plan)
    record.steps = {}
    now = Reading(samples.T0 + 40_000_000, 60, 0, 0, "b")
    told = enter(line[1], steps, record, now)
    (size,) = [one for one in told if one["what"] == "measured"]
    assert (size["name"], size["mm"]) == ("panel_width", pytest.approx(plan.quantities["panel_width"].value))
    assert "a little narrow" in {one.get("text") for one in told}


BRITISH = re.compile(r"\b(wadding|zips?|cushions?|pads?|tack(?:ing|ed|s)?|unpickers?|colours?|centre|metres?)\b", re.I)


@pytest.mark.parametrize(
    "render", [render_plan, render_checklist, render_sheet, render_log, render_tickets, render_price]
)
def test_american_words_are_american_on_every_page(render):
    """`words: american`: batting, zipper, pillow, baste on every page; only what the maker wrote stays."""
    text = text_of("american", render).replace("Window seat cushion", "").replace("cushion pad", "")
    text = text.split("Every number")[0]  # names in formulas are names, the same in every project
    assert BRITISH.findall(text) == []


@pytest.mark.parametrize("fmt", ["html", "markdown"])
def test_a_checklist_of_several_days_says_where_each_begins(fmt):
    """A day that ends, the next at the start given, and nobody sews at night."""
    from guide.money.checklist import beginner_factors, checklist_times
    from guide.money.hours import Hours
    from guide.money.paces import NONE

    plan = planned("throw")
    rows = checklist_times(plan, NONE, "09:30", beginner_factors(plan), Hours(day_s=5 * 3600))
    text = render_checklist(report(plan, rows=rows, beginner=True, texts=True), fmt)
    days = rows[-1].day
    assert days > 1
    shown = Page(text).text if fmt == "html" else text
    assert all(f"Day {day}" in shown for day in range(2, days + 1))
    assert "next day" not in shown
    assert "goes on" in shown
    times = [int(h) * 60 + int(m) for h, m in re.findall(r"<time>(\d\d):(\d\d)</time>", text)]
    assert all(9 * 60 + 30 <= at <= 14 * 60 + 30 + 120 for at in times)


@pytest.mark.parametrize("fmt", ["html", "markdown"])
@pytest.mark.parametrize(
    ("start", "wait_s", "end"),
    [
        ("10:00", 0.0, "11:00"),
        ("23:30", 0.0, "00:30 on day 2"),  # past midnight, of the first day's work
        ("10:00", 7 * 86_400.0, "11:00 on day 8"),  # a wait of a week
    ],
)
def test_a_checklist_that_ends_on_another_day_says_on_which(fmt, start, wait_s, end):
    """One hour's work from the start, and a wait besides [identity]; never a number of days behind a plus."""
    from guide.money.checklist import checklist_times
    from guide.money.hours import Hours
    from guide.money.paces import NONE

    of = planned("throw")
    hour = replace(of.steps[0], pieces=1, pace_s=3600.0, waits_s=wait_s or None)
    rows = checklist_times(replace(of, steps=(hour,)), NONE, start, hours=Hours(break_s=0.0, meal_s=0.0))
    full = report(replace(of, steps=(hour,)), rows=rows, texts=True)
    assert full.day.end_text == end
    text = render_checklist(full, fmt)
    assert (end if fmt == "markdown" else f"<b>{end}</b>") in text
    assert not re.search(r"\d \+\d", text)


def test_nothing_is_counted_that_there_is_none_of():
    """A throw has no back: no line says `0 for the back`."""
    for render in (render_checklist, render_sheet):
        assert not re.search(r"\b0 for the back", text_of("throw", render))
    assert "12 for the back" in text_of("plus", render_checklist)
