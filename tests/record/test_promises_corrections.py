"""P17 and P18: other versions' journals, and corrections that never edit.

The naive definitions here say the same in another way: liveness by recursion, counted time second by second.
"""

import json
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guide.errors import NeedsMending
from guide.record.corrections import effective, undo_target
from guide.record.fold import fold
from guide.record.journal import Journal, read_journal
from guide.record.lines import KINDS, crc32, encode, scan
from guide.record.model import Event, Record
from tests.fakes import FakeClock
from tests.record.faults import FULL
from tests.record.session import Session, grown

FORMATS = Path(__file__).with_name("formats")
many = settings(max_examples=2000 if FULL else 120, deadline=None)


def with_crc(members: dict) -> bytes:
    body = json.dumps(members, separators=(",", ":"), ensure_ascii=False).encode()
    return body[:-1] + f',"crc":"{crc32(body):08x}"}}\n'.encode()


HEAD = {"at": "2026-03-01T09:30:00.000Z", "offset": 60, "awake": 1, "total": 1, "boot": "b"}


def test_p17_a_journal_of_format_1_reads_as_ever():
    """The sums were worked out by hand from the file's times [identity]."""
    found = read_journal(FORMATS / "format-1.jsonl")
    assert found.damage is None
    assert b"".join(encode(event) for event in found.events) == (FORMATS / "format-1.jsonl").read_bytes()
    record = fold(found.events)
    laps = [(lap.pieces, lap.counted_ms, lap.trouble_ms) for lap in record.step("quilt/cross").laps]
    assert laps == [(1, 90_000, 0), (1, 90_000, 40_000), (2, 125_000, 0)]
    assert [one.counted_ms for one in record.sittings] == [255_000, 50_000]
    assert record.measured() == {"panel_width": 520.7}
    assert record.waits[0].over
    assert record.closed
    assert record.assumed == []


@pytest.mark.parametrize(
    "members",
    [
        {"what": "hummed"},
        {"what": "hummed", "tune": "a round", "text": "softly"},
        {"what": "hummed", "mm": "many", "step": "quilt/cross"},
        {"what": "weighed", "grams": 412.5, "set": {"scale": "kitchen"}},
    ],
)
def test_p17_unknown_kinds_are_kept_with_all_they_say(members):
    """An older reader shows what it does not know, and goes on."""
    data = with_crc({"n": 1, **HEAD, "what": "opened", "format": 1}) + with_crc({"n": 2, **HEAD, **members})
    found = scan(data + with_crc({"n": 3, **HEAD, "what": "noted", "text": "on"}))
    assert found.damage is None
    record = fold(found.events)
    (kept,) = record.unknown
    known = {name: getattr(kept, name) for name in ("what", "text", "step") if getattr(kept, name)}
    own = members.get("set", {})
    assert {**known, **(kept.set or {})} == {**{k: v for k, v in members.items() if k != "set"}, **own}
    assert record.remarks[0].text == "on"


def test_p17_a_record_of_a_later_kind_can_be_put_right():
    """Its words are set right like any other's."""
    data = with_crc({"n": 1, **HEAD, "what": "opened", "format": 1})
    data += with_crc({"n": 2, **HEAD, "what": "hummed", "text": "loud"})
    data += with_crc({"n": 3, **HEAD, "what": "amended", "of": 2, "set": {"text": "soft"}})
    record = fold(scan(data).events)
    assert [one.text for one in record.unknown] == ["soft"]
    assert record.assumed == []


@pytest.mark.parametrize("line", [
    with_crc({"n": 1, **HEAD, "what": "opened", "format": 2}),
    b'{"format":3,"kind":"journal","sum":"otherwise"}\n',
])  # fmt: skip
def test_p17_a_newer_format_is_refused_politely(tmp_path, line):
    """Whatever its lines look like: nothing is changed, and the sentence says what to do."""
    path = tmp_path / "a.jsonl"
    path.write_bytes(line + b'{"more":1}\n')
    for read in (read_journal, lambda torn: Journal.open(torn, FakeClock().read())):
        with pytest.raises(NeedsMending, match=r"a\.jsonl was written by a newer guide.*update fraywork"):
            read(path)
    assert path.read_bytes() == line + b'{"more":1}\n'


def test_p17_a_known_kind_that_cannot_be_understood_is_damage():
    """Its checksum is right, and still it is not guessed at."""
    data = with_crc({"n": 1, **HEAD, "what": "opened", "format": 1})
    found = scan(
        data
        + with_crc({"n": 2, **HEAD, "what": "piece_done", "count": "six"})
        + with_crc({"n": 3, **HEAD, "what": "noted"})
    )
    assert (found.damage.kind, found.damage.line) == ("damaged", 2)
    assert "not understood" in found.damage.why


# What a maker may do, one key at a time: (seconds before it, what, members).
steps = st.sampled_from(["quilt/cross", "quilt/trim", "join/rows"])
key = st.one_of(
    st.builds(lambda step: ("step_started", {"step": step}), steps),
    st.builds(lambda count: ("piece_done", {"count": count}), st.integers(1, 6)),
    st.builds(lambda count: ("step_done", {"count": count}), st.integers(0, 3)),
    st.builds(lambda why: ("paused", {"why": why}), st.sampled_from(["pause", "break"])),
    st.just(("resumed", {})),
    st.builds(lambda why: ("trouble", {"why": why}), st.sampled_from(["bobbin", "thread"])),
    st.just(("interrupted", {})),
    st.builds(lambda ms: ("interrupted", {"ms": ms}), st.integers(0, 90_000)),
    st.builds(lambda mm: ("measured", {"name": "panel_width", "mm": float(mm)}), st.integers(300, 600)),
    st.builds(lambda text: ("noted", {"text": text}), st.text(st.characters(codec="ascii"), max_size=4)),
    st.builds(lambda step: ("step_skipped", {"step": step, "why": "put off"}), steps),
)
keys = st.lists(st.tuples(st.integers(0, 200), st.one_of(key, key, key, st.just(("undo", {})))), max_size=40)


def press(s: Session, what: str, members: dict) -> None:
    """Say it; pieces belong to whatever step is open, as they do at the machine."""
    if what in {"piece_done", "step_done"}:
        open_step = s.record.current
        if open_step is None:
            return
        members = {**members, "step": open_step}
    s.say(what, **members)


def seen(record: Record) -> tuple:
    """All a maker sees of a record, without the numbers of its events."""
    laps = {
        name: (step.state, step.pieces_done, step.started, step.ended, step.why,
               [(lap.pieces, lap.counted_ms, lap.trouble_ms, lap.first, lap.start, lap.end) for lap in step.laps])
        for name, step in record.steps.items()
    }  # fmt: skip
    return (
        laps, record.order, record.doing, record.current, record.lap_ms, record.lap_trouble_ms,
        [(one.kind, one.at, one.step, one.text, one.ms) for one in record.remarks],
        {name: [(one.mm, one.at) for one in many] for name, many in record.measures.items()},
        [(one.number, one.start, one.end, one.counted_ms) for one in record.sittings],
        sum(step.counted_ms for step in record.steps.values()),
    )  # fmt: skip


@many
@given(keys)
def test_p18_undo_is_as_if_never_done(pressed):
    """A session with undos shows the same as one in which what was undone was never pressed."""
    s, done = Session(), []
    for seconds, (what, members) in pressed:
        s.run(seconds)
        if what != "undo":
            before = len(s.events)
            press(s, what, members)
            done += [(s.events[-1], s.clock.read())] if len(s.events) > before else []
        elif (target := undo_target(s.events)) is not None:
            s.say("voided", of=target)
            done.pop()
    s.say("alive")
    never = Session()
    for event, reading in done:
        never.clock.wall, never.clock.awake, never.clock.total = reading.wall, reading.awake, reading.total
        names = ("step", "count", "why", "ms", "mm", "name", "text")
        never.say(event.what, **{name: getattr(event, name) for name in names})
    never.clock = s.clock
    never.say("alive")
    assert seen(s.record) == seen(never.record)


@many
@given(keys)
def test_p18_counted_time_is_what_a_naive_clock_counts(pressed):
    """Second by second: it counts while a step is open and nobody paused or was interrupted."""
    s, counted, trouble = Session(), 0, 0
    state, step = "ready", None
    for seconds, (what, members) in pressed:
        if what == "undo" or members.get("ms") is not None:
            continue
        s.run(seconds)
        for _ in range(seconds):
            counted += step is not None and state in {"working", "trouble"}
            trouble += step is not None and state == "trouble"
        press(s, what, members)
        if what == "step_started":
            step, state = members["step"], "working"
        elif (what == "step_done" and step) or (what == "step_skipped" and step == members["step"]):
            step, state = None, "ready"
        elif what == "resumed" or (what == "piece_done" and step):
            state = "working" if step else "ready"
        elif what in {"paused", "trouble", "interrupted"}:
            state = {"paused": "paused"}.get(what, what)
    record = s.record
    laps = [lap for one in record.steps.values() for lap in one.laps]
    assert sum(lap.counted_ms for lap in laps) + record.lap_ms == counted * 1000
    assert sum(lap.trouble_ms for lap in laps) + record.lap_trouble_ms == trouble * 1000
    assert sum(one.counted_ms for one in record.sittings) == counted * 1000
    assert (record.current, record.doing) == (step, state)


anything = st.fixed_dictionaries(
    {"what": st.sampled_from([*sorted(KINDS - {"amended", "voided"}), *["voided", "amended"] * 6, "hummed"])},
    optional={
        "step": steps,
        "count": st.integers(0, 5),
        "of": st.integers(0, 30),
        "ms": st.integers(-1000, 10**7),
        "mm": st.floats(-1e9, 1e9),
        "why": st.sampled_from(["", "stop", "pause"]),
        "sitting": st.sampled_from([0, 0, 2]),
        "by_hand": st.booleans(),
        "set": st.dictionaries(
            st.sampled_from(
                ["at", "counted", "split", "join", "out", "count", "mm", "step", "from", "to", "less", "shoe"]
            ),
            st.sampled_from([True, 3, "2026-03-01T09:31:00Z", {"at": "2026-03-01T09:31:00Z", "pieces": 1}, "x", None]),
            max_size=2,
        ),
    },
)


def build(made: list[tuple[int, dict]]) -> list[Event]:
    s = Session()
    for seconds, members in made:
        s.clock.run(seconds) if seconds >= 0 else s.clock.reboot(seconds)
        s.say(**members)
    return s.events


@many
@given(st.lists(st.tuples(st.integers(-5, 300), anything), max_size=30))
def test_p18_any_list_at_all_is_folded_and_left_as_it_is(made):
    """However ill-formed: no error, nothing below zero, sums that agree, the list unchanged, growing the same."""
    events = build(made)
    before = [encode(event) for event in events]
    record = fold(events)
    assert [encode(event) for event in events] == before
    laps = [lap for step in record.steps.values() for lap in step.laps]
    assert all(lap.counted_ms >= lap.trouble_ms >= 0 for lap in laps)
    of_sittings = sum(lap.counted_ms for lap in laps if lap.counted and not lap.by_hand)
    assert sum(one.counted_ms for one in record.sittings) == of_sittings + record.lap_ms
    assert grown(events) == record


@many
@given(st.lists(st.tuples(st.integers(0, 9), anything), max_size=30))
def test_p18_what_is_live_is_what_the_naive_definition_says(made):
    """A record is dead when a live, well-formed void names it: said by recursion instead of one pass back."""
    events = build(made)
    by_n = {event.n: event for event in events}

    def pressed(event: Event) -> bool:
        fixed = event.what in {"opened", "alive", "recovered", "gap"}
        returned = event.what == "resumed" and event.sitting
        return not (fixed or returned or (event.what == "paused" and event.why == "stop"))

    @cache
    def live(n: int) -> bool:
        return not any(
            one.what == "voided" and one.of == n and one.n > n and pressed(by_n[n]) and live(one.n) for one in events
        )

    expected = [event.n for event in events if live(event.n) and event.what not in {"voided", "amended"}]
    assert [event.n for event in effective(events).events if event.what != "amended"] == expected
    newest = [n for n in expected if pressed(by_n[n]) and by_n[n].what != "hummed"]
    amended = [event.n for event in events if event.what == "amended" and live(event.n)]
    assert undo_target(events) == max([*newest, *amended], default=None)


def test_p18_amending_a_correction_is_refused_and_said():
    """Defined, so that no two readers differ: the first record is amended instead."""
    s = Session()
    s.say("noted", text="a")
    s.say("amended", of=2, set={"text": "b"})
    s.say("amended", of=3, set={"text": "c"})
    assert s.record.remarks[0].text == "b"
    assert "amends record 3, itself a correction" in s.record.assumed[0]


def test_p18_the_last_of_two_corrections_holds_and_taking_it_back_brings_the_first():
    """Each names what it replaced."""
    s = Session()
    s.say("noted", text="a")
    s.say("amended", of=2, set={"text": "b"})
    s.say("amended", of=2, set={"text": "c"})
    assert s.record.remarks[0].text == "c"
    assert [(fix.was, fix.now) for fix in s.record.corrections] == [("a", "b"), ("b", "c")]
    s.say("voided", of=4)
    assert s.record.remarks[0].text == "b"
