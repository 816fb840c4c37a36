"""The plans of past sessions, from the texts their journals keep."""

from guide.commands.planned import plan_session
from guide.errors import GuideError
from guide.plan.model import Plan
from guide.read.places import from_texts
from guide.record.model import Record


class KeptPlans:
    """Plans worked out once for all sessions with the same texts."""

    def __init__(self) -> None:
        self._plans: dict[int, Plan | None] = {}

    def of(self, record: Record) -> Plan | None:
        """Plan a session before anything was measured; None when its words are no longer understood."""
        texts = hash((record.project_text, *sorted(record.stage_texts.items())))
        if texts not in self._plans:
            try:
                project, language = from_texts(record.project_text, record.stage_texts, "project.yaml")
                self._plans[texts] = plan_session(record, project, language)
            except GuideError:
                self._plans[texts] = None
        return self._plans[texts]
