"""What is read without doing anything? Why a step is done so, and every key."""

from guide.follow import keys
from guide.plan.model import Step
from guide.show.columns import clean
from guide.show.report_cautions import caution
from guide.show.screen.card import Card, led, wrapped
from guide.show.screen.scene import Scene, say
from guide.show.screen.text import Line, clip, paragraph


def why(scene: Scene, step: Step, room: int) -> Card:
    """The step's text whole, its cautions, why it is done so, what to do if it went wrong."""
    texts = scene.words.texts(scene.plan, step)
    lines = wrapped(room, texts.get("do", ""))
    for name in step.cautions:
        lines += led(scene.marks.caution, clean(caution(name, scene.plan.project.words)), room)
    for name, said in (
        ("why", "Why"),
        ("if_wrong", "If it went wrong"),
        ("good_enough", "Good enough"),
        ("beginner", "Hint"),
    ):
        if texts.get(name):
            lines += [[], *led(f"{said}:", texts[name], room)]
    if len(lines) == 0:
        lines = wrapped(room, "This step says nothing more about itself.")
    return Card(clean(step.title), lines, (("w", "back to the step"), ("?", "keys")))


def all_keys(scene: Scene, room: int, height: int) -> Card:
    """Every key, from the one table: with its line of help where there is room, else with its word, in columns."""
    rows: list[Line] = []
    for key, told in keys.card():
        for index, one in enumerate(paragraph(say(scene, told), room - 7)):
            rows.append([("class:key", f"{key if index == 0 else '':<6} "), *one])
    if len(rows) > height:
        rows = _in_columns([(key.letter, key.word) for key in keys.TABLE], room)
    return Card("Keys", rows, (("?", "back"),), bare=True)


def _in_columns(pairs: list[tuple[str, str]], room: int) -> list[Line]:
    columns = max(1, room // 18)
    tall = -(-len(pairs) // columns)
    wide = room // columns - 6
    rows: list[Line] = []
    for row in range(tall):
        one: Line = []
        for key, word in pairs[row::tall]:
            one += [("class:key", f"{key:<5} "), ("", f"{word:<{wide}}")]
        rows.append(clip(one, room))
    return rows
