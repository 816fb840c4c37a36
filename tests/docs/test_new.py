"""`guide new` without anyone there: what it writes is whole, good, and never in the place of something else."""

import os
import re
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from prompt_toolkit.buffer import Buffer
from prompt_toolkit.document import Document

from guide.commands import new
from guide.commands.new import answered as take_in
from guide.errors import GuideError
from guide.plan.make import make_plan
from guide.read.places import language_for
from guide.read.project import read_project
from guide.read.project_keys import WHOM
from guide.read.write_project import Answers, project_text
from tests.fakes import run

LANGUAGE = language_for(None, {"FRAYWORK_HOME": "/nonexistent"})
FULL = bool(os.environ.get("FRAYWORK_FULL"))
TITLES = st.text(st.characters(exclude_categories=("Cs", "Cc", "Cf", "Zl", "Zp", "Co", "Cn")), min_size=1, max_size=60)
NAMES = TITLES.filter(lambda name: name.strip())


@pytest.fixture
def bench(tmp_path, monkeypatch):
    monkeypatch.setenv("FRAYWORK_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    return tmp_path


@st.composite
def answered(draw):
    """Answers of a maker who writes sense, in any writing."""
    kind = draw(st.sampled_from(["cushion", "throw"]))
    metric = draw(st.booleans())
    down = draw(st.integers(1, 5))
    across = draw(st.integers(2 if kind == "cushion" and down == 1 else 1, 5))
    return Answers(
        title=draw(NAMES),
        kind=kind,
        for_whom=draw(st.sampled_from(WHOM)),
        units="metric" if metric else "inch",
        words=draw(st.sampled_from(["british", "american"])),
        across=str(across),
        down=str(down),
        square="15 cm" if metric else draw(st.sampled_from(["5 1/4 in", "6 1/2 in", "7½ in"])),
        seam="12 mm" if metric else draw(st.sampled_from(["5/8 in", "3/8 in"])),
        above=str(draw(st.integers(1, 3))),
        below=str(draw(st.integers(1 if kind == "throw" else 0, 3))),
        wadding=draw(st.sampled_from(["yes", "no"])),
        washed_first=draw(st.sampled_from(["yes", "no"])),
        shrinks=draw(st.sampled_from(["", "4 %, 3 %", "2.5%", "0 %,0 %"])),
        wadding_width=draw(st.sampled_from(["", "96 in", "150 cm"])),
        cloth_price=draw(st.sampled_from(["", "9.60 / yd", "12 / m"])),
        wadding_price=draw(st.sampled_from(["", "11 / m"])),
        spool=draw(st.sampled_from(["", "200"])),
        spool_price=draw(st.sampled_from(["", "2.90"])),
        prints=tuple(draw(st.lists(NAMES.map(str.strip), min_size=5, max_size=6, unique=True))),
        closure="none" if kind == "throw" else draw(st.sampled_from(["zip", "envelope"])),
        make=str(draw(st.integers(1, 3))),
        hour=draw(st.sampled_from(["", "18.00", "7"])),
    )


@given(answered())
@settings(max_examples=400 if FULL else 40, deadline=None, suppress_health_check=list(HealthCheck))
def test_whatever_was_answered_the_file_is_good(answers):
    """The file reads back with nothing to mend and says what was answered. [identity]"""
    text = project_text(answers)
    project, loaded = read_project(text, "project.yaml", LANGUAGE.stages)
    assert [str(p) for p in loaded.problems if not p.hint] == []
    assert (project.title, project.kind, project.make) == (answers.title, answers.kind, int(answers.make))
    assert tuple(p.name for p in project.prints) == answers.prints
    assert project.washed_first == (answers.washed_first == "yes")
    assert {len(p.shrinks_known) for p in project.prints} == {answers.shrinks.count("%")}
    assert {p.price is not None for p in project.prints} == {bool(answers.cloth_price)}
    assert not re.search(
        r"^(?:wadding|thread):[^#]*\S#", text, re.MULTILINE
    )  # YAML 1.2, 6.6: white space before a comment
    assert yaml.safe_load(text)["project"] == answers.title  # another reader reads the same [identity]
    try:
        make_plan(project, LANGUAGE)
    except GuideError as error:
        assert "print" in str(error)  # a stack may need more prints than there are, and it says so


def test_wadding_and_thread_are_written_only_where_they_are_said(bench, capsys):
    """Not said: 90 in, 100 m and no price, as the reference says; the file names the keys beside them."""
    assert run(["new", "Plain", "--no-input"]) == 0
    plain = Path(capsys.readouterr().out.strip()).read_text(encoding="utf-8")
    assert yaml.safe_load(plain)["wadding"] == {"gap": "5/8 in"}
    assert "thread" not in yaml.safe_load(plain)
    assert "# thread: {metres_per_spool: 100, price: 2.90}" in plain
    assert "width: 90 in" in plain
    options = ["--wadding-width", "60 in", "--spool", "500", "--spool-price", "4.50"]
    assert run(["new", "Said", "--no-input", *options]) == 0
    said = yaml.safe_load(Path(capsys.readouterr().out.strip()).read_text(encoding="utf-8"))
    assert said["wadding"] == {"gap": "5/8 in", "width": "60 in"}
    assert said["thread"] == {"metres_per_spool": 500, "price": 4.5}
    priced = ["--cloth-price", "12,40 / m", "--wadding-price", "9 / m", "--square", "14,5 cm", "--hour", "18,50"]
    assert run(["new", "Commas", "--no-input", "--units", "metric", *priced]) == 0
    priced_text = Path(capsys.readouterr().out.strip()).read_text(encoding="utf-8")
    data = yaml.safe_load(priced_text)
    assert [one["price"] for one in data["prints"]] == ["12.40 / m"] * 3
    assert (data["wadding"]["price"], data["square"]) == ("9 / m", "14.5 cm")
    assert data["labour"]["rate"] == "18.50 / hour"
    assert " yd" not in priced_text
    assert run(["new", "Odd", "--no-input", "--spool", "many"]) == 2
    assert "whole number" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("title", "folder"),
    [
        ("Reading chair cushion", "reading-chair-cushion"), ("Grüne Decke", "grüne-decke"), ("座布団", "座布団"),
        ("../../etc/passwd", "etc-passwd"), ('A "quoted": title # so', "a-quoted-title-so"), ("- yes", "yes"),
        ("a/b\\c", "a-b-c"), ("No", "no"), ("1:30", "1-30"), ("{brace}", "brace"), ("x" * 80, "x" * 60),
    ],
)  # fmt: skip
def test_a_title_of_any_letters_makes_a_project(bench, capsys, title, folder):
    """The title is kept as it is; the folder's name is plain and inside the sessions folder. [identity]"""
    assert run(["new", "--no-input", "--", title]) == 0
    out = capsys.readouterr().out.strip()
    assert out == str(Path("sessions") / folder / "project.yaml")
    assert yaml.safe_load(Path(out).read_text(encoding="utf-8"))["project"] == title
    assert run(["check", out]) == 0
    assert [path.parent.name for path in bench.rglob("project.yaml")] == [folder]


@pytest.mark.parametrize("title", ["...", "///", "con", "a\x1b[2J", "x" * 81, "\u202eabc", "  "])
def test_a_title_that_cannot_be_one_is_refused(bench, capsys, title):
    """In one sentence, and nothing is written."""
    assert run(["new", "--no-input", "--", title]) == 2
    said = capsys.readouterr()
    assert said.err
    assert "\x1b" not in said.err
    assert list(bench.iterdir()) == []


@pytest.mark.parametrize(
    "there", [(), ("sessions",), ("sessions", "sessions/reading-chair", "sessions/reading-chair/mine")]
)
def test_a_project_that_cannot_be_written_leaves_no_folder(bench, capsys, monkeypatch, there):
    """A disk that is full at the file: what was made for it is taken away, what was there stays."""
    for name in there:
        (bench / name).mkdir()

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("guide.system.sync", full)
    assert run(["new", "Reading chair", "--no-input"]) == 6
    assert "No space left" in capsys.readouterr().err
    assert sorted(str(path.relative_to(bench)) for path in bench.rglob("*")) == sorted(there)


def test_on_a_terminal_no_word_is_broken(bench, capsys, monkeypatch):
    """What it comes to is longer than 80 columns, and is told in lines of words; a pipe gets it in one. [identity]"""
    asked = ["new", "A long name", "--no-input", "--print", "a print with a long name", "--print", "one more of them"]
    assert run([*asked, "--into", "piped"]) == 0
    piped = capsys.readouterr().err
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    monkeypatch.setenv("COLUMNS", "80")
    assert run([*asked, "--into", "typed"]) == 0
    typed = capsys.readouterr().err
    assert max(map(len, piped.splitlines())) > 80
    assert max(map(len, typed.splitlines())) <= 80
    assert typed.split() == piped.replace("piped", "typed").split()


def test_a_project_that_is_there_is_left_as_it_is(bench, capsys):
    """Not a byte of it changes, and the maker is told what to do."""
    assert run(["new", "Reading chair", "--no-input"]) == 0
    file = bench / "sessions" / "reading-chair" / "project.yaml"
    file.write_text("mine\n", encoding="utf-8")
    assert run(["new", "Reading chair", "--no-input"]) == 6
    assert file.read_text(encoding="utf-8") == "mine\n"
    assert "was left as it was" in capsys.readouterr().err.replace("it is", "it was")


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--square", "5"], "5 has no unit; write 5 in or 5 cm"),
        (["--square", "12,5 furlongs"], "12.5 furlongs"),
        (["--square", "2 in"], "eaten up by its seams"),
        (["--across", "many"], "write a whole number"),
        (["--across", "500", "--down", "500"], "more than one panel can hold"),
        (["--hour", "lots"], "write it like 18.00 / hour"),
        (["--kind", "throw", "--closure", "zip"], "a throw has no inside; write closure: none"),
        (["--kind", "throw", "--closure", "envelope"], "a throw has no inside; write closure: none"),
        (["--closure", "none"], "a cushion"),
    ],
)
def test_an_option_that_does_not_work_out_says_why(bench, capsys, options, said):
    """The same words as for a file, and nothing is written: what was asked for is never left out in silence."""
    code = run(["new", "Reading chair", "--no-input", *options])
    told = capsys.readouterr().err
    assert code == 2
    assert said in told
    assert list(bench.iterdir()) == []


def test_nobody_there_and_nothing_said_is_wrong_use(bench, capsys):
    """A script that forgot its options is told them; nothing is written."""
    assert run(["new"]) == 2
    assert "--no-input" in capsys.readouterr().err
    assert list(bench.iterdir()) == []


DEMO = Path(__file__).parents[2] / "sessions" / "window-seat-cushion" / "project.yaml"


def test_the_example_is_the_repository_s_own(bench, capsys):
    """For someone without a clone: the same file to the byte, labelled invented, good, and with a price for everything.

    It is priced as the clone's is: the project's margin of 35 % and fees are in it, so nothing is asked at cost.
    """
    assert run(["new", "--example"]) == 0
    file = Path(capsys.readouterr().out.strip())
    assert file == Path("sessions/window-seat-cushion/project.yaml")
    assert file.read_bytes() == DEMO.read_bytes()
    assert "invented" in file.read_text(encoding="utf-8").split("\n")[0]
    assert run(["check", str(file)]) == 0
    capsys.readouterr()
    assert run(["price", str(file)]) == 0
    priced = capsys.readouterr().out
    assert "PRICE OF ONE" in priced
    assert "No price given" not in priced
    assert "at least" not in priced


@pytest.mark.parametrize("more", [["Another title"], ["--across", "6"], ["--units", "metric"], ["--hour", "20"]])
def test_the_example_is_laid_down_as_it_is(bench, capsys, more):
    """What else is said would be left without effect: it is refused, and nothing is written."""
    assert run(["new", "--example", *more]) == 2
    assert "--example" in capsys.readouterr().err
    assert list(bench.iterdir()) == []


def test_an_installed_program_has_the_example_with_it(bench):
    """The wheel holds the very file, once, where the program looks beside its stages."""
    pytest.importorskip("hatchling")
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(bench)]
    subprocess.run(build, cwd=DEMO.parents[2], check=True, capture_output=True)
    (wheel,) = bench.glob("*.whl")
    with zipfile.ZipFile(wheel) as packed:
        names = [name for name in packed.namelist() if name.endswith("project.yaml")]
        assert names == ["guide/example/project.yaml"]
        assert packed.read(names[0]) == DEMO.read_bytes()
        packed.extractall(bench / "installed")
    code = "from guide.read.places import shipped_example; print(shipped_example())"
    found = subprocess.run(
        [sys.executable, "-P", "-c", code], env={"PYTHONPATH": str(bench / "installed")},
        cwd=bench, check=True, capture_output=True, encoding="utf-8",
    ).stdout  # fmt: skip
    assert found.strip() == str(bench / "installed" / names[0])


@pytest.mark.parametrize(("units", "square"), [("inch", "6 1/4 in"), ("metric", "16 cm")])
def test_a_throw_begins_with_larger_squares_in_either_system(bench, capsys, units, square):
    """A throw is large: 6 1/4 in or 16 cm, and blocks enough for a lap. [practice]"""
    assert run(["new", "Throw", "--no-input", "--kind", "throw", "--units", units]) == 0
    text = Path(capsys.readouterr().out.strip()).read_text(encoding="utf-8")
    assert yaml.safe_load(text)["square"] == square


def test_prints_are_a_list_and_no_other_answer_is():
    """A comma parts prints; in a size it is a decimal point, in a title a comma. [identity]"""
    assert take_in(Answers(), "prints", "moss check , oat, ").prints == ("moss check", "oat")
    assert take_in(Answers(), "square", "14,5 cm").square == "14.5 cm"
    assert take_in(Answers(), "title", "Red, blue").title == "Red, blue"


def test_all_that_stands_there_is_selected_from_the_first_letter_on():
    """So that what is typed takes its place whole. [identity] Four letters: from 0 to 4."""
    buffer = Buffer(document=Document("5 in"))
    new._select_all(buffer)
    assert buffer.document.selection_range() == (0, 4)
