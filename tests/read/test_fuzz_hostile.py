"""A stage file from a stranger: whatever it asks for, it ends soon, takes little, and plays no tricks."""

import os
import re
import resource
import shutil
import signal
import time
from pathlib import Path

import pytest

from tests.fakes import run

GOOD = Path(__file__).parent.parent / "bad" / "good.yaml"
PART = "parts:\n  - {{name: bit, cloth: first, width: {0}, height: {1}, count: {2}}}\n"
STEP = "steps:\n  - id: knot\n    title: Knot\n    do: Knot.\n"


@pytest.fixture
def laid(tmp_path, monkeypatch):
    """A project that goes through a stranger's stage."""
    monkeypatch.setenv("FRAYWORK_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)

    def lay(body: str) -> None:
        (tmp_path / "workflows").mkdir()
        stages = "stages: [cut, stack, quilt, join, snip, closure, assemble, wash, theirs]\n"
        (tmp_path / "project.yaml").write_text(GOOD.read_text(encoding="utf-8") + stages, encoding="utf-8")
        (tmp_path / "workflows" / "theirs.yaml").write_text(f"stage: theirs\ntitle: Theirs\n{body}", encoding="utf-8")

    return lay


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (PART.format("1 * inch", "1 * inch", "'1000000000'"), "come to 1,000,000,000 pieces"),
        (PART.format("mm / 1000000", "mm", 5), "comes to nothing"),
        (PART.format("1000 * yd", "1000 * yd", 5), "too narrow"),
        (PART.format("seam - square", "seam", 5), "comes to nothing"),
        (STEP + "    repeat: '1000000000000'\n", "comes to 1,000,000,000,000 pieces"),
        (STEP + "    repeat: blocks\n    pace: 999999 h per piece\n", "hours; check its pace"),
        (STEP + "    pace: 5 min per m\n    effort: 0 - square\n", "hours; check its pace"),
        ("work_out: {big: 1000000000 * 1000000000}\n", "cannot be worked out"),
        ("work_out: {" + ", ".join(f"n{i}: n{i - 1} * n{i - 1}" if i else "n0: blocks" for i in range(400)) + "}\n", "cannot be worked out"),
    ],
    ids=["many parts", "tiny parts", "vast parts", "less than nothing", "many pieces", "a life long", "time back", "large", "squared on"],
)  # fmt: skip
@pytest.mark.parametrize("argv", [["check", "."], ["plan", "."], ["checklist", "."], ["follow", ".", "--rehearse"]], ids=lambda argv: argv[0])  # fmt: skip
def test_what_no_table_holds_is_refused_at_once(laid, capsys, body, said, argv):
    """In words, with exit 2, in under 2 s and little memory, and nothing is left behind."""
    laid(body)
    before = sorted(Path().rglob("*"))
    began, held = time.perf_counter(), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    assert run(argv) == 2
    told = capsys.readouterr()
    assert said in told.out + told.err
    assert "Traceback" not in told.err
    assert time.perf_counter() - began < 5.0
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - held < 200 * 1024
    assert sorted(Path().rglob("*")) == before


def test_a_strangers_words_play_no_tricks_on_a_page(laid, capsys):
    """Marks of HTML and addresses stay text: no element, no script, nothing fetched. [source: WHATWG HTML, escaping]"""
    bad = '<script>alert(1)</script><img src=x onerror=alert(1)>&" javascript:alert(1)'
    laid(
        f"steps:\n  - id: knot\n    title: '<b>Knot</b>'\n    tools: ['<i>thread']\n    do: '{bad}'\n    why: '{bad}'\n"
    )
    for argv in (["plan", ".", "--page", "p.html"], ["checklist", ".", "-o", "c.html"], ["sheet", ".", "-o", "s.html"]):
        assert run(argv) == 0
        page = Path(argv[-1]).read_text(encoding="utf-8")
        assert not re.search(r"<script|<img src=x|<b>Knot|<i>thread", page)
    capsys.readouterr()


def test_a_strangers_words_play_no_tricks_on_a_terminal(laid, capsys):
    """What a project or stage says reaches the terminal without a control character. [source: ECMA-48]"""
    laid('steps:\n  - id: knot\n    title: "Knot \\e]0;mine\\a"\n')
    assert run(["plan", "."]) == 2
    said = capsys.readouterr()
    assert not re.search(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]", said.out + said.err)


@pytest.mark.parametrize("kind", ["pipe", "device"])
def test_a_stage_that_is_no_plain_file_holds_nothing_up(laid, tmp_path, capsys, kind):
    """A named pipe or an endless device among the stage files is refused, not waited for or read for ever."""
    laid("steps: []\n")
    endless = tmp_path / "workflows" / "endless.yaml"
    os.mkfifo(endless) if kind == "pipe" else endless.symlink_to("/dev/zero")
    began = time.perf_counter()
    assert run(["plan", "."]) == 2
    assert "no plain file" in capsys.readouterr().err
    assert time.perf_counter() - began < 5.0


def test_other_readers_files_are_not_reached(laid, tmp_path, capsys):
    """No text, formula or default can read a file: what is in one is never in what is printed."""
    (tmp_path / "secret.txt").write_text("needle-in-a-haystack", encoding="utf-8")
    laid(STEP + "    why: \"{% include 'secret.txt' %}\"\n")
    shutil.copy("secret.txt", "workflows/secret.txt")
    assert run(["sheet", ".", "--markdown", "-o", "-"]) == 2
    said = capsys.readouterr()
    assert "needle-in-a-haystack" not in said.out + said.err


@pytest.fixture
def bounded():
    """Ten seconds of the processor for a whole test, whatever else the machine does; then it fails, and does not hang."""

    def over(_signal, _frame):
        pytest.fail("ten seconds of the processor are gone")

    before = signal.signal(signal.SIGVTALRM, over)
    signal.setitimer(signal.ITIMER_VIRTUAL, 10.0)
    yield
    signal.setitimer(signal.ITIMER_VIRTUAL, 0)
    signal.signal(signal.SIGVTALRM, before)


def sums_of_sums(names: int) -> str:
    """Sums of which each adds up all before it, and comes to nothing so that none grows too large."""
    each = (" + ".join(f"a{j}" for j in range(i)) for i in range(names))
    return "work_out:\n" + "".join(f"  a{i}: 0 * ({of or 'blocks'})\n" for i, of in enumerate(each))


@pytest.mark.parametrize("argv", [["check", "."], ["plan", ".", "--all"], ["why", "a39", "."], ["why", "a39", ".", "--json"]], ids=" ".join)  # fmt: skip
def test_what_a_formula_costs_grows_with_its_length(laid, capsys, bounded, argv):
    """Forty sums, each of all before it: 800 names in 6 kB. Asked anew at each level, kinds would be told 2^40 times.

    [identity: 0 + 1 + … + 39 = 780 names; a sum of n names is n - 1 levels of +]
    """
    laid(sums_of_sums(40))
    assert run(argv) == 0
    assert "Traceback" not in capsys.readouterr().err


def step(i: int, more: str = "do: Do.") -> str:
    return f"  - {{id: s{i}, title: T, pace: 1 min, {more}}}\n"


UNREACHED = "kind == 'throw' and closure == 'zip' and back == 'none' and quilting == 'cross' and zip_along == 'row' and units == 'metric' and hold_with == 'pins' and for_whom == 'anyone'"
MANY = {
    "names nobody knows": "work_out:\n" + "".join(f"  a{i}: zork{i} + 1\n" for i in range(1500)),
    "texts of such names": "steps:\n" + "".join(step(i, f"do: '{{{{ zork{i} }}}} {{{{ zark{i} }}}}'") for i in range(900)),
    "values of such names": "steps:\n" + "".join(step(i, f"do: Do., shows: {{zork{i}: x}}") for i in range(900)),
    "a circle of steps": "steps:\n" + "".join(step(i, f"do: Do., after: theirs/s{(i + 1) % 900}") for i in range(900)),
    "circles of sums": "work_out:\n" + "".join(f"  a{i}: a{i ^ 1}\n" for i in range(1500)),
    "formulas without end": "work_out:\n" + "".join(f"  a{i}: blocks + 1\n" for i in range(20_000)),
}  # fmt: skip


@pytest.mark.parametrize("body", MANY.values(), ids=MANY)
def test_very_many_mistakes_are_told_in_time_and_not_all_at_once(laid, capsys, bounded, body):
    """A hundred are told, and that there may be more; each at its place, found without reading the file again."""
    laid(body)
    assert run(["check", "."]) == 2
    said = capsys.readouterr().out
    told = re.findall(r"^workflows/theirs\.yaml:\d+:\d+: (.*)$", said, re.MULTILINE)
    assert len(told) <= 102
    assert len(said) < 100_000
    assert any("and more: what else is wrong" in one or "far more formulas" in one for one in told)


@pytest.mark.parametrize("body", ["steps:\n" + "".join(step(i, f'do: Do., when: "blocks > {i} and {UNREACHED}"') for i in range(200)), "steps:\n" + "".join(step(i, f"do: Do., after: theirs/s{i - 1}" if i else "do: Do.") for i in range(900))], ids=["choices", "one after another"])  # fmt: skip
def test_very_many_steps_are_checked_in_time(laid, capsys, bounded, body):
    """Two hundred conditions that read every choice there is; nine hundred steps, each placed after the last."""
    laid(body)
    assert run(["check", "."]) == 0
    assert "good" in capsys.readouterr().err
