"""Journals of an earlier version stay readable: logged, priced, exported, counted, asked and taken up.

They lie in `tests/record/old`, whose README says how they were made. Figures are summed by hand from what is said
there: a minute a piece, 0.33 of labour a minute (18.00 / 60 with 10 % on top), sizes as measured [identity].
"""

import io
import json
from pathlib import Path

import msgspec
import pytest

from guide.read.places import shipped_stages, workflows_in
from guide.record.fold import fold
from guide.record.journal import read_journal
from tests.fakes import NINE, FakeClock, run

OLD = Path(__file__).parents[1] / "record" / "old"
INCH = 25.4
WEEKS_LATER_MS = 30 * 86_400_000


class Told(msgspec.Struct, frozen=True):
    """What a journal tells. why: what is asked of it, and the beginning of the answer.

    mended: False where its project or a stage beside it is refused now, and the session alone is good.
    """

    minutes: int
    hours: str
    labour: str
    records: int
    measured: tuple[tuple[str, float], ...] = ()
    why: tuple[tuple[str, str], ...] = ()
    closed: bool = True
    mended: bool = True


CALLED = {  # these texts have no labels: what their numbers are called comes from the stages of today
    "panel_width": "panel across, raw edge to raw edge",
    "panel_height": "panel down, raw edge to raw edge",
    "washed_width": "washed size across",
    "washed_height": "washed size down",
}
JOURNALS = {
    # 77 pieces and 2 min of trouble; the zip is cut 1 in short of both ends of the narrow panel: 10 3/4 − 2.
    "zip": Told(
        79,
        "1 h 19",
        "26.07",
        133,
        (("panel_width", 10.75 * INCH), ("panel_height", 11 * INCH)),
        (("panel_width", "10 3/4 in"), ("zip_cut", "8 3/4 in"), ("outer_seam", "39 1/2 in"), ("pitch", "5 in")),
    ),
    # Each part is half of panel and overlap, and the double hem: (26.6 + 10) / 2 + 2 · 2.5 = 23.3 cm.
    "envelope": Told(
        73,
        "1 h 13",
        "24.09",
        116,
        (("panel_width", 270), ("panel_height", 266)),
        (("envelope_width", "27 cm"), ("envelope_length", "23.3 cm"), ("outer_seam", "95.2 cm")),
    ),
    # Four buttons share the face, 27 − 3 cm, into five spaces; a hole is as long as the button is across and thick.
    "own-closure": Told(
        77,
        "1 h 17",
        "25.41",
        119,
        (("panel_width", 270),),
        (("button_space", "4.8 cm"), ("buttonhole", "2.1 cm"), ("button_panel_width", "27 cm")),
    ),
    # Of two makes what counts over both stays as planned: 2 · (10 + 10) · 2.
    "make-2": Told(
        133,
        "2 h 13",
        "43.89",
        178,
        (("panel_width", 10.75 * INCH), ("panel_width", 10.5 * INCH), ("panel_height", 11 * INCH)),
        (("outer_seam", "80 in"), ("blocks", "8")),
    ),
    # A panel that was measured has drawn in already: 2 · (9 3/4 + 9 1/2), and washed 9 3/4 · 0.96 = 9.36 in.
    "draw-in": Told(
        77,
        "1 h 17",
        "25.41",
        125,
        (("panel_width", 10.75 * INCH), ("panel_height", 10.5 * INCH)),
        (("zip_cut", "8 3/4 in"), ("outer_seam", "38 1/2 in"), ("washed_width", "≈ 9 3/8 in")),
    ),
    "foreign-keys": Told(
        77,
        "1 h 17",
        "25.41",
        119,
        (("panel_width", 270),),
        (("button_space", "4.8 cm"), ("button_panel_width", "27 cm")),
        mended=False,
    ),
    # A label is a quarter of the face: 9 3/4 in / 4.
    "unprintable": Told(
        78,
        "1 h 18",
        "25.74",
        126,
        (("panel_width", 10.75 * INCH),),
        (("label_width", "2 7/16 in"), ("zip_cut", "8 3/4 in")),
        mended=False,
    ),
    "unfinished": Told(38, "38 min", "12.54", 55, why=(("outer_seam", "40 in"), ("zip_cut", "9 in")), closed=False),
    "torn": Told(37, "37 min", "12.21", 54, why=(("outer_seam", "40 in"), ("zip_cut", "9 in")), closed=False),
}
CUT_OFF = (
    "2026-03-01.jsonl:55: the last record was cut off while it was being saved; the 54 records before it are safe."
)


@pytest.fixture(params=JOURNALS)
def name(request):
    return request.param


@pytest.fixture
def journal(name, tmp_path, monkeypatch) -> Path:
    """A copy of the journal in a sessions folder of its own."""
    monkeypatch.setenv("FRAYWORK_HOME", str(tmp_path / "home"))
    monkeypatch.delenv("FRAYWORK_MAKER", raising=False)
    monkeypatch.chdir(tmp_path)
    path = Path("sessions") / name / "2026-03-01.jsonl"
    path.parent.mkdir(parents=True)
    path.write_bytes((OLD / f"{name}.jsonl").read_bytes())
    return path


@pytest.fixture
def asked(journal, name, capsys):
    """Ask a reader; it ends well, leaves the journal as it is, and tells of a torn tail on stderr."""

    def call(*argv: str) -> str:
        before = journal.read_bytes()
        ended = run(argv)
        said = capsys.readouterr()
        assert ended == 0, said.err
        assert said.err.count(CUT_OFF) == (name == "torn")
        assert journal.read_bytes() == before
        return said.out

    return call


def test_its_log_tells_the_time_and_the_sizes(asked, journal, name):
    """Time at the table, and each size as it was measured; half way is half way."""
    text = asked("log", str(journal), "--markdown", "-o", "-")
    assert f"**{JOURNALS[name].hours}** hands on" in text
    for quantity, _ in JOURNALS[name].measured:
        assert f"| {CALLED[quantity]}" in text
    assert "class=" not in text
    assert "<h1>" in asked("log", str(journal), "-o", "-")


def test_it_is_priced_by_its_time(asked, journal, name):
    """The labour is its minutes' worth; the price leaves 35 % of it over cost and packing, up to the next 0.50."""
    told = json.loads(asked("price", str(journal), "--json"))
    labour = next(line for line in told["costs"]["lines"] if line["name"] == "labour")
    assert labour["amount"] == JOURNALS[name].labour
    paid, least = float(told["price"]["paid"]), (float(told["price"]["cost"]) + 3.40) / (1 - 0.35)
    assert least <= paid < least + 0.50


def test_its_laps_and_sizes_are_exported(asked, journal, name):
    """The laps that count add up to the minutes; sizes come out to the mm they were written with."""
    rows = json.loads(asked("export", str(journal), "--json"))
    counted = [row for row in rows if row["kind"] == "lap" and row["counted"]]
    assert sum(row["counted_ms"] for row in counted) == JOURNALS[name].minutes * 60_000
    sizes = [(row["name"], row["mm"]) for row in rows if row["mm"] is not None]
    assert sizes == [(quantity, pytest.approx(mm, abs=1e-9)) for quantity, mm in JOURNALS[name].measured]
    assert all(row["step_title"] for row in counted)


def test_it_is_in_the_history(asked, journal, name):
    """Counted with its minutes, under its day and its maker, open or closed."""
    told = json.loads(asked("history", "--json"))
    (one,) = told["sessions"]
    assert one["total"]["counted_ms"] == JOURNALS[name].minutes * 60_000
    assert (one["records"], one["closed"]) == (JOURNALS[name].records, JOURNALS[name].closed)
    assert list(told["by_maker"]) == ["Ada Example"]


def test_its_numbers_are_explained(asked, journal, name):
    """What was measured, and what follows from it by the formulas of then."""
    for quantity, value in JOURNALS[name].why:
        assert asked("why", quantity, str(journal)).startswith(f"{quantity} = {value} ")


def test_each_make_has_its_own_sizes(monkeypatch, tmp_path, capsys):
    """The second panel of two is 10 1/2 in wide."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "2026-03-01.jsonl").write_bytes((OLD / "make-2.jsonl").read_bytes())
    record = fold(read_journal(tmp_path / "2026-03-01.jsonl").events)
    assert record.measured(1)["panel_width"] == 10.75 * INCH
    assert record.measured(2) == {"panel_width": 10.5 * INCH}
    assert run(("log", "2026-03-01.jsonl", "--markdown", "-o", "-")) == 0
    assert "10 1/2 in" in capsys.readouterr().out.replace("\xa0", " ")


@pytest.fixture
def follow(journal, monkeypatch, capsys):
    """Follow the project it was made for in plain lines, a month later; its own stage files lie beside it."""
    opened = read_journal(journal).events[0]
    (journal.parent / "project.yaml").write_text(opened.project, encoding="utf-8")
    own = {stage: text for stage, text in (opened.stages or {}).items() if stage not in workflows_in(shipped_stages())}
    for stage, text in own.items():
        (journal.parent / "workflows").mkdir(exist_ok=True)
        (journal.parent / "workflows" / f"{stage}.yaml").write_text(text, encoding="utf-8")

    def call(lines: str) -> str:
        clock = FakeClock(wall=NINE + WEEKS_LATER_MS, boot="b2")
        monkeypatch.setattr("sys.stdin", io.StringIO(lines))
        code = run(("follow", str(journal.parent), "--plain"), clock)
        said = capsys.readouterr()
        assert code == 0, said.err
        return said.out + said.err

    return call


def test_it_is_taken_up_where_it_was_left(follow, journal, name):
    """A finished one as it was before its closing. What was saved stays to the byte; a sitting is added, no time."""
    if JOURNALS[name].closed:
        *lines, _ = journal.read_bytes().splitlines(keepends=True)
        journal.write_bytes(b"".join(lines))
    before = read_journal(journal)
    saved = journal.read_bytes()[: before.size]
    follow("q\n")
    found = read_journal(journal)
    assert found.damage is None
    assert journal.read_bytes().startswith(saved)
    record = fold(found.events)
    assert record.sitting == 2
    assert record.counted_ms == JOURNALS[name].minutes * 60_000
    assert sorted(journal.parent.glob("*.jsonl")) == [journal]
    assert bool(list(journal.parent.glob("*.torn-55-*"))) is (name == "torn")


@pytest.mark.parametrize("name", ["unfinished", "torn"], indirect=True)
def test_work_goes_on_in_it(follow, journal):
    """Two crosses were sewn; enter keeps the stages it began with, and the next one is counted as the third."""
    assert fold(read_journal(journal).events).step("quilt/cross").pieces_done == 2
    follow("\n\n1\nq\n")
    assert fold(read_journal(journal).events).step("quilt/cross").pieces_done == 3


@pytest.mark.parametrize(
    "name", [name for name, told in JOURNALS.items() if told.closed and told.mended], indirect=True
)
def test_a_finished_one_is_left_alone(follow, journal):
    """Following the project again touches no byte of it."""
    before = journal.read_bytes()
    follow("q\n")
    assert journal.read_bytes() == before
