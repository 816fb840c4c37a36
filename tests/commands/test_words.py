"""British or American, one or the other: in whatever is printed; and a maker's own names in neither."""

import io
import re
from pathlib import Path

import pytest

from guide.commands.sessions import plan_of
from guide.follow.model import Desk
from guide.read.places import open_project
from guide.record.fold import fold
from guide.record.journal import read_journal
from guide.record.model import Reading
from guide.show.scene import Scene
from guide.show.screen.page import page
from guide.show.screen.text import flat
from tests.commands.worked import worked
from tests.show.pages_read import Page

DEMO = "sessions/window-seat-cushion"
ONE = "sessions/one"
OTHER = "sessions/two"
JOURNAL = f"{ONE}/2026-03-01.jsonl"
# [practice] what each side of the sea calls the same thing; pillow and practice are words of both
BRITISH = (
    r"waddings?|zips?|zipped|cushions?|pads?|tack(?:ing|ed|s)?|unpick(?:er|ers|ing|ed|s)?|selvedges?|colour(?:s|ed)?|"
    r"centres?|(?:centi)?metres?|neighbour(?:s|ing)?|labour(?:s|ed)?|fibres?|practised?"
)
AMERICAN = (
    r"battings?|zippers?|pillow forms?|bast(?:e|es|ed|ing)|seam rippers?|selvages?|color(?:s|ed)?|centers?|"
    r"(?:centi)?meters?|neighbor(?:s|ing)?|labor(?:s|ed)?|fibers?"
)
KINDS = {
    "envelope": {"closure": "{type: envelope, overlap: 4 in, hem: 1 in}"},
    "throw": {"kind": "throw", "closure": "none", "back": "none", "pad": None, "for": "infant"},
    "plain back": {"back": "{plain: blue}", "wadding": "none", "hold_with": "pins", "square": "4 in"},
}


def write(folder, words, names=("red", "green", "blue"), title="Mine", extra="thing", **keys):
    """The demo with other words, names and keys."""
    text = Path(DEMO, "project.yaml").read_text(encoding="utf-8").split("\n", 1)[1]
    for old, new in zip(("moss check", "oat stripe", "clay dot"), names, strict=True):
        text = text.replace(f"name: {old}", f"name: {new}")
    text = text.replace("name: cushion pad", f"name: {extra}")
    for key, value in {"project": title, "words": words, **keys}.items():
        text = re.sub(rf"^{key}: .*\n", "", text, flags=re.MULTILINE)
        text += "" if value is None else f"{key}: {value}\n"
    Path(folder).mkdir(exist_ok=True)
    Path(folder, "project.yaml").write_text(text, encoding="utf-8")


def read(text):
    """What a person reads of a page or of lines: no formulas, nor the names and choices they are written with."""
    text = re.sub(r"Every number by name.*?\n\n", "", text, flags=re.DOTALL)
    text = re.sub(r"<code>.*?</code>", "", text, flags=re.DOTALL)
    text = Page(text).text if "<html" in text else text
    return re.sub(r"'[^'\n]*'|`[^`\n]*`|workflows/\w+\.yaml\S*", "", text)


def pages(guide):
    """Every page there is, in both formats, as text."""
    out = []
    for kind, argv in {
        "plan": ["plan", ONE, "--page"],
        "price": ["price", ONE, "--page"],
        "quote": ["price", ONE, "--quote"],
        "log": ["log", JOURNAL, "-o"],
        "checklist": ["checklist", ONE, "--for", "beginner", "-o"],
        "sheet": ["sheet", ONE, "-o"],
        "tickets": ["sheet", ONE, "--tickets", "-o"],
    }.items():
        for end in ("html", "md"):
            extra = ["--markdown"] if end == "md" and kind not in {"plan", "price", "quote"} else []
            said = guide(*argv, f"{kind}.{end}", *extra)
            assert said.code == 0, said.err
            out.append(Path(f"{kind}.{end}").read_text(encoding="utf-8"))
    return out


def lines(guide, monkeypatch):
    """Every command that prints about a project, and a sitting in plain lines that looks at every step."""
    asked = [
        ["plan", ONE], ["plan", ONE, "--all"], ["plan", ONE, "--set", "make=2"], ["plan", ONE, "--cutting"],
        ["plan", ONE, "--with", OTHER], ["plan", ONE, "--evening", "2 hours"], ["why", "pad_width", ONE],
        ["layout", ONE], ["layout", ONE, "--fringe"], ["price", ONE], ["price", ONE, "--set", "square=5in"],
        ["price", ONE, "--given", "120"], ["price", JOURNAL], ["history"], ["paces"], ["amend", JOURNAL],
        ["check", ONE],
    ]  # fmt: skip
    out = []
    for argv in asked:
        said = guide(*argv)
        assert said.code == 0, said.err
        out += [said.out, said.err]
    monkeypatch.setattr("sys.stdin", io.StringIO("\n?\nt\n4\n\nm\n" + "\nf\n\nw\n\na\n\n\n.\n\n" * 70))
    said = guide("follow", OTHER, "--plain", "--new", "--for", "beginner")
    return [*out, said.out, said.err]


def screens():
    """Every step on the screen, why it is done, and the keys."""
    plan = plan_of(open_project(Path(ONE), {}))
    record, now = fold(read_journal(Path(JOURNAL)).events), Reading(wall=1, offset=0, awake=1, total=1, boot="a")
    desks = [Desk(view="keys")]
    desks += [Desk(view=view, look=step.key, beginner=True) for step in plan.steps for view in ("look", "why")]
    return ["\n".join(flat(line) for line in page(Scene(plan, record, desk, now), 120, 40).lines) for desk in desks]


def everything(guide, monkeypatch):
    """All that is said about one project; what is only heard stands in a page's attributes."""
    worked(ONE, 0, lambda step: step.pace_s)
    return [*pages(guide), *lines(guide, monkeypatch), *screens()]


def of_the_other(texts, other):
    """Each word of the other language that a person reads, with what stands around it."""
    return [
        text[max(0, one.start() - 40) : one.end() + 20]
        for text in map(read, texts)
        for one in re.finditer(rf"\b(?:{other})\b", text.replace(DEMO, ""), re.IGNORECASE)
    ]


@pytest.mark.parametrize(("words", "other"), [("american", BRITISH), ("british", AMERICAN)])
def test_no_word_of_the_other_side_of_the_sea_is_printed(guide, monkeypatch, words, other):
    """Every command, page and screen of a project whose own names are of neither."""
    for folder in (ONE, OTHER):
        write(folder, words)
    found = of_the_other(everything(guide, monkeypatch), other)
    assert found == [], "\n".join(found)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_article_is_american_throughout(guide, kind):
    """What an envelope, a throw, a plain back and pins bring along: steps, numbers, warnings, prices."""
    write(ONE, "american", **KINDS[kind])
    worked(ONE, 0, lambda step: step.pace_s)
    told = [guide(name, ONE).out for name in ("plan", "layout", "price")]
    told += [guide(name, ONE, "--markdown", "-o", "-").out for name in ("checklist", "sheet", "log")]
    found = of_the_other([*told, *screens()], BRITISH)
    assert found == [], "\n".join(found)


def test_what_a_maker_named_stays_as_written_everywhere(guide, monkeypatch):
    """A title, prints and an extra in British words, a note too: an American project prints them unchanged."""
    names = ("zip stripe", "centre dot", "wadding grey")
    for folder in (ONE, OTHER):
        write(folder, "american", names, title="Labour cushion", extra="colour pad", back="{plain: zip stripe}")
    told = "\n".join(everything(guide, monkeypatch))
    for name in (*names, "Labour cushion", "colour pad"):
        assert name in told
    for turned in ("zipper stripe", "center dot", "batting grey", "Labor", "labor pillow", "color pillow", "color pad"):
        assert turned not in told
    monkeypatch.setattr("sys.stdin", io.StringIO("\nn\nthe cushion zip\nq\n"))
    assert (
        "the cushion zip"
        in guide("follow", ONE, "--plain", "--new").out + guide("log", ONE, "--markdown", "-o", "-").out
    )
