"""Tables a step may be written once for and shown row by row (`each:`), and what their columns hold."""

import re

from guide.read.model import Dim

TABLES: dict[str, dict[str, Dim]] = {
    "prints": {
        "print": "text", "letter": "text", "squares": "count", "strips": "count", "cloth_width": "length",
        "buy": "length", "one_way": "flag",
    },
    "cuts": {
        "material": "text", "part": "text", "setting": "length", "strips": "count", "pieces": "count",
        "layers": "count", "along": "flag", "then": "text", "source": "text",
        "bought": "flag", "washed": "flag", "usable_width": "length", "ready": "count",
        "shares": "text", "trimmed": "text", "at_once": "count", "of_cloth": "ratio",
    },
    "blocks": {"number": "count", "row": "count", "column": "count", "stack": "text"},
    "parts": {"part": "text", "material": "text", "width": "length", "height": "length", "pieces": "count"},
    "loads": {
        "load": "text", "number": "count", "of": "count", "wash": "count", "articles": "count", "weighs": "weight",
    },
    "cloth_loads": {
        "load": "text", "number": "count", "of": "count", "cloths": "count", "names": "text", "weighs": "weight",
    },
    "cloths": {"material": "text", "width": "length", "length": "length", "bought": "flag"},
}  # fmt: skip

# Tables of what goes into the washer together: their rows are worked one after another, each dried before the next.
LOADS = ("loads", "cloth_loads")

# Names in a tool: `needle {{ needle_quilting }}`. Counts only, so a plan needs no template engine for them.
TOOL_NAMES = re.compile(r"\{\{ *(\w+) *\}\}")
