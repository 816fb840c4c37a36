"""Labour worked is labour: the log, its sittings, the price, the history and the export count the same time."""

import csv
import io
import json
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from guide.commands.follow import opening
from guide.commands.sessions import plan_of
from guide.read.places import open_project
from guide.record.fold import fold
from guide.record.journal import Journal, read_journal
from guide.record.lines import encode, event_of
from tests.commands.worked import worked
from tests.fakes import NINE, FakeClock

DEMO = "sessions/window-seat-cushion"
MINUTE = 60_000


class Kept:
    """A session of the demo, kept record by record; seconds run before each."""

    def __init__(self) -> None:
        self.here = open_project(Path(DEMO), {})
        self.plan = plan_of(self.here)
        self.clock = FakeClock()
        self.path = self.here.folder / "2026-03-01.jsonl"
        self.count = 0
        self.say(**opening(self.here, self.plan, "real", "Ada Example", ""))

    def say(self, what: str, seconds: float = 0.0, **members: Any) -> "Kept":
        self.count += 1
        with self.path.open("ab") as out:
            out.write(encode(event_of(self.count, {"what": what, **members}, self.clock.run(seconds))))
        return self

    def work(self, key: str, seconds: float) -> "Kept":
        """One step from its start to its end, every piece alike."""
        pieces = next(step.pieces for step in self.plan.steps if step.key == key)
        self.say("step_started", step=key)
        for _ in range(pieces - 1):
            self.say("piece_done", seconds, step=key, count=1)
        return self.say("step_done", seconds, step=key, count=1)

    def through(self, last: str, seconds: float) -> "Kept":
        """All steps up to this one."""
        for step in self.plan.steps:
            self.work(step.key, seconds)
            if step.key == last:
                return self
        raise AssertionError(last)

    def take(self, old: str, new: str) -> "Kept":
        """Take a changed project file into the session."""
        text = self.here.project.text
        assert text.count(old) == 1
        stages = {stage.name: stage.text for stage in self.here.language.stages}
        return self.say("texts", project=text.replace(old, new), stages=stages)


def ms_of(text: str) -> int:
    """`1:02:05` or `12:36` of a log, ms."""
    *hours, minutes, seconds = (int(part) for part in text.strip(" *").split(":"))
    return round(timedelta(hours=sum(hours), minutes=minutes, seconds=seconds).total_seconds() * 1000)


def row_of(log: str, start: str) -> list[str]:
    """The cells of the log's table row that begins so."""
    return next(line for line in log.splitlines() if line.startswith(f"| {start}")).strip("|").split("|")


def sittings(log: str) -> list[list[str]]:
    """The cells of the log's table of sittings, row by row."""
    _, _, rest = log.partition("| Sitting |")
    return [line.strip("|").split("|") for line in rest.split("\n\n")[0].splitlines()[2:]]


def agreed(guide, kept: Kept) -> int:
    """The ms that everything says was worked; AssertionError when any two do not agree."""
    log = guide("log", str(kept.path), "--markdown", "-o", "-").out
    rows = csv.DictReader(io.StringIO(guide("export", str(kept.path)).out))
    told = json.loads(guide("history", "--json").out)
    price = json.loads(guide("price", str(kept.path), "--json").out)
    by_stage = log.split("**All of it**")[0].rpartition("\n\n")[2]  # the table of times, which ends with their sum
    stages = [ms_of(line.split("|")[3]) for line in by_stage.splitlines() if line.startswith("| **")]
    under = [ms_of(line.split("|")[3]) for line in log.splitlines() if "(under the needle, " in line]
    said = {
        "all of it": ms_of(row_of(log, "**All of it**")[2]),
        "stages": sum(stages) + sum(under),
        "sittings": sum(ms_of(row[4]) for row in sittings(log)),
        "export": sum(int(row["counted_ms"]) for row in rows if row["kind"] == "lap" and row["counted"] == "yes"),
        "price": round(price["costs"]["hours"] * 3_600_000),
        "record": fold(read_journal(kept.path).events).counted_ms,
    }
    for by in ("project", "stage", "step", "day", "maker"):
        said[f"history by {by}"] = sum(total["counted_ms"] for total in told[f"by_{by}"].values())
    assert set(said.values()) == {said["record"]}, said
    return said["record"]


def test_a_piece_that_is_not_finished_is_worked_time(guide):
    """5 minutes for one piece, 25 on the next, put away: 30 minutes worked, 5 of them to pace by [identity]."""
    kept = Kept().say("step_started", step="cut/press").say("piece_done", 300, step="cut/press", count=1)
    kept.say("paused", 1500, why="stop")
    assert agreed(guide, kept) == 30 * MINUTE
    log = guide("log", str(kept.path), "--markdown", "-o", "-").out
    title = "Press and straighten the cloth"
    assert row_of(log, f"{title} (under")[0].strip() == f"{title} (under the needle, not yet counted as a piece)"
    assert row_of(log, title)[1:3] == [" 1 of 3 ", " 5:00 "]
    (row,) = (row for row in csv.DictReader(io.StringIO(guide("export", DEMO).out)) if row["text"])
    assert (row["text"], row["end"], row["pieces"], row["counted_ms"]) == ("under the needle", "", "0", "1500000")
    pace = json.loads(guide("paces", "--json").out)["steps"]["cut/press"]
    assert pace["pieces"] == 1
    assert pace["usual_s"] <= 300
    page = Path(guide("log", str(kept.path)).out.strip()).read_text(encoding="utf-8")
    assert "under the needle, not yet counted as a piece" in page


@pytest.mark.parametrize("change", ["started", "paused", "trouble", "put aside", "joined", "back", "undone", "closed"])
def test_however_a_session_stands_its_totals_agree(guide, change):
    """Invented: a step with one piece done, and the next piece in every state it can be left in."""
    kept = Kept().work("cut/press", 60)
    kept.say("step_started", step="stack/count").say("piece_done", 70, step="stack/count", count=1)
    kept.say("alive", 50)
    worked = (3 * 60 + 70 + 50) * 1000
    if change == "paused":
        kept.say("paused", 30, why="pause").say("alive", 500)
        worked += 30_000
    elif change == "trouble":
        kept.say("trouble", 30, why="thread").say("alive", 100)
        worked += 130_000
    elif change == "put aside":
        kept.say("step_started", 30, step="stack/lay").say("alive", 40)
        worked += 70_000
    elif change == "joined":
        kept.say("amended", 10, of=kept.count - 1, set={"join": True})
        worked += 0  # a correction is no sign of work
    elif change == "back":
        kept.say("paused", 30, why="stop").say("resumed", 9000, sitting=2).say("resumed", 10).say("alive", 40)
        worked += 70_000
    elif change == "undone":
        kept.say("voided", 10, of=kept.count - 1)
    elif change == "closed":
        kept.say("closed", 30, records=kept.count + 1)
        worked += 30_000
    total = agreed(guide, kept)
    assert total >= worked
    assert total - worked <= 10_000


def test_a_forecast_counts_a_piece_in_hand_once(guide):
    """What is done and what is left: a piece half worked is not forecast whole beside it.

    12 stacks at p s each [the plan]; one took p, and half of p is spent on the next: 12 p in all [identity].
    """
    kept = Kept()
    step = next(step for step in kept.plan.steps if step.key == "stack/count")
    whole = kept.say("step_started", step=step.key).say("piece_done", step.pace_s, step=step.key, count=1)
    left = json.loads(guide("plan", DEMO, "--rest", "--json").out)["left"]
    whole.say("paused", step.pace_s / 2, why="stop")
    then = json.loads(guide("plan", DEMO, "--rest", "--json").out)["left"]
    assert then["done_s"] == pytest.approx(left["done_s"] + step.pace_s / 2)
    assert then["hands_on_s"]["likely"] == pytest.approx(left["hands_on_s"]["likely"] - step.pace_s / 2, abs=1)


def test_steps_no_longer_in_the_plan_keep_their_time_and_name(guide):
    """Sprayed first, then pinned: the steps of spraying were worked, and stand in the log under their names."""
    kept = Kept().through("stack/top", 10)
    kept.take("quilting: cross", "hold_with: pins\nquilting: cross")
    kept.say("step_started", step="quilt/set").say("step_done", 60, step="quilt/set", count=1)
    pieces = {step.key: step.pieces for step in kept.plan.steps}
    before = sum(n for key, n in pieces.items() if key.partition("/")[0] in {"cut", "stack"})
    assert agreed(guide, kept) == (before * 10 + 60) * 1000
    log = guide("log", str(kept.path), "--markdown", "-o", "-").out
    title = next(step.title for step in kept.plan.steps if step.key == "stack/top")
    row = row_of(log, f"{title} (no longer in the plan)")
    assert row[1:3] == [" 12 of 12 ", " 2:00 "]
    page = Path(guide("log", str(kept.path)).out.strip()).read_text(encoding="utf-8")
    assert page.count("no longer in the plan") == log.count("no longer in the plan") > 0
    assert "stack/top" not in page


def test_a_changed_size_keeps_the_time_of_what_was_cut_before(guide):
    """The size is in the cut steps' keys: the squares of 6 in were cut, whatever size is cut now."""
    kept = Kept().through("cut/pile", 10)
    kept.take("square: 6 in ", "square: 7 in ")
    pieces = sum(step.pieces for step in kept.plan.steps if step.stage == "cut")
    assert agreed(guide, kept) == pieces * 10_000
    log = guide("log", str(kept.path), "--markdown", "-o", "-").out
    gone = [line for line in log.splitlines() if "no longer in the plan" in line]
    assert [line.split("|")[1].strip().split(" (")[0] for line in gone] == [
        step.title for step in kept.plan.steps if step.key.startswith("cut/pieces:")
    ]


def test_a_step_that_no_text_names_goes_by_its_key_in_words(guide):
    """A record of a step that none of the session's own texts have."""
    kept = Kept().say("step_started", step="tie/tie_knots").say("step_done", 60, step="tie/tie_knots", count=4)
    assert agreed(guide, kept) == MINUTE
    log = guide("log", str(kept.path), "--markdown", "-o", "-").out
    assert row_of(log, "Tie knots")[1:3] == [" 4 of 4 ", " 1:00 "]
    assert row_of(log, "**Tie**")[2].strip() == "**1:00**"


def test_the_log_of_several_makes_gives_no_make_s_size_as_all_of_theirs(guide, workshop):
    """Three makes measured apart: each stands with its number, and the sizes of all are the plan's."""

    project = workshop / DEMO / "project.yaml"
    project.write_text(project.read_text(encoding="utf-8").replace("make: 1", "make: 3"), encoding="utf-8")
    path = worked(DEMO, 0, lambda step: step.pace_s, until="closure/zip_seam")
    journal = Journal.open(path, FakeClock().read())
    clock = FakeClock(wall=NINE + 12 * 3_600_000)
    for make, mm in ((1, 508.0), (2, 527.05), (3, 546.1)):
        members = {"what": "measured", "step": "join/measure_width", "name": "panel_width", "mm": mm, "make": make}
        journal.append(members, clock.run(60))
    journal.close()
    text = guide("log", DEMO, "--markdown", "-o", "-").out.replace("\N{NO-BREAK SPACE}", " ")
    assert "**20 in × 15 in** inside the outer seam" in text
    assert "| Number | planned | make 1 | make 2 | make 3 |" in text
    assert [size in text for size in ("20 in", "20 3/4 in", "21 1/2 in")] == [True] * 3
