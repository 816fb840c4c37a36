"""Templates compiled once are kept beside the program's own compiled files, and never needed."""

import shutil
import sys
from pathlib import Path

import pytest
from jinja2 import Environment

from guide.show.pages import render
from guide.show.pages.plan import render_sheet
from tests.show import samples


@pytest.fixture
def templates(tmp_path, monkeypatch):
    """A folder of templates of our own, whose compiled ones are kept there."""
    folder = tmp_path / "templates"
    shutil.copytree(render.TEMPLATES, folder, ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setattr(render, "TEMPLATES", folder)
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    monkeypatch.setattr(sys, "pycache_prefix", None)
    render._engine.cache_clear()
    yield folder
    render._engine.cache_clear()


def page(fmt="html"):
    """A page as a program started anew makes it."""
    render._engine.cache_clear()
    return render_sheet(samples.full_report(), fmt)


def test_a_template_is_compiled_once(templates, monkeypatch):
    """The second page compiles nothing; each format has its own."""
    first = page(), page("markdown")
    kept = sorted(one.name for one in (templates / "__pycache__").iterdir())
    assert len(kept) == len(set(kept)) > 4
    assert all(one.endswith(".pyc") for one in kept)
    monkeypatch.setattr(Environment, "_generate", lambda *_, **__: pytest.fail("compiled again"))
    assert (page(), page("markdown")) == first


def test_a_changed_template_is_compiled_anew(templates):
    """What is kept is of a template as it was."""
    page()
    with (templates / "sheet.j2").open("a", encoding="utf-8") as file:
        file.write("{# #}")
    before = {one: one.read_bytes() for one in (templates / "__pycache__").iterdir()}
    page()
    changed = [one.name for one, was in before.items() if one.read_bytes() != was]
    assert [name.partition(".")[0] for name in changed] == ["sheet_j2"]


@pytest.mark.parametrize("spoilt", [b"", b"x", b"\n", b"cut"])
def test_what_is_no_compiled_template_is_passed_over(templates, spoilt):
    """An empty file, another's, one cut off after its checksum: the page is the same, and what is kept is mended."""
    first = page()
    kept = list((templates / "__pycache__").iterdir())
    whole = [one.read_bytes() for one in kept]
    for one, was in zip(kept, whole, strict=True):
        one.write_bytes(was[:70] if spoilt == b"cut" else spoilt)
    assert page() == first
    assert [one.read_bytes() for one in kept] == whole


@pytest.mark.parametrize("broken", ["mkdir", "write_bytes", "replace", "read_bytes", "a file stands there"])
def test_a_page_is_made_where_nothing_can_be_kept(templates, monkeypatch, broken):
    """A full disk, a folder that may not be written: the same page, and nothing left behind."""

    def fail(*_args, **_more):
        raise OSError(28, "No space left on device")

    expected = page()
    shutil.rmtree(templates / "__pycache__")
    if broken == "a file stands there":
        (templates / "__pycache__").write_text("", encoding="utf-8")
    else:
        monkeypatch.setattr(Path, broken, fail)
    assert page() == expected
    monkeypatch.undo()
    left = list((templates / "__pycache__").iterdir()) if (templates / "__pycache__").is_dir() else []
    assert all(one.suffix == ".pyc" for one in left)


def test_nothing_is_kept_where_python_keeps_nothing(templates, monkeypatch):
    """PYTHONDONTWRITEBYTECODE holds for templates too."""
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    page()
    assert not (templates / "__pycache__").exists()
