"""One report: what JSON, pages and tables print is the plan's and the record's figures."""

import json
from pathlib import Path

import msgspec
import pytest

from guide.money.model import Row
from guide.plan.parts import letter
from guide.record.clock import exact_text
from guide.show.model import Moment
from guide.show.model_plan import StepPace
from guide.show.report import plain_report, plan_report, report
from guide.show.report_day import _decisions
from tests.show import samples


def test_the_plan_report_is_plain_json():
    """Numbers in mm and s, plain containers only."""
    out = plain_report(report(samples.plan(), samples.record(samples.plan())))
    assert json.loads(json.dumps(out)) == out


def test_a_sum_says_its_formula_and_where_it_stands():
    """[identity] 6 in − 2 · 1/2 in = 5 in = 127 mm."""
    row = plain_report(plan_report(samples.plan()))["quantities"]["pitch"]
    assert row == {
        "value": pytest.approx(127.0), "unit": "mm", "text": "5 in", "formula": "formula of pitch",
        "from": "workflows/cut.yaml:9", "stage": "cut", "label": "pitch",
    }  # fmt: skip


def test_an_input_is_shown_as_it_was_written():
    """An input has no formula and points at the project's own line."""
    row = plain_report(plan_report(samples.plan()))["quantities"]["square"]
    assert (row["text"], row["formula"], row["from"]) == ("6 in", None, "project.yaml:6")


def test_what_can_be_measured_says_what_it_was_planned_at():
    """Measured 3/4 in narrow: value is the measure, planned stays. [identity] 21 − 3/4 = 20 1/4."""
    plan = samples.plan()
    whole = plan.quantities["panel_width"]
    narrow = msgspec.structs.replace(whole, value=whole.value - 19.05, measured=True, planned=whole.value)
    narrower = msgspec.structs.replace(plan, quantities=plan.quantities | {"panel_width": narrow})
    row = plain_report(plan_report(narrower))["quantities"]["panel_width"]
    assert (row["text"], row["measured"], row["planned_text"]) == ("20 1/4 in", True, "21 in")


def test_a_name_that_does_not_apply_is_null_and_says_so():
    """A cushion with a zip has no envelope."""
    row = plain_report(plan_report(samples.plan()))["quantities"]["envelope_length"]
    assert (row["value"], row["text"]) == (None, "does not apply")


def test_every_key_of_the_published_example_is_there():
    """The shape of `guide plan --json` is stable: a report has at least these keys, under these names."""
    wanted = {
        "": "format project quantities layout backing cutting shopping steps forecast cost cautions",
        "project": "title kind make units file",
        "layout": "across down seed blocks front_matches back_matches diagonal_matches outcome",
        "forecast": "hands_on_s waiting_s from",
    }
    rows = {
        "steps": "key stage title pieces piece pace_s waits_s",
        "cutting": "material use_mm buy_mm bound_mm cuts ruler_settings cloths left_over",
    }
    out = plain_report(plan_report(samples.plan()))
    for part, names in wanted.items():
        assert set(names.split()) <= set(out[part] if part else out)
    for part, names in rows.items():
        assert set(names.split()) <= set(out[part][0])
    placement = "part x_mm y_mm width_mm height_mm turned strip order"
    assert set(placement.split()) == set(out["cutting"][0]["cloths"][0]["placements"][0])


def test_no_folder_of_the_machine_is_in_a_report():
    """Places are the file's own name and line; a published page must not tell of a home folder."""
    plan = samples.plan()
    assert "/x/" not in json.dumps(plain_report(plan_report(plan)))
    assert str(Path.home()) not in json.dumps(plain_report(plan_report(plan)))


def test_the_time_of_a_session_is_the_sum_of_its_pieces():
    """[identity] Stages, steps and the total add up to the laps, waits and interruptions apart."""
    plan = samples.plan()
    record = samples.record(plan)
    session = report(plan, record).session
    laps = sum(lap.counted_ms for lap in record.laps()) / 1000
    by_hand = 12 * 60 + 9 * 40 + 2 * 160 + 11 * 55 + 480
    assert session.totals.counted_s == laps == by_hand == sum(s.counted_s for s in session.stages)
    assert session.totals.waits_s == 3600
    assert session.totals.interrupted_s == 420


def test_a_measure_stands_beside_its_plan_and_what_was_first_written():
    """[identity] 3/4 in under 21 in, and outside the quarter inch allowed."""
    plan = samples.plan()
    (row,) = report(plan, samples.record(plan)).session.measures
    assert (row.text, row.planned_text, row.off_text) == ("20 1/4 in", "21 in", "3/4 in under")
    assert row.good is False
    assert row.first_text == "21 in"


def test_numbers_that_moved_are_reported_with_both_values():
    """A shorter zip after a narrow panel shows what it was and what it became."""
    plan = samples.plan()
    zip_cut = plan.quantities["zip_cut"]
    now = msgspec.structs.replace(
        plan,
        quantities=plan.quantities | {"zip_cut": msgspec.structs.replace(zip_cut, value=zip_cut.value - 19.05)},
    )
    (row,) = report(now, samples.record(plan), first=plan).session.changed
    assert (row.name, row.planned_text, row.texts) == ("zip_cut", "19 in", ("18 1/4 in",))


def test_moments_are_told_in_the_makers_own_time():
    """09:30 UTC is 10:30 where local time is one hour ahead."""
    plan = samples.plan()
    session = report(plan, samples.record(plan)).session
    assert session.opened == Moment("2026-03-01T10:30:00+01:00", "1 March 2026", "10:30", "1 Mar 10:30")


def test_a_session_of_several_days_says_so():
    """Finished the day after, the log dates its times; finished the same day it does not."""
    plan, record = samples.plan(), samples.record(samples.plan())
    assert report(plan, record).session.when.several_days is False
    later = record.last.wall + 86_400_000
    record.last = msgspec.structs.replace(record.last, wall=later)
    assert report(plan, record).session.when.several_days is True


def test_money_and_paces_are_taken_as_given():
    """The report adds nothing to what the money engine says, and the maker's pace replaces the starter's."""
    cost = samples.full_report().cost
    out = report(samples.plan(), cost=cost, paces={"quilt/cross": StepPace(pace_s=51.0)})
    assert out.cost is cost
    assert out.steps[0].pace_s == 51.0


@pytest.mark.parametrize(("place", "sign"), [(0, "A"), (25, "Z"), (26, "AA"), (51, "AZ"), (52, "BA")])
def test_prints_go_by_letters(place, sign):
    """Letters run on after Z as columns of a spreadsheet do."""
    assert letter(place) == sign


@pytest.mark.parametrize(
    ("seconds", "exact"),
    [
        (41, "0:41"),
        (756, "12:36"),
        (3725, "1:02:05"),
        (3599.6, "1:00:00"),
    ],
)
def test_counted_times_are_exact_to_the_second(seconds, exact):
    """[identity] Rounding never shows 60 minutes or 60 seconds."""
    assert exact_text(seconds) == exact


def test_a_second_look_at_the_closure_puts_the_decision_after_its_last_step():
    """[practice] The zip is in when its last step is done; before that there is nothing to give up."""
    told = report(samples.plan(), samples.record(samples.plan()))
    rows = [
        Row("step", key, key, at, at + 60.0, "10:00", "10:01", 60.0, 1.0)
        for at, key in ((0.0, "closure/zip"), (60.0, "closure/box"))
    ]
    assert list(_decisions(told, rows)) == ["closure/box"]
