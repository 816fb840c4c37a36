"""README and the pages behind `guide help` say everything there is, and what they say works: tables, commands, files."""

import re
import shlex
import shutil
import subprocess
from collections import Counter
from pathlib import Path

import click
import pytest

from guide import errors
from guide.cli import COMMANDS, guide
from guide.commands.help import DOCS, page_lines, topics
from guide.read.formula import FUNCTIONS, UNITS
from guide.read.project_keys import MADE, OF_MACHINE, named
from guide.read.stage_keys import STAGE
from tests.docs.tables import BEGIN, END, EXITS, keys, made, pages, projects
from tests.fakes import run

ROOT = Path(__file__).parent.parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
PAGES = {path.stem: path.read_text(encoding="utf-8") for path in sorted(DOCS.glob("*.md"))}
DOCUMENTED = "\n".join([README, *PAGES.values()])
SETUP = "python3 -m venv"


@pytest.mark.parametrize("page", pages())
def test_a_page_is_as_the_program_is(page):
    """`python -m tests.docs` writes it anew."""
    written = PAGES[page].split(BEGIN)[1].split(END)[0].strip()
    assert written == made(page), "run: python -m tests.docs"


def test_every_page_is_a_topic_that_readme_links():
    """Nothing that is documented is out of sight, from the file or from the terminal."""
    assert set(topics()) == set(PAGES)
    assert [name for name in PAGES if f"(guide/docs/{name}.md)" not in README] == []


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("width", [40, 80, 100])
def test_a_page_fits_the_terminal_and_loses_no_word(page, width):
    """Prose and tables are filled to the width; what is to be typed stays as it is written."""
    lines = page_lines(page, width)
    assert [line for line in lines if len(line) > width and not line.startswith("    ")] == []
    written = re.sub(r"^\|.*\|\n(?=\|---)|^```.*$|<!--.*?-->", "", PAGES[page], flags=re.MULTILINE)
    words = [Counter(re.findall(r"[a-z0-9]+", text.lower())) for text in (written, " ".join(lines))]
    assert words[0] - words[1] == Counter()


def test_help_shows_a_page_a_command_or_what_there_is(capsys):
    """`guide help TOPIC`; a slip of the finger is told, with what was meant."""
    assert run(["help", "machine"]) == 0
    assert "Take back the last thing recorded." in capsys.readouterr().out
    assert run(["help", "price"]) == 0
    assert "--given AMOUNT" in capsys.readouterr().out
    assert run(["help"]) == 0
    assert all(title in capsys.readouterr().out for title in list(topics().values())[:1])
    assert run(["help", "machin"]) == 2
    assert "machine" in capsys.readouterr().err


def test_every_command_and_option_has_its_line():
    """Each option of each command, by every spelling it has."""
    missing, left = (
        [],
        {name: guide.get_command(click.Context(guide), name) for name in COMMANDS},
    )
    while left:
        name, command = left.popitem()
        left |= {f"{name} {inner}": one for inner, one in getattr(command, "commands", {}).items()}
        if not re.search(rf"\*\*`guide {name}[ `]", PAGES["commands"]):
            missing.append(f"guide {name}")
        part = re.split(rf"\*\*`guide {name}[ `]", PAGES["commands"], maxsplit=1)[-1].split("**`guide ")[0]
        for param in command.params:
            if isinstance(param, click.Option):
                missing += [
                    f"guide {name} {spelt}" for spelt in param.opts if f"`{spelt}" not in part and spelt not in part
                ]
    assert missing == []


def test_every_key_name_and_function_has_its_line():
    """Keys of both files with words of their own, flat names, functions, units."""
    rows = [*keys(projects()), *keys(STAGE)]
    assert [path for path, _, _, says in rows if f"| {path} |" not in DOCUMENTED or not says] == []
    names = [*(key.name for _, key in named(projects())), *MADE, *OF_MACHINE, *FUNCTIONS]
    assert [name for name in names if f"| `{name}` |" not in DOCUMENTED] == []
    assert [unit for unit in UNITS if f"`{unit}`" not in DOCUMENTED] == []


def test_every_exit_code_has_its_line():
    """Those of the errors there are, and what the command line and signals end with."""
    codes = {c.exit_code for c in vars(errors).values() if isinstance(c, type) and issubclass(c, errors.GuideError)}
    assert codes | {0, 2, 3, 129, 130, 143} <= set(EXITS)
    assert [code for code in EXITS if f"| {code} | {EXITS[code]} |" not in DOCUMENTED] == []


@pytest.fixture
def clone(tmp_path, monkeypatch):
    """What a maker has after cloning: README's folders, nothing of their own."""
    shutil.copytree(ROOT / "workflows", tmp_path / "workflows")
    (tmp_path / "sessions" / "window-seat-cushion").mkdir(parents=True)
    shutil.copy(ROOT / "sessions/window-seat-cushion/project.yaml", tmp_path / "sessions/window-seat-cushion")
    monkeypatch.setenv("FRAYWORK_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    return tmp_path


def sections() -> dict[str, str]:
    parts = re.split(r"^##+ (.+)$", README + PAGES["own"], flags=re.MULTILINE)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def told(section: str) -> list[str]:
    """What a section tells a maker to do, in order: command lines, and fenced files."""
    found = re.findall(
        r"^    (?:guide|mkdir|cp)[^\n]*$|^```(?:yaml|diff)\n# .*?^```$", section, re.MULTILINE | re.DOTALL
    )
    return [part for line in found for part in (line.split(" · ") if line.startswith(" ") else [line])]


def do(part: str, capsys) -> str:
    """Do one thing as printed. Gives what went wrong, or nothing."""
    if part.startswith("```"):
        write(part)
        return ""
    line, _, into = part.strip().partition(" > ")
    words = shlex.split(line, comments=True)
    if words[0] != "guide":
        subprocess.run(words, check=True)
        return ""
    code = run(words[1:])
    said = capsys.readouterr()
    if into:
        Path(into.strip()).write_text(said.out, encoding="utf-8")
    return f"{line}: {code} {said.err}{said.out}" if code else ""


def write(fenced: str) -> None:
    """Write a file as a maker would: the whole, a line more, or one line changed for another."""
    fence, first, *lines = fenced.split("\n")[:-1]
    name, more = first.removeprefix("# ").removesuffix(" +"), first.endswith(" +")
    path = Path(name)
    path.parent.mkdir(parents=True, exist_ok=True)
    if fence == "```diff":
        text = path.read_text(encoding="utf-8")
        old, new = ("".join(x[1:] + "\n" for x in lines if x[0] == sign) for sign in "-+")
        assert old in text
        path.write_text(text.replace(old, new), encoding="utf-8")
    else:
        path.write_text((path.read_text(encoding="utf-8") if more else "") + "\n".join(lines) + "\n", encoding="utf-8")


OWN = ("Your first project, step by step", "Your first stage: a step of your own", "Changing a formula", "Your first kind", "In your editor and your shell")  # fmt: skip


def test_writing_your_own_works_as_printed(clone, capsys):
    """A new maker with README alone: a project, a step, a formula, a kind, all in order, nothing left out."""
    given = sections()
    done = [part for name in OWN for part in told(given[name])]
    assert len(done) >= 20
    assert [wrong for part in done if (wrong := do(part, capsys))] == []
    assert run(["sheet", "sessions/reading-chair-cushion", "--markdown", "-o", "-"]) == 0
    assert "Sew the label on" in capsys.readouterr().out
    assert run(["why", "cut_depth", "sessions/reading-chair-cushion"]) == 0
    assert "1/2 in" in capsys.readouterr().out  # 4/5 of a 5/8 in seam [identity]
    assert run(["why", "sleeve_height", "sessions/spring-banner"]) == 0
    assert "4 3/4 in" in capsys.readouterr().out  # 4 × 1 in + 2 × 3/8 in [identity]


def test_the_other_commands_run_as_printed(clone, capsys):
    """Those of the first pages, with a session to look back on; the two that sit and ask are led by themselves."""
    shutil.copytree("sessions/window-seat-cushion", "sessions/other-cushion")
    demo = "sessions/window-seat-cushion"
    assert run(["amend", demo, "--enter", "1, 9:00 to 9:20"]) == 0
    capsys.readouterr()
    wrong = []
    for name in ("A first project", "Afterwards"):
        for part in told(sections()[name]):
            line = part.split("#")[0].rstrip().replace("PROJECT", demo).replace("OTHER", "sessions/other-cushion")
            line += {"guide new": " --example --into elsewhere", "guide follow": " --rehearse"}.get(line.strip(), "")
            wrong.append(do(line, capsys))
    assert [said for said in wrong if said] == []


def test_the_least_project_is_good(clone, capsys):
    """The file under `A first project` is what it says: the least that can be planned."""
    text = re.search(r"```yaml\n(project: .*?)```", README, re.DOTALL)[1]
    Path("least.yaml").write_text(text, encoding="utf-8")
    assert run(["check", "least.yaml"]) == 0
    for line in text.strip().split("\n"):
        if not line.startswith(" ") and not line.startswith(("prints", "wadding")):
            Path("less.yaml").write_text(text.replace(line + "\n", ""), encoding="utf-8")
            assert run(["check", "less.yaml"]) == 2, f"{line} could be left out"
    capsys.readouterr()


def test_the_two_commands_stand_on_one_line_each():
    """What sets up and runs; checked on a clean machine elsewhere."""
    lines = [line for line in README.split("\n") if line.startswith(f"    {SETUP}")]
    assert len(lines) == 2
    assert [line.count("&&") for line in lines] == [2, 2]


@pytest.mark.parametrize(
    ("words", "count", "wanted"),
    [("guide pl", "1", "plan"), ("guide plan --j", "2", "--json"), ("guide schema pro", "2", "project"), ("guide log --mark", "2", "--markdown")],
)  # fmt: skip
def test_the_tab_key_completes(words, count, wanted, monkeypatch, capsys):
    """As bash asks: commands, options and choices, of commands not yet imported too."""
    for name, value in (("_GUIDE_COMPLETE", "bash_complete"), ("COMP_WORDS", words), ("COMP_CWORD", count)):
        monkeypatch.setenv(name, value)
    assert run([]) == 0
    assert f"plain,{wanted}" in capsys.readouterr().out.split("\n")


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_line_for_a_shell_gives_its_script(shell, monkeypatch, capsys):
    """What README says, run: a script that asks again with each tab. [source: click's documentation of completion]"""
    assert f"_GUIDE_COMPLETE={shell}_source guide" in PAGES["own"]
    monkeypatch.setenv("_GUIDE_COMPLETE", f"{shell}_source")
    assert run([]) == 0
    assert f"_GUIDE_COMPLETE={shell}_complete" in capsys.readouterr().out
