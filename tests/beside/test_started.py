"""Starting it: what is said where it is not installed, what is loaded where it is not asked for, the address and its code."""

import re
import subprocess
import sys

import pytest
from msgspec.structs import replace

from guide.beside import sending
from guide.errors import WrongUse
from tests.beside.conftest import wants_the_extra
from tests.fakes import run
from tests.follow.samples_session import Bench
from tests.terminal.pty_term import ROOT

EXTRA = {"aiohttp", "segno", "PIL"}


def followed(folder, *more, keys="q\n"):
    """`guide follow` in lines on the demo, in a process of its own; gives what it said, and what it loaded."""
    project = folder / "sessions" / "cushion"
    project.mkdir(parents=True, exist_ok=True)
    demo = ROOT / "sessions" / "window-seat-cushion" / "project.yaml"
    (project / "project.yaml").write_text(demo.read_text(encoding="utf-8"), encoding="utf-8")
    script = (
        "import sys\nfrom tests.fakes import run\n"
        f"code = run({['follow', str(project), '--plain', *more]!r})\n"
        "sys.stderr.write('\\nLOADED ' + ' '.join(sorted(sys.modules)))\nraise SystemExit(code)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], input=keys, capture_output=True, encoding="utf-8", cwd=ROOT, check=False
    )
    loaded = set(re.search(r"LOADED (.*)", done.stderr)[1].split())
    return done, loaded


def test_nothing_of_it_is_loaded_where_it_is_not_asked_for(tmp_path, monkeypatch):
    """Neither the libraries nor our own part of it: no start is slower."""
    monkeypatch.setenv("FRAYWORK_HOME", str(tmp_path / "home"))
    done, loaded = followed(tmp_path)
    assert done.returncode == 0
    assert not {one.partition(".")[0] for one in loaded} & EXTRA
    assert not [one for one in loaded if one.startswith(("guide.beside", "guide.commands.beside"))]


def test_with_it_the_session_s_own_process_loads_no_server(tmp_path, monkeypatch):
    """The server, its libraries and the photos' are another process's; the address is said, and the session followed."""
    wants_the_extra()
    monkeypatch.setenv("FRAYWORK_HOME", str(tmp_path / "home"))
    done, loaded = followed(tmp_path, "--beside", "--press", keys="\nn a word\nq\n")
    assert done.returncode == 0, done.stderr
    assert re.search(r"The page beside the machine: http://127\.0\.0\.1:\d+/#[\w-]{24}\n", done.stderr)
    assert not {one.partition(".")[0] for one in loaded} & EXTRA
    assert "Noted." in done.stdout


def test_without_the_extra_a_sentence_says_how(monkeypatch):
    """Whatever of it is missing; nothing is started, no session is begun."""
    for missing in sending.NEEDS:
        monkeypatch.setattr(sending, "find_spec", lambda name, missing=missing: None if name == missing else object())
        with pytest.raises(WrongUse, match=r"pip install 'fraywork\[beside\]'"):
            sending.check_installed()


@pytest.mark.parametrize("argv", [["--press"], ["--beside", "--rehearse"], ["--beside", "network", "--rehearse"]])
def test_what_cannot_be_is_said_before_anything_is_begun(argv, tmp_path, capsys):
    """A button without a page, a page of a session that plays by itself."""
    assert run(["follow", str(tmp_path), *argv]) == 2
    assert "--beside --press" in capsys.readouterr().err


def test_a_project_behind_the_option_is_the_project(tmp_path, capsys):
    """`guide follow --beside PROJECT`: what is no place to serve at is what is to be followed."""
    assert run(["follow", "--beside", str(tmp_path / "nowhere")]) == 2
    assert "nowhere" in capsys.readouterr().err


def test_in_a_network_the_address_and_its_code_are_printed(monkeypatch, capfd):
    """Every module of the code as the library's own matrix has it. [source] ISO/IEC 18004 by segno, the judge of it."""
    wants_the_extra()
    import segno

    from guide.commands import beside

    monkeypatch.setattr(beside, "_own_address", lambda: "127.0.0.1")
    bench = Bench()
    page = beside.Page(network=True, press=False)
    bench.session.desk = replace(bench.session.desk, said="Times are Ada's.")
    try:
        page.tell(bench.session, waits=False)
        said = capfd.readouterr().err
    finally:
        page.close()
    address = re.search(r"http://127\.0\.0\.1:\d+/#\S+", said)[0]
    assert bench.said.split("\n") == [f"The page beside the machine: {address}", "Times are Ada's."]
    assert "not encrypted: whoever can listen in this network can read the address too" in " ".join(said.split())
    rows = [line for line in re.sub(r"\x1b\[[0-9;]*m", "", said).split("\n") if set(line) & set("█▀▄")]
    light = [[one in "█▀" for one in row] for row in rows], [[one in "█▄" for one in row] for row in rows]
    drawn = [half[at] for at in range(len(rows)) for half in light]
    code = [list(row) for row in segno.make(address, micro=False).matrix_iter(scale=1, border=4)]
    dark = [[not one for one in row] for row in drawn]
    flipped = [list(row) for row in drawn]
    wanted = [[bool(one) for one in row] for row in code]
    assert wanted in (dark[: len(wanted)], flipped[: len(wanted)])


def test_what_whoever_has_the_address_may_do_is_said():
    """A board is looked at; a session takes photos, with --press presses too: no more and no less is said."""
    from guide.commands.beside import allowed

    said = {(press, photo): allowed(press=press, photo=photo) for press in (False, True) for photo in (False, True)}
    assert {one: ("add photos" in words, "press" in words) for one, words in said.items()} == {
        (press, photo): (photo, press) for press, photo in said
    }
    assert all(words.startswith("Whoever has this address sees the session") for words in said.values())


def test_an_own_address_is_one_of_this_computer(monkeypatch):
    """What a network of this computer's own would reach it by; in none, a sentence."""
    from guide.commands import beside

    class NoNetwork:
        def __init__(self, *_):
            pass

        def __enter__(self):
            raise OSError(101, "Network is unreachable")

        def __exit__(self, *_):
            pass

    monkeypatch.setattr(beside.socket, "socket", NoNetwork)
    with pytest.raises(WrongUse, match="in no network"):
        beside._own_address()
