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
