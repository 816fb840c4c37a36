"""Every kind of project has its pages: throws, envelopes, plain backs, no wadding, metric, batches, cot quilts."""

import re

import pytest

from guide.plan.make import make_plan
from guide.read.places import language_for, open_project
from guide.read.project import read_project
from guide.show.pages import render_checklist, render_log, render_plan, render_quote, render_sheet, render_tickets
from guide.show.pages.step_art import step_pictures
from guide.show.report import report
from tests.show import samples
from tests.show.demo import DEMO
from tests.show.pages_read import Page

KINDS = {  # top-level keys of the demo, and what they say instead (None: left out)
    "envelope": {"closure": "{type: envelope, overlap: 4 in, hem: 1 in, double_hem: true}"},
    "plain back": {"back": "{plain: clay dot}"},
    "zip along a column": {"closure": "{type: zip, after_column: 1}"},
    "no wadding": {"wadding": "none"},
    "six at once": {"make": "6"},
    "metric": {"units": "metric"},
    "american": {"words": "american"},
    "for an infant": {"for": "infant"},
    "plus": {"quilting": "plus"},
    "not quilted": {"quilting": "none"},
    "throw": {
        "kind": "throw", "closure": "none", "back": None, "pad": None, "extras": None, "grid": "{across: 6, down: 8}",
    },
}  # fmt: skip


def planned(name):
    text = (DEMO / "project.yaml").read_text().replace(", at_most: 20", "")
    for key, value in KINDS[name].items():
        line = "" if value is None else f"{key}: {value}\n"
        text, count = re.subn(rf"^{key}:.*\n(?:[ -].*\n)*", line, text, flags=re.MULTILINE)
        assert count == 1, f"the demo no longer has a key {key!r}"
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
    assert all(step["title"] in text for step in full["steps"])
    assert len(full["steps"]) == len(plan.steps)


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
    drawn = step_pictures(full)
    assert ("zip" in drawn) == (name not in {"envelope", "throw"})
    assert ("envelope" in drawn) == (name == "envelope")
    assert ("quilting" in drawn) == (name != "not quilted")
    assert ("wadding" in str(drawn["stack"])) == (name != "no wadding")
    assert {"front", "back", "stack", "seam", "snips", "crossing"} <= set(drawn)


def test_the_cutting_picture_holds_every_piece(made):
    """As many parts are drawn as the plan places, over all the pieces of cloth."""
    from guide.show.pages.step_art import cutting_pictures

    _, plan, full = made
    placed = sum(len(cloth.placements) for cutting in plan.cutting for cloth in cutting.cloths)
    assert sum(str(one["picture"]).count("data-part=") for one in cutting_pictures(full)) == placed


def test_an_upright_zip_stands_on_the_right_column_of_the_back_as_seen():
    """[identity] After column 1 of 4, the back seen mirrored has it after column 3."""
    from guide.show.pages.illustrate import zip_place

    assert zip_place(report(planned("zip along a column"))) == (3, True)


def test_a_narrow_panel_shows_in_the_log_with_what_hangs_from_it():
    """[identity] 3/4 in narrow: the zip is cut 3/4 in shorter, the outer seam runs 1 1/2 in less, each beside its plan."""
    opened = open_project(DEMO, {})
    first = make_plan(opened.project, opened.language)
    width = first.quantities["panel_width"].value
    then = make_plan(opened.project, opened.language, {"panel_width": width - 19.05})
    full = report(then, samples.record(first), first=first, texts=True)
    text = Page(render_log(full)).text
    for row in ("zip cut 19 in 18 1/4 in", "outer seam 70 in 68 1/2 in", "zip opening 18 in 17 1/4 in"):
        assert row in text
    assert "| zip cut | 19 in | **18 1/4 in** |" in render_log(full, "markdown")


def test_an_american_maker_reads_american_words_in_text_and_pictures():
    """`words: american`: zipper and batting everywhere on the checklist; the maker's own title is left alone."""
    plan = planned("american")
    full = samples.full_report(plan, rec=samples.record(plan))
    page = render_checklist(full)
    text = Page(page.replace(full["project"]["title"], "")).text.lower()
    assert "zipper" in text
    assert "batting" in text
    assert not re.search(r"\bzip\b|\bwadding\b", text)
    assert full["project"]["title"] == "Window seat cushion"
    assert f"<h1>{full['project']['title']}</h1>" in page
