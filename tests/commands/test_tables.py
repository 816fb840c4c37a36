"""Tables of times in the terminal: what they say can be followed, and what stands in a column stands under it."""

import re

import pytest

from tests.commands.worked import worked

DEMO = "sessions/window-seat-cushion"


def uneven(step):
    """Twice the starter pace, but drying at five sixths of it."""
    return step.pace_s * (5 / 6 if step.key == "wash/dry" else 2)


def seconds(text):
    """[identity] 1:02:05 is 3725 s."""
    return sum(int(part) * 60**place for place, part in enumerate(reversed(text.split(":"))))


def row_of(out, title):
    """One line of the table of paces: the times in it, and the share of the starter pace."""
    line = next(line for line in out.splitlines() if line.strip().startswith(title))
    share = int(re.search(r"(\d+) %", line)[1]) / 100
    return [seconds(text) for text in re.findall(r"\d+(?::\d\d)+", line)], share


def test_paces_are_told_as_the_screen_tells_them(guide):
    """Minutes and seconds in every row, 1:58 and never 2 min; low, usual and high in their order."""
    worked(DEMO, 0, uneven)
    table = guide("paces").out.split("\n\n")[1].splitlines()
    assert len(table) > 30
    for line in table[1:]:
        (usual, low, high, *_), _ = row_of(line, line.strip()[:12])
        assert low < usual < high
        assert "min" not in line.partition(" to ")[2]
    for head in ("usual", "pieces", "own", "starter", "counts"):
        end = table[0].index(head) + len(head)
        assert all(line[end - 1] != " " and line[end : end + 1] in {" ", ""} for line in table[1:])


def test_a_usual_pace_away_from_the_own_one_can_be_followed(guide):
    """Drying took 5/6 of the starter pace by a maker half as quick: usual = own^(1 − c) · (starter · tempo)^c.

    [identity] from the figures in the table alone, to their rounding: half a second, half a percent, half a hundredth.
    """
    worked(DEMO, 0, uneven)
    out = guide("paces").out
    tempo = float(re.search(r"starter pace × (\d\.\d\d) \(your tempo", out)[1])
    (usual, _, _, own, starter), share = row_of(out, "Shake and dry")
    assert (own, starter) == (200, 240)
    assert own < usual < starter * tempo
    assert usual == pytest.approx(own ** (1 - share) * (starter * tempo) ** share, rel=0.012)


def test_what_steps_never_timed_are_reckoned_by_is_said(guide):
    """Work up to the quilting at twice the starter pace: the rest is the starter pace, stretched, and it is said."""
    worked(DEMO, 0, lambda step: step.pace_s * 2, until="quilt/cross")
    tempo = re.search(r"starter pace × (\d\.\d\d)", guide("paces").out)[1]
    assert float(tempo) > 1.3
    said = f"; the others at the starter paces × {tempo}, your tempo so far"
    assert said in guide("plan", DEMO).out
    assert f"{said}." in guide("price", DEMO).out


OTHER = "sessions/floor-quilt"


@pytest.fixture
def other(workshop):
    """A second project of the same steps in another size, one print short, so that its steps are numbered otherwise."""
    folder = workshop / OTHER
    folder.mkdir()
    text = (workshop / DEMO / "project.yaml").read_text(encoding="utf-8")
    text = re.sub(r"^project:.*", "project: Floor quilt", text, flags=re.MULTILINE)
    text = re.sub(r"^square:.*", "square: 5 in", text, flags=re.MULTILINE)
    text = re.sub(r"^stages:.*", "stages: [cut, quilt, join, snip, closure, assemble, wash]", text, flags=re.MULTILINE)
    (folder / "project.yaml").write_text(text, encoding="utf-8")
    return OTHER


def half(step):
    return step.pace_s / 2


def test_steps_of_several_projects_are_added_up_by_name(guide, other):
    """No number that means another step elsewhere, no name twice: 12 + 12 crosses, from two sessions."""
    worked(DEMO, 0, half)
    alone = guide("history", "--by", "step").out
    assert "  1 Press and straighten the cloth" in alone
    assert re.search(r"14 Sew the cross +\d+ min +12 pieces +1 session$", alone, re.MULTILINE)
    worked(other, 1, half)
    lines = guide("history", "--by", "step").out.strip().splitlines()[1:]
    assert not [line for line in lines if re.match(r"\s+\d", line)]
    names = [re.split(r" {2,}", line.strip())[0] for line in lines]
    assert len(set(names)) == len(names)
    assert re.search(r"  Sew the cross +\d+ min +24 pieces +2 sessions$", "\n".join(lines), re.MULTILINE)
    assert re.search(r"  Count into stacks +\d+ \w+ +12 pieces +1 session$", "\n".join(lines), re.MULTILINE)


def test_one_piece_is_no_pieces(guide):
    """What lies under each other stays so."""
    worked(DEMO, 0, half, until="stack/count")
    lines = guide("history", "--by", "step").out.partition("by step\n")[2].splitlines()
    assert any(re.search(r" 1 piece +1 session$", line) for line in lines)
    assert not any("1 pieces" in line for line in lines)
    assert len({line.index(" session") for line in lines}) == 1


def test_no_line_of_a_table_ends_in_blanks(guide, workshop):
    """A price that is not there leaves nothing behind it either: the wadding without one."""
    file = workshop / DEMO / "project.yaml"
    text = file.read_text("utf-8")
    file.write_text(re.sub(r"(wadding: .*?), price: [^}]*}", r"\1}", text), "utf-8")
    worked(DEMO, 0, half, until="stack/count")
    out = "".join(
        guide(*argv).out
        for argv in (
            ("plan", DEMO),
            ("plan", DEMO, "--set", "square=7 in"),
            ("price", DEMO),
            ("paces",),
            ("history",),
            ("amend", DEMO),
        )
    )
    assert re.search(r"^  wadding +[\d /]+yd$", out, re.MULTILINE)
    assert not re.findall(r"^.*[ \t]$", out, re.MULTILINE)


def test_a_length_is_told_with_a_blank_before_its_unit(guide):
    """8in, as somebody typed it, is 8 in wherever the plan tells it; 6½in keeps its half."""
    for typed, told in (("8in", "8 in"), ("6½in", "6½ in"), ("20cm", "20 cm")):
        row = next(
            line for line in guide("plan", DEMO, "--set", f"square={typed}").out.splitlines() if "square, cut" in line
        )
        assert row.endswith(f" {told}")


def test_what_is_listed_to_be_put_right_is_told_to_the_second(guide):
    """A piece of 150 s is 2:30, whatever history's minutes are rounded to so that they add up. [identity]"""
    worked(DEMO, 0, lambda step: 150.0, until="stack/count")
    rows = guide("amend", DEMO).out.splitlines()
    assert sum(row.endswith(" 2:30") for row in rows) > 5
    assert not any(re.search(r"\d (?:min|s)$", row) for row in rows)
