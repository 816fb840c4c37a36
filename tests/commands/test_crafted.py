"""A record with a right checksum that no guide writes: bounded and called damage, or read; never our bug (exit 3)."""

import io
import json
import random
from pathlib import Path
from zlib import crc32

import pytest

from guide.record.fold import fold
from guide.record.history import history, rows
from guide.record.journal import read_journal
from tests.commands.worked import worked
from tests.record.faults import FULL

DEMO = "sessions/window-seat-cushion"
READERS = ("log", "price", "export", "layout", "check", "why")


def line(body: str) -> bytes:
    """The line of a record as its writer would end it; body: JSON without its closing brace."""
    return b'%b,"crc":"%08x"}\n' % (body.encode(), crc32(body.encode() + b"}"))


def told(n: int, **members: object) -> bytes:
    head = {"n": n, "at": "2026-03-01T12:00:00.000Z", "offset": 60, "awake": 10**7, "total": 10**7, "boot": "b1"}
    return line(json.dumps(head | {"what": "noted"} | members, separators=(",", ":"))[:-1])


def deep(depth: int, what: str = "noted") -> bytes:
    """A record whose `set` holds lists in lists."""
    return told(9999, what=what, set={"x": 0}).replace(b'{"x":0}', b'{"x":' + b"[" * depth + b"]" * depth + b"}")


@pytest.fixture
def journal(workshop) -> Path:
    """A session of the demo that is not finished."""
    return worked(DEMO, 0, lambda step: 60.0, measures={"panel_width": 514.35}, until="closure/zip_seam")


def put(path: Path, *lines: bytes) -> int:
    """Put crafted lines at the end of a journal, numbered and summed right; gives how many were there."""
    whole = path.read_bytes()
    count = whole.count(b"\n")
    for number, one in enumerate(lines, count + 1):
        body = one.rpartition(b',"crc"')[0].decode()
        whole += line(f'{{"n":{number}' + body[body.index(",") :])
    path.write_bytes(whole)
    return count


OUT_OF_BOUNDS = {
    "deep": deep(5000),
    "deeper than anything written": deep(60),
    "deep in a later kind": deep(700, "hummed"),
    "offset": told(1, offset=10**9),
    "offset before": told(1, offset=-1440),
    "awake": told(1, awake=10**17),
    "total before all time": told(1, total=-1),
    "count": told(1, what="piece_done", step="quilt/cross", count=10**12),
    "count under nothing": told(1, what="piece_done", step="quilt/cross", count=-3),
    "year 9999": told(1, at="9999-12-31T23:59:59.000Z"),
    "no moment": told(1, at="yesterday"),
    "ms": told(1, what="interrupted", ms=10**18),
    "mm": told(1, what="measured", name="panel_width", mm=1e300),
    "make": told(1, what="measured", name="panel_width", mm=500.0, make=10**15),
    "number too large for any member": told(1, of=10**30),
    "cut again": told(1, what="laid", set={"cut_again": {"moss check": 10**15}}),
    "a stack": told(1, what="laid", layout=[["x"] * 25]),
    **({"stacks": told(1, what="laid", layout=[["x"]] * 250_001)} if FULL else {}),
}


@pytest.mark.parametrize("name", OUT_OF_BOUNDS)
def test_what_is_out_of_bounds_is_damage(guide, journal, name):
    """Placed; what comes before it is whole."""
    count = put(journal, OUT_OF_BOUNDS[name])
    found = read_journal(journal)
    assert found.damage is not None
    assert (found.damage.kind, found.damage.line, len(found.events)) == ("damaged", count + 1, count)
    assert guide("check", str(journal)).code == 5


@pytest.mark.parametrize("name", OUT_OF_BOUNDS if FULL else ["deep", "offset"])
def test_what_is_out_of_bounds_is_damage_to_every_reader(guide, journal, name):
    """Exit 5 with its place; the good part is shown, and the file is as it was."""
    count = put(journal, OUT_OF_BOUNDS[name])
    before = journal.read_bytes()
    for reader in READERS:
        said = guide(reader, *(["zip_cut"] if reader == "why" else []), str(journal))
        assert said.code == 5, (reader, said.err)
        assert f"{journal.name}:{count + 1}: damaged at byte" in said.out + said.err
        assert said.out.strip()
    assert journal.read_bytes() == before


@pytest.mark.parametrize("name", ["deep", "offset"])
def test_one_such_file_does_not_stop_the_others(guide, journal, name):
    """History, export and paces show all other sessions, and what is good of this one; exit 5."""
    put(journal, OUT_OF_BOUNDS[name])
    worked(DEMO, 1, lambda step: 60.0)
    said = guide("history", "--json")
    assert said.code == 5
    assert len(json.loads(said.out)["sessions"]) == 2
    for argv in (("export", "all"), ("paces",)):
        assert guide(*argv).code == 5


def test_as_first_record_it_is_damage_too(guide, workshop):
    """There is nothing good before it, and the other session is counted."""
    worked(DEMO, 1, lambda step: 60.0)
    path = Path(DEMO) / "2026-03-09.jsonl"
    for one in (deep(5000), told(1, what="opened", format=1, offset=10**9)):
        path.write_bytes(one)
        assert guide("log", str(path)).code == 5
        said = guide("history", "--json")
        assert said.code == 5
        assert len(json.loads(said.out)["sessions"]) == 1


WHATS = [
    "opened",
    "texts",
    "closed",
    "step_started",
    "piece_done",
    "step_done",
    "step_skipped",
    "paused",
    "resumed",
    "measured",
    "noted",
    "photo",
    "acknowledged",
    "trouble",
    "interrupted",
    "waited",
    "voided",
    "amended",
    "gap",
    "alive",
    "recovered",
    "laid",
    "hummed",
]
MOMENTS = [
    "2026-03-01T13:00:00.000Z",
    "2999-12-31T23:59:59+00:00",
    "1000-01-01",
    "0001-01-01T00:00:00Z",
    "9999-12-31",
    "x",
]
VALUES = [
    0,
    1,
    2,
    -1,
    40,
    10**6,
    10**13,
    10**15,
    2**63,
    1e300,
    0.5,
    None,
    True,
    "",
    "x",
    "quilt/cross",
    [],
    {},
    [["x"]],
    *MOMENTS,
]
SETS = [
    "counted",
    "split",
    "join",
    "out",
    "from",
    "to",
    "less",
    "at",
    "ms",
    "step",
    "mm",
    "count",
    "text",
    "cut_again",
    "name",
]


def crafted(rng: random.Random) -> bytes:
    """A record with members drawn at random, most of them of the right kind."""
    members: dict[str, object] = {"what": rng.choice(WHATS)}
    numbers = [0, 1, 2, 5, 12, 60, 400, 10**5, 10**6]
    for name, values in {
        "step": ["quilt/cross", "cut/press", "closure/zip_seam", "no/step", "", "wash/dry"],
        "count": numbers,
        "make": numbers,
        "name": ["panel_width", "washed_width", "blocks", "nothing", "needle"],
        "mm": [0, -5, 1e-9, 514.35, 500, 1e6, 1e9, -1e9],
        "text": ["", "x", "½" * 300],
        "why": ["stop", "pause", "thread", "later: at the end of the stage"],
        "ms": [0, -60_000, 60_000, 10**10, 10**13],
        "of": [*numbers, rng.randrange(1, 240), rng.randrange(1, 240)],
        "sitting": [0, 1, 2, 40, 10**6],
        "records": numbers,
        "by_hand": [True, False],
        "at": ["2026-03-01T13:00:00.000Z", "1970-01-01T00:00:00.000Z", "2999-12-31T23:59:59.999Z"],
        "offset": [0, 60, -1439, 1439],
        "awake": [0, 10**7, 10**13],
        "total": [0, 10**7, 10**13],
        "boot": ["b1", "", "b2"],
        "layout": [
            [],
            [[]],
            [["moss check"]],
            [["moss check"] * 4] * 12,
            [["unknown"] * 4] * 12,
            [["oat stripe"] * 9] * 12,
        ],
        "project": ["", "project: x", "grid: 5"],
        "stages": [{}, {"cut": "stage: cut"}, {"cut": ""}],
        "set": [{rng.choice(SETS): rng.choice(VALUES)} for _ in range(3)]
        + [
            {"from": rng.choice(MOMENTS), "to": rng.choice(MOMENTS), "less": rng.choice(VALUES)},
            {"split": {"at": rng.choice(MOMENTS), "pieces": rng.choice(VALUES)}},
            {"cut_again": {rng.choice(["moss check", "x"]): rng.choice(VALUES)}},
        ],
    }.items():
        if rng.random() < (0.7 if name in {"step", "name", "mm", "of"} else 0.15):
            members[name] = rng.choice(values)
    if members["what"] in {"voided", "amended"} and rng.random() < 0.7:
        members["of"] = rng.randrange(1, 240)
    return told(1, **members)


def put_at_random(journal: Path, seed: int) -> None:
    rng = random.Random(seed)
    put(journal, *(crafted(rng) for _ in range(rng.randrange(1, 6))))


def test_whatever_is_crafted_is_folded_and_added_up(journal):
    """Nothing in it stops the fold, the export's rows, the list of what can be put right, or the history."""
    whole, read = journal.read_bytes(), 0
    for seed in range(3000 if FULL else 150):
        journal.write_bytes(whole)
        put_at_random(journal, seed)
        found = read_journal(journal)
        record = fold(found.events)
        assert (
            sum(row.counted_ms for row in rows(record, "x") if row.kind == "lap" and row.counted) == record.counted_ms
        )
        (one,) = history([journal]).sessions
        assert one.total.counted_ms == record.counted_ms
        read += not found.damaged
    assert read > 100, "most of them are no damage, and must be read"


@pytest.mark.parametrize("seed", range(200 if FULL else 3))
def test_whatever_is_crafted_is_never_our_bug(guide, journal, seed):
    """A few such records at the end of a session: every reader ends in one of the ways that are said."""
    put_at_random(journal, seed)
    before, damaged = journal.read_bytes(), read_journal(journal).damaged
    argvs = [(*([reader, "zip_cut"] if reader == "why" else [reader]), str(journal)) for reader in READERS]
    for argv in [*argvs, ("history",), ("history", "--by", "day", "--json"), ("paces",), ("amend", str(journal))]:
        said = guide(*argv)
        assert said.code in ({5, 2} if damaged else {0, 2}), (argv, said.err)
    assert journal.read_bytes() == before


@pytest.mark.parametrize("seed", [5, *(range(100) if FULL else range(2))])
def test_a_session_with_crafted_records_is_taken_up_or_refused(guide, journal, monkeypatch, seed):
    """What was there stays to the byte; number 5 says of a sitting that it was the millionth."""
    put_at_random(journal, seed)
    before = journal.read_bytes()
    monkeypatch.setattr("sys.stdin", io.StringIO("\n1\nw\nf\nb\nu\nm\n\nq\n"))
    for argv in (("follow", DEMO, "--plain"), ("amend", str(journal), "--record", "30", "--set", "took 20 s")):
        said = guide(*argv)
        assert said.code in {0, 2, 5}, said.err
        assert journal.read_bytes().startswith(before)


@pytest.mark.parametrize("day", ["9999-12-31", "3000-01-01", "0001-01-01", "0999-05-05"])
def test_a_year_that_cannot_be_is_refused_on_paper(guide, workshop, day):
    """Exit 2, and nothing is entered."""
    said = guide("amend", DEMO, "--enter", f"1, {day}, 23:00 to 00:30")
    assert said.code == 2
    assert "Nothing was entered." in said.err
    assert list(Path(DEMO).glob("*.jsonl")) == []
