"""Following in lines: the same core, whole lines, no escape codes, an end of input that loses nothing."""

import io

import pytest

from guide.follow.halting import skip_because, skip_in_words, trouble_is
from guide.follow.model import OWN_WORDS, Ask, Desk
from guide.follow.noting import note_is
from guide.follow.righting import undo_confirmed
from guide.show.lines import Talk, follow, keys_of, obey
from tests.follow.samples_session import Bench

SCRIPT = """\


3


.
n the thread broke
6

w

?

f
b
t
2

p

7i
g


c 1 1, 2 2
m 10 1/4
x
1
0:10
u
s
1
i

v photos/front.jpg
zz
l

l
a
q
"""


class Typed(io.StringIO):
    """Lines typed at a table: time goes by before each."""

    def __init__(self, text, clock, seconds=20.0):
        super().__init__(text)
        self.clock, self.seconds = clock, seconds

    def readline(self, *_):
        self.clock.run(self.seconds)
        return super().readline()


def followed(text, **bench):
    """Run following in lines over a script; gives the bench, what was printed, the exit code and the keys pressed."""
    hands = Bench(**bench)
    pressed = []
    press = hands.session.press

    def recording(key):
        pressed.append((key, hands.clock.read()))
        return press(key)

    hands.session.press = recording
    out = io.StringIO()
    code = follow(Talk(hands.session, out, "sessions/pad/one.jsonl"), Typed(text, hands.clock))
    return hands, out.getvalue(), code, pressed


@pytest.mark.parametrize("beginner", [False, True])
def test_following_in_lines_writes_what_the_core_writes(beginner):
    """The same keys at the same times, pressed without screen or lines, give the same events."""
    plain, _, _, pressed = followed(SCRIPT, beginner=beginner)
    bare = Bench(beginner=beginner)
    for key, now in pressed:
        bare.session.clock = type("Still", (), {"read": lambda _self, now=now: now})()
        bare.session.press(key)
    assert bare.session.journal.events == plain.session.journal.events
    assert len(plain.wrote) > 12


def test_a_script_of_lines_does_what_it_says():
    """Enter, a number, letters with their answers: the kinds of records in order."""
    lines = "\n\n\n6\nn two short\n\np\n\nq\n"
    plain, _, code, _ = followed(lines)
    assert plain.wrote == [
        "opened", "step_started", "step_done", "step_started", "piece_done", "noted", "step_done", "step_started", "paused",
    ]  # fmt: skip
    assert code == 0


@pytest.mark.parametrize("lines", ["\nN frays fast\nq\n", "\nn frays fast\nq\n"])
def test_what_stands_behind_a_letter_is_its_answer_by_caps_lock_too(lines):
    """A note that was typed in one line is kept, and nothing is asked for that was answered."""
    hands, out, *_ = followed(lines)
    assert [(event.what, event.text) for event in hands.session.journal.events if event.what == "noted"] == [
        ("noted", "frays fast")
    ]
    assert "Noted." in out


def test_an_answer_that_is_refused_is_not_typed_again_in_part():
    """The whole line is the answer while a question stands: what follows its first letter is no second one."""
    hands, *_ = followed("\nv\nv far.txt\n.\nq\n")
    assert hands.session.desk.ask is None
    assert not [event for event in hands.session.journal.events if event.what == "photo"]
    pressed = [key for key, _ in followed("\nv\nv far.txt\n.\nq\n")[3]]
    assert "".join(key for key in pressed if len(key) == 1).count("far.txt") == 1


def test_no_escape_codes_and_only_whole_lines():
    """Nothing in the output moves a cursor, whatever the notes hold."""
    _, out, _, _ = followed("n \x1b[31mred\x1b]0;title\x07\nu\n" + SCRIPT)
    assert "\x1b" not in out
    assert all(character.isprintable() or character == "\n" for character in out)
    assert out.endswith("\n")


def test_the_end_of_input_keeps_the_session():
    """No q: the clock is stopped all the same, the exit is 0, and it says where the records are."""
    plain, out, code, _ = followed("\n")
    assert code == 0
    assert (plain.newest.what, plain.newest.why) == ("paused", "stop")
    assert "sessions/pad/one.jsonl" in out
    assert "Make safe" in out


def test_no_input_at_all():
    """Lines from /dev/null starts, says where it is, and ends well."""
    plain, out, code, _ = followed("")
    assert code == 0
    assert "Next: Straighten the cloth" in out
    assert plain.holds()


def test_a_control_c_stops_and_exits_130():
    """Nothing is lost: the stop is written."""

    class Broken(io.StringIO):
        def readline(self, *_):
            raise KeyboardInterrupt

    bench = Bench()
    bench.press("space")
    assert follow(Talk(bench.session, io.StringIO()), Broken()) == 130
    assert (bench.newest.what, bench.newest.why) == ("paused", "stop")


def test_every_record_is_said():
    """Each line that writes a record prints at least one line, and each answer starts a new line."""
    hands = Bench()
    out = io.StringIO()

    class Checking(Typed):
        before = 0

        def readline(self, *_):
            line = super().readline()
            if line:
                assert len(out.getvalue()) > self.before, "a key went by without a word"
                self.before = len(out.getvalue())
            return line

    follow(Talk(hands.session, out), Checking(SCRIPT, hands.clock))


def test_a_wrong_key_says_what_to_do():
    """Words are no keys."""
    _, out, _, _ = followed("hello\n")
    assert "hello is no key here. ? shows the keys" in out


def test_numbered_questions_are_answered_by_number():
    """t, then 3: the choices were printed with their numbers."""
    plain, out, _, _ = followed("\nt\n3\nq\n")
    assert "3: needle" in out
    assert [event.why for event in plain.session.journal.events if event.what == "trouble"] == ["needle"]


def test_a_failing_disk_is_said_and_mended():
    """The problem is a line; r tries again."""
    hands = Bench()
    hands.memory.refuse = 1
    out = io.StringIO()
    follow(Talk(hands.session, out), Typed("\nr\nq\n", hands.clock))
    assert "No space left" in out.getvalue()
    assert hands.wrote == ["opened", "step_started", "paused"]


def test_leaving_without_the_last_key_is_an_exit_of_its_own():
    """The disk stays full: exit 6, and the reason is the last thing said before the count of what is safe."""
    hands = Bench()
    hands.memory.refuse = 99
    out = io.StringIO()
    assert follow(Talk(hands.session, out), Typed("\nq\n", hands.clock)) == 6
    assert out.getvalue().count("No space left") >= 1
    assert "1 record is saved" in out.getvalue()


def test_coming_back_is_three_lines():
    """Last, under the needle, next: before anything is asked for."""
    bench = Bench().open("Sew the cross")
    bench.press("space", "q")
    again = Bench(memory=bench.memory)
    again.clock = again.session.clock = bench.clock
    again.clock.run(24 * 3600)
    again.session.take_up()
    out = io.StringIO()
    follow(Talk(again.session, out), Typed("q\n", again.clock))
    said = out.getvalue().splitlines()
    assert said[2].startswith("Last: Sew the cross, block 1 of 4, yesterday ")
    assert said[3] == "Under the needle: Sew the cross, block 2 of 4, row 1 column 2, stack oat stripe, clay dot."
    assert said[4] == "Next: Measure the panel."


def test_a_refused_size_is_asked_for_again():
    """38,5 in an inch project is refused; the next line is taken alone, not behind it."""
    hands = Bench().open("Measure the panel")
    out = io.StringIO()
    follow(Talk(hands.session, out), Typed("m 10,5\n10.5\nq\n", hands.clock))
    assert "10.5" in out.getvalue().split("Type it again")[0]
    assert hands.record.measured() == {"panel_width": pytest.approx(10.5 * 25.4)}


def test_a_swallowed_press_says_so():
    """A second Enter within 0.4 s: not counted, and the sentence before is not said again."""
    hands = Bench()
    out = io.StringIO()
    talk = Talk(hands.session, out)
    hands.clock.run(5)
    obey(talk, "")
    said = out.getvalue()
    obey(talk, "")
    assert out.getvalue()[len(said) :] == "Too soon after the last press: not counted.\n"
    assert hands.wrote == ["opened", "step_started"]


TEXT = Desk(ask=Ask("note", "text", "Note:", note_is))
WHY = Desk(ask=Ask("skip", "choose", "?", skip_because, ("a", "b"), own_words=skip_in_words))
SURE = Desk(ask=Ask("undo", "confirm", "?", undo_confirmed))
CHOICE = Desk(ask=Ask("trouble", "choose", "?", trouble_is, ("a", "b")))


@pytest.mark.parametrize(
    ("line", "desk", "keys"),
    [
        ("", Desk(), ["enter"]),
        ("12", Desk(), ["1", "2", "enter"]),
        ("7i", Desk(), ["7", "i"]),
        ("7 i", Desk(), ["7", "i"]),
        ("p", Desk(), ["p"]),
        ("P", Desk(), ["p"]),
        ("7 I", Desk(), ["7", "i"]),
        ("?", Desk(), ["?"]),
        (".", Desk(), ["escape"]),
        ("n gone", Desk(), ["n"]),
        ("p gone", Desk(), []),
        ("pp", Desk(), []),
        ("½", Desk(), []),
        ("2", CHOICE, ["2"]),
        ("y", SURE, ["y"]),
        ("n", SURE, ["n"]),
        ("q", WHY, ["escape", "q"]),
        ("2", WHY, ["2"]),
        ("no cloth", WHY, [OWN_WORDS, *"no", "space", *"cloth", "enter"]),
        ("2 left", WHY, [OWN_WORDS, "2", "space", *"left", "enter"]),
        ("r", Desk(problem="full"), ["r"]),
        ("", CHOICE, ["enter"]),
        ("a b", TEXT, ["a", "space", "b", "enter"]),
        ("", TEXT, ["enter"]),
        (".", TEXT, ["escape"]),
        ("12", TEXT, ["1", "2", "enter"]),
    ],
)
def test_a_line_stands_for_keys(line, desk, keys):
    """The same letters as on the screen, and Enter."""
    assert keys_of(line, desk) == keys


def test_a_step_that_is_looked_at_names_the_step_after_it():
    """f from end to end, with the first step in hand: "Next" is one on in the plan, the last has none. [identity]"""
    hands, out, *_ = followed("\n" + "f\n" * 8)
    plan = hands.session.plan
    cards = out.split("Only looking.\n")[1:]
    assert len(cards) == 8
    for number, card in enumerate(cards, 2):
        assert card.startswith(f"Step {number} of 9: ")
        after = [line for line in card.partition("Your place is kept")[0].splitlines() if line.startswith("Next: ")]
        assert after == [f"Next: {step.title}." for step in plan.steps[number : number + 1]]
        assert "Make ready" not in card
        assert "here: m" not in card
