"""A day of trying the keys is nobody's pace, through the front door: plan, price, checklist, paces and amend."""

import json

from tests.commands.worked import worked

DEMO = "sessions/window-seat-cushion"
OUT = "3 sessions left out: keys pressed through"


def honest(step):
    return step.pace_s * 1.2


def pressed(step):
    """All the pieces of a step in two seconds, as `a` counts them."""
    return 2.0 / step.pieces


def test_three_days_of_trying_the_keys_leave_every_figure_as_it_was(guide):
    """The honest session, then three pressed through: the same times and price, and it is said that three are out."""
    worked(DEMO, 0, honest)
    plan, price = json.loads(guide("plan", DEMO, "--json").out), json.loads(guide("price", DEMO, "--json").out)
    paces = json.loads(guide("paces", "--json").out)
    for day in (1, 2, 3):
        worked(DEMO, day, pressed)
    after = json.loads(guide("plan", DEMO, "--json").out)
    assert after["forecast"]["hands_on_s"] == plan["forecast"]["hands_on_s"]
    assert [step["pace_s"] for step in after["steps"]] == [step["pace_s"] for step in plan["steps"]]
    assert json.loads(guide("price", DEMO, "--json").out)["price"] == price["price"]
    told = json.loads(guide("paces", "--json").out)
    assert told["steps"] == paces["steps"]
    assert told["pressed"] == [3, 0]
    for out in (guide("plan", DEMO).out, guide("price", DEMO).out, guide("checklist", DEMO, "-o", "-").out):
        assert OUT in " ".join(out.split())
    assert OUT in guide("checklist", DEMO, "--markdown", "-o", "-").out
    said = guide("paces").out
    assert said.count("keys pressed through?") == 3
    assert "forgotten timer" not in said


def test_trying_the_keys_alone_leaves_the_starter_paces(guide):
    """Nothing else to go by: the starter paces, and three left out."""
    before = json.loads(guide("plan", DEMO, "--json").out)["forecast"]["hands_on_s"]
    for day in (0, 1, 2):
        worked(DEMO, day, pressed)
    after = json.loads(guide("plan", DEMO, "--json").out)["forecast"]
    assert after["hands_on_s"] == before
    assert after["from"] == f"starter paces ({OUT})"
    said = guide("paces")
    assert said.out.count("keys pressed through?") == 3
    assert "No session has been timed yet" in said.err


def test_a_lap_the_maker_says_is_counted_counts(guide):
    """`counted` of the lap of a step pressed through: then it is a pace, and the rest stays out."""
    path = worked(DEMO, 0, pressed)
    assert "quilt/cross" not in json.loads(guide("paces", "--json").out)["steps"]
    laps = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
    mine = [lap["n"] for lap in laps if lap.get("step") == "quilt/cross" and lap["what"] in {"piece_done", "step_done"}]
    for n in mine:
        assert guide("amend", str(path), "--record", str(n), "--set", "counted", "--why", "a new machine").code == 0
    told = json.loads(guide("paces", "--json").out)
    assert list(told["steps"]) == ["quilt/cross"]
    assert told["pressed"] == [0, 1]
