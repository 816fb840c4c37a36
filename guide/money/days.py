"""What a step and what a day are like, told apart: y = step + day + chance.

A few rounds of fitting the steps' means and the days' factors in turn. Variances lean on `prior`, which
a few days of work overrule. When makes get clearly quicker, a Crawford curve is taken out first and the
means are those of the next make.
"""

import math
from collections.abc import Mapping, Sequence

import msgspec

from guide.money import prior
from guide.money.model import Curve, Seen
from guide.money.stats import fit_curve

ROUNDS = 3
TEMPO_ROUNDS = 20


class Obs(msgspec.Struct, frozen=True, gc=False):
    """One step on one day of one session."""

    day: int
    unit: float  # which make it was, counted over all sessions
    y: float  # ln(time per piece / starter pace)
    pieces: int
    own: float  # `prior.own_var` of so many pieces
    weight: float  # in single pieces
    worth_s: float  # the pieces at the starter pace; 0: there is none


class DayFit(msgspec.Struct, frozen=True):
    """What the fit found; variances are of logarithms."""

    means: dict[str, float]
    days: dict[int, float]
    day_var: float
    day_freedom: float
    spreads: dict[str, float]  # each step's variance over `prior.own_var`
    spread: float  # the same over all steps
    tempo: float
    tempo_var: float  # of all paces together: the run of the days worked cannot be told from the maker's tempo
    lean_var: float  # of `tempo` beyond that: for what leans on the starter paces
    curve: Curve | None


def observe(rows: Sequence[Seen], units: Mapping[str, float]) -> list[Obs]:
    """One step's rows as observations, the rows of an `each` on one day taken together."""
    sums: dict[tuple[int, str], list[float]] = {}
    for row in rows:
        total = sums.setdefault((row.day, row.session), [0.0, 0.0, 0.0])
        starter = row.starter_s or 1.0
        for lap in row.laps:
            if not lap.first:
                total[0] += lap.seconds
                total[1] += lap.pieces * starter
                total[2] += lap.pieces
    return [
        Obs(
            day,
            units[session],
            math.log(seconds / starter),
            int(pieces),
            prior.own_var(pieces),
            prior.weight(pieces),
            starter if all(row.starter_s for row in rows) else 0.0,
        )
        for (day, session), (seconds, starter, pieces) in sorted(sums.items())
        if seconds > 0
    ]


def fit_days(observed: Mapping[str, Sequence[Obs]], next_unit: float) -> DayFit:
    """Fit steps and days; with a sure learning curve, fit again without it."""
    fit = _fit(observed, None)
    unit_of = {obs.day: obs.unit for mine in observed.values() for obs in mine}
    sums = _residuals(observed, fit.means, fit.spread)
    raw = {day: residual / weight for day, (residual, weight) in sorted(sums.items())}
    curve = fit_curve([unit_of[day] for day in raw], [math.exp(value) for value in raw.values()])
    if curve is None or not curve.sure:
        return msgspec.structs.replace(fit, curve=curve)
    flat = {base: [_flattened(obs, curve.b, next_unit) for obs in mine] for base, mine in observed.items()}
    return _fit(flat, curve)


def _flattened(obs: Obs, b: float, next_unit: float) -> Obs:
    return msgspec.structs.replace(obs, y=obs.y + b * math.log(next_unit / obs.unit))


def _fit(observed: Mapping[str, Sequence[Obs]], curve: Curve | None) -> DayFit:
    days = {obs.day: 0.0 for mine in observed.values() for obs in mine}
    means: dict[str, float] = {}
    spreads: dict[str, float] = {}
    spread, day_var = 1.0, prior.DAY_VAR
    for _ in range(ROUNDS):
        means = {base: _mean(mine, days) for base, mine in observed.items()}
        days, day_var = _days(observed, means, spread, len(days))
        spread, spreads = _spreads(observed, means, days)
    days_var = day_var / len(days)
    tempo_var = 1 / (1 / prior.TEMPO_VAR + 1 / days_var)
    tempo, var = _tempo(observed, means, days_var)
    freedom = prior.DAY_FREEDOM + len(days) - 1
    return DayFit(means, days, day_var, freedom, spreads, spread, tempo, tempo_var, max(var - tempo_var, 0.0), curve)


def _mean(mine: Sequence[Obs], days: Mapping[int, float]) -> float:
    top = under = 0.0
    for obs in mine:
        top += obs.weight * (obs.y - days[obs.day])
        under += obs.weight
    return top / under


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
    observed: Mapping[str, Sequence[Obs]], means: Mapping[str, float], spread: float, count: int
) -> tuple[dict[int, float], float]:
    """Each day's factor, drawn towards none as far as it is uncertain, and how much days differ."""
    sums = _residuals(observed, means, spread)
    top, under = prior.DAY_FREEDOM * prior.DAY_VAR, prior.DAY_FREEDOM
    if count > 1:
        for residual, weight in sums.values():
            trust = prior.DAY_VAR / (prior.DAY_VAR + 1 / weight)
            top += trust * ((residual / weight) ** 2 * count / (count - 1) - 1 / weight)
            under += trust * (count - 1) / count
    day_var = max(top / under, prior.DAY_VAR / 10)
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
    spread = (prior.POOL_FREEDOM + math.fsum(left for left, _ in squares.values())) / (
        prior.POOL_FREEDOM + math.fsum(freedom for _, freedom in squares.values())
    )
    return spread, {
        base: (prior.SPREAD_FREEDOM * spread + left) / (prior.SPREAD_FREEDOM + freedom)
        for base, (left, freedom) in squares.items()
    }


def _tempo(observed: Mapping[str, Sequence[Obs]], means: Mapping[str, float], days_var: float) -> tuple[float, float]:
    """The maker against the starter paces, over all steps that have one, drawn towards them; and its variance.

    A step far from the others counts less the further it is (weights of Student's t), so that a forgotten timer
    is no tempo; a short step's pace is mostly fetching and looking, so it says little of the others. `days_var`:
    the variance of the mean run of the days worked, which cannot be told from the maker's own tempo.
    """
    one = prior.ONE_PIECE_VAR
    told = [
        (means[base], one + one / math.fsum(obs.weight for obs in mine) + (prior.ERRAND_S * len(mine) / worth_s) ** 2)
        for base, mine in observed.items()
        if (worth_s := math.fsum(obs.worth_s for obs in mine))
    ]
    tempo, weights = 0.0, [1 / var for _, var in told]
    for _ in range(TEMPO_ROUNDS):
        under = math.fsum(weights) + 1 / prior.TEMPO_VAR
        tempo = math.fsum(w * mean for w, (mean, _) in zip(weights, told, strict=True)) / under
        free = prior.TEMPO_FREEDOM
        weights = [(free + 1) / (free + (mean - tempo) ** 2 / var) / var for mean, var in told]
    if not told:
        return 0.0, prior.TEMPO_VAR
    return tempo, 1 / (1 / prior.TEMPO_VAR + 1 / (1 / math.fsum(weights) + days_var))
