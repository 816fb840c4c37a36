"""A project's folder is legal on Windows, macOS and Linux, whatever the project is called, and no two share one."""

import random
import unicodedata
from pathlib import Path

from guide.system import legal_name, same_name
from tests.fakes import run

PARTS = [
    "con", "AUX", "nul", "Com1", "lpt9", "prn", "com¹", "..", ".", " ", "  ", "a", "Z", "9", "Stuhl", "Straße", "STRASSE", "größe",
    "İstanbul", "\u0130", "e\u0301", "é", "ﬁn", "ﾊﾝｶｸ", "クッション", "подушка", "🧵", "👩\u200d🎨", "𝔉ray", "한국", "हिन्दी", "Ω", "Å",
    "<", ">", ":", '"', "/", "\\", "|", "?", "*", "\0", "\x1f", "\x7f", "\u202e", "\u200b", "~", "$", "%", "'", "-", "_", ".yaml", ".jsonl",
]  # fmt: skip
LONG = "ｘ한𝔉é🧵" * 40  # 200 letters


def odd_names() -> list[str]:
    """Reserved words with and without endings, long ones, and 500 put together of the parts by a fixed seed."""
    dice = random.Random(18)
    made = ["".join(dice.choices(PARTS, k=dice.randint(1, 6))) for _ in range(500)]
    return [*PARTS, *(f"{one}.x" for one in PARTS), LONG, LONG + ".", "x" * 200, *made]


def complaint(name: str) -> str:
    """Why one of the systems refuses a name [source: Microsoft, "Naming Files, Paths, and Namespaces"; POSIX, NAME_MAX]."""
    stem = name.split(".", maxsplit=1)[0].rstrip(" ").upper()
    ports = {f"{port}{n}" for port in ("COM", "LPT") for n in "0123456789¹²³"}
    return (
        (set(name) & set('<>:"/\\|?*') and "a sign")
        or (any(ord(c) < 32 or unicodedata.category(c) in {"Cc", "Cf", "Cs"} for c in name) and "a control")
        or (name[-1] in ". " and "its end")
        or (name[0] in ". " and "hidden, or lost by a shell")
        or (stem in {"CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$"} | ports and "a device")
        or (len(unicodedata.normalize("NFD", name).encode()) > 255 - len(".torn") and "its length")
        or ""
    )


def test_every_folder_is_legal_on_all_three_systems():
    """Over 500 names; what has no letter makes none, and is refused."""
    made = {title: legal_name(title) for title in odd_names()}
    assert len(made) > 500
    assert {title: why for title, name in made.items() if name and (why := complaint(name))} == {}
    assert [legal_name(title) for title in ("9", "Stuhl ", "Con.x", "🧵", "Ab: c?")] == ["9", "stuhl", "", "", "ab-c"]


def test_the_judge_finds_what_is_refused():
    """Each reason there is, so that a name that passes says something."""
    refused = ["a:b", "a\x07", "a.", ".a", "con", "Aux.txt", "lpt².x", "x" * 256]
    assert [name for name in refused if not complaint(name)] == []


def test_names_that_differ_by_case_or_by_how_a_letter_is_written_make_one_folder():
    """So the second is told that there is a project, and never written beside the first on one system and over it on another."""
    for title in odd_names():
        for other in (
            title.upper(),
            title.lower(),
            unicodedata.normalize("NFD", title),
            unicodedata.normalize("NFC", title),
        ):
            one, two = legal_name(title), legal_name(other)
            assert one == two or not same_name(one, two), (title, other)
    assert legal_name("Straße") == legal_name("STRASSE") == legal_name("strasse")
    assert legal_name("CAFÉ") == legal_name("cafe\u0301")


def test_one_folder_on_another_system_is_known():
    """Large and small letters, the accent apart or with its letter, a dot at the end."""
    assert same_name("Chair", "chair")
    assert same_name("caf\u00e9", "CAFE\u0301")
    assert same_name("chair.", "Chair")
    assert not same_name("chair", "chair-2")


def test_a_folder_that_another_system_takes_for_the_new_one_stops_it(tmp_path, monkeypatch, capsys):
    """One made by hand with large letters: carried to Windows or a Mac, the two would lie in one."""
    monkeypatch.setenv("FRAYWORK_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    Path("sessions/READING-Chair").mkdir(parents=True)
    assert run(["new", "Reading chair", "--no-input"]) == 6
    assert "in large and small letters only" in capsys.readouterr().err
    assert [path.name for path in Path("sessions").iterdir()] == ["READING-Chair"]
