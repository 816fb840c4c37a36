"""What a step and what a day are like, told apart: y = step + day + chance.

A few rounds of fitting the steps' means and the days' factors in turn. Variances lean on `stats`, which
a few days of work overrule. When makes get clearly quicker, a Crawford curve is taken out first and the
means are those of the next make.
"""

import math
from collections.abc import Mapping, Sequence

import msgspec
from msgspec.structs import replace

from guide.money import stats
from guide.money.model import LEVEL, Seen, Timed
from guide.money.stats import Curve, fell_at_once, fit_curve, normal_quantile, t_quantile

ROUNDS = 3
TEMPO_ROUNDS = 20


class Obs(msgspec.Struct, frozen=True, gc=False):
    """One step on one day of one session."""

    day: int
    unit: float  # which make it was, counted over all sessions
    y: float  # ln(time per piece / starter pace)
    pieces: int
    own: float  # `stats.own_var` of so many pieces
    weight: float  # in single pieces
    worth_s: float  # the pieces at the starter pace; 0: there is none
    share: float | None = None  # of the starter pace, what grows with the effort; None: its texts do not say
    within: float = 0.0  # squares of its pieces about their mean, over its square
    free: int = 0  # the degrees of freedom of that
    starts: int = 0  # first pieces that were counted together with later ones


class DayFit(msgspec.Struct, frozen=True):
    """What the fit found; variances are of logarithms."""

    means: dict[str, float]
    days: dict[int, float]
    day_var: float
    day_freedom: float
    spreads: dict[str, float]  # each step's variance over `stats.own_var`
    spread: float  # the same over all steps
    tempo: float
    tempo_var: float  # of all paces together: the run of the days worked cannot be told from the maker's tempo
    lean_var: float  # of `tempo` beyond that: for what leans on the starter paces
    curve: Curve | None
    tilts: dict[str, "Tilt"] = {}  # of the steps that have an effort
    held: tuple[int, int] = (0, 0)  # days inside what the days before said, and of how many: days differ more by that


def observe(rows: Sequence[Seen], units: Mapping[str, float]) -> list[Obs]:
    """One step's rows as observations, the rows of an `each` on one day taken together."""
    days: dict[tuple[int, str], list[tuple[Seen, Timed]]] = {}
    for row in rows:
        # A first piece is slow by itself.
        days.setdefault((row.day, row.session), []).extend((row, lap) for lap in row.laps if not lap.first)
    known = all(row.starter_s for row in rows)
    return [
        _observed(day, units[session], laps, known=known)
        for (day, session), laps in sorted(days.items())
        if sum(lap.seconds for _, lap in laps) > 0
    ]


def _observed(day: int, unit: float, laps: Sequence[tuple[Seen, Timed]], *, known: bool) -> Obs:
    """One day's laps taken together; `known`: whether each has a starter pace."""
    # Rows of one day may be of several sizes: each lap is held against its own row's starter pace.
    seconds, pieces = sum(lap.seconds for _, lap in laps), sum(lap.pieces for _, lap in laps)
    starter = sum(lap.pieces * (row.starter_s or 1.0) for row, lap in laps)
    shares = [math.nan if row.share is None else (row.starter_s or 1.0) * row.share for row, _ in laps]
    by_effort = sum(lap.pieces * each for (_, lap), each in zip(laps, shares, strict=True))
    # What paper shared out tells not how pieces differ.
    timed = [(lap.seconds / (row.starter_s or 1.0), lap.pieces) for row, lap in laps if not lap.by_hand]
    times, worked = sum(time for time, _ in timed), sum(count for _, count in timed)
    squares = sum(time * time / count for time, count in timed)
    return Obs(
        day,
        unit,
        math.log(seconds / starter),
        pieces,
        stats.own_var(pieces),
        stats.weight(pieces),
        starter if known else 0.0,
        None if math.isnan(by_effort) else by_effort / starter,
        within=max(squares * (worked / times) ** 2 - worked, 0.0) if times else 0.0,
        free=max(len(timed) - 1, 0),
        starts=sum(lap.starts for _, lap in laps),
    )


def fit_days(observed: Mapping[str, Sequence[Obs]], next_unit: float, scatter: float = 1.0) -> DayFit:
    """Fit steps and days; with a sure learning curve, or a change of tempo, fit again without it."""
    # Each thing that is found out, a curve or a change of tempo, is taken out of the times before all is fitted again.
    guess = stats.DAY_VAR * stats.evenness(scatter)
    fit, sums = _fit(observed, None, guess)
    unit_of = {obs.day: obs.unit for mine in observed.values() for obs in mine}
    raw = {day: residual / weight for day, (residual, weight) in sorted(sums.items())}
    curve = fit_curve([unit_of[day] for day in raw], [math.exp(value) for value in raw.values()])
    if curve is not None and curve.sure and fell_at_once(curve, [unit_of[day] for day in raw], list(raw.values())):
        curve = replace(curve, sure=False, says=AT_ONCE)
    bent = 0.0
    if curve is not None and curve.sure:
        observed = {
            base: [replace(obs, y=obs.y + curve.b * math.log(next_unit / obs.unit)) for obs in mine]
            for base, mine in observed.items()
        }
        fit, sums = _fit(observed, curve, guess)
        bent = curve.var_at(next_unit)
    runs = {day: (total / weight, 1 / weight) for day, (total, weight) in sums.items()}
    held = held_days(runs, guess)
    levels, var = changed(runs, guess)
    if any(levels.values()):
        now = {base: [replace(obs, y=obs.y + levels[obs.day]) for obs in mine] for base, mine in observed.items()}
        fit, _ = _fit(now, curve, guess)
    wider = widening(*held) ** 2
    day_var, tempo_var = fit.day_var * wider, (fit.tempo_var + var + bent) * wider
    return replace(fit, curve=curve, day_var=day_var, tempo_var=tempo_var, held=held)


def held_days(runs: Mapping[int, tuple[float, float]], guess: float) -> tuple[int, int]:
    """How many days ran inside the 80 % that the days before them said, and of how many.

    Each is held against the mean of the earlier ones, as far as those differed then: Student's t. `runs`, `guess`: as
    for `changed`. (Forecasts one by one, each from what was before it: Dawid, J. R. Statist. Soc. A 147, 1984.)
    """
    held, mean, square, noise = 0, 0.0, 0.0, 0.0
    for count, day in enumerate(sorted(runs)):
        run, var = runs[day]
        off = run - mean
        if count:
            free = stats.DAY_FREEDOM + count - 1
            day_var = max((stats.DAY_FREEDOM * guess + square - noise) / free, guess / 10)
            held += abs(off) <= t_quantile(0.5 + LEVEL / 2, free) * math.sqrt(day_var * (1 + 1 / count) + var)
            noise += var
        square += off**2 * count / (count + 1)
        mean += off / (count + 1)
    return held, max(len(runs) - 1, 0)


def widening(held: int, told: int) -> float:
    """How much more days and tempo must be taken to scatter (their sd), by how many days held: never less.

    The share is drawn to four in five, as if by ten days more (a binomial with a beta prior: Gelman et al., Bayesian
    Data Analysis, 3rd ed. 2013, 2.4); a normal that held so often is stretched until it holds four in five.
    """
    if not told:
        return 1.0
    share = (stats.AUDITS * LEVEL + held) / (stats.AUDITS + told)
    return max(normal_quantile(0.5 + LEVEL / 2) / normal_quantile(0.5 + share / 2), 1.0)


def scattered(observed: Mapping[str, Sequence[Obs]]) -> tuple[dict[str, list[Obs]], float, dict[str, float]]:
    """Judge every observation by how far pieces scatter within a day: of all steps, and of each.

    Variances beside the guess of one piece, each drawn towards what is more general. Pieces of one day are many, so one
    session tells of it already.
    """
    told = {
        base: (math.fsum(obs.within for obs in mine) / stats.PIECE_VAR, sum(obs.free for obs in mine))
        for base, mine in observed.items()
    }
    whole = (stats.POOL_FREEDOM + math.fsum(left for left, _ in told.values())) / (
        stats.POOL_FREEDOM + sum(free for _, free in told.values())
    )
    whole = max(whole, stats.LEAST_SCATTER)
    piece = {
        base: max((stats.SPREAD_FREEDOM * whole + left) / (stats.SPREAD_FREEDOM + free), stats.LEAST_SCATTER)
        for base, (left, free) in told.items()
    }
    judged = {base: [_judged(obs, piece[base], whole) for obs in mine] for base, mine in observed.items()}
    return judged, whole, piece


def _judged(obs: Obs, piece: float, maker: float) -> Obs:
    own, weight = stats.own_var(obs.pieces, piece, maker), stats.weight(obs.pieces, piece, maker)
    return replace(obs, own=own, weight=weight)


AT_ONCE = "times fell at once rather than by makes: a change, no learning curve"


def changed(runs: Mapping[int, tuple[float, float]], guess: float = stats.DAY_VAR) -> tuple[dict[int, float], float]:
    """What to add to each earlier day's logarithms to bring it to today's level, and the variance of that.

    `runs`: each day's mean distance from the steps' usual, and the variance that its pieces leave it; `guess`: how far
    days differ by the prior. A change so many days ago is weighed against none by Bayes' factor of the t test for two
    samples (Gönen et al., Am. Statist. 59, 2005); each possible change counts by its probability. (Chernoff and Zacks,
    Ann. Math. Statist. 35, 1964: a mean that is subjected to changes in time.)
    """
    order = sorted(runs)
    levels = dict.fromkeys(order, 0.0)
    odds: list[tuple[int, float, float, float]] = []  # days back, odds, size, its variance
    for back in range(1, min(stats.CHANGE_BACK, len(order) - 2) + 1):
        parts = [[runs[day] for day in days] for days in (order[:-back], order[-back:])]
        scatter = [_scatter(part) for part in parts]
        freedom = stats.DAY_FREEDOM + len(order) - 2
        day_var = max((stats.DAY_FREEDOM * guess + math.fsum(scatter)) / freedom, guess / 10)
        (before, before_var), (after, after_var) = (_level(part, day_var) for part in parts)
        var, size = before_var + after_var, after - before
        gain = stats.CHANGE_VAR / (stats.CHANGE_VAR + var)
        # Over the two t densities: the same as the ratio of Gönen and others, with their n·σ² as the prior over `var`.
        wide = 1 + stats.CHANGE_VAR / var
        t_square = size**2 / var / freedom
        log_factor = (freedom + 1) / 2 * (math.log1p(t_square) - math.log1p(t_square / wide)) - math.log(wide) / 2
        odds.append((back, stats.CHANGE * math.exp(log_factor), size * gain, var * gain))
    whole = 1 + math.fsum(one for _, one, _, _ in odds)
    middle = square = 0.0
    for back, one, size, var in odds:
        chance = one / whole
        middle += chance * size
        square += chance * (size**2 + var)
        for day in order[:-back]:
            levels[day] += chance * size
    return levels, max(square - middle**2, 0.0) if middle else 0.0


def _level(part: Sequence[tuple[float, float]], day_var: float) -> tuple[float, float]:
    """The mean run of some days, each by its precision, and its variance."""
    weights = [1 / (day_var + var) for _, var in part]
    whole = math.fsum(weights)
    return math.fsum(w * run for w, (run, _) in zip(weights, part, strict=True)) / whole, 1 / whole


def _scatter(part: Sequence[tuple[float, float]]) -> float:
    """Squares of some days' runs about their mean, less what their pieces alone would leave."""
    mean = math.fsum(run for run, _ in part) / len(part)
    left = math.fsum((run - mean) ** 2 for run, _ in part)
    return max(left - math.fsum(var for _, var in part) * (len(part) - 1) / len(part), 0.0)


def _fit(
    observed: Mapping[str, Sequence[Obs]], curve: Curve | None, guess: float
) -> tuple[DayFit, dict[int, list[float]]]:
    """Fit means, tilts, days and how far they scatter in turn; and each day's distances, as `_residuals` gives them."""
    days = {obs.day: 0.0 for mine in observed.values() for obs in mine}
    means: dict[str, float] = {}
    spreads: dict[str, float] = {}
    spread, day_var = 1.0, guess
    tilts: dict[str, Tilt] = {}
    level = observed
    for _ in range(ROUNDS):
        means = {base: _mean(mine, days) for base, mine in level.items()}
        tilts = {base: tilt for base, mine in observed.items() if (tilt := tilt_of(mine, means[base], days))}
        level = {base: _levelled(mine, tilts.get(base)) for base, mine in observed.items()}
        days, day_var = _days(level, means, spread, guess)
        spread, spreads = _spreads(level, means, days)
    days_var = day_var / len(days)
    tempo_var = 1 / (1 / stats.TEMPO_VAR + 1 / days_var)
    tempo, var = _tempo(observed, means, days_var)
    freedom = stats.DAY_FREEDOM + len(days) - 1
    lean_var = max(var - tempo_var, 0.0)
    fit = DayFit(means, days, day_var, freedom, spreads, spread, tempo, tempo_var, lean_var, curve, tilts)
    return fit, _residuals(level, means, spread)


def _levelled(mine: Sequence[Obs], tilt: "Tilt | None") -> Sequence[Obs]:
    """A step's observations as at the size it was worked at in the mean."""
    if tilt is None or abs(tilt.slope) < 1e-9:  # of one size: nothing but rounding
        return mine
    return [obs if obs.share is None else replace(obs, y=obs.y - tilt.slope * (obs.share - tilt.share)) for obs in mine]


class Tilt(msgspec.Struct, frozen=True):
    """How far a step's time leans on its effort, beside the starter's, about the share of the sizes worked so far."""

    share: float
    slope: float
    var: float


def tilt_of(mine: Sequence[Obs], mean: float, days: Mapping[int, float]) -> Tilt | None:
    """How a step's time leans on its effort; None where its texts do not say what of the starter pace goes with it.

    A slope through the pieces' logarithms by the share of the effort in the starter pace, drawn towards none: of one
    size alone nothing is learnt, and the variance stays the prior's.
    """
    sized = [(obs.weight, obs.share, obs.y - mean - days[obs.day]) for obs in mine if obs.share is not None]
    if not sized:
        return None
    share = math.fsum(weight * own for weight, own, _ in sized) / math.fsum(weight for weight, _, _ in sized)
    told = math.fsum(weight * (own - share) ** 2 for weight, own, _ in sized) / stats.ONE_PIECE_VAR
    top = math.fsum(weight * (own - share) * off for weight, own, off in sized) / stats.ONE_PIECE_VAR
    precision = 1 / stats.TILT_VAR + told
    return Tilt(share, top / precision, 1 / precision)


def _mean(mine: Sequence[Obs], days: Mapping[int, float]) -> float:
    """A step's mean time, as a logarithm: times add up in a making, so it is their mean, not that of logarithms."""
    top = under = 0.0
    for obs in mine:
        top += obs.weight * math.exp(obs.y - days[obs.day])
        under += obs.weight
    return math.log(top / under)


def _residuals(
    observed: Mapping[str, Sequence[Obs]], means: Mapping[str, float], spread: float
) -> dict[int, list[float]]:
    """By day: the sum of distances from the steps' means, each over its variance, and of those weights."""
    sums: dict[int, list[float]] = {}
    for base, mine in observed.items():
        mean = means[base]
        for obs in mine:
            total = sums.setdefault(obs.day, [0.0, 0.0])
            each = 1 / (obs.own * spread)
            total[0] += each * (obs.y - mean)
            total[1] += each
    return sums


def _days(
    observed: Mapping[str, Sequence[Obs]], means: Mapping[str, float], spread: float, guess: float = stats.DAY_VAR
) -> tuple[dict[int, float], float]:
    """Each day's factor, drawn towards none as far as it is uncertain, and how much days differ.

    `guess`: how much before any has told.
    """
    sums = _residuals(observed, means, spread)
    count = len(sums)
    top, under = stats.DAY_FREEDOM * guess, stats.DAY_FREEDOM
    if count > 1:
        for residual, weight in sums.values():
            trust = guess / (guess + 1 / weight)
            top += trust * ((residual / weight) ** 2 * count / (count - 1) - 1 / weight)
            under += trust * (count - 1) / count
    day_var = max(top / under, guess / 10)
    drawn = {day: residual * day_var / (1 + weight * day_var) for day, (residual, weight) in sums.items()}
    middle = math.fsum(drawn.values()) / len(drawn)
    return {day: value - middle for day, value in drawn.items()}, day_var


def _spreads(
    observed: Mapping[str, Sequence[Obs]], means: Mapping[str, float], days: Mapping[int, float]
) -> tuple[float, dict[str, float]]:
    """How far each step scatters, against the prior's guess for as many pieces."""
    free = 1 - 1 / len(observed)  # the days' factors were fitted to the same readings
    squares: dict[str, tuple[float, float]] = {}
    for base, mine in observed.items():
        mean, left = means[base], 0.0
        for obs in mine:
            left += (obs.y - mean - days[obs.day]) ** 2 / obs.own
        squares[base] = (left, (len(mine) - 1) * free)
    spread = (stats.POOL_FREEDOM + math.fsum(left for left, _ in squares.values())) / (
        stats.POOL_FREEDOM + math.fsum(freedom for _, freedom in squares.values())
    )
    return spread, {
        base: (stats.SPREAD_FREEDOM * spread + left) / (stats.SPREAD_FREEDOM + freedom)
        for base, (left, freedom) in squares.items()
    }


def _tempo(observed: Mapping[str, Sequence[Obs]], means: Mapping[str, float], days_var: float) -> tuple[float, float]:
    """The maker against the starter paces, over all steps that have one, drawn towards them; and its variance.

    A step far from the others counts less the further it is (weights of Student's t), so that a forgotten timer
    is no tempo; a short step's pace is mostly fetching and looking, so it says little of the others. `days_var`:
    the variance of the mean run of the days worked, which cannot be told from the maker's own tempo.
    """
    one = stats.ONE_PIECE_VAR
    told = [
        (means[base], one + one / math.fsum(obs.weight for obs in mine) + (stats.ERRAND_S * len(mine) / worth_s) ** 2)
        for base, mine in observed.items()
        if (worth_s := math.fsum(obs.worth_s for obs in mine))
    ]
    tempo, weights = 0.0, [1 / var for _, var in told]
    for _ in range(TEMPO_ROUNDS):
        under = math.fsum(weights) + 1 / stats.TEMPO_VAR
        tempo = math.fsum(w * mean for w, (mean, _) in zip(weights, told, strict=True)) / under
        free = stats.TEMPO_FREEDOM
        weights = [(free + 1) / (free + (mean - tempo) ** 2 / var) / var for mean, var in told]
    if not told:
        return 0.0, stats.TEMPO_VAR
    return tempo, 1 / (1 / stats.TEMPO_VAR + 1 / (1 / math.fsum(weights) + days_var))
