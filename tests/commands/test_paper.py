"""Work that was kept on paper: its log shows the days it was done on, whatever day it was typed in."""

import io
from pathlib import Path

import pytest

DEMO = "sessions/window-seat-cushion"
SHEET = "1-13, yesterday, 10:00 to 12:00, less 10 min\n14-20, yesterday, 13:00 to 14:47\n"

YESTERDAY, TODAY = "19 November 2026", "20 November 2026"  # the tests' midday


@pytest.fixture
def typed(guide, monkeypatch):
    """A session that was typed in from the paper of yesterday; its log as markdown and as a page."""
    monkeypatch.setattr("sys.stdin", io.StringIO(SHEET))
    said = guide("amend", DEMO, "--new", "--enter", "-")
    assert said.code == 0, said.err

    def logs() -> tuple[str, str]:
        page = Path(guide("log", DEMO).out.strip()).read_text(encoding="utf-8")
        return guide("log", DEMO, "--markdown", "-o", "-").out, page

    return logs


def test_the_log_bears_the_day_the_work_was_done(typed):
    """Two hours less ten minutes and 1 h 47 are 3:37:00 [identity], all of them yesterday's."""
    for log in typed():
        head = log.partition("Both faces")[0]
        assert YESTERDAY in head
        assert TODAY not in head
        assert f"typed in afterwards, on {TODAY}" in log
        assert "0:00 hands on" not in log
    markdown, page = typed()
    assert f"- On paper: {YESTERDAY}, 10:00 to 14:47, 3:37:00 hands on" in markdown
    assert "Sitting" not in markdown
    row = page.partition('<th scope="row">on paper</th>')[2].partition("</tr>")[0]
    assert [part in row for part in (YESTERDAY, ">10:00<", ">14:47<", ">3:37:00<")] == [True] * 4


def test_a_sitting_at_the_table_stands_beside_the_paper(typed, guide, monkeypatch):
    """Taken up today: from yesterday to today, the sitting by its number and the paper by its day."""
    monkeypatch.setattr("sys.stdin", io.StringIO("\nn\nlooks well\nq\n"))
    assert guide("follow", DEMO, "--plain").code == 0
    markdown, page = typed()
    assert f"Maker's log. {YESTERDAY} to {TODAY}" in markdown
    assert f"{YESTERDAY} to {TODAY}" in page.partition("Both faces")[0]
    assert markdown.count("- Sitting ") == 1
    assert f"- Sitting 2: {TODAY}" in markdown
    assert f"- On paper: {YESTERDAY}, 10:00 to 14:47, 3:37:00 hands on" in markdown


def test_history_dates_an_open_session_by_its_first_work(typed, guide):
    """Since yesterday, and 3 h 37 of it, as the log says."""
    assert "since 2026-11-19, 3 h 37 so far)" in guide("history").out
