"""What `t` offers by the place it happens at: what keeps fingers safe first, then what helps; told and counted after."""

import pytest
from msgspec.structs import replace

from guide.plan.model import Trouble
from guide.read.places import language_for
from guide.record.history import history
from guide.record.lines import encode
from guide.show.cards import card_of
from guide.show.report_cautions import AT_THE_NEEDLE, BROKEN_NEEDLE, JAM, in_trouble
from guide.show.scene import Scene
from tests.follow.samples_session import Bench
from tests.show.demo import demo_plan

# The symptoms by place, as a class of makers told them. [practice]
PLACES = {
    "machine": ("thread breaks", "skipped stitches", "a pleat is sewn in", "a layer is missed", "layers creep",
                "stuck at a crossing", "jam", "needle broke", "bobbin out"),
    "table": ("cut wrong", "cut through the stitching", "blade blunt", "glue in the wrong place", "wrong side up"),
    "iron": ("scorched", "melted zip", "marks are gone", "glue on the sole"),
    "washer": ("colour bled", "shrank askew", "a seam opened", "will not fray", "fringe matted", "filter blocked"),
}  # fmt: skip


class Placed(Bench):
    """The sample's session with the shipped troubles; its needle is a machine's."""

    def _plan(self, measured, layout, texts):
        return replace(super()._plan(measured, layout, texts), troubles=demo_plan().troubles)


def words_of(card):
    return ["".join(text for _, text in row.parts) for row in card.rows if row.parts]


def card_at(bench):
    at = bench.session
    return card_of(Scene(at.plan, at.record, at.desk, at.clock.read()))


@pytest.mark.parametrize("station", sorted(PLACES))
def test_the_troubles_of_a_place_are_offered_there(station):
    """All that the place has, at most nine, so that one digit names each."""
    offered = [one.name for one in demo_plan().troubles if station in one.at]
    assert set(PLACES[station]) <= set(offered[:9])
    assert all(one.helps or one.first_aid for one in demo_plan().troubles)


@pytest.mark.parametrize("station", sorted(PLACES))
def test_safety_stands_before_help(station):
    """Whatever it is: the first line keeps somebody safe; at the machine the pedal and the needle, whole."""
    for name in PLACES[station]:
        first, helps = in_trouble(demo_plan(), name, station)
        assert first, name
        assert helps or name in {"jam", "needle broke"}
        if station == "machine":
            assert first[0].startswith("Foot off the pedal, machine off")
    assert in_trouble(demo_plan(), "jam", "machine")[0] == list(JAM)
    assert in_trouble(demo_plan(), "needle broke", "machine")[0] == list(BROKEN_NEEDLE)


def test_a_trouble_at_the_needle_is_chosen_by_number():
    """t at the machine, then its number: the record has its name, the card what to do first."""
    bench = Placed().open("Sew the cross")
    bench.press("t")
    assert bench.desk.ask.choices == PLACES["machine"]
    bench.press("2")
    assert (bench.newest.what, bench.newest.why) == ("trouble", "skipped stitches")
    told = words_of(card_at(bench))
    assert told[0] == AT_THE_NEEDLE[0]
    assert any("needle" in line for line in told[1:])


def test_a_trouble_in_own_words():
    """A letter begins it; what to do at that place first is said all the same."""
    bench = Placed().open("Sew the cross")
    bench.press("t", *"kink", "enter")
    assert (bench.newest.what, bench.newest.why) == ("trouble", "kink")
    assert words_of(card_at(bench))[0] == AT_THE_NEEDLE[0]
    bench.press("space")
    bench.press("t", "x", "backspace", "enter")
    assert bench.newest.what == "resumed"


def test_at_the_table_no_needle_is_spoken_of():
    """Cutting goes wrong in other ways than sewing."""
    bench = Placed().open("Cut the squares")
    bench.press("t")
    assert bench.desk.ask.choices[:5] == PLACES["table"]


def test_a_maker_adds_a_trouble(tmp_path):
    """A file beside the stages, told from one by its first key; one of a shipped name takes its place."""
    folder = tmp_path / "workflows"
    folder.mkdir()
    (folder / "mine.yaml").write_text(
        "troubles:\n  elastic snapped: {at: [machine], safe: [Mind the end.], helps: [A new length.]}\n"
        "  jam: {at: [machine], helps: [Call the workshop.]}\n",
        encoding="utf-8",
    )
    there = language_for(tmp_path, {}).beside["troubles"]
    assert there["elastic snapped"]["safe"] == ["Mind the end."]
    assert there["jam"] == {"at": ("machine",), "helps": ["Call the workshop."]}
    plan = replace(
        demo_plan(), troubles=(Trouble("elastic snapped", ("machine",), ("Mind the end.",), ("A new length.",)),)
    )
    assert in_trouble(plan, "elastic snapped", "machine") == ([AT_THE_NEEDLE[0], "Mind the end."], ["A new length."])


def test_an_older_sessions_words_keep_their_first_aid():
    """A bobbin's trouble of a session that knew no list is a jam as before."""
    assert in_trouble(replace(demo_plan(), troubles=()), "bobbin", "machine")[0] == list(JAM)
    bench = Bench().open("Sew the cross")
    bench.press("t")
    assert bench.desk.ask.choices == ("bobbin", "thread", "needle", "unpick", "remake")


def test_troubles_are_counted_by_name(tmp_path):
    """Twice bobbin out for 30 s and 50 s, once a jam for 70 s: times and seconds by name, over all sessions. [identity]"""
    bench = Placed().open("Sew the cross")
    for number, seconds in (("9", 30.0), ("7", 70.0), ("9", 50.0)):
        bench.press("t", number, after=1.0)
        bench.press("space", after=seconds)
    path = tmp_path / "s.jsonl"
    path.write_bytes(b"".join(encode(event) for event in bench.session.journal.events))
    told = history([path]).by_trouble
    assert {name: (one.pieces, one.counted_ms) for name, one in told.items()} == {
        "bobbin out": (2, 80_000), "jam": (1, 70_000),
    }  # fmt: skip
