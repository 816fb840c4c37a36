"""What an article will take: hands-on time, clock time and sittings, each with an 80 % interval.

The steps of one day share that day's factor, and all steps share what is uncertain about the maker's
tempo, so the interval of the total is wider than independent steps would make it. The making is played
through many times with a seeded generator: the same question gets the same answer.
"""

import math
import random
from collections.abc import Iterable, Iterator, Sequence
from itertools import accumulate, pairwise

import msgspec

from guide.money import stats
from guide.money.days import widening
from guide.money.glean import base_key, counted_labour_s, glean, set_pressed_aside, unfinished_s
from guide.money.hours import walk
from guide.money.model import LEVEL, Forecast, Paces, Rests, Span, StepActual, StepForecast
from guide.money.paces import Factors, chance_var, factor_of, half_width, learnt, pace_of, size_var
from guide.money.stats import by_chance, mean_of_next, normals_of, quantile
from guide.plan.model import Plan, Step
from guide.plan.steps import REST_S, plan_rests
from guide.read.spoken import counted, percent, plural
from guide.record.model import Record

DRAWS = 1000  # over 40 seeds the low end scatters by some 1 % of the total then, the high end by 2 to 3 %


class Task(msgspec.Struct, frozen=True):
    """What is left of one step: its usual time, its wait, and the variances of its logarithm."""

    step: Step
    left: int
    pace_s: float
    usual_s: float  # the usual trouble in it
    besides_s: float  # of that, what first pieces and trouble add to the pace
    wait_s: float
    mean_var: float
    own_var: float
    freedom: float
    lean: float  # how much of it is the starter pace, 0 … 1
    rests_on: Rests


def forecast(
    plan: Plan,
    paces: Paces,
    *,
    record: Record | None = None,
    sitting_s: float | None = None,
    factors: Factors | None = None,
    seed: int = 1,
    draws: int = DRAWS,
) -> Forecast:
    """Forecast a plan (all its makes), or what is left of it when its record is given.

    `sitting_s`: hands at the table for so long at a time, each on another day; waits that do not fit run
    on in between. None: one day, waits in full. `factors`: by step key or stage/id, for a beginner.
    """
    tasks = _tasks(plan, paces, record, factors)
    today, today_var = today_factor(plan.steps, paces, record, factors or {})
    done_s = counted_labour_s(record) if record else 0.0
    steps = _with_rests(plan, [_step_forecast(task, paces, today) for task in tasks])
    likely = done_s + sum(step.hands_on.likely for step in steps)
    waiting = sum(task.wait_s for task in tasks)
    still = [step.waits_s + REST_S * len(step.rests) for step in steps]  # the clock runs, the hands do nothing
    played = _play(tasks, still, paces, (today, today_var), sitting_s, seed=seed, draws=draws)
    usual = walk([(step.hands_on.likely, still_s) for step, still_s in zip(steps, still, strict=True)], sitting_s)
    counts = [count for _, _, count in played]
    paced = math.fsum(task.pace_s * task.left for task in tasks)
    return Forecast(
        hands_on=_span([done_s + hands for hands, _, _ in played], likely),
        clock=_span([done_s + clock for _, clock, _ in played], done_s + usual[1]),
        done_s=done_s,
        waiting_s=waiting,
        steps=steps,
        sitting_s=sitting_s,
        sittings=_span([float(count) for count in counts], float(usual[2])) if sitting_s else None,
        chances=_chances(counts) if sitting_s else (),
        rests_on=whose_times(paces, steps),
        says=tuple(
            _says(paces, steps, sitting_s, today, math.fsum(task.besides_s for task in tasks) / paced if paced else 0.0)
        ),
        today=math.exp(today),
        resting_s=REST_S * sum(len(step.rests) for step in steps),
    )


def forecast_steps(plan: Plan, paces: Paces, factors: Factors | None = None) -> tuple[StepForecast, ...]:
    """Forecast the steps of a plan one by one, without the total: quick, nothing is simulated."""
    return _with_rests(plan, [_step_forecast(task, paces, 0.0) for task in _tasks(plan, paces, None, factors)])


def _with_rests(plan: Plan, steps: Sequence[StepForecast]) -> tuple[StepForecast, ...]:
    """The steps with the rests that hands need, worked one after another."""
    at = plan_rests(plan, [step.hands_on.likely for step in steps])
    return tuple(
        msgspec.structs.replace(step, rests=mine) if mine else step for step, mine in zip(steps, at, strict=True)
    )


def _tasks(plan: Plan, paces: Paces, record: Record | None, factors: Factors | None) -> list[Task]:
    curve, learning = paces.curve, 1.0
    if curve is not None and curve.sure:
        learning = mean_of_next(curve.b, paces.makes + 1, max(plan.project.make, 1))
    return [_task(step, paces, record, factors or {}, learning) for step in plan.steps]


def _task(step: Step, paces: Paces, record: Record | None, factors: Factors, learning: float) -> Task:
    left = left_of(step, record)
    pace_s, rests_on = pace_of(paces, step)
    pace_s *= factor_of(factors, step) * learning
    piece_s = pace_s * _with_trouble(paces)
    mine = learnt(paces, base_key(step.key))
    begins = 1 < step.pieces == left  # its first piece is still to come, and others after it
    more = (mine.first if mine else paces.first) if begins else 0.0
    return Task(
        step=step,
        left=left,
        pace_s=pace_s,
        usual_s=piece_s * (left + more) - min(unfinished_s(step, record), piece_s if left else 0.0),
        besides_s=piece_s * (left + more) - pace_s * left,
        wait_s=waits_left(step, record),
        mean_var=mine.mean_var + size_var(mine, step) if mine else stats.ONE_PIECE_VAR,
        own_var=chance_var(paces, mine, left),
        freedom=mine.freedom if mine else stats.SPREAD_FREEDOM,
        lean=mine.starter_share if mine else 1.0,
        rests_on=rests_on if left else "done",
    )


Today = tuple[float, float]  # the logarithm of how today runs, and what is left of a day's variance


def _play(
    tasks: list[Task], still: list[float], paces: Paces, today: Today, sitting_s: float | None, *, seed: int, draws: int
) -> list[tuple[float, float, int]]:
    """Play what is left many times: (hands-on, clock, sittings) of each. `still`: waits and rests after each, s."""
    rng = random.Random(seed)  # noqa: S311 - a repeatable forecast, no secret
    both = [(task, wait) for task, wait in zip(tasks, still, strict=True) if task.left or task.wait_s]
    waits = [wait for _, wait in both]
    waiting = math.fsum(waits)
    played = []
    normals = normals_of(rng)
    for times, first, day_sd, luck in _drawn([task for task, _ in both], paces, today, (rng, normals), draws):
        work_s = math.fsum(times)
        trouble_s = by_chance(rng, luck, work_s)
        if sitting_s:
            more = 1 + trouble_s / work_s if work_s else 1.0
            work = [(seconds * more, wait) for seconds, wait in zip(times, waits, strict=True)]
            played.append(walk(work, sitting_s, _days(normals, first, day_sd)))
        else:
            hands = work_s * math.exp(first) + trouble_s
            played.append((hands, hands + waiting, 1))
    return played


def _with_trouble(paces: Paces) -> float:
    """Labour over work without trouble, 1.04 is 4 %."""
    return 1 + paces.trouble.share if paces.trouble else 1.0


def draws_of(
    jobs: Sequence[tuple[Plan, Record | None]], paces: Paces, *, seed: int = 1, draws: int = DRAWS
) -> Iterator[list[float]]:
    """Play several makings by one maker: the hands-on seconds left of each, draw by draw.

    They share what is uncertain about the maker's tempo; each has days of its own.
    """
    rng = random.Random(seed)  # noqa: S311 - a repeatable forecast, no secret
    groups = [[task for task in _tasks(plan, paces, record, None) if task.left] for plan, record in jobs]
    ends = list(accumulate(map(len, groups), initial=0))
    normals, tasks = normals_of(rng), [task for group in groups for task in group]
    for times, _, day_sd, luck in _drawn(tasks, paces, (0.0, 0.0), (rng, normals), draws):
        each = [math.fsum(times[a:b]) for a, b in pairwise(ends)]
        yield [work_s * math.exp(next(normals) * day_sd) + by_chance(rng, luck, work_s) for work_s in each]


Chance = tuple[random.Random, Iterator[float]]  # where all draws come from, and normal ones of it


def _drawn(
    to_do: Sequence[Task], paces: Paces, today: Today, chance: Chance, draws: int
) -> Iterator[tuple[list[float], float, float, tuple[float, float]]]:
    """Draw what each task takes, s, without its day and trouble.

    With it: how the first day runs (a logarithm), how much days differ; how far apart trouble comes, and how long, s.
    """
    exp, (rng, normals) = math.exp, chance
    trouble, with_trouble = paces.trouble, _with_trouble(paces)
    doing = []
    for task in to_do:
        # The variance of Student's t: freedom / (freedom - 2) times its scale's, so that few readings spread more.
        chance_var = task.own_var * task.freedom / (task.freedom - 2)
        mean_s = task.usual_s / with_trouble * exp(-chance_var / 2)  # chance adds nothing in the mean
        doing.append((mean_s, task.lean, math.sqrt(task.mean_var + chance_var)))
    tempo_share = paces.tempo_var / (paces.tempo_var + paces.day_var)
    tempo_sd, lean_sd = math.sqrt(paces.tempo_var), math.sqrt(paces.lean_var)
    luck = math.inf, 0.0
    for _ in range(draws):
        # How much days differ is itself a guess: it is drawn anew each time (an inverse gamma), which widens the tails.
        day_var = paces.day_var * paces.day_freedom / (2 * rng.gammavariate(paces.day_freedom / 2, 1.0))
        # How today runs is part the maker's tempo, which stays for all days, and part the day's own, which passes.
        tempo = today[0] * tempo_share + next(normals) * tempo_sd
        first = today[0] * (1 - tempo_share) + next(normals) * math.sqrt(day_var * today[1])
        lent = next(normals) * lean_sd
        each = zip(doing, normals, strict=False)  # which has no end
        times = [usual * exp(tempo + lean * lent + normal * own) for (usual, lean, own), normal in each]
        if trouble:
            apart_s = 3600 / rng.gammavariate(trouble.events, 1 / trouble.hours)
            luck = apart_s, rng.gammavariate(trouble.seen, trouble.long_s / trouble.seen)
        yield times, first, math.sqrt(day_var), luck


def _days(normals: Iterator[float], first: float, sd: float) -> Iterator[float]:
    """Each day's factor on the times: the first as it is going, then as days come."""
    yield math.exp(first)
    while True:
        yield math.exp(next(normals) * sd)


def _step_forecast(task: Task, paces: Paces, today: float) -> StepForecast:
    """One step on its own: Student's t on the logarithm, the day's factor in it."""
    likely = task.usual_s * math.exp(today)
    mean_var = task.mean_var + paces.tempo_var + task.lean**2 * paces.lean_var
    half = half_width(mean_var, task.own_var, task.freedom, paces.day_var, paces.day_freedom)
    return StepForecast(
        key=task.step.key,
        title=task.step.title,
        pieces=task.step.pieces,
        left=task.left,
        pace_s=task.pace_s,
        hands_on=Span(likely, likely * math.exp(-half), likely * math.exp(half)),
        waits_s=task.wait_s,
        rests_on=task.rests_on,
    )


def _span(values: Sequence[float], likely: float) -> Span:
    ordered = sorted(values)
    edge = (1 - LEVEL) / 2
    low, high = quantile(ordered, edge), quantile(ordered, 1 - edge)
    return Span(likely, min(low, likely), max(high, likely))


def _chances(counts: Sequence[int]) -> tuple[float, ...]:
    """The chance to be done within 1, 2, … sittings."""
    by_count = [0] * max(counts)
    for count in counts:
        by_count[count - 1] += 1
    return tuple(total / len(counts) for total in accumulate(by_count))


def whose_times(paces: Paces, steps: Sequence[StepForecast]) -> str:
    """Say whose times a forecast rests on, what the rest is reckoned at, and which sessions were left out."""
    to_do = [step for step in steps if step.rests_on != "done"]
    own = sum(step.rests_on != "starter pace" for step in to_do)
    # One sentence for every mixture of own times and starter paces, since all that follows rests on it.
    told = zip(paces.pressed, ("left out", "left out in part"), strict=True)
    keys = " and ".join(f"{counted(some, 'session')} {out}" for some, out in told if some)
    out = f" ({keys}: keys pressed through)" if keys else ""
    if not paces.sessions or (to_do and not own):
        return f"starter paces{out}"
    others = f"; the others at the starter paces × {math.exp(paces.tempo):.2f}, your tempo so far"
    lean = others if own < len(to_do) and abs(paces.tempo) > 0.005 else ""
    timed = f"{paces.sessions:,} timed {plural('session', paces.sessions)}"
    of = f" of {paces.maker}" if paces.maker else ""
    return f"{timed}{of} for {own} of {counted(len(to_do), 'step')}{out}{lean}"


def _says(
    paces: Paces, steps: Sequence[StepForecast], sitting_s: float | None, today: float, besides: float
) -> Iterator[str]:
    """What the figures assume, in sentences. `besides`: what first pieces and trouble add to the paces, a share."""
    if not paces.sessions:
        yield "Starter paces only: estimates that nobody timed. Your own times replace them."
    elif paces.sessions < 3:
        yield "Few sessions so far: this still leans on the starter paces. From three on it is yours."
    yield "A day's good or bad run is shared by all its steps; the interval holds four times in five."
    if (wider := widening(*paces.held)) > 1.005:
        within, told = paces.held
        yield (
            f"Of {counted(told, 'day')} {within} ran inside what the days before said, four in five should: "
            f"days are taken to differ {percent(wider - 1, 0)} more."
        )
    if sitting_s is None:
        yield "Reckoned as one day's work, with every wait on the clock."
    else:
        yield f"Sittings of {sitting_s / 3600:g} h on days apart; longer waits run on in between."
    if besides > 0.005:
        yield f"First pieces and trouble usually add {percent(besides, 0)}; that is in it."
    if paces.curve is not None and paces.curve.sure:
        yield f"Learning is in it: {paces.curve.says}."
    if abs(today) > 0.03 and any(step.left for step in steps):
        yield (f"Today runs {'slower' if today > 0 else 'quicker'} than usual by {percent(abs(math.expm1(today)), 0)}.")


def forecast_and_actual(plan: Plan, paces: Paces, record: Record) -> tuple[StepActual, ...]:
    """Hold each finished step against its forecast; `paces` are those from before the session."""
    rows = []
    for step in forecast_steps(plan, paces):
        done, span = record.step(step.key), step.hands_on
        if done.state == "done":
            actual_s = done.counted_ms / 1000
            ratio = actual_s / span.likely if span.likely else None
            rows.append(StepActual(step.key, span, actual_s, ratio, span.low <= actual_s <= span.high))
    return tuple(rows)


def left_of(step: Step, record: Record | None) -> int:
    """Pieces of a step still to do: none once it is done or skipped, unless it was only put off."""
    if record is None:
        return step.pieces
    mine = record.step(step.key)
    return 0 if mine.over else max(step.pieces - mine.pieces_done, 0)


def waits_left(step: Step, record: Record | None) -> float:
    """Seconds a step's wait has still to run, at the newest record of the session."""
    if not step.waits_s or record is None:
        return step.waits_s or 0.0
    mine = record.step(step.key)
    if mine.state == "skipped" and not mine.put_off:
        return 0.0
    wait = next((one for one in reversed(record.waits) if one.step == step.key), None)
    if wait is None or record.last is None:
        return 0.0 if mine.state == "done" else step.waits_s
    gone_s = (record.last.wall - wait.begun.wall) / 1000
    return 0.0 if wait.over else min(max(step.waits_s - gone_s, 0.0), step.waits_s)


def today_factor(steps: Iterable[Step], paces: Paces, record: Record | None, factors: Factors) -> Today:
    """Ln of how much slower the session's newest day is than usual, and what is left of its variance.

    The day's finished pieces are held against the usual paces; few pieces say little. (0, 1): nothing known.
    """
    planned = {step.key: step for step in steps}
    rows = glean(record, planned.values(), practice=True) if record else ()
    newest = max((row.day for row in rows), default=None)
    top = under = 0.0
    for row in set_pressed_aside(rows)[0]:
        if row.day != newest or row.step not in planned:
            continue
        step, pieces = planned[row.step], sum(lap.pieces for lap in row.laps)
        seconds = math.fsum(lap.seconds for lap in row.laps)
        usual_s = pace_of(paces, step)[0] * factor_of(factors, step)
        if seconds > 0 and usual_s > 0:
            pace = paces.steps.get(row.base)
            trust = 1 / (chance_var(paces, pace, pieces) + (pace.mean_var if pace else stats.ONE_PIECE_VAR))
            most = 3 / math.sqrt(trust)  # a forgotten timer must not spoil the day
            top += trust * max(-most, min(most, math.log(seconds / pieces / usual_s)))
            under += trust
    shared = paces.day_var + paces.tempo_var
    return top * shared / (1 + under * shared), 1 / (1 + under * shared)
