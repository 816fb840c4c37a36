"""Steps that were worked and are no longer in the plan: their time was worked all the same, so it is shown."""

from collections.abc import Sequence
from typing import Any

from guide.plan.model import Plan, Step
from guide.record.model import Record


def gone_rows(record: Record, plan: Plan, earlier: Sequence[Plan]) -> list[dict[str, Any]]:
    """Give a row for each worked step that the plan has not, as a plan's report has rows of its steps.

    `earlier`: plans of the texts the session had before, oldest first. A step that none of them has goes by
    its key in words. Nothing is planned for it any more.
    """
    now = {step.key for step in plan.steps}
    known = {step.key: step for one in earlier for step in one.steps}
    worked = dict.fromkeys(lap.step for lap in record.worked())
    return [_row(record, key, known.get(key)) for key in worked if key not in now]


def _row(record: Record, key: str, was: Step | None) -> dict[str, Any]:
    stage, _, own = key.partition("/")
    return {
        "key": key,
        "number": None,
        "stage": stage,
        "stage_title": was.stage_title if was else stage.replace("_", " ").capitalize(),
        "title": was.title if was else own.replace("_", " ").replace(":", ", ").capitalize(),
        "pieces": was.pieces if was else record.step(key).pieces_done,
        "piece": was.piece if was else "piece",
        "pace_s": 0.0,
        "waits_s": was.waits_s if was else None,
        "gone": True,
    }
