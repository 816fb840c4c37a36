"""A small invented project as a plan made by hand: 2×2 blocks, nine steps of every kind of counting."""

from msgspec.structs import replace

from guide.plan.layout.faces import with_matches
from guide.plan.model import Block, Called, Layout, Plan, Quantity, Step
from guide.read.model import Labour, Place, Print, Project, Sell
from guide.record.model import Event, Reading

IN = 25.4
START = 1_772_355_600_000  # 2026-03-01T09:00:00Z
PLACE = Place("workflows/quilt.yaml", 1)
PRINTS = ("moss check", "oat stripe", "clay dot")


def project(make=1, units="inch"):
    return Project(
        title="Stool pad", kind="cushion", for_whom="anyone", make=make, units=units, words="british",
        across=2, down=2, above=1, below=1, closure="zip", back="patchwork", back_cloth=None, quilting="cross",
        prints=tuple(Print(name, width=44 * IN) for name in PRINTS), wadding=True, wadding_price=None, stages=("cut", "quilt"),
        extras=(), labour=Labour(), sell=Sell(), currency="EUR", thread_price=None, given={},
        file="project.yaml", text="project: Stool pad\n",
    )  # fmt: skip


def step(key, title, pieces=1, piece="piece", count="each", *, pace_s=60.0, **more):
    stage, name = key.split("/")
    return Step(
        key=key, stage=stage, stage_title=stage.title(), id=name, title=title, pieces=pieces, piece=piece,
        count=count, station="machine" if title.startswith("Sew ") else "table", pace_s=pace_s, beginner_factor=2.0, effort=None, effort_noun="",
        place=PLACE, **more,
    )  # fmt: skip


def in_a_row(*steps):
    """Each step needs the one before it, as where a stage file says nothing else."""
    return tuple(replace(one, needs=one.needs or ((steps[i - 1].key,) if i else ())) for i, one in enumerate(steps))


def steps(make=1):
    blocks = 4 * make
    return in_a_row(
        step("cut/straighten", "Straighten the cloth", pace_s=180.0, count="none", cautions=("blade",)),
        step("cut/squares", "Cut the squares", 16 * make, "square", "batch", pace_s=6.35),
        step("stack/spray", "Spray the wadding", blocks, "block", pace_s=50.3337, together="block", cautions=("spray",)),
        step("stack/top", "Lay the top squares", blocks, "block", pace_s=12.0, together="block"),
        step("quilt/cross", "Sew the cross", blocks, "block", pace_s=60.0, cautions=("needle",), cue="threads ready"),
        step("join/check", "Measure the panel", pace_s=40.0, count="none", measure="panel_width", within_mm=IN / 4),
        step("closure/glue", "Glue the zip", pace_s=240.0, count="none", waits_s=300.0, cue="iron on",
             shows=(("zip_cut", "the zip"), ("zip_opening", "its opening"))),
        step("assemble/outer", "Sew the outer seam", 4, "edge", pace_s=61.1111, cautions=("needle",)),
        step("wash/load", "Load the wash", pace_s=120.0, count="none", waits_s=3600.0),
    )  # fmt: skip


def layout():
    stacks = [
        ("moss check", "oat stripe"),
        ("oat stripe", "clay dot"),
        ("oat stripe", "clay dot"),
        ("clay dot", "moss check"),
    ]
    places = [(1, 1), (1, 2), (2, 1), (2, 2)]
    return with_matches(Layout(
        2, 2, 0, tuple(Block(*at, stack) for at, stack in zip(places, stacks, strict=True)), 0, 0, 0, "found",
    ))  # fmt: skip


CALLED = {
    name: Called(text, text, "closure", rank)
    for rank, (name, text) in enumerate((("zip_cut", "zip"), ("zip_opening", "opening")))
}


def quantity(name, mm, measured=None):
    return Quantity(
        name, measured if measured is not None else mm, "length", formula="…", place=PLACE,
        measured=measured is not None, planned=mm if measured is not None else None, called=CALLED.get(name),
    )  # fmt: skip


def make_plan(measured=None, laid=None, texts=None, make=1, units="inch"):
    """A stand-in for the real maker of plans: panel_width is the root, the zip hangs from it."""
    given = measured or {}
    width = given.get("panel_width", 11 * IN)
    zip_seam = width - IN
    numbers = {
        "panel_width": quantity("panel_width", 11 * IN, given.get("panel_width")),
        "zip_cut": quantity("zip_cut", zip_seam - 2 * IN),
        "zip_opening": quantity("zip_opening", zip_seam - 3 * IN),
    }
    sheet = layout()
    if laid and laid.layout:
        blocks = tuple(replace(b, stack=tuple(s)) for b, s in zip(sheet.blocks, laid.layout, strict=True))
        sheet = with_matches(replace(sheet, blocks=blocks))
    return Plan(
        project(make, units), numbers, steps(make), layout=sheet, backing=None, cutting=(), shopping=(), cautions=(),
    )  # fmt: skip


def opened(mode="real"):
    sheet = [list(block.stack) for block in layout().blocks]
    return {
        "what": "opened", "format": 1, "version": "0", "mode": mode, "title": "Stool pad",
        "project": "project: Stool pad\n", "stages": {"cut": "stage: cut\n"}, "layout": sheet,
    }  # fmt: skip


class Clock:
    """A clock moved by hand, in seconds."""

    def __init__(self, boot="b1"):
        self.wall, self.awake, self.total, self.boot, self.offset = START, 1_000, 1_000, boot, 60

    def read(self):
        return Reading(self.wall, self.offset, self.awake, self.total, self.boot)

    def run(self, seconds):
        ms = round(seconds * 1000)
        self.wall, self.awake, self.total = self.wall + ms, self.awake + ms, self.total + ms

    def sleep(self, seconds):
        ms = round(seconds * 1000)
        self.wall, self.total = self.wall + ms, self.total + ms


class Memory:
    """A journal that keeps events in memory, and can be told to refuse."""

    def __init__(self, opened_at=None, mode="real"):
        self.events, self.refuse, self.wrote = [], 0, []
        self.append(opened(mode), opened_at or Clock().read())

    def append(self, members, reading):
        from guide.record.lines import event_of

        if self.refuse:
            self.refuse -= 1
            raise OSError(28, "No space left on device")
        event = event_of(len(self.events) + 1, members, reading)
        assert isinstance(event, Event)
        self.events.append(event)
        self.wrote.append(event.what)
        return event

    def reopened(self, reading):
        return self

    def save_elsewhere(self, path):
        other = Memory()
        other.events = list(self.events)
        return other


def starter_ms(plan):
    """What a rehearsal counts: pieces × starter pace, each step rounded to a whole ms."""
    return sum(round(step.pieces * step.pace_s * 1000) for step in plan.steps)
