"""One session, told by log, price, history, paces and export: the same time to the ms, and shown the same to the minute."""

import csv
import io
import json
import re

import pytest

from tests.commands.worked import worked

DEMO = "sessions/window-seat-cushion"
LAST = "wash/finish"  # one piece: it is given what brings the whole to the time wanted


@pytest.fixture(params=[217 * 60_000, 216 * 60_000 + 30_000, 216 * 60_000 + 29_999, 181 * 60_000 + 20_000])
def whole_ms(request):
    """3:37:00, the half minute below it, the ms before that, and 20 s over three hours."""
    return request.param


@pytest.fixture
def session(guide, whole_ms):
    """The demo worked in exactly so long; its steps' pieces and ms a piece by key."""
    steps = json.loads(guide("plan", DEMO, "--json").out)["steps"]
    each = {step["key"]: (step["pieces"], round(step["pace_s"] * 1000 * 1.1371)) for step in steps}
    assert each[LAST][0] == 1
    rest = sum(pieces * ms for key, (pieces, ms) in each.items() if key != LAST)
    each[LAST] = (1, whole_ms - rest)
    assert each[LAST][1] > 60_000
    return worked(DEMO, 0, lambda step: each[step.key][1] / 1000), each


def shown(ms):
    """[identity] to the nearest minute, halves up."""
    hours, rest = divmod((ms + 30_000) // 60_000, 60)
    return f"{hours} h {rest:02d}"


def exact(ms):
    """[identity] to the nearest second, halves up."""
    seconds = (ms + 500) // 1000
    return f"{seconds // 3600}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"


def test_what_programs_read_agrees_to_the_ms(guide, session, whole_ms):
    """Every sum of history and of the export, the hours that are priced, and each step's own pace."""
    path, each = session
    told = json.loads(guide("history", "--json").out)
    for by in ("by_project", "by_stage", "by_step", "by_day", "by_maker"):
        assert sum(total["counted_ms"] for total in told[by].values()) == whole_ms
    laps = list(csv.DictReader(io.StringIO(guide("export", str(path)).out, newline="")))
    assert sum(int(lap["counted_ms"] or 0) for lap in laps) == whole_ms
    assert round(sum(float(lap["minutes"] or 0) for lap in laps) * 60_000) == whole_ms
    assert json.loads(guide("price", str(path), "--json").out)["costs"]["hours"] == pytest.approx(whole_ms / 3_600_000)
    paces = json.loads(guide("paces", "--json").out)["steps"]
    for key in each.keys() & paces.keys():
        assert paces[key]["own_s"] * 1000 == pytest.approx(each[key][1], abs=1e-6)


def test_what_people_read_agrees_to_the_minute(guide, session, whole_ms):
    """The log's headline, history's lines and the price's; the log's table and its sitting to the second."""
    path, each = session
    log = guide("log", str(path), "--markdown", "-o", "-").out
    assert f"- **{shown(whole_ms)}** hands on" in log
    assert f"| **All of it** |  | **{exact(whole_ms)}** |" in log
    assert f"| {exact(whole_ms)} |" in log.partition("Sittings, in local time")[2]
    history = guide("history").out
    for line in ("Window seat cushion", "2026-03-01", "Ada Example"):
        assert re.search(rf"^  {line} +{shown(whole_ms)} ", history, re.MULTILINE)
    price = guide("price", str(path)).out
    assert f"· {shown(whole_ms)} hands on" in price.splitlines()[0]
    told = re.search(r"([\d.]+) h × 18.00", price)[1]
    places = len(told.partition(".")[2])
    assert abs(float(told) - whole_ms / 3_600_000) <= 0.5 * 10**-places + 1e-9
    cross = next(line for line in guide("paces").out.splitlines() if line.strip().startswith("Sew the cross"))
    seconds = (each["quilt/cross"][1] + 500) // 1000
    assert f"{seconds // 60}:{seconds % 60:02d}" in cross
