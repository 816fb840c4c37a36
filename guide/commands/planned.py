"""The plan of a project as it stands in its folder, with the layout kept there, and of past sessions as they stood."""

from collections.abc import Mapping
from contextlib import suppress
from typing import Any

import msgspec

from guide.errors import GuideError, NeedsMending
from guide.plan.layout.faces import Cell
from guide.plan.layout.panels import CannotLay, within_stock
from guide.plan.make import cut_out, make_plan, settled
from guide.plan.model import Cut, Plan
from guide.plan.steps import with_again
from guide.read.check import Language
from guide.read.model import Project
from guide.read.places import LAYOUT_FILE, Opened, from_texts, read_text, shown
from guide.record.fold import Laid, laid_of
from guide.record.model import Record


def plan_of(here: Opened, spare: int = 0) -> Plan:
    """Plan a project; a layout kept by `guide layout` is used. Raises NeedsMending when it does not fit.

    `spare` squares more of every print are cut, as far as the stock goes. Raises CannotLay when there are too few.
    """
    return planned_as(here, kept_layout(here)[0], spare)


def planned_as(here: Opened, stacks: list[list[str]] | None, spare: int = 0) -> Plan:
    """Plan a project as its kept layout has it; a limit written since holds for that too. Raises CannotLay."""
    plan = make_plan(here.project, here.language, None, stacks, spare)
    if stacks is not None:
        within_stock(plan.project, plan.layout, plan.backing, kept=True)
    return plan


def cut_as(laid: Laid, project: Project, language: Language) -> Cut:
    """Give what a session's cloth was cut for. Where that is of a project long changed: what lies there now."""
    if laid.cut_for is not None:
        with suppress(CannotLay):
            return cut_out(project, language, laid.cut_for, again=laid.cut_again)
    return cut_out(project, language, laid.layout, again=laid.cut_again)


def plan_session(
    record: Record, project: Project, language: Language, measured: Mapping[str, float] | None = None
) -> Plan:
    """Plan a session as it stands: laid as it is now, cut as it was."""
    laid = laid_of(record)
    plan = make_plan(project, language, measured, record.layout, cut=cut_as(laid, project, language))
    return once_more(plan, laid)


def once_more(plan: Plan, laid: Laid) -> Plan:
    """Put in what is made again since blocks were spoilt."""
    return with_again(plan, [msgspec.to_builtins(one) for one in laid.again])


def kept_layout(here: Opened, name: str = LAYOUT_FILE) -> tuple[list[list[str]] | None, frozenset[Cell]]:
    """Read the kept layout: stacks row by row, and the blocks that are to stay. None when there is none.

    Raises NeedsMending when the file is no JSON or does not fit the project.
    """
    path = here.folder / name
    if not path.is_file():
        return None, frozenset()
    import json

    from guide.plan.layout.kept import kept_from_dict, layout_from_dict, panel_of

    try:
        data: Any = json.loads(read_text(path))
    except ValueError as error:
        raise NeedsMending(f"{shown(path)}: this is not JSON ({error}); remove the file to lay anew.") from None
    layout = layout_from_dict(data, panel_of(settled(here.project, here.language)))
    if isinstance(layout, list):
        told = "\n".join(f"{shown(path)}: {problem}" for problem in layout)
        raise NeedsMending(f"{told}\nguide layout --forget puts it away; nothing was changed.")
    return [list(block.stack) for block in layout.blocks], kept_from_dict(data)


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
