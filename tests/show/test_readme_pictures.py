"""The small pictures in README are today's: the same that the maker's log and the checklist draw."""

import re
from pathlib import Path

import pytest

from guide.show.pages.illustrate import faces
from guide.show.pages.step_art import art_of
from guide.show.pictures.svg import INK, PAPER, SOFT, THREAD
from guide.show.report import report as report_of
from tests.show.demo import demo_plan
from tests.show.kept import GOLDEN, hold


def pictures() -> dict[str, str]:
    report = report_of(demo_plan(), texts=True)
    art, by_step = art_of(report)
    frames = re.findall(r"<svg.*?</svg>", art[by_step["closure/zip_seam"]])
    alone = frames[1]  # on a page the page names the colours
    for colour in (INK, SOFT, THREAD, PAPER):
        alone = alone.replace(f"{colour.partition(',')[0]})", colour)
    return {"page-front": str(faces(report)["front"]), "page-zip": alone}


@pytest.mark.parametrize("name", ["page-front", "page-zip"])
def test_readmes_small_pictures_are_todays(name):
    """A picture in README that no page draws any more would be a promise broken."""
    path = GOLDEN / f"{name}.svg"
    svg = pictures()[name] + "\n"
    hold(path, svg)
    assert path.name in (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
