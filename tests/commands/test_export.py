"""Rows for a spreadsheet: what a maker reads stands beside what a program reads, and adds up to the log."""

import csv
import io
import json
import re
from datetime import datetime

from guide.record.history import Named, as_csv, rows
from tests.commands.worked import worked
from tests.record.session import Session

DEMO = "sessions/window-seat-cushion"
SINCE_THE_FIRST = [
    "project",
    "session",
    "mode",
    "maker",
    "kind",
    "stage",
    "step",
    "start",
    "end",
    "counted_ms",
    "trouble_ms",
    "ms",
    "pieces",
    "make",
    "first",
    "counted",
    "by_hand",
    "name",
    "mm",
    "text",
    "record",
]


def table(text):
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_columns_are_added_and_none_is_renamed(guide):
    """A spreadsheet that was made for the first version still reads the first columns."""
    worked(DEMO, 0, lambda step: step.pace_s)
    head = guide("export", DEMO, "--csv").out.splitlines()[0].split(",")
    assert head == [
        *SINCE_THE_FIRST,
        "number",
        "step_title",
        "stage_title",
        "started",
        "ended",
        "minutes",
        "shared",
        "between",
    ]
    assert set(json.loads(guide("export", DEMO, "--json").out)[0]) == set(head)


def test_rows_bear_the_names_and_the_clock_of_the_maker(guide):
    """NINE is 09:30 UTC, 10:30 by a clock an hour east; the demo's first step [identity: the run sheet]."""
    worked(DEMO, 0, lambda step: step.pace_s)
    laps = [row for row in table(guide("export", DEMO).out) if row["kind"] == "lap"]
    press = laps[0]
    assert (press["number"], press["step_title"]) == ("1", "Press and straighten the cloth")
    assert press["stage_title"] == "Cut the cloth"
    assert press["started"] == "2026-03-01 10:30:00"
    for lap in laps:
        exact = datetime.fromisoformat(lap["end"])
        assert datetime.fromisoformat(lap["ended"]) == exact.replace(tzinfo=None, microsecond=0)
        assert lap["project"] == "Window seat cushion"
        assert not re.search(r"[:/]", lap["step_title"].replace("Cut: ", ""))


def test_the_minutes_add_up_to_the_log(guide):
    """Hands on to the ms, whatever is not counted left out: 60 000 ms a minute [identity]."""
    path = worked(DEMO, 0, lambda step: step.pace_s * 1.237, until="wash/load")
    laps = table(guide("export", str(path)).out)
    number = next(lap["record"] for lap in laps if lap["step"] == "quilt/cross")
    assert guide("amend", str(path), "--record", number, "--set", "not counted").code == 0
    laps = table(guide("export", str(path)).out)
    assert [lap["minutes"] for lap in laps if lap["record"] == number] == [""]
    ms = sum(int(lap["counted_ms"]) for lap in laps if lap["counted"] == "yes")
    assert round(sum(float(lap["minutes"] or 0) for lap in laps) * 60_000) == ms
    told = json.loads(guide("history", "--json").out)["by_project"]["Window seat cushion"]
    assert told["counted_ms"] == ms


def test_titles_cannot_act_as_formulas():
    """As in every other cell of text [source: OWASP, CSV Injection, second hand]."""
    s = Session()
    s.start()
    s.run(60).done()
    named = {"quilt/cross": Named(14, "=cross", "@stage")}
    (row,) = table("".join(as_csv(rows(s.record, "x.jsonl", named))))
    assert (row["number"], row["step_title"], row["stage_title"]) == ("14", "'=cross", "'@stage")


def test_a_project_is_its_folder_or_its_file(guide):
    """Both give all its sessions."""
    worked(DEMO, 0, lambda step: step.pace_s)
    worked(DEMO, 1, lambda step: step.pace_s)
    by_folder = guide("export", DEMO).out
    assert {row["session"] for row in table(by_folder)} == {"2026-03-01.jsonl", "2026-03-02.jsonl"}
    assert guide("export", f"{DEMO}/project.yaml").out == by_folder


def test_a_lap_says_which_article_of_several_it_made_something_of():
    """The second of two; of one alone nothing stands there."""
    for make, stands in ((2, "2"), (0, "")):
        s = Session()
        s.start()
        s.run(60).done(make=make)
        assert [row["make"] for row in table("".join(as_csv(rows(s.record, "x.jsonl"))))] == [stands]
