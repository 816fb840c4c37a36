"""A panel laid by hand on a real pseudo-terminal, as the command starts it: keys, leaving, signals, the terminal whole."""

import json
import shutil
import signal

import pytest

from tests.fakes import program
from tests.terminal.pty_term import ROOT, Term

pytestmark = pytest.mark.terminal
DEMO = "sessions/window-seat-cushion"


@pytest.fixture
def start(tmp_path):
    """`guide layout --by-hand` on the demo in a folder of its own; everything started is ended afterwards."""
    folder = tmp_path / DEMO
    folder.mkdir(parents=True)
    shutil.copy(ROOT / DEMO / "project.yaml", folder)
    begun = []

    def begin(*more, cols=80, rows=24):
        term = Term(program("layout", str(folder), "--by-hand", *more), cols=cols, rows=rows)
        begun.append(term)
        return term

    yield begin
    for term in begun:
        term.close()


def rows_kept(tmp_path):
    path = tmp_path / DEMO / "layout.json"
    return json.loads(path.read_text(encoding="utf-8"))["rows"] if path.exists() else None


def test_a_maker_lays_keeps_and_leaves(start, tmp_path):
    """A wrong key first, then a print that meets its like, taken back by Ctrl-Z; two blocks swapped, kept, left."""
    term = start().wait("capital letter lays", 20)
    term.send("b").wait("Capital B lays oat stripe")
    term.send("\x1b[C").wait("row 1, column 2").send("A").wait("Alike meet: 1 on the front")
    term.send("\x1a").wait("No two alike meet")
    term.send(" ").wait("change places").send("\x1b[B").wait("row 2, column 2").send(" ").wait("changed places")
    term.wait("To buy", 10)
    term.send("q").wait("not kept yet").send("1")
    assert term.exit_code() == 0
    assert all(term.whole().values()), term.whole()
    assert "Kept in" in term.text
    assert len(rows_kept(tmp_path)) == 3


@pytest.mark.parametrize(("how", "code"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129)])
def test_a_signal_leaves_the_terminal_whole_and_the_plan_as_it_was(start, tmp_path, how, code):
    """What was not kept is not kept, and is offered next time, on the screen and in lines."""
    term = start().wait("capital letter lays", 20).send("m").wait("Mirrored")
    term.child.kill(how)
    assert term.exit_code() == code
    assert all(term.whole().values()), term.whole()
    assert rows_kept(tmp_path) is None
    lines = start("--plain").wait("A panel lies here from last", 20).send("1\r").wait("Here it lies again").send("h\r")
    lines.wait("Turned half round").child.kill(how)
    assert lines.exit_code() == code
    again = start().wait("1 go on with it", 20).send("1").wait("Here it lies again").send("q").wait("not kept yet")
    again.send("1")
    assert again.exit_code() == 0
    assert rows_kept(tmp_path) is not None
    assert not (tmp_path / DEMO / "layout.unkept.json").exists()


def test_control_c_twice_leaves(start, tmp_path):
    """Once, it asks."""
    term = start().wait("capital letter lays", 20).send("m").wait("Mirrored").send("\x03").wait("not kept yet")
    term.send("\x03")
    assert term.exit_code() == 130
    assert "Nothing was kept" in term.text
    assert rows_kept(tmp_path) is None


def test_a_small_window_and_plain_lines(start):
    """40 by 12 shows the block in hand and how to leave; --plain takes words on a terminal too."""
    term = start(cols=40, rows=12).wait("q leave", 20)
    assert "front" in term.text
    lines = start("--plain").wait("? tells all", 20)
    lines.send("2,3 B\r").wait("Squares laid").send("leave\r").wait("not kept yet").send("2\r")
    assert lines.exit_code() == 0
