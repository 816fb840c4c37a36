"""A window seat cushion of 4 by 3 blocks and moments of making it, made by hand for the tests of the screen.

All invented. Sizes follow from 6 in squares with 1/2 in seams: a pitch of 5 in, a quilt box of 5 in whose
diagonal is 5·√2 = 7.07 in, a panel of 21 in by 16 in.
"""

from msgspec.structs import replace

from guide.follow.model import Ask, Desk
from guide.plan.model import Block, Layout, Plan, Quantity, Step
from guide.read.model import Labour, Place, Print, Project, Sell
from guide.record.model import Event, Lap, Reading, Record, Remark, StepRecord, Wait
from guide.show.scene import Scene, Words
from guide.show.screen.text import STITCHED

INCH = 25.4
PRINTS = ("moss check", "oat stripe", "clay dot")
NOON = 1_772_359_860_000  # 2026-03-01T10:11:00Z, 10:41 an hour ahead is 11:11
BOOT = "one"


def unanswered(_at, _question, _answer):
    """What the answer to a question leads to that is only drawn."""
    raise AssertionError


def reading(ms: int = 0) -> Reading:
    """So many ms after the sample's moment."""
    return Reading(NOON + ms, 30, 5_000_000 + ms, 5_000_000 + ms, BOOT)


def project(
    across: int = 4, down: int = 3, make: int = 1, prints=PRINTS, title: str = "Window seat cushion"
) -> Project:
    return Project(
        title=title, kind="cushion", for_whom="anyone", make=make, units="inch", words="british", across=across, down=down,
        above=2, below=2, closure="zip", back="patchwork", back_cloth=None, quilting="cross",
        prints=tuple(Print(name, width=44 * INCH) for name in prints), wadding=True, wadding_price=None,
        stages=("cut", "stack", "quilt", "join", "snip", "closure", "assemble", "wash"), extras=(), labour=Labour(), sell=Sell(),
        currency="EUR", thread_price=None, closure_price=None, given={}, file="project.yaml", text="",
    )  # fmt: skip


_STEPS = (
    # stage, id, title, pieces, piece, count, pace, more
    ("cut", "press", "Press and straighten the cloth", 1, "cloth", "none", 180, {"cautions": ("iron",), "cue": "iron on"}),
    ("cut", "strips", "Cut the strips", 7, "strip", "each", 45, {"cautions": ("blade",)}),
    ("cut", "squares", "Cut the squares", 48, "square", "batch", 6, {"cautions": ("blade",)}),
    ("cut", "wadding", "Cut the wadding", 12, "square", "batch", 8, {"cautions": ("blade",)}),
    ("stack", "count", "Count into stacks", 12, "stack", "each", 12, {"picture": "stack", "shows": (("layers_block", "squares a stack"),)}),
    ("stack", "lay", "Lay out the panel, both faces", 12, "block", "batch", 20, {"picture": "faces"}),
    ("stack", "hold", "Spray and centre the wadding", 12, "block", "each", 50, {"picture": "wadding", "cautions": ("spray",), "waits_s": 900.0}),
    ("quilt", "set", "Set the machine and try it", 1, "trial", "none", 180, {"cautions": ("needle",)}),
    ("quilt", "mark", "Mark the lines", 12, "block", "each", 20, {}),
    ("quilt", "cross", "Sew the cross", 12, "block", "each", 62, {
        "picture": "cross", "cautions": ("needle", "pins"), "tools": ("walking foot", "needle 90/14"),
        "shows": (("quilt_line", "each line, two a block"), ("layers_block", "layers, and wadding"), ("stitch_length", "stitch, walking foot")),
        "texts": {
            "do": "Feel out the wadding's corner, needle down. Sew to the far corner, back-stitch, turn, sew the other.",
            "why": "Two lines hold the layers for good and leave the edges free to fray.",
            "if_wrong": "A pleat where the lines cross? Unpick the second line, smooth from the middle, sew it again.",
            "beginner": "Look at the line ahead, not at the needle.",
            "good_enough": "Lines within 1/4 in of the corner, no pleats.",
        }}),
    ("quilt", "trim", "Trim the threads", 12, "block", "each", 15, {"cautions": ("pins",)}),
    ("quilt", "recheck", "Look at both faces again", 1, "look", "none", 150, {"picture": "faces"}),
    ("join", "rows", "Sew the row seams", 9, "seam", "each", 40, {"picture": "seam", "cautions": ("needle",), "cue": "iron on",
        "shows": (("row_seam_run", "each seam, ends left free"),)}),
    ("join", "panels", "Join the rows", 2, "seam", "each", 90, {"picture": "seam", "cautions": ("needle",)}),
    ("join", "measure", "Measure the panel", 1, "panel", "none", 60, {"measure": "panel_width", "within_mm": INCH / 4}),
    ("snip", "inner", "Snip the inner seams", 11, "seam", "each", 55, {"picture": "snips", "cautions": ("blade", "hands")}),
    ("closure", "back", "Sew the back", 11, "seam", "each", 30, {"cautions": ("needle",)}),
    ("closure", "zip", "Box the zip", 1, "zip", "none", 480, {"cautions": ("needle",), "shows": (("zip_cut", "zip, cut"), ("zip_opening", "opening"))}),
    ("assemble", "pin", "Pin front to back", 1, "panel", "none", 240, {"cautions": ("pins",)}),
    ("assemble", "outer", "Sew the outer seam", 4, "edge", "each", 120, {"cautions": ("needle", "pins")}),
    ("wash", "load", "Wash it", 1, "load", "none", 120, {"cautions": ("lint",), "waits_s": 3600.0}),
    ("wash", "dry", "Dry it", 1, "load", "none", 480, {"cautions": ("lint",), "waits_s": 3000.0}),
)  # fmt: skip


def step(number: int, row: tuple) -> Step:
    stage, id_, title, pieces, piece, count, pace, more = row
    texts = more.get("texts", {"do": f"{title} with care, one after another, as the map shows."})
    return Step(
        key=f"{stage}/{id_}", stage=stage, stage_title=stage.capitalize(), id=id_, title=title, pieces=pieces, piece=piece, count=count,
        station="machine", pace_s=float(pace), beginner_factor=2.0, effort=None, effort_noun="",
        place=Place(f"workflows/{stage}.yaml", number), **(more | {"texts": texts}),
    )  # fmt: skip


def quantities() -> dict[str, Quantity]:
    lengths = {
        "quilt_line": 5 * 2**0.5, "panel_width": 21.0, "panel_height": 16.0, "row_seam_run": 5.25, "zip_cut": 19.0,
        "zip_opening": 18.0,
    }  # fmt: skip
    out = {name: Quantity(name, inches * INCH, "length", formula="…") for name, inches in lengths.items()}
    out["stitch_length"] = Quantity("stitch_length", 2.5, "length", written="2.5 mm")
    out["layers_block"] = Quantity("layers_block", 4, "count", formula="above + below")
    return out


def _steps(across: int, down: int, make: int) -> tuple[Step, ...]:
    """The steps with their pieces counted for this panel: blocks, seams in rows, seams between rows."""
    own = {"join/rows": make * down * (across - 1), "join/panels": make * (down - 1)}
    blocks = make * across * down
    counted = []
    for number, row in enumerate(_STEPS, 1):
        one = step(number, row)
        pieces = own.get(one.key, blocks if one.pieces == 12 and one.piece in {"block", "stack"} else one.pieces)
        if pieces:
            counted.append(replace(one, pieces=pieces))
    return tuple(counted)


def plan(across: int = 4, down: int = 3, make: int = 1, prints=PRINTS, title: str = "Window seat cushion") -> Plan:
    n = len(prints)
    blocks = tuple(
        Block(r + 1, c + 1, tuple(prints[(2 * r + c + layer) % n] for layer in range(4)))
        for r in range(down)
        for c in range(across)
    )
    return Plan(
        project=project(across, down, make, prints, title), quantities=quantities(),
        steps=_steps(across, down, make),
        layout=Layout(across, down, 0, blocks, 0, 0, 0, "found"), backing=None, cutting=(), shopping=(),
        cautions=("needle", "blade", "iron"), warnings=(),
    )  # fmt: skip


WORDS = Words()


def header(mode: str = "real") -> Event:
    return Event(
        n=1, at="2026-03-01T09:30:00.000Z", offset=30, awake=0, total=0, boot=BOOT, what="opened", format=1, mode=mode
    )


def lap(key: str, ms: int, end: int, pieces: int = 1, first: bool = False) -> Lap:
    return Lap(key, pieces, ms, 0, first, end - ms, end, end - ms, end, 30)


def finished(of: Plan, until: str, *, ago: int = 600_000) -> dict[str, StepRecord]:
    """Every step before `until` done at its usual pace, the last of them `ago` ms before the sample's moment."""
    keys = [one.key for one in of.steps]
    before = of.steps[: keys.index(until)] if until else of.steps
    out, n = {}, 2
    for place, one in enumerate(before):
        ms, end = round(one.pace_s * 1000) * one.pieces, NOON - ago - (len(before) - 1 - place) * 60_000
        n += 2
        out[one.key] = StepRecord(
            one.key, "done", one.pieces, [lap(one.key, ms, end, one.pieces, True)], end - ms, end, n
        )
    return out


def record(of: Plan, at: str, *, pieces: int = 0, lap_ms: int = 0, **more) -> Record:
    """A session with the step `at` open, so many pieces of it done, and the piece in hand running for `lap_ms`."""
    steps = finished(of, at)
    steps[at] = StepRecord(
        at,
        "open",
        pieces,
        [lap(at, 61_000 + 1000 * i, NOON - lap_ms - 62_000 * (pieces - 1 - i)) for i in range(pieces)],
        NOON - lap_ms - 62_000 * pieces,
        None,
    )
    base = {
        "header": header(), "doing": "working", "doing_since": reading(-lap_ms), "current": at, "steps": steps,
        "order": list(steps), "count": 60, "last": reading(-lap_ms), "lap_start_n": 60,
    }  # fmt: skip
    return Record(**(base | more))


def scene(of: Plan, of_record: Record, desk: Desk | None = None, **more) -> Scene:
    return Scene(of, of_record, desk or Desk(), reading(), WORDS, more.pop("marks", STITCHED), **more)


# A panel 3/4 in under takes 3/4 in off the zip and off its opening: zip_cut and zip_opening are the width less gaps.
_NARROW = (("zip", "19 in", "18 1/4 in"), ("opening", "18 in", "17 1/4 in"))


def moments() -> dict[str, Scene]:
    """The moments that the golden screens hold."""
    p = plan()
    cross = record(p, "quilt/cross", pieces=6, lap_ms=41_000)
    early = record(p, "quilt/cross", pieces=3, lap_ms=12_000)
    done_steps = finished(p, "quilt/trim", ago=2_000)
    ready = Record(header=header(), doing="ready", steps=done_steps, order=list(done_steps), count=70, last=reading())
    measure = record(p, "join/measure", lap_ms=20_000)
    size = Ask("measure", "measure", "Panel width: planned 21 in. Type what it is; enter: as planned.", unanswered, name="panel_width",
               nudged_mm=20.25 * INCH, data={"make": 1})  # fmt: skip
    stopped = replace_record(
        cross, doing="stopped", doing_since=reading(-61_560_000), last=reading(-61_560_000), sitting=2
    )
    return {
        "start": scene(p, Record(header=header(), count=1, last=reading())),
        "piece": scene(p, early),
        "cross": scene(p, cross),
        "typed": scene(p, cross, Desk(typed="6")),
        "done": scene(p, ready),
        "measure": scene(p, measure, Desk(ask=size, changes=_NARROW)),
        "unmeasured": scene(p, measure, Desk(ask=replace(size, about="measure_done", optional=True))),
        "measured": scene(
            p, measure, Desk(said="3/4 in under: zip 19 becomes 18 1/4 in, opening 18 becomes 17 1/4 in.")
        ),
        "paused": scene(p, replace_record(cross, doing="paused", doing_since=reading(-240_000))),
        "caution": scene(p, ready, Desk(beginner=True, ask=Ask("caution", "confirm", "pins", unanswered, name="pins", data={"step": "quilt/trim"}))),
        "ahead": scene(p, cross, Desk(view="look", look="join/rows")),
        "why": scene(p, cross, Desk(view="why")),
        "waiting": scene(p, replace_record(cross, waits=[Wait("stack/hold", 40, reading(-560_000)), Wait("wash/load", 41, reading(-3_610_000))])),
        "trouble": scene(p, replace_record(cross, doing="trouble", doing_why="needle")),
        "choose": scene(p, cross, Desk(ask=Ask("trouble", "choose", "What is it? The big key when it is mended.", unanswered, ("bobbin", "thread", "needle", "unpick", "remake")))),
        "note": scene(p, cross, Desk(ask=Ask("note", "text", "Note:", unanswered, typed="The oat stripe frays fastest"))),
        "long": scene(p, cross, Desk(ask=Ask("long_piece", "choose", "That was 31 min, usually 62 s. Count it?", unanswered,
                                             ("keep all of it", "cut to the usual 62 s", "half of it was a break"), data={"ms": 1, "of": 60}, goes_on=True))),
        "texts": scene(p, cross, Desk(view="back", ask=Ask("texts", "choose", "Changed since this session began: the project file.", unanswered,
                                                           ("go on with the old", "take the new"), data={"default": "1"}))),
        "rest": scene(p, cross, Desk(beginner=True), rest="Fifty minutes at the machine: take ten minutes off (p)."),
        "between": scene(p, replace_record(ready, waits=[Wait("stack/hold", 40, reading(-560_000))])),
        "seam": scene(p, record(p, "join/rows", pieces=4, lap_ms=9_000)),
        "rows": scene(p, record(p, "join/panels", pieces=1, lap_ms=9_000)),
        "swap": scene(p, cross, Desk(ask=Ask("swap", "text", "Which two blocks change places? Row and column of each, like 1 2, 3 4:", unanswered, typed="1 2, "))),
        "back": scene(p, stopped, Desk(view="back")),
        "keys": scene(p, cross, Desk(view="keys")),
        "beginner": scene(p, cross, Desk(beginner=True)),
        "problem": scene(p, cross, Desk(problem="The disk is full: the last press is not in the journal."), saved_in="sessions/window-seat/2026-03-01.jsonl"),
        "finish": scene(p, Record(header=header(), doing="closed", steps=finished(p, ""), count=90, last=reading(), closed=True, sitting=2,
                                  remarks=[Remark("note", 5, NOON, "quilt/cross", "The oat stripe frays fastest.")])),
    }  # fmt: skip


def replace_record(of: Record, **changes) -> Record:
    """The record with other members."""
    return replace(of, **changes)
