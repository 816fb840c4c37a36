"""Drawings that somebody looked at and kept: a test holds today's against them, and never passes by writing them."""

import os
from pathlib import Path

import pytest

GOLDEN = Path(__file__).parent / "golden"


def hold(kept: Path, drawn: str) -> None:
    """Today's drawing is the kept one. With FRAYWORK_GOLDEN=1 it takes its place where it is another, and that fails."""
    was = kept.read_text(encoding="utf-8") if kept.exists() else ""
    if drawn != was and os.environ.get("FRAYWORK_GOLDEN"):
        kept.write_text(drawn, encoding="utf-8")
        pytest.fail(f"{kept.name} was written anew: look at the difference, then run again without FRAYWORK_GOLDEN")
    assert drawn == was
