"""A commented project file from a maker's answers: text out; the reader that reads it back is the judge."""

import re

import msgspec

from guide.read.project_keys import PROJECT, named

ZIP_AT = re.compile(r"(?:after )?(row|column) (\d{1,3})")


class Answers(msgspec.Struct, frozen=True):
    """What is asked of a maker; every answer as they would write it."""

    title: str = "My first cushion"
    kind: str = "cushion"
    for_whom: str = "anyone"
    units: str = "inch"
    words: str = "british"
    pad: str = ""  # the one on hand, 16 in or 14 x 20 in; "" where grid and square are written instead
    across: str = "5"
    down: str = "3"
    square: str = "5 1/4 in"
    seam: str = "5/8 in"
    above: str = "1"
    below: str = "2"
    wadding: str = "yes"
    prints: tuple[str, ...] = ("first print", "second print", "third print")
    cloth_width: str = "44 in"
    washed_first: str = "no"
    shrinks: str = ""  # length, then width: 4 %, 3 %; "" when nobody has measured it
    closure: str = "zip"
    zip_at: str = ""  # row 1, column 2; "" lays it near the middle
    wadding_width: str = ""  # "" as for those below: not written, the program's own default holds
    cloth_price: str = ""  # per length: 9.60 / yd
    wadding_price: str = ""
    spool: str = ""  # metres of thread on one
    spool_price: str = ""
    make: str = "1"
    hour: str = ""  # money an hour is worth; "" leaves labour out
    currency: str = "EUR"


def quoted(text: str) -> str:
    """Write a text so that YAML reads it back as the same text."""
    if text and text == text.strip() and all(c.isalnum() or c in " -_" for c in text) and text[0].isalpha():
        words = {"true", "false", "null", "yes", "no", "on", "off", "none"}
        return text if text.lower() not in words else f'"{text}"'
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def project_text(a: Answers) -> str:
    """Write the file; every key with a word on what it is."""
    metric = a.units == "metric"
    piece = "width: 55 cm, length: 50 cm" if metric else "width: 22 in, length: 18 in"
    price = f", price: {a.cloth_price}" if a.cloth_price else ""
    lines = [
        "# Lengths carry their unit (6 in, 6 1/2 in, 15 cm); percentages their sign (4 %).",
        "# `guide check` looks this file over, `guide plan` works everything out, `guide why NAME` says from what.",
        f"project: {quoted(a.title)}",
        beside(f"kind: {a.kind}", "what is made"),
        beside(f"for: {a.for_whom}", "or child (under three), infant (under one): nothing small on it"),
        beside(f"make: {a.make}", "how many"),
        beside(f"units: {a.units}", "how lengths are shown: inch or metric"),
        beside(f"words: {a.words}", "british or american"),
        "",
        *_size(a),
        beside(f"seam: {a.seam}", "also how tall the fringe stands"),
        beside(f"layers: {{above: {a.above}, below: {a.below}}}", "squares over and under the wadding in each block"),
        *_wadding(a),
        "",
        f"# One line a cloth. Also: price: 9.60 / {'m' if metric else 'yd'}, shrinks: {{length: 4 %, width: 3 %}},",
        f"# one_way: true, at_most: 20, on_hand: [{{{piece}}}, {{squares: 12}}], reverse: its colour.",
        "prints:",
        *(f"  - {{name: {quoted(name)}, width: {a.cloth_width}{price}{_shrinks(a)}}}" for name in a.prints),
        *_washed_first(a),
        "",
        *_closure(a),
        f"snips: {{every: {_usual('snip_every', a)}, clear: {_usual('snip_clear', a)}}}",
        *_thread(a),
        *_labour(a),
    ]
    return "\n".join(lines) + "\n"


def _size(a: Answers) -> list[str]:
    """Write grid and square, or the pad they are planned from."""
    if a.pad:
        width, height = pad_sides(a.pad)
        planned = f"target: {{width: {width}, height: {height}, of: pad}}"
        return [beside(planned, "planned from the pad; write grid or square to fix either")]
    return [
        beside(f"grid: {{across: {a.across}, down: {a.down}}}", "blocks in a row, rows"),
        beside(f"square: {a.square}", "cut size of a square"),
    ]


def pad_sides(text: str) -> tuple[str, str]:
    """Read a pad as makers say it: `16 in` is square, `14 x 20 in` has its unit once, `40 cm by 60 cm` twice."""
    sides = [side.strip() for side in re.split(r"\s*(?:x|×|\*|by)\s*", text.strip(), maxsplit=1)]
    unit = re.search(r"[a-zA-Z\"]+$", sides[-1])
    whole = [side if re.search(r"[a-zA-Z]$", side) or not unit else f"{side} {unit[0]}" for side in sides]
    return whole[0], whole[-1]


def _shrinks(a: Answers) -> str:
    """Write what a washed swatch said: along the grain, then across."""
    said = [part.strip() for part in a.shrinks.split(",", 1)] if a.shrinks else []
    shares = (part if re.fullmatch(r"[\d.]+ ?%", part) else quoted(part) for part in said)
    inner = ", ".join(f"{way}: {share}" for way, share in zip(("length", "width"), shares, strict=False))
    return f", shrinks: {{{inner}}}" if inner else ""


def _washed_first(a: Answers) -> list[str]:
    said, other = ("true", "") if a.washed_first == "yes" else ("false", "true: ")
    return [beside(f"washed_first: {said}", f"{other}all cloth is washed before it is cut, and bought longer for it")]


def _wadding(a: Answers) -> list[str]:
    if a.wadding != "yes":
        return ["wadding: none"]
    width = f", width: {a.wadding_width}" if a.wadding_width else ""
    price = f", price: {a.wadding_price}" if a.wadding_price else ""
    also = "" if width and price else "; also price" if width else f"; also width: {_usual('wadding_width', a)}, price"
    return [beside(f"wadding: {{gap: {a.seam}{width}{price}}}", f"smaller than the square by so much, each side{also}")]


def _usual(name: str, a: Answers) -> str:
    """Give what holds where nothing is written."""
    key = next(key for _, key in named(PROJECT) if key.name == name)
    return (a.units == "metric" and key.metric) or key.default or ""


def beside(text: str, comment: str, column: int = 31) -> str:
    """Put a comment beside a line, two spaces off at the least."""
    return f"{text.ljust(column)}  # {comment}"


def _thread(a: Answers) -> list[str]:
    """Write what is known of the thread; what is not keeps its default, and is named beside it."""
    said = [("metres_per_spool", a.spool), ("price", a.spool_price)]
    if not (inner := ", ".join(f"{key}: {value}" for key, value in said if value)):
        return ["# thread: {metres_per_spool: 100, price: 2.90}       # 100 m a spool, and no price, when not written"]
    return [beside(f"thread: {{{inner}}}", "of one spool")]


def _closure(a: Answers) -> list[str]:
    """Write the closure asked for, whatever is made: where it does not go with it, the file's own words say so."""
    if a.closure == "none":
        return [beside("closure: none", "a throw shows both faces")]
    back = [] if a.kind == "throw" else [beside("back: patchwork", "or {plain: a print's name}")]
    if a.closure == "zip":
        return [*back, f"closure: {{type: zip, {_where(a)}}}"]
    metric = a.units == "metric"
    overlap, hem = ("10 cm", "25 mm") if metric else ("4 in", "1 in")
    return [*back, f"closure: {{type: envelope, overlap: {overlap}, hem: {hem}, double_hem: true}}"]


def _where(a: Answers) -> str:
    """Lay the zip where it is said; else down the back near its middle, or across it where there is one column."""
    if found := ZIP_AT.fullmatch(a.zip_at.strip()):
        return f"after_{found[1]}: {found[2]}"
    if a.pad:  # how many columns there are is not known yet
        return "after_row: 1"
    across, down = (int(n) if n.isascii() and n.isdigit() else 2 for n in (a.across.strip(), a.down.strip()))
    return f"after_column: {across // 2}" if across > 1 else f"after_row: {max(1, down // 2)}"


def _labour(a: Answers) -> list[str]:
    if not a.hour:
        return ["# labour: {rate: 18.00 / hour, allowance: 10 %}      # for guide price", f"currency: {a.currency}"]
    return [
        beside(f"labour: {{rate: {a.hour} / hour, allowance: 10 %}}", "allowance: rest, as in work study"),
        beside("sell: {margin: 30 %}", "also overhead, fee, fee_each, packing, tax, round_up_to"),
        f"currency: {a.currency}",
    ]
