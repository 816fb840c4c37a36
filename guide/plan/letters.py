"""By which letter does a print go? Letters tell prints apart without colour; they run on after Z."""

from guide.read.model import Project


def letter(place: int) -> str:
    """Give the letter of a 0-based place: A to Z, then AA, AB, as a spreadsheet's columns do."""
    more, last = divmod(place, 26)
    return (letter(more - 1) if more else "") + chr(ord("A") + last)


def letters(project: Project) -> dict[str, str]:
    """Give each print's letter by its name, in the project's order."""
    return {one.name: letter(place) for place, one in enumerate(project.prints)}
