"""`guide schema`: JSON Schema of project and stage files, made from the same keys that read them."""

import os
from pathlib import Path
from typing import Any

import click

from guide.commands.common import say_json
from guide.read.model import Key
from guide.read.stage_keys import BESIDE, BY_HAND
from guide.read.take import COLOURS

NUMBER = r"(?:\d{1,9}(?:\.\d{1,9})?|\.\d{1,9}|(?:\d{1,6}[ -])?\d{1,6}/\d{1,6}|\d{0,6} ?[½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞])"
LENGTH = rf"^\s*{NUMBER}\s*[A-Za-z]+\s*$"
PATTERNS = {
    "length": LENGTH,
    "percent": r"^\s*-?\d{1,4}(\.\d{1,6})?\s*%\s*$",
    "duration": r"^\s*\d{1,6}(\.\d{1,4})?\s*(s|sec|seconds|min|minutes|h|hour|hours)\s*$",
    "weight": r"^\s*\d{1,6}(\.\d{1,4})?\s*(kg|g|oz|lb)\s*$",
    "cloth_weight": r"^\s*\d{1,5}(\.\d{1,4})?\s*(g|oz)\s*/\s*(m|yd)[2²]\s*$",
    "colour": rf"^\s*(#[0-9a-fA-F]{{6}}|{'|'.join(COLOURS)})\s*$",
    "photo": r"^(?!/)(?!.*\.\.)[^\\:]{1,200}\.([jJ][pP][eE]?[gG]|[pP][nN][gG])$",
    "rate": r"^\s*\d{1,9}(\.\d{1,6})?\s*(/|per)\s*[a-z]+\s*$",
}
EXAMPLES = {
    "length": "6 1/2 in",
    "percent": "4 %",
    "duration": "50 min",
    "weight": "5 kg",
    "cloth_weight": "150 g/m2",
    "colour": "#7a8b6c",
    "photo": "moss.jpg",
}


@click.command(
    "schema",
    epilog="\b\nExamples:\n  guide schema project > project.schema.json\n  guide schema stage > stage.schema.json\n\n"
    "\b\n"
    "In an editor with a YAML language server, put this on a file's first line:\n"
    "  # yaml-language-server: $schema=project.schema.json",
)
@click.argument("what", metavar="KIND", type=click.Choice(["project", "stage", "class", *BY_HAND]))
def command(what: str) -> int:
    """Print the JSON Schema (2020-12) of a KIND of file, with every key's meaning and unit.

    KIND is project, stage, class, or what lies beside the stages: cloths, pads, troubles, machines.
    """
    from guide.read.places import language_for
    from guide.read.project import shape_for
    from guide.read.stage_keys import STAGE
    from guide.teach.course import CLASS

    if what in BY_HAND:
        key = Key("map", "what a workflows folder holds beside the stages", keys={what: BESIDE[what]})
    else:
        key = {"stage": STAGE, "class": CLASS}.get(what) or shape_for(language_for(Path(), os.environ).stages)
    say_json(json_schema(key, f"A fraywork {what} file"))
    return 0


def json_schema(key: Key, title: str) -> dict[str, Any]:
    """Give the schema of a whole file."""
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": title, **_schema(key)}


def _schema(key: Key) -> dict[str, Any]:
    out: dict[str, Any] = {"description": _says(key)} if _says(key) else {}
    match key.kind:
        case "map":
            out |= {"type": "object", "properties": {name: _schema(inner) for name, inner in key.keys.items()}}
            out["additionalProperties"] = _schema(key.item) if key.item else False
            if needed := [name for name, inner in key.keys.items() if inner.required]:
                out["required"] = needed
            if key.one_of:
                out["anyOf"] = [{"required": [name]} for name in key.one_of]
        case "list":
            out |= {"type": "array", "items": _schema(key.item) if key.item else {}}
        case "names":
            word: dict[str, Any] = {"type": "string"} | ({"enum": list(key.choices)} if key.choices else {})
            out["anyOf"] = [{"type": "array", "items": word, "uniqueItems": True}, word]
        case "either":
            out["anyOf"] = [_schema(option) for option in key.options]
        case "choice":
            out["enum"] = [*key.choices, *([None] if "none" in key.choices else [])]
        case "count":
            out |= {"type": "integer"} | _limits(key)
        case "number":
            out |= {"type": "number"} | _limits(key)
        case "money":
            out["anyOf"] = [{"type": "number", "minimum": 0}, {"type": "string", "pattern": r"^\d{1,9}(\.\d{1,6})?$"}]
        case "flag":
            out["type"] = "boolean"
        case "formula" | "size" | "text":
            out |= {"type": ["string", "number"]}
        case _:
            out |= {"type": "string", "pattern": PATTERNS[key.kind]}
    return out


def _limits(key: Key) -> dict[str, Any]:
    limits = {"minimum": key.at_least, "exclusiveMinimum": key.over, "maximum": key.at_most}
    return {name: value for name, value in limits.items() if value is not None}


def _says(key: Key) -> str:
    said = key.says
    if key.kind in EXAMPLES:
        said += f" ({key.kind.replace('_', ' ')}, like {EXAMPLES[key.kind]})"
    if key.kind == "rate":
        said += f" (like {'18.00' if key.per[0] == 'hour' else '9.60'} / {key.per[0]})"
    return f"{said}; when not written: {key.when_absent}" if key.default else said
