"""What cutting must cut: squares by print, wadding, and the stages' own parts; and by which letter a print goes."""

from collections.abc import Mapping

from guide.errors import NeedsMending
from guide.plan.model import Part
from guide.read.check import Language
from guide.read.formula import FormulaError, Value, compile_formula
from guide.read.model import PartSpec, Project, Stage, did_you_mean, one_of
from guide.read.units import Ruler

WADDING = "wadding"
LEAST_MM, MOST_PIECES = 1.0, 10_000  # beyond cloth, and beyond any table


def ruler_of(project: Project) -> Ruler:
    """How lengths of a project are told where a ruler is set to them."""
    square = project.given.get("square")
    if square is None or not isinstance(square.value, float):
        return Ruler(project.units)
    return Ruler(project.units, square.value, square.written)


def parts_of(project: Project, language: Language, at: Mapping[str, Value], squares: Mapping[str, int]) -> list[Part]:
    """List the parts of every material, all makes; ready-cut squares are taken off. Sizes in mm."""
    size = at["square"]
    assert isinstance(size, float)
    out: list[Part] = []
    for cloth in project.prints:
        count = squares.get(cloth.name, 0) - cloth.ready_squares
        if count > 0:
            out.append(Part("square", cloth.name, size, size, count, cloth.one_way))
    wadding, pieces = at.get("wadding_size"), at.get("wadding_squares")
    if project.wadding and isinstance(wadding, float) and isinstance(pieces, float) and pieces > 0:
        out.append(Part("wadding square", WADDING, wadding, wadding, round(pieces)))
    shown = {stage.name: stage for stage in language.stages}
    for stage in language.stages:
        if stage.name in project.stages and holds(shown[stage.name].when, at):
            own = [part for spec in stage.parts if (part := _own(spec, project, at)) is not None]
            _reasonable(stage, own)
            out += own
    return out


def _reasonable(stage: Stage, parts: list[Part]) -> None:
    """Refuse more pieces than anyone cuts, before any time is spent on laying them out."""
    count = sum(part.count for part in parts)
    if count > MOST_PIECES:
        place = stage.parts[0].place
        raise NeedsMending(
            f"{place}: the parts of the {stage.name} stage come to {count:,} pieces; check their counts, "
            f"at most {MOST_PIECES:,} can be cut"
        )


def holds(formula: object, at: Mapping[str, Value]) -> bool:
    """Whether a `when` holds; one that does not apply does not hold."""
    text = getattr(formula, "text", None)
    return True if text is None else bool(compile_formula(text).run(at))


def number(text: str, at: Mapping[str, Value], where: object) -> float | None:
    """Work out a formula of a step or part. Raises NeedsMending with its place."""
    try:
        value = compile_formula(text).run(at)
    except FormulaError as error:
        raise NeedsMending(f"{where}: {text} cannot be worked out for this project: {error.message}") from None
    return float(value) if isinstance(value, int | float) else None


def _own(spec: PartSpec, project: Project, at: Mapping[str, Value]) -> Part | None:
    if not holds(spec.when, at):
        return None
    width, height, count = (number(f.text, at, f.place) for f in (spec.width, spec.height, spec.count))
    if width is None or height is None or count is None or count < 0.5:
        return None
    if min(width, height) < LEAST_MM:
        raise NeedsMending(f"{spec.place}: the part {spec.name} comes to nothing; check its width and height")
    material = _material(spec, project)
    one_way = any(p.name == material and p.one_way for p in project.prints)
    return Part(spec.name, material, width, height, round(count), one_way)


def _material(spec: PartSpec, project: Project) -> str:
    names = [p.name for p in project.prints]
    words = {"first": names[0], "back": project.back_cloth or names[0], WADDING: WADDING}
    if spec.cloth in words:
        return words[spec.cloth]
    if spec.cloth in names:
        return spec.cloth
    raise NeedsMending(
        f"{spec.place}: the part {spec.name} is cut from {spec.cloth}, which this project does not have"
        f"{did_you_mean(spec.cloth, names)}; write first, back, wadding, or {one_of(names)}"
    )


def letter(place: int) -> str:
    """Give the letter of a 0-based place: A to Z, then AA, AB, as a spreadsheet's columns do."""
    more, last = divmod(place, 26)
    return (letter(more - 1) if more else "") + chr(ord("A") + last)


def letters(project: Project) -> dict[str, str]:
    """Give each print's letter by its name, in the project's order."""
    return {one.name: letter(place) for place, one in enumerate(project.prints)}
