"""Plans and a record made by hand, for tests of what is shown: a 2×2 seat pad and the 4×3 demo.

The numbers are worked out here from the trade's own rules, apart from the program.
"""

import re
from functools import cache

import msgspec

from guide.plan.day import cutting_day as cut_in_one_go
from guide.plan.make import make_plan
from guide.plan.model import (
    Block,
    Buy,
    CutCloth,
    Cutting,
    Layout,
    LeftOver,
    Placement,
    Plan,
    Quantity,
    Step,
    Warned,
)
from guide.plan.shopping import share_shelf
from guide.read.model import Labour, Place, Print, Project, Sell
from guide.read.places import open_project
from guide.record.model import (
    Correction,
    Event,
    Lap,
    Measure,
    Reading,
    Record,
    Remark,
    Sitting,
    StepRecord,
    Wait,
)
from guide.show.cutting_day import DayReport, Hours, day_report
from guide.show.pages.plan import render_day
from tests.plan.sums_of import read, shipped
from tests.show.demo import DEMO

INCH = 25.4
PRINTS = ("moss check", "oat stripe", "clay dot")
T0 = 1_772_357_400_000  # 2026-03-01T09:30:00Z


def project(across=4, down=3, *, title="Window seat cushion", prints=PRINTS, units="inch"):
    return Project(
        title=title, kind="cushion", for_whom="anyone", make=1, units=units, words="british",
        across=across, down=down, above=2, below=2, closure="zip", back="patchwork", back_cloth=None,
        quilting="cross", prints=tuple(Print(name, width=44 * INCH, selvedge=INCH / 2) for name in prints),
        wadding=True, wadding_price=None, stages=("quilt", "join", "snip", "closure", "wash"), extras=(),
        labour=Labour(), sell=Sell(), currency="EUR", thread_price=None, given={},
        file="sessions/sample/project.yaml", text="",
    )  # fmt: skip


def quantities(across=4, down=3, square_in=6.0):
    """The names pages draw with, in mm, from pitch = square − 2 seams and so on."""
    q, s = square_in * INCH, INCH / 2
    pitch = q - 2 * s
    panel_w, panel_h = across * pitch + 2 * s, down * pitch + 2 * s
    lengths = {
        "pitch": pitch, "panel_width": panel_w, "panel_height": panel_h,
        "face_width": panel_w - 2 * s, "face_height": panel_h - 2 * s,
        "wadding_size": q - 2 * s, "quilt_box": q - 2 * s, "quilt_line": (q - 2 * s) * 2**0.5,
        "row_seam_run": q - 2 * (3 / 8 * INCH), "panel_seam_run": panel_w - 2 * (3 / 8 * INCH),
        "zip_seam": panel_w, "zip_cut": panel_w - 2 * INCH, "zip_opening": panel_w - 3 * INCH,
        "zip_tack": panel_w - 3 * INCH, "zip_ends": 1.5 * INCH, "cut_depth": 3 / 8 * INCH,
        "fringe_height": s, "pad_width": panel_w - 2 * s, "pad_height": panel_h - 2 * s,
    }  # fmt: skip
    given = {
        "square": (q, "6 in"), "seam": (s, "1/2 in"), "free_end": (3 / 8 * INCH, None),
        "wadding_gap": (s, "1/2 in"), "zip_end_gap": (INCH, "1 in"), "zip_stop_gap": (s, "1/2 in"),
        "zip_box_gap": (INCH / 4, "1/4 in"), "snip_every": (INCH / 2, "1/2 in"),
        "snip_clear": (INCH / 8, "1/8 in"), "stitch_length": (2.5, "2.5 mm"),
    }  # fmt: skip
    counts = {"blocks": across * down, "layers_block": 4, "layers_raw_seam": 8, "layers_crossing": 16}
    out = {
        name: Quantity(name, value, "length", written=written, place=Place("sessions/sample/project.yaml", 6))
        for name, (value, written) in given.items()
    }
    for name, value in lengths.items():
        out[name] = Quantity(name, value, "length", f"formula of {name}", Place("/x/workflows/cut.yaml", 9), "cut")
    for name, value in counts.items():
        out[name] = Quantity(name, value, "count", f"formula of {name}", Place("/x/workflows/cut.yaml", 12), "cut")
    out["envelope_length"] = Quantity(
        "envelope_length", None, "length", "overlap", Place("/x/workflows/closure.yaml", 3), "closure"
    )
    return out


def layout(across=4, down=3, prints=PRINTS, depth=4):
    """Print (2·row + column + layer) mod n: no side neighbours alike when there are three prints."""
    n = len(prints)
    blocks = tuple(
        Block(r + 1, c + 1, tuple(prints[(2 * r + c + layer) % n] for layer in range(depth)))
        for r in range(down)
        for c in range(across)
    )
    return Layout(across, down, 0, blocks, 0, 0, 0, "found")


def cutting(material="moss check"):
    q = 6 * INCH
    placed = tuple(
        Placement("square", INCH / 2 + (i % 7) * q, (i // 7) * q, q, q, False, i // 7 + 1, i + 1) for i in range(16)
    )
    return Cutting(material, 3 * q, 4.5 * INCH * 4, 16 * q * q / (43 * INCH), 19, 1,
                   (CutCloth(44 * INCH, 3 * q, True, placed, selvedge_mm=12.7),), (LeftOver(q, q),))  # fmt: skip


def step(key, title, pieces, piece, pace_s, **more):
    factor = more.pop("factor", 2.0)
    stage, id_ = key.split("/")
    texts = more.pop("texts", {"do": f"{title} with care, one after another."})
    return Step(
        key=key, stage=stage, stage_title=stage.title(), id=id_, title=title, pieces=pieces, piece=piece, count="each",
        station=more.pop("station", "machine"), pace_s=pace_s,
        beginner_factor=factor, effort=None, effort_noun="", place=Place("/x/workflows/quilt.yaml", 30),
        texts=texts, **more,
    )  # fmt: skip


def steps(across=4, down=3):
    blocks = across * down
    return (
        step("quilt/cross", "Sew the cross", blocks, "block", 60.0, picture="quilting", cautions=("needle",),
             shows=(("quilt_line", "each line, two a block"), ("layers_block", "layers and wadding")),
             tools=("walking foot", "needle 90/14"),
             texts={"do": "Feel out the wadding's corner, needle down. Sew to the far corner, back-stitch, turn, sew the other.",
                    "why": "The cross holds the wadding while it is washed.", "good_enough": "both lines meet within a finger's width",
                    "beginner": "Sew the spare block first.", "if_wrong": "Unpick back to the crossing and start again."}),
        step("join/rows", "Sew the row seams", down * (across - 1), "seam", 40.0, picture="seam",
             shows=(("row_seam_run", "each seam, ends left free"),), station="machine"),
        step("join/panels", "Join the rows", down - 1, "seam", 160.0, factor=2.5, measure="panel_width", within_mm=INCH / 4, picture="crossing"),
        step("snip/inner", "Snip the inner seams", down * (across - 1) + down - 1, "seam", 55.0, factor=1.5, station="table", picture="snips"),
        step("closure/box", "Box the zip", 1, "step", 480.0, factor=3.5, picture="zip", shows=(("zip_opening", "opening"), ("zip_cut", "zip"))),
        step("wash/load", "Load the wash", 1, "step", 120.0, factor=1.0, station="washer", waits_s=3600.0, cautions=("lint",)),
    )  # fmt: skip


def plan(across=4, down=3, *, title="Window seat cushion", square_in=6.0):
    return Plan(
        project=project(across, down, title=title), quantities=quantities(across, down, square_in), steps=steps(across, down),
        layout=layout(across, down), backing=layout(across, down, depth=1), cutting=(cutting(), cutting("oat stripe")),
        shopping=(Buy("cloth", "moss check", "0.5", "yd", "9.60", "4.80"), Buy("cloth", "oat stripe", "0.5", "yd", "9.60", "4.80"),
                  Buy("notions", "zip, 22 in", "1", "each", None, None), Buy("thread", "thread, 100 m", "2", "each", "2.90", "5.80")),
        cautions=("blade", "needle", "lint"), warnings=(Warned("zip_cut", "The zip is longer than most shops keep."),),
    )  # fmt: skip


def small():
    return plan(2, 2, title="Small stool pad", square_in=5.0)


def record(of, *, mode="practice"):
    """A session in which all but the last step was done, with a note, trouble, a measure and a correction."""
    header = Event(n=1, at="2026-03-01T09:30:00.000Z", offset=60, awake=0, total=0, boot="b", what="opened",
                   format=1, version="0.1.0", mode=mode, maker="Ada Example", title=of.project.title)  # fmt: skip
    at, done = T0, {}
    for one in of.steps[:-1]:
        laps = []
        for piece in range(one.pieces):
            ms = round(one.pace_s * 1000)
            laps.append(Lap(one.key, 1, ms, 20_000 if piece == 1 else 0, piece == 0, 0, 0, at, at + ms, 60))
            at += ms
        done[one.key] = StepRecord(one.key, "done", one.pieces, laps, laps[0].start, at)
    done[of.steps[-1].key] = StepRecord(of.steps[-1].key, "skipped", why="washed at home")
    panel = of.quantities["panel_width"].value
    return Record(
        header=header, steps=done, order=[s.key for s in of.steps],
        measures={"panel_width": [Measure("panel_width", panel - 19.05, 1, 9, T0 + 60_000, "join/panels", first_mm=panel)]},
        remarks=[Remark("note", 5, T0 + 30_000, "quilt/cross", "The oat stripe frays fastest."),
                 Remark("trouble", 6, T0 + 40_000, "quilt/cross", "thread", 20_000),
                 Remark("interrupted", 7, T0 + 50_000, "join/rows", "the door", 420_000)],
        waits=[Wait("wash/load", 12, Reading(T0, 60, 0, 0, "b"))],
        sittings=[Sitting(1, T0, at, at - T0, 60)],
        corrections=[Correction(11, 9, T0 + 70_000, "panel_width", "21 in", "20 1/4 in", "read the wrong edge")],
        assumed=["The gap of 9 min at 10:05 was counted as a break."], count=40, last=Reading(at, 60, 0, 0, "b"), closed=True,
    )  # fmt: skip


def full_report(of=None, *, mode="practice", rec=None):
    """A report with everything a page can ask for: session, money, a beginner's day, words."""
    from guide.money.checklist import beginner_factors, checklist_times
    from guide.money.forecast import forecast
    from guide.money.paces import NONE
    from guide.money.quote import price_plan
    from guide.show.report import report
    from guide.show.report_money import cost_report, forecast_report

    of = of or plan()
    ahead = forecast(of, NONE)
    return report(
        of,
        rec or record(of, mode=mode),
        forecast=forecast_report(ahead),
        cost=cost_report(of, price_plan(of, ahead)),
        rows=checklist_times(of, NONE, "10:00", beginner_factors(of)),
        beginner=True,
        texts=True,
        checksum="1a2b3c4d",
    )


def hostile_report(poison):
    """A full report in which every text that a maker or a stage file can write is the poison."""
    import msgspec

    re = msgspec.structs.replace
    of = plan()
    names = {name: f"{poison} {number}" for number, name in enumerate(PRINTS)}

    def renamed(laid):
        blocks = tuple(re(b, stack=tuple(names[one] for one in b.stack)) for b in laid.blocks)
        return re(laid, blocks=blocks)

    steps_ = tuple(
        re(s, title=poison, stage_title=poison, piece=poison, tools=(poison,), texts={},
           shows=tuple((name, poison) for name, _ in s.shows)) for s in of.steps
    )  # fmt: skip
    prints = tuple(re(one, name=names[one.name]) for one in of.project.prints)
    of = re(
        of, project=re(of.project, title=poison, prints=prints, currency=poison), steps=steps_, layout=renamed(of.layout),
        backing=renamed(of.backing), cutting=tuple(re(c, material=names[c.material]) for c in of.cutting),
        shopping=tuple(re(b, item=poison) for b in of.shopping), warnings=(Warned("x", poison),),
    )  # fmt: skip
    rec = record(of)
    rec.header = re(rec.header, title=poison, maker=poison, version=poison)
    rec.remarks = [re(r, text=poison) for r in rec.remarks] + [Remark("photo", 8, T0, "quilt/cross", poison)]
    rec.corrections = [re(c, what=poison, was=poison, now=poison, why=poison) for c in rec.corrections]
    rec.assumed = [poison]
    rec.steps["wash/load"] = StepRecord("wash/load", "skipped", why=poison)
    out = full_report(of, rec=rec)
    said = {one.key: re(one, texts=dict.fromkeys(one.texts, poison)) for one in out.steps}
    rows = tuple(re(one, step=said.get(one.row.key)) for one in out.day.rows)
    return re(out, steps=tuple(said.values()), day=re(out.day, rows=rows))


@cache
def cutting_day():
    """A day of two invented projects and the demo: two sizes, denim, one way prints, pieces on hand, wadding."""
    throw = {
        "project": "Sofa throw", "kind": "throw", "grid": {"across": 6, "down": 7}, "square": "8 in", "seam": "1/2 in",
        "layers": {"above": 1, "below": 1}, "wadding": {"gap": "1/2 in", "width": "90 in"}, "closure": "none",
        "prints": [{"name": name, "width": "44 in", "selvedge": "1/2 in"} for name in ("moss check", "oat stripe")],
    }  # fmt: skip
    chair = throw | {
        "project": "Reading chair cushion", "kind": "cushion", "grid": {"across": 4, "down": 4}, "square": "6 in",
        "prints": [{"name": "slate denim", "width": "58 in", "made_of": "denim"}, {"name": "moss check", "width": "44 in"}],
        "back": {"plain": "slate denim"}, "closure": {"type": "envelope"},
    }  # fmt: skip
    plans = []
    for one in (open_project(DEMO, {}).project, read(throw), read(chair)):
        plans.append(make_plan(share_shelf(one, plans), shipped()))
    day = cut_in_one_go(plans, [plan.project for plan in plans])
    hours = [Hours(60.0 * pieces, 90.0 * pieces, 9000.0, 8000.0, 11000.0, 9500.0) for pieces in day.pieces]
    return day_report(day, plans, hours, ["sessions/seat", "sessions/throw", "sessions/chair"], "starter paces")


def day_page(report, fmt="html"):
    """The cutting day's sheet with a report's own names in the places of its first project and print."""
    names = {"Window seat cushion": report.project.title, "moss check": report.prints[0].name}

    def renamed(value):
        if isinstance(value, str):
            return re.sub("|".join(names), lambda found: names[found[0]], value)
        if isinstance(value, list):
            return [renamed(one) for one in value]
        return {renamed(key): renamed(one) for key, one in value.items()} if isinstance(value, dict) else value

    plain = renamed(msgspec.to_builtins(cutting_day())) | {"words": report.project.words}
    return render_day(msgspec.convert(plain, DayReport), fmt)


def history_page(report, fmt="html"):
    """What five weeks of sessions come to, under the names that a report gives its steps, prints and maker."""
    from pathlib import Path

    from guide.record.history import History, Told, Total
    from guide.show.pages.papers import history_page as render

    weeks = {"2025-W52": 5_400_000, "2026-W01": 9_000_000, "2026-W04": 3_600_000}
    titles = [step.title for step in report.steps]
    totals = {f"{title} {place}": Total(600_000, 0, 12, 2) for place, title in enumerate(titles)}
    told = History(
        sessions=[Told(Path("a.jsonl"), report.project.title, report.project.title, "real", "2026-01-20", False, Total(1, 0, 1, 1), 9)],
        by_week={week: Total(ms, 0, 12, 1) for week, ms in weeks.items()},
        by_day={"2025-12-22": Total(5_400_000, 0, 12, 1), "2026-01-01": Total(9_000_000, 0, 12, 1), "2026-01-20": Total(3_600_000, 0, 12, 1)},
    )  # fmt: skip
    return render(told, {"step": totals, "maker": {report.session.maker: Total(18_000_000, 0, 36, 3)}}, fmt)


def paces_page(report, fmt="html", sessions=30):
    """The paces of a report's steps, so many sessions of each: by turns a tenth over and under the starter pace."""
    from guide.commands.paces import _table
    from guide.money.model import Pace, Then
    from guide.money.paces import NONE
    from guide.show.pages.papers import most_time
    from guide.show.pages.papers import paces_page as render

    def pace(step):
        then = [
            Then(
                f"2026-{1 + n // 28:02d}-{1 + n % 28:02d}",
                f"2026-{1 + n // 28:02d}-{1 + n % 28:02d}",
                step.pace_s * (1.1 if n % 2 else 0.9),
                step.pieces,
            )
            for n in range(sessions)
        ]
        return Pace(step.key, step.title, step.pace_s, step.pace_s * 0.8, step.pace_s * 1.25, step.pace_s, None, "", 9, 3, 0, 0.1, -0.02, 0.0, 0.1, 1.0, 9.0,
                    by_session=tuple(then))  # fmt: skip

    from msgspec.structs import replace

    paces = replace(
        NONE,
        maker=report.session.maker,
        sessions=sessions,
        days=sessions,
        steps={s.key: pace(s) for s in report.steps[:9]},
    )
    return render(paces, most_time(paces), _table(paces, None, paper=True), fmt)
