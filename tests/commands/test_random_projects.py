"""What `guide check` calls good every command prints, on projects drawn at random: 200 of them under FRAYWORK_FULL=1."""

import contextlib
import io
import json
import re
from decimal import Decimal
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.commands.conftest import Said
from tests.fakes import midday, run
from tests.plan.random_projects import fewer, projects

# What a maker asks of a project, and then of a session; * stands for its place.
COMMANDS = """\
plan *
plan * --json
plan * --all
plan * --cutting
plan * --page -
plan * --set snips.every=1in
layout *
why stitched *
sheet *
sheet * --markdown -o -
price *
price * --json
price * --quote - --anyway
checklist * --for beginner --start 10:00
"""
OF_SESSION = """\
log *
log * --markdown -o -
price *
export *
check *
why stitched *
"""


def every(commands: str, place: Path) -> None:
    """Each prints, and says of nothing that it does not apply but where that is told by name."""
    for line in commands.splitlines():
        done = said(*(str(place) if word == "*" else word for word in line.split()))
        assert done.code == 0, (line, done.err)
        by_name = line.startswith("why") or "--json" in line
        assert by_name or "does not apply" not in done.out, line


def said(*argv: str) -> Said:
    """What a command prints, at midday."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run(argv, midday())
    return Said(code, out.getvalue(), err.getvalue())


def amounts(text: str) -> dict[str, Decimal]:
    """The amounts of a price as it is printed, by their names."""
    rows = re.findall(r"^  (\S.*?) {2,}(?:at least )?(-?\d+\.\d\d)(?:  |$)", text, re.MULTILINE)
    return {name: Decimal(amount) for name, amount in rows}


@fewer
@given(projects(), st.none() | st.tuples(st.integers(8, 24), st.integers(8, 24)))
def test_what_check_calls_good_every_command_prints(data: dict[str, Any], wanted: tuple[int, int] | None) -> None:
    """Nothing ends with a refusal or a crash that `check` did not foretell; what it refuses, plan refuses with 2.

    Grid and square written, or both planned from a size wanted.
    """
    if wanted is not None:
        data = {key: value for key, value in data.items() if key not in {"grid", "square"}}
        data["target"] = {"width": f"{wanted[0]} in", "height": f"{wanted[1]} in"}
    with TemporaryDirectory() as name, contextlib.chdir(name), pytest.MonkeyPatch.context() as patch:
        patch.setenv("FRAYWORK_HOME", str(Path(name, "home")))
        patch.delenv("FRAYWORK_MAKER", raising=False)
        folder = Path("sessions/article")
        folder.mkdir(parents=True)
        (folder / "project.yaml").write_text(json.dumps(data, indent=1), encoding="utf-8")
        good = said("check", str(folder))
        assert good.code in {0, 2}
        if good.code == 2:
            assert said("plan", str(folder)).code == 2
            return
        every(COMMANDS, folder)
        adds_up(said("price", str(folder)).out)
        rehearsed(folder)


def adds_up(price: str) -> None:
    """Materials, labour and overhead make the cost; the cost of one, tax, fees, packing and profit its price."""
    made, asked = price.split("PRICE OF ONE")
    told = amounts(made)
    cost = told.pop("cost")
    one = told.pop("cost of one", cost)
    assert sum(told.values()) == cost, price
    shares = amounts(asked)
    parts = [shares[name] for name in ("tax in it", "fees", "packing", "profit") if name in shares]
    (paid, *_) = re.findall(r"\d+\.\d\d", asked)
    assert one + sum(parts) == Decimal(paid), price


def rehearsed(folder: Path) -> None:
    """Play it through, and print all that a session prints."""
    assert said("follow", str(folder), "--rehearse").code == 0
    (journal,) = (folder / "rehearsals").glob("*.jsonl")
    every(OF_SESSION, journal)
