"""A page is there whole or not at all."""

import os
from pathlib import Path

import pytest

from guide.errors import CannotWrite
from guide.show.pages.write import write_page


def test_a_page_is_written_and_nothing_is_left_beside_it(tmp_path):
    """UTF-8, line ends as given, no temporary file, readable by others as any new file would be."""
    path = write_page(tmp_path / "log.html", "½ in\n")
    assert path.read_bytes() == "½ in\n".encode()
    assert [one.name for one in tmp_path.iterdir()] == ["log.html"]
    assert path.stat().st_mode & 0o777 == 0o644


@pytest.mark.parametrize("broken", ["write", "fsync", "replace"])
def test_a_failure_leaves_the_old_page_and_no_litter(tmp_path, monkeypatch, broken):
    """Disk full while writing, syncing or putting in place: the old page is whole, the error names the page."""
    path = tmp_path / "log.html"
    path.write_text("old")

    def fail(*_args, **_more):
        raise OSError(28, "No space left on device")

    if broken == "replace":
        monkeypatch.setattr(Path, "replace", fail)
    elif broken == "fsync":
        monkeypatch.setattr(os, "fsync", fail)
    else:
        monkeypatch.setattr("guide.show.pages.write.os.fdopen", fail)
    with pytest.raises(CannotWrite, match="No space left") as refused:
        write_page(path, "new")
    assert "log.html" in str(refused.value)
    assert path.read_text() == "old"
    assert [one.name for one in tmp_path.iterdir()] == ["log.html"]


def test_a_folder_that_is_not_there_is_said_plainly(tmp_path):
    """No folder: CannotWrite (exit 6) with what to do, and nothing made."""
    with pytest.raises(CannotWrite, match="Choose another place"):
        write_page(tmp_path / "none" / "log.html", "x")
    assert not (tmp_path / "none").exists()
