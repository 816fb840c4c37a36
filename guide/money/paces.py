"""What each step usually takes a maker, learnt from their sessions.

For each step and day, y = ln(time per piece / starter pace), pieces of one day taken together. y is held
to be the step's own mean + the day's own factor, shared by all steps of that day + chance. The mean
leans on the starter pace, which counts as one piece and is first brought to the maker's tempo over all
steps; with no sessions the paces are the starter paces.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from itertools import chain, groupby
from operator import attrgetter

import msgspec
from msgspec.structs import replace

from guide.money import stats
from guide.money.days import DayFit, Obs, Tilt, fit_days, observe, scattered
from guide.money.glean import GROUP, base_key, flags_of, left_out, set_aside, set_pressed_aside
from guide.money.model import LEVEL, Flag, Pace, Paces, Rests, Seen, Then, Trouble
from guide.money.stats import fit_line, more_readings, t_quantile
from guide.plan.model import Step
from guide.read.model import grouped

MEMORY = 100  # sessions: what came before says little about today's pace

NONE = Paces()
# As the days' fit has it.
_OF_FIT = ("tempo", "tempo_var", "lean_var", "day_var", "day_freedom", "spread", "curve", "held")


def learn(seen: Iterable[Seen], *, maker: str | None = None, whom: str = "", by_session: bool = False) -> Paces:
    """Work out the paces of one maker (None: whoever they are of) from their newest hundred sessions.

    Work done `for beginner` is kept apart: ask for it with `whom`. Rows come session by session, and of sessions
    that are too old to teach a pace only how many articles they made is kept.
    """
    said, kept, flags = sift(seen, maker=maker, whom=whom)
    units, makes = _units(said.made)
    pressed = left_out(said.made, said.pressed)
    observed = {base: obs for base, step_rows in kept.items() if (obs := observe(step_rows, units))}
    if not observed:
        return Paces(maker or "", flags=tuple(flags), pressed=pressed)
    observed, scatter, piece = scattered(observed)
    first, firsts = firsts_of(kept, piece, scatter)
    observed = {base: _without_first(obs, firsts.get(base, first)) for base, obs in observed.items()}
    fit = fit_days(observed, makes + 1.0, scatter)
    steps = {
        base: _pace(kept[base], obs, fit, (firsts.get(base, first), piece[base])) for base, obs in observed.items()
    }
    if by_session:
        steps = {base: replace(one, by_session=_by_session(kept[base])) for base, one in steps.items()}
    return Paces(
        maker=maker or "",
        sessions=len(units),
        days=len(fit.days),
        steps=steps,
        flags=tuple(flags),
        trouble=trouble_of(kept.values()),
        first=first,
        scatter=scatter,
        makes=makes,
        pressed=pressed,
        **{name: getattr(fit, name) for name in _OF_FIT},
    )


def _by_session(rows: Sequence[Seen]) -> tuple[Then, ...]:
    """What each session took for a piece: its time over what the starter pace says of its sizes, at the last sizes."""
    last = max(rows, key=lambda row: (row.day, row.session)).starter_s or 1.0
    sums: dict[str, list[float]] = {}  # seconds, the same at the starter pace, pieces, day
    for row in rows:
        total = sums.setdefault(row.session, [0.0, 0.0, 0.0, row.day])
        total[3] = min(total[3], row.day)
        for lap in row.laps:
            if not lap.first:
                more = (lap.seconds, lap.pieces * (row.starter_s or 1.0), lap.pieces)
                total[:3] = [one + other for one, other in zip(total, more, strict=False)]
    return tuple(
        Then(session, f"{date(1970, 1, 1) + timedelta(days=day)}", seconds / worth * last, int(pieces))
        for session, (seconds, worth, pieces, day) in sorted(sums.items(), key=lambda one: (one[1][3], one[0]))
        if seconds > 0
    )


def sift(seen: Iterable[Seen], *, maker: str | None, whom: str) -> tuple["_Said", dict[str, list[Seen]], list[Flag]]:
    """Give what a maker's newest hundred sessions say by step, without what is left out, and a flag for that."""
    said = _gather(one for one in seen if one.whom == whom and maker in (None, one.maker) and one.laps)
    rows = grouped(chain.from_iterable(_newest(said.worked).values()), attrgetter("base"))
    flags = sorted(said.flags, key=lambda flag: flag.session)
    kept: dict[str, list[Seen]] = {}
    for base, step_rows in rows.items():
        good, bad = set_aside(step_rows)
        flags += bad
        if good:
            kept[base] = by_newest_text(good)
    return said, kept, flags


def by_newest_text(rows: list[Seen]) -> list[Seen]:
    """Hold times whose own texts did not say what goes with the effort against the newest that do, at their size."""
    told = [row for row in rows if row.share is not None and row.starter_s and row.effort]
    if not told or len(told) == len(rows):
        return rows
    newest = max(told, key=lambda row: (row.day, row.session))
    starter_s, share, effort = newest.starter_s or 0.0, newest.share or 0.0, newest.effort or 1.0

    def held(row: Seen) -> Seen:
        if row.share is not None or not row.effort or row.noun != newest.noun:
            return row
        by_effort = starter_s * share * row.effort / effort
        whole_s = starter_s * (1 - share) + by_effort
        return replace(row, starter_s=whole_s, share=by_effort / whole_s)

    return [held(row) for row in rows]


class _Said(msgspec.Struct):
    """What all sessions say: rows of the newest only."""

    worked: dict[str, list[Seen]] = {}  # by session
    made: dict[str, tuple[int, str, int]] = {}  # first day, session, articles: of each in which anything was worked
    pressed: set[str] = set()  # sessions with keys pressed through
    flags: list[Flag] = []


def _gather(seen: Iterable[Seen]) -> _Said:
    """Take in sessions one after another, and let go of rows that newer sessions make too old."""
    said = _Said()
    for session, rows in groupby(seen, key=lambda row: row.session):
        worked, hurried = set_pressed_aside(list(rows))
        if hurried:
            said.pressed.add(session)
            said.flags += flags_of(hurried)
        if worked:
            said.made[session] = (_first_day(worked), session, worked[-1].make)
            said.worked.setdefault(session, []).extend(worked)
        if len(said.worked) > 2 * MEMORY:
            said.worked = _newest(said.worked)
    return said


def _newest(sessions: Mapping[str, list[Seen]]) -> dict[str, list[Seen]]:
    """The newest hundred sessions, in the order they came in."""
    newest = set(sorted(sessions, key=lambda one: (_first_day(sessions[one]), one))[-MEMORY:])
    return {session: rows for session, rows in sessions.items() if session in newest}


def _first_day(rows: Iterable[Seen]) -> int:
    """When a session was worked, which orders sessions: work from paper may be typed in long after."""
    return min(row.day for row in rows)


def _units(made: Mapping[str, tuple[int, str, int]]) -> tuple[dict[str, float], int]:
    """Which make each session was, counted over all (the middle one of several), and how many in all."""
    units, before = {}, 0
    for _, session, make in sorted(made.values()):
        units[session] = before + (make + 1) / 2
        before += make
    return units, before


def _pace(rows: Sequence[Seen], obs: Sequence[Obs], fit: DayFit, pieces: tuple[float, float]) -> Pace:
    """One step's pace, at the sizes it was last worked at. `pieces`: what a first one adds, how far they scatter."""
    last = max(rows, key=lambda row: (row.day, row.session))
    base, mean = last.base, fit.means[last.base]
    # The starter pace counts as one piece more, brought to the maker's tempo; without one the own times stand alone.
    spread = fit.spreads[base]
    told = math.fsum(1 / (one.own * spread) for one in obs)
    share = 0.0
    if last.starter_s:
        share = stats.STARTER_PIECES / (stats.STARTER_PIECES + math.fsum(one.weight for one in obs))
        told += 1 / stats.ONE_PIECE_VAR
    log_ratio = share * fit.tempo + (1 - share) * mean
    tilt = fit.tilts.get(base)
    further = last.share - tilt.share if tilt and last.share is not None else 0.0
    usual_s = math.exp(log_ratio + (tilt.slope * further if tilt else 0.0)) * (last.starter_s or 1.0)
    handling_s, rate_s = _parts(last, log_ratio, tilt)
    own, shared = spread * obs[-1].own, fit.day_var
    freedom = stats.SPREAD_FREEDOM + len(obs) - 1
    told_var = 1 / told + (tilt.var * further**2 if tilt else 0.0)
    half = half_width(told_var + fit.tempo_var + share**2 * fit.lean_var, own, freedom, shared, fit.day_freedom)
    return Pace(
        step=base,
        title=last.title,
        usual_s=usual_s,
        low_s=usual_s * math.exp(-half),
        high_s=usual_s * math.exp(half),
        starter_s=last.starter_s,
        per_effort_s=usual_s / last.effort if last.effort else None,
        noun=last.noun,
        pieces=sum(one.pieces for one in obs),
        days=len(obs),
        by_hand=sum(lap.by_hand for row in rows for lap in row.laps),
        starter_share=share,
        trend=_trend(obs),
        log_ratio=log_ratio,
        mean_var=1 / told,
        spread=spread,
        freedom=freedom,
        share=tilt.share if tilt else None,
        tilt=tilt.slope if tilt else 0.0,
        tilt_var=tilt.var if tilt else 0.0,
        handling_s=handling_s,
        rate_s=rate_s,
        own_s=math.exp(mean) * (last.starter_s or 1.0),
        time_more=_time_more(rows),
        first=pieces[0],
        piece=pieces[1],
    )


def _parts(last: Seen, log_ratio: float, tilt: Tilt | None) -> tuple[float | None, float | None]:
    """A pace's two parts at the size it was last worked at: handling a piece, and what each unit of effort takes, s."""
    if tilt is None or not last.starter_s or not last.effort or not last.share:
        return None, None
    handling = last.starter_s * (1 - last.share) * math.exp(log_ratio - tilt.slope * tilt.share)
    by_effort = last.starter_s * last.share * math.exp(log_ratio + tilt.slope * (1 - tilt.share))
    usual = last.starter_s * math.exp(log_ratio + tilt.slope * (last.share - tilt.share))
    scale = usual / (handling + by_effort)
    return handling * scale, by_effort * scale / last.effort


def _time_more(rows: Sequence[Seen]) -> int | None:
    """How many more laps to time: work study's readings needed for 10 % at two standard deviations."""
    readings = [lap.seconds / lap.pieces / (row.starter_s or 1.0) for row in rows for lap in row.laps if not lap.first]
    return more_readings(readings) if len(readings) > 1 and sum(readings) > 0 else None


def half_width(mean_var: float, own: float, own_freedom: float, day: float, day_freedom: float) -> float:
    """Half the 80 % interval of a logarithm whose variance is estimated in two parts (Satterthwaite)."""
    freedom = (own + day) ** 2 / (own**2 / own_freedom + day**2 / day_freedom)
    return t_quantile(0.5 + LEVEL / 2, freedom) * math.sqrt(mean_var + own + day)


def _trend(obs: Sequence[Obs]) -> float | None:
    """Change of the pace from one day to the next; None unless five days show it at 90 %."""
    if len(obs) < 5:
        return None
    line = fit_line([float(place) for place in range(len(obs))], [one.y for one in obs])
    clear = abs(line.slope) > t_quantile(0.95, len(obs) - 2) * line.slope_se
    return math.expm1(line.slope) if clear else None


def learnt(paces: Paces, base: str) -> Pace | None:
    """What is known of a step's pace; timed only with others that one press counted, it shares their pace as one."""
    mine = paces.steps.get(base)
    return mine or next((one for name, one in paces.steps.items() if GROUP in name and base in name.split(GROUP)), None)


def pace_of(paces: Paces, step: Step) -> tuple[float, Rests]:
    """Seconds per piece of a planned step, and what that rests on."""
    mine = learnt(paces, base_key(step.key))
    if mine is None:
        return step.pace_s * math.exp(paces.tempo), "starter pace"
    if not mine.starter_s:
        return mine.usual_s, "own times"
    pace_s = step.pace_s * math.exp(mine.log_ratio + mine.tilt * _further(mine, step))
    return pace_s, "own times and starter pace" if mine.starter_share > 0.1 else "own times"


def _further(mine: Pace, step: Step) -> float:
    """How much more of a step is effort than of what was worked so far, as a share of the starter pace."""
    if mine.share is None or not step.effort_s or step.pace_s <= 0:
        return 0.0
    return step.effort_s / step.pace_s - mine.share


def size_var(mine: Pace, step: Step) -> float:
    """What another size adds to the variance of a step's logarithm: how its time splits is known from its own sizes."""
    return mine.tilt_var * _further(mine, step) ** 2


def chance_var(paces: Paces, mine: Pace | None, pieces: int) -> float:
    """The variance that so many pieces of one day leave a step's logarithm, without the day's own."""
    piece, spread = (mine.piece, mine.spread) if mine else (paces.scatter, paces.spread)
    return spread * stats.own_var(max(pieces, 1), piece, paces.scatter)


Factors = Mapping[str, float]  # on the pace, by a step's key or its stage/id


def factor_of(factors: Factors, step: Step) -> float:
    """A step's factor on the pace, by its key or its stage/id; 1 when there is none."""
    return factors.get(step.key, factors.get(base_key(step.key), 1.0))


def _without_first(mine: Sequence[Obs], first: float) -> list[Obs]:
    """A step's times without what first pieces, counted together with later ones, took more than those."""
    return [
        replace(obs, y=obs.y - math.log1p(obs.starts * max(first, 0.0) / obs.pieces)) if obs.starts else obs
        for obs in mine
    ]


def firsts_of(
    kept: Mapping[str, Sequence[Seen]], piece: Mapping[str, float], maker: float
) -> tuple[float, dict[str, float]]:
    """What a first piece takes beyond the later ones, in pieces: over all steps, and of each.

    Each session's first piece tells as much as its scatter, and that of the later ones' mean, leave it; counted with
    later ones, it is what all of them took beyond those after them. The maker's is drawn to none, a step's to the
    maker's: normal means with normal priors.
    """
    told: dict[str, tuple[float, float]] = {}  # by step: precision, and what it adds, times that
    for base, rows in kept.items():
        under = top = 0.0
        for row in rows:
            first_s = late_s = 0.0
            firsts = pieces = together = 0
            for lap in row.laps:
                if lap.first or lap.starts:
                    first_s += lap.seconds
                    firsts += 1
                    together += lap.pieces
                else:
                    late_s += lap.seconds
                    pieces += lap.pieces
            if firsts and late_s:
                more = (first_s / (late_s / pieces) - together) / firsts
                one = stats.PIECE_VAR * piece.get(base, maker)
                trust = firsts**2 / (one * (together + together**2 / pieces))
                under += trust
                top += trust * more
        if under:
            told[base] = under, top
    under, top = 1 / stats.FIRST_VAR, 0.0
    for trust, more in told.values():
        weight = 1 / (1 / trust + stats.FIRST_STEP_VAR)
        under += weight
        top += weight * more / trust
    whole = top / under
    own = 1 / stats.FIRST_STEP_VAR
    return whole, {base: (own * whole + more) / (own + trust) for base, (trust, more) in told.items()}


def trouble_of(groups: Iterable[Sequence[Seen]]) -> Trouble:
    """How often trouble comes, and how long it is, both drawn to what is usual.

    Events an hour: a Poisson rate with a gamma prior; their length: a mean drawn to the prior as if that had been seen
    `TROUBLE_SEEN` times. (Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, 2.6)
    """
    troubles, trouble_s, timed_s = 0, 0.0, 0.0
    for row in chain.from_iterable(groups):
        timed = math.fsum(lap.seconds for lap in row.laps)
        more = row.counted_s - timed
        timed_s += timed
        if more > 0.5:
            troubles += 1
            trouble_s += more
    return Trouble(
        events=stats.TROUBLES + troubles,
        hours=stats.TROUBLE_HOURS + timed_s / 3600,
        long_s=(stats.TROUBLE_SEEN * stats.TROUBLE_S + trouble_s) / (stats.TROUBLE_SEEN + troubles),
        seen=stats.TROUBLE_SEEN + troubles,
    )
