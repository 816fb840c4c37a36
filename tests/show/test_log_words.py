"""The log says how a step stands in a maker's words, on the page and in Markdown alike."""

import re

from tests.commands.conftest import guide, workshop
from tests.commands.test_totals_agree import Kept, row_of

__all__ = ["guide", "workshop"]


def test_a_steps_state_is_said_in_words_and_not_the_journals(guide, workshop):
    """One step put aside with a piece done, one in hand, one skipped with a reason, the rest not begun. [identity]"""
    kept = Kept()
    kept.say("step_started", step="cut/press").say("piece_done", 60, step="cut/press", count=1)
    kept.say("step_skipped", step="cut/pile", why="I know it")
    kept.say("step_started", step="stack/count").say("piece_done", 60, step="stack/count", count=1)
    titles = {step.key: step.title for step in kept.plan.steps}
    log = guide("log", str(kept.path), "--markdown", "-o", "-").out
    page = guide("log", str(kept.path), "-o", "-").out
    told = {
        "cut/press": "put aside", "cut/pile": "skipped: I know it", "stack/count": "in hand", "stack/lay": "not begun",
    }  # fmt: skip
    for key, words in told.items():
        assert row_of(log, titles[key])[0].strip() == f"{titles[key]} ({words})"
        assert f'{titles[key]} <span class="small">{words}</span>' in page
    assert not re.search(r"\((untouched|open|aside)\)", log)


def test_a_spoilt_block_of_an_earlier_journal_is_told_with_the_step_it_was_sewn_at(guide, workshop):
    """Such records held no step: it was the one that was open. Invented: a note of version 0.1 between two pieces."""
    kept = Kept()
    kept.say("step_started", step="quilt/cross").say("piece_done", 60, step="quilt/cross", count=1)
    kept.say("noted", text="Block 1,2 is spoilt. The layout stays. Cut again: 1 of oat stripe, 1 of clay dot.")
    log = guide("log", str(kept.path), "--markdown", "-o", "-").out
    (line,) = (line for line in log.splitlines() if "is spoilt" in line)
    assert re.fullmatch(r"- \d\d:\d\d Sew the cross: Block 1,2 is spoilt\..*", line)


def test_what_is_said_beside_a_step_stands_in_markdown_as_on_the_page(guide, workshop):
    """A step typed in from paper, and one with 90 s of trouble in it: both said at the step itself. [identity]"""
    kept = Kept()
    kept.say("step_started", step="cut/press").say("trouble", 60, step="cut/press", why="thread")
    kept.say("resumed", 90, step="cut/press").say("step_done", 60, step="cut/press", count=1)
    assert guide("amend", str(kept.path), "--enter", "step 2, 2026-03-01, 8:00 to 8:10").code == 0
    troubled, typed = (step.title for step in kept.plan.steps[:2])
    log = guide("log", str(kept.path), "--markdown", "-o", "-").out
    page = guide("log", str(kept.path), "-o", "-").out
    for title, words in ((troubled, "2 min of it trouble"), (typed, "times from paper")):
        assert row_of(log, title)[0].strip().startswith(title)
        assert words in row_of(log, title)[0]
        assert re.search(rf'{re.escape(title)}.*<span class="small">{words}</span>', page)
