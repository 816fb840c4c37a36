"""The plan a session stands on: made again when a measure, the layout or the texts change, and only then."""

from collections.abc import Callable
from typing import Any

from guide.errors import GuideError
from guide.follow.measuring import changes, far_off, size_of
from guide.follow.model import Ask
from guide.follow.order import to_come
from guide.plan.model import Plan
from guide.read.kinds import KEPT_AS
from guide.read.units import BadLength
from guide.record.fold import Laid, at_machine, laid_after, laid_of
from guide.record.model import Record

Texts = tuple[str, dict[str, str]]  # the project file, the stage files by name
Needs = tuple[dict[str, float], Laid, Texts]
PlanMaker = Callable[[dict[str, float], Laid, Texts], Plan]
Changes = tuple[tuple[str, str, str], ...]


class Planning:
    """Gives the plan for what is measured, laid and written; remembers the last one made."""

    def __init__(self, make_plan: PlanMaker) -> None:
        self._make_plan = make_plan
        self._made: tuple[Needs, Plan] | None = None

    def plan(self, needs: Needs) -> Plan:
        """Make a plan, or give the last one made from the same needs. Raises GuideError."""
        if self._made is None or self._made[0] != needs:
            self._made = (needs, self._make_plan(*needs))
        return self._made[1]

    def foretold(self, plan: Plan, record: Record, needs: Needs, question: Ask) -> Changes:
        """What a size being typed or nudged would change; a size half typed is no size yet and changes nothing."""
        try:
            mm = size_of(plan, question, question.typed)
            if far_off(plan, question.name, mm):
                return ()
            measured, laid, texts = needs
            after = self.plan((measured | {question.name: mm}, laid, texts))
        except (BadLength, GuideError):
            return ()
        return changes(plan, after, to_come(plan, record))


def needs_of(record: Record, make: int) -> Needs:
    """What a plan is made from, as the record stands, for one of the makes."""
    return record.measured(make), laid_of(record), (record.project_text, record.stage_texts)


def needs_after(record: Record, make: int, event: dict[str, Any]) -> Needs:
    """The same, once this event will be written."""
    measured, laid, texts = needs_of(record, event.get("make", make))
    match event["what"]:
        case "measured":
            measured |= {event["name"]: event["mm"]}
        case "laid":
            laid = laid_after(record, event["layout"], event.get("set"))
        case "noted":
            laid = laid_after(record, record.layout, event.get("set"))
            texts = (texts[0], at_machine(texts[1], event.get("set")))
        case "texts":
            kept = {name: text for name, text in texts[1].items() if name == KEPT_AS}
            texts = (event["project"], event["stages"] | kept)
            laid = Laid(event["layout"]) if event.get("layout") else laid
    return measured, laid, texts
