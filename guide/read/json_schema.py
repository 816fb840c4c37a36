"""JSON Schema (2020-12) of what files may hold, made from the same shapes that read them."""

from typing import Any

from guide.read.shape import Shape

NUMBER = r"(?:\d{1,9}(?:\.\d{1,9})?|\.\d{1,9}|(?:\d{1,6}[ -])?\d{1,6}/\d{1,6}|\d{0,6} ?[½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞])"
LENGTH = rf"^\s*{NUMBER}\s*[A-Za-z]+\s*$"
PATTERNS = {
    "length": LENGTH,
    "percent": r"^\s*-?\d{1,4}(\.\d{1,6})?\s*%\s*$",
    "duration": r"^\s*\d{1,6}(\.\d{1,4})?\s*(s|sec|seconds|min|minutes|h|hour|hours)\s*$",
    "rate": r"^\s*\d{1,9}(\.\d{1,6})?\s*(/|per)\s*[a-z]+\s*$",
}
EXAMPLES = {"length": "6 1/2 in", "percent": "4 %", "duration": "50 min"}


def json_schema(shape: Shape, title: str) -> dict[str, Any]:
    """Give the schema of a whole file."""
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": title, **_schema(shape)}


def _schema(shape: Shape) -> dict[str, Any]:
    out: dict[str, Any] = {"description": _says(shape)} if _says(shape) else {}
    match shape.kind:
        case "map":
            out |= {"type": "object", "properties": {key: _schema(inner) for key, inner in shape.keys.items()}}
            out["additionalProperties"] = _schema(shape.item) if shape.item else False
            if needed := [key for key, inner in shape.keys.items() if inner.required]:
                out["required"] = needed
            if shape.one_of:
                out["anyOf"] = [{"required": [key]} for key in shape.one_of]
        case "list":
            out |= {"type": "array", "items": _schema(shape.item) if shape.item else {}}
        case "names":
            word: dict[str, Any] = {"type": "string"} | ({"enum": list(shape.choices)} if shape.choices else {})
            out["anyOf"] = [{"type": "array", "items": word, "uniqueItems": True}, word]
        case "either":
            out["anyOf"] = [_schema(option) for option in shape.options]
        case "choice":
            out["enum"] = [*shape.choices, *([None] if "none" in shape.choices else [])]
        case "count":
            out |= {"type": "integer"} | _limits(shape)
        case "number":
            out |= {"type": "number"} | _limits(shape)
        case "money":
            out["anyOf"] = [{"type": "number", "minimum": 0}, {"type": "string", "pattern": r"^\d{1,9}(\.\d{1,6})?$"}]
        case "flag":
            out["type"] = "boolean"
        case "formula" | "size" | "text":
            out |= {"type": ["string", "number"]}
        case _:
            out |= {"type": "string", "pattern": PATTERNS[shape.kind]}
    return out


def _limits(shape: Shape) -> dict[str, Any]:
    limits = {"minimum": shape.at_least, "exclusiveMinimum": shape.over, "maximum": shape.at_most}
    return {key: value for key, value in limits.items() if value is not None}


def _says(shape: Shape) -> str:
    said = shape.says
    if shape.kind in EXAMPLES:
        said += f" ({shape.kind}, like {EXAMPLES[shape.kind]})"
    if shape.kind == "rate":
        said += f" (like {'18.00' if shape.per[0] == 'hour' else '9.60'} / {shape.per[0]})"
    return f"{said}; when not written: {shape.when_absent}" if shape.default else said
