"""Three checks protect whoever has the piece: they stay, are never put off, and a skip of one is told."""

import re

import pytest

from guide.errors import NeedsMending
from guide.follow.halting import make_safe, pins_used
from guide.follow.order import open_step
from guide.money.checklist import beginner_factors, checklist_times
from guide.money.hours import Hours
from guide.money.paces import NONE
from guide.plan.make import make_plan
from guide.read.places import workflow_files
from guide.record.model import LATER
from guide.show.pages.checklist import render_checklist
from guide.show.report import report
from guide.show.report_numbers import groups_report
from tests.follow.test_real_project import begun
from tests.plan.sums_of import THROW, WORKFLOWS, cushion, read, shipped

CHECKS = ["safety/pins", "safety/feel"]


def keys(**changes):
    return [step.key for step in make_plan(read(cushion(**changes)), shipped()).steps]


@pytest.mark.parametrize("stages", [None, ["cut", "stack"], ["wash"], ["cut", "stack", "quilt", "join", "snip"]])
@pytest.mark.parametrize("kind", [{}, THROW])
def test_whichever_stages_a_project_names_its_checks_stay(kind, stages):
    """Pins counted in, felt over by hand, and for an infant pulled: every one of them, once; none where none were used."""
    for whom, more in (("anyone", []), ("infant", ["safety/pull"])):
        for held, pins in (("spray", not kind), ("pins", True)):
            found = [
                key for key in keys(stages=stages, hold_with=held, **{"for": whom}, **kind) if key.startswith("safety/")
            ]
            assert sorted(found) == sorted([*(CHECKS if pins else ["safety/feel"]), *more])


def test_no_stage_of_a_makers_own_loses_the_count_of_pins():
    """Whatever stands in place of a shipped stage, where pins are used is worked out beside the check itself."""
    worked = make_plan(read(cushion()), shipped()).quantities
    assert {worked[name].stage for name in ("pins_used", "pins_in_blocks", "pins_in_edge")} == {"safety"}
    assert [file.name for file in WORKFLOWS.glob("*.yaml") if "hold_with: {" in file.read_text(encoding="utf-8")] == [
        "safety.yaml"
    ]


@pytest.mark.parametrize(("changes", "counted"), [({}, True), ({"edge_with": "clips"}, False), (THROW, False),
                                                  (THROW | {"hold_with": "pins"}, True)])  # fmt: skip
def test_leaving_the_table_pins_are_counted_where_any_are_used(changes, counted):
    """On the card and on paper: whoever leaves makes safe, and nobody looks for pins that never were."""
    plan = make_plan(read(cushion(**changes)), shipped())
    assert make_safe(plan) == ("foot off the pedal", "iron off", "blade shut", *(["pins counted"] if counted else []))
    assert pins_used(plan) == counted
    rows = checklist_times(plan, NONE, "10:00", beginner_factors(plan), Hours(day_s=2 * 3600))
    for fmt in ("markdown", "html"):
        page = render_checklist(report(plan, rows=rows, beginner=True, texts=True), fmt)
        nights = re.findall(r"Day \d ends here.*", page)
        assert len(nights) > 1
        assert all("off at the wall, blades shut" in one and (", pins counted." in one) == counted for one in nights)
        breaks = re.findall(r"\d+\s+min\s+break\..*", page)
        assert len(breaks) > 1
        assert all("Foot off the pedal, iron off, blade shut." in one for one in breaks)


def test_the_table_of_numbers_has_no_yes_and_no_of_pins():
    """What the checks work out for themselves is none of a maker's sizes and counts."""
    titles = [group.title for group in groups_report(make_plan(read(cushion()), shipped()))]
    assert "Sizes" in titles
    assert "Safe to hand over" not in titles


def at_check(key):
    """The demo's session with this check open."""
    session, clock = begun()
    for _ in range(400):
        clock.run(400_000)
        step, question = open_step(session.plan, session.record), session.desk.ask
        if question is not None and question.about == "count_in":
            typed(session, clock, "0 0")
        elif question is not None:
            session.press("enter")  # a size that nobody took
        elif step is not None and step.key == key:
            return session, clock
        else:
            session.press("a" if step else "space")
    raise AssertionError(key)


def typed(session, clock, text):
    for letter in text:
        clock.run(500)
        session.press("space" if letter == " " else letter)
    session.press("enter")


def test_the_pins_are_typed_out_and_in_before_the_step_is_done():
    """Both numbers are kept with the step; one short, or no number, leaves the question open [identity]."""
    session, clock = at_check("safety/pins")
    clock.run(60_000)
    session.press("space")
    assert session.desk.ask.about == "count_in"
    for text, said in (("24", "Two numbers"), ("24 22", "2 short"), ("24 25", "1 more than went out")):
        typed(session, clock, text)
        assert said in session.desk.said
        assert session.record.step("safety/pins").state == "open"
        for _ in text:
            session.press("backspace")
    typed(session, clock, "24, 24")
    done = session.journal.events[-1]
    assert (done.what, done.step, done.text) == ("step_done", "safety/pins", "24 out, 24 in")
    assert [one.text for one in session.record.remarks if one.step == "safety/pins"] == ["24 out, 24 in"]


@pytest.mark.parametrize("key", CHECKS)
def test_a_check_offers_no_later_and_takes_no_empty_reason(key):
    """Neither by number, nor by the big key, nor in own words."""
    session, clock = at_check(key)
    session.press("s")
    assert LATER not in session.desk.ask.choices
    assert "default" not in session.desk.ask.data
    clock.run(1_000)
    session.press("space")
    assert session.record.step(key).state == "open"
    session.press("s")
    typed(session, clock, LATER)
    assert "not put off" in session.desk.said
    assert session.record.step(key).state == "open"
    for _ in LATER:
        session.press("backspace")
    typed(session, clock, "we used clips")
    assert (session.record.step(key).state, session.record.step(key).why) == ("skipped", "we used clips")


def test_other_steps_are_skipped_as_before():
    """Without a reason, and to be done later, where nothing hangs on it."""
    session, _ = begun()
    session.press("s")
    assert session.desk.ask.data["default"] == ""


def test_a_file_of_ones_own_takes_no_checks_place(tmp_path):
    """It is refused by its place, with what to write instead; a check of one's own stands beside them."""
    (tmp_path / "workflows").mkdir()
    file = tmp_path / "workflows" / "safety.yaml"
    file.write_text("stage: safety\ntitle: Nothing\n", encoding="utf-8")
    with pytest.raises(NeedsMending, match="safety: true at checks of your own"):
        workflow_files(tmp_path, {})
    file.rename(file.with_name("mine.yaml"))
    file.with_name("mine.yaml").write_text(
        "stage: mine\ntitle: Mine\nsteps: [{id: look, title: Look, pace: 1 min, do: Look., safety: true}]\n",
        encoding="utf-8",
    )
    own = make_plan(read(cushion(stages=["cut"]), file.with_name("mine.yaml")), shipped(file.with_name("mine.yaml")))
    assert {"mine/look", *CHECKS} <= {step.key for step in own.steps}
