"""How sure are we: means, quantiles, straight lines and prediction intervals, without numpy.

Judged in the tests by NIST StRD data sets, SciPy and published worked examples.

Work study (ILO, Introduction to Work Study, 4th edition 1992, read second hand): how long a thing should take, how
often it must be timed. Learning: the unit curve y = a·x^b with b = ln(rate) / ln 2. Two readings of it exist and are
never mixed: Crawford's, y is the time of unit x, which is what is fitted here; and Wright's (1936), y is the average
over units 1 … x.
"""

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

import msgspec

from guide.read.spoken import counted, percent

# What is believed before a maker has timed anything, in plain figures.
#
# All of it is a guess [memory]: nobody timed it. The variances are of natural logarithms of times.

STARTER_PIECES = 1.0  # the starter pace counts as one piece of the maker's own
DAY_VAR = 0.12**2  # a good or a bad day, shared by all steps of that day
STEP_VAR = 0.10**2  # a step's own day
PIECE_VAR = 0.25**2  # one piece against the next
TEMPO_VAR = 0.30**2  # a maker against the starter paces
TEMPO_FREEDOM = 4.0  # how readily a step is taken for an odd one: fewer, sooner
ERRAND_S = 60.0  # fetching, looking and keys, in any step however short
TILT_VAR = 0.7**2  # effort beside handling, against the starter: a third more or less of a piece is handling
FIRST_VAR = 0.2**2  # what a first piece takes more than the later ones, in pieces: a maker's, about none
FIRST_STEP_VAR = 0.15**2  # and a step's, about the maker's
TROUBLES, TROUBLE_HOURS = 1.0, 5.0  # so many in so many hours, and each so long: as if it had been seen so often
TROUBLE_S, TROUBLE_SEEN = 180.0, 6.0
CHANGE = 0.02  # the chance that a maker's tempo changed so many sessions ago: a new machine, a bad wrist
CHANGE_VAR = 0.25**2  # and by how much then
CHANGE_BACK = 6  # days back that a change is looked for
DAY_FREEDOM = 4.0  # readings each guess of a variance counts for
SPREAD_FREEDOM = 6.0
POOL_FREEDOM = 10.0
AUDITS = 10.0  # days that are believed to have held four times in five, before any was held against what was said
LEAST_SCATTER = 0.1  # of a piece's variance: nobody's pieces differ by less than 8 %


def evenness(scatter: float) -> float:
    """How far a maker's days differ beside the guess, by how far their pieces do: variances, half of it in logarithms.

    Whoever's pieces are uneven is taken to have uneven days, until the days themselves have told.
    """
    return math.sqrt(scatter)


def own_var(pieces: float, piece: float = 1.0, maker: float = 1.0) -> float:
    """Variance of a step's mean pace over so many pieces of one day, without the day's part.

    `piece`, `maker`: how far the step's pieces, and all the maker's, were found to scatter beside the guess.
    """
    return STEP_VAR * evenness(maker) + PIECE_VAR * piece / pieces


ONE_PIECE_VAR = DAY_VAR + own_var(1)


def weight(pieces: float, piece: float = 1.0, maker: float = 1.0) -> float:
    """How much one day's pieces tell, in single pieces of the guess: 12 on one day as much as 3 on three days."""
    return ONE_PIECE_VAR / (DAY_VAR * evenness(maker) + own_var(pieces, piece, maker))


if TYPE_CHECKING:
    from random import Random


def mean_sd(values: Sequence[float]) -> tuple[float, float]:
    """Mean and standard deviation (n − 1) in two passes, so that large means do not eat small spreads.

    One value has no spread: its sd is 0. No value: ValueError.
    """
    n = len(values)
    if not n:
        raise ValueError("the mean of no values")
    shift = values[0]
    mean = shift + math.fsum(v - shift for v in values) / n
    if n == 1:
        return mean, 0.0
    left = [v - mean for v in values]
    square = math.fsum(d * d for d in left) - math.fsum(left) ** 2 / n
    return mean, math.sqrt(max(square, 0.0) / (n - 1))


def quantile(ordered: Sequence[float], share: float) -> float:
    """The value below which a share of the ordered values lies, straight between neighbours."""
    at = (len(ordered) - 1) * share
    low = math.floor(at)
    high = min(low + 1, len(ordered) - 1)
    return ordered[low] + (ordered[high] - ordered[low]) * (at - low)


def weighted_median(pairs: Sequence[tuple[float, float]]) -> float:
    """The value at which half the weight is reached; pairs are (value, weight)."""
    ordered = sorted(pairs)
    half = math.fsum(weight for _, weight in ordered) / 2
    reached = 0.0
    for value, weight in ordered:
        reached += weight
        if reached >= half:
            return value
    return ordered[-1][0]


def normal_quantile(share: float) -> float:
    """The standard normal value below which a share lies."""
    from statistics import NormalDist  # noqa: PLC0415 - a plan can do without all that it imports

    return NormalDist().inv_cdf(share)


def normals_of(rng: "Random") -> Iterator[float]:
    """Draw standard normal values two by two, by Box and Muller's polar angle and distance (1958).

    The same values as `rng.gauss(0, 1)` gives one after another, in less time: a forecast draws 50,000 of them.
    """
    uniform, log, sqrt, cos, sin, tau = rng.random, math.log, math.sqrt, math.cos, math.sin, math.tau
    while True:
        angle, far = uniform() * tau, sqrt(-2 * log(1 - uniform()))
        yield cos(angle) * far
        yield sin(angle) * far


def by_chance(rng: "Random", event: tuple[float, float], over: float) -> float:
    """Draw how long the events of so much time are together: they come exponentially apart, each exponentially long.

    `event`: the means of how far they are apart (infinite: there are none) and how long they are. It is a compound
    Poisson sum.
    """
    apart, length = event
    if math.isinf(apart):
        return 0.0
    total, at = 0.0, rng.expovariate(1 / apart)
    while at < over:
        total += rng.expovariate(1 / length)
        at += rng.expovariate(1 / apart)
    return total


def _beta_fraction(a: float, b: float, x: float) -> float:
    """Continued fraction of the incomplete beta function, by Lentz's method."""
    tiny = 1e-300
    c, d = 1.0, 1.0 - (a + b) * x / (a + 1)
    d = 1.0 / (d if abs(d) > tiny else tiny)
    total = d
    for m in range(1, 400):
        for top in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1.0 + top * d
            d = 1.0 / (d if abs(d) > tiny else tiny)
            c = 1.0 + top / c
            c = c if abs(c) > tiny else tiny
            total *= c * d
        if abs(c * d - 1.0) < 1e-15:
            break
    return total


def incomplete_beta(a: float, b: float, x: float) -> float:
    """The regularised incomplete beta function I_x(a, b), 0 ≤ x ≤ 1."""
    if x <= 0 or x >= 1:
        return 0.0 if x <= 0 else 1.0
    front = math.exp(math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x))
    if x < (a + 1) / (a + b + 2):
        return front * _beta_fraction(a, b, x) / a
    return 1.0 - front * _beta_fraction(b, a, 1 - x) / b


def t_tail(t: float, freedom: float) -> float:
    """The share of Student's t above a value t ≥ 0."""
    return incomplete_beta(freedom / 2, 0.5, freedom / (freedom + t * t)) / 2


@lru_cache(maxsize=1024)  # most steps of a plan ask for the same one
def t_quantile(share: float, freedom: float) -> float:
    """The value of Student's t below which a share lies; freedom need not be whole."""
    if share == 0.5:
        return 0.0
    if share < 0.5:
        return -t_quantile(1 - share, freedom)
    tail = 1 - share
    low, high = 0.0, 2.0
    while t_tail(high, freedom) > tail:
        low, high = high, high * 2
    log_scale = math.lgamma((freedom + 1) / 2) - math.lgamma(freedom / 2) - math.log(freedom * math.pi) / 2
    t = (low + high) / 2
    for _ in range(200):
        over = t_tail(t, freedom) - tail
        low, high = (t, high) if over > 0 else (low, t)
        density = math.exp(log_scale - (freedom + 1) / 2 * math.log1p(t * t / freedom))
        step = t + over / density  # Newton, kept inside the bracket
        new = step if low < step < high else (low + high) / 2
        if abs(new - t) <= 1e-14 * max(1.0, abs(t)):
            return new
        t = new
    return t


class Fitted(msgspec.Struct, frozen=True):
    """A straight line y = intercept + slope·x by least squares."""

    intercept: float
    slope: float
    residual_sd: float
    slope_se: float  # infinite with fewer than three points


def fit_line(xs: Sequence[float], ys: Sequence[float]) -> Fitted:
    """Least squares through points; at least two different x, else ValueError."""
    n = len(xs)
    x_mean, _ = mean_sd(xs)
    y_mean, _ = mean_sd(ys)
    sxx = math.fsum((x - x_mean) ** 2 for x in xs)
    if not sxx:
        raise ValueError("a line needs two different x")
    slope = math.fsum((x - x_mean) * (y - y_mean) for x, y in zip(xs, ys, strict=True)) / sxx
    intercept = y_mean - slope * x_mean
    if n < 3:
        return Fitted(intercept, slope, 0.0, math.inf)
    rest = math.fsum((y - y_mean - slope * (x - x_mean)) ** 2 for x, y in zip(xs, ys, strict=True))
    sd = math.sqrt(rest / (n - 2))
    return Fitted(intercept, slope, sd, sd / math.sqrt(sxx))


def standard_time(basic_s: float, allowance: float) -> float:
    """Basic time with the rest allowance, a fraction, on top; in the unit it was given in."""
    return basic_s * (1 + allowance)


def readings_needed_exactly(readings: Sequence[float], within: float) -> float:
    """How many readings make the mean good to a fraction `within`, before rounding up.

    The book's two standard deviations (95.45 %): n = ((2 / within)·√(n'Σx² − (Σx)²) / Σx)². Raises ValueError
    for fewer than two readings.
    """
    if len(readings) < 2:
        raise ValueError("two readings at least")
    mean, sd = mean_sd(readings)
    n = len(readings)
    return (2 / within * sd * math.sqrt((n - 1) / n) / mean) ** 2


def readings_needed(readings: Sequence[float], within: float) -> int:
    """How many readings in all make the mean good to a fraction `within`."""
    return math.ceil(readings_needed_exactly(readings, within) - 1e-9)


def more_readings(readings: Sequence[float]) -> int:
    """How many more pieces to time until a pace is good to 10 %."""
    return max(0, readings_needed(readings, 0.10) - len(readings))


class Curve(msgspec.Struct, frozen=True):
    """A Crawford unit curve: unit x takes a·x^b, each doubling multiplies the time by `rate`."""

    a: float
    b: float
    rate: float
    units: int  # readings it rests on
    sure: bool  # enough evidence to be used
    says: str
    b_se: float = 0.0
    middle: float = 0.0  # of the units' logarithms

    def var_at(self, unit: float) -> float:
        """How uncertain the curve's bend leaves the logarithm of a unit's time."""
        return (self.b_se * (math.log(unit) - self.middle)) ** 2


LEAST_UNITS = 6  # days before a curve may be used: a making may take several
SURE = 0.96  # one-sided: how sure the times must be to fall; chosen on our simulated makers, see the guide to times


def mean_of_next(b: float, first: int, count: int) -> float:
    """Mean time of units first, first + 1 … (`count` of them) over that of the first, by Crawford's exponent b."""
    return math.fsum((unit / first) ** b for unit in range(first, first + count)) / count


def fit_curve(units: Sequence[float], times: Sequence[float]) -> Curve | None:
    """Crawford's curve through unit numbers and their times, by a line through the logarithms.

    It is `sure`, and may be used, from six readings on when a t test finds the times falling with
    96 % confidence. None with fewer than three readings or all at one unit number.
    """
    if len(units) < 3 or len(set(units)) < 2:
        return None
    logs = [math.log(u) for u in units]
    line = fit_line(logs, [math.log(t) for t in times])
    rate = 2**line.slope
    n = len(units)
    falls = line.slope + t_quantile(SURE, n - 2) * line.slope_se < 0
    sure = n >= LEAST_UNITS and falls
    if sure:
        says = f"each doubling of makes takes {percent(rate, 0)} of the time, from {n} days"
    elif n < LEAST_UNITS:
        says = f"{counted(n, 'day')}: a learning curve needs {LEAST_UNITS}"
    else:
        says = f"{n} days show no clear learning ({percent(SURE, 0)} wanted)"
    return Curve(math.exp(line.intercept), line.slope, rate, n, sure, says, line.slope_se, math.fsum(logs) / n)


def fell_at_once(curve: Curve, units: Sequence[float], runs: Sequence[float]) -> bool:
    """Whether one change of level fits the days' runs better than a learning curve, the day of the change paid for.

    Both have two parameters; the day of the change is paid for by 3 ln n. (Zhang and Siegmund, Biometrics 63, 2007)
    """
    by_makes = math.fsum((run - math.log(curve.a * unit**curve.b)) ** 2 for unit, run in zip(units, runs, strict=True))
    by_change = min(
        math.fsum(mean_sd(part)[1] ** 2 * (len(part) - 1) for part in (runs[:at], runs[at:]))
        for at in range(2, len(runs) - 1)
    )
    n = len(runs)
    return n * math.log(max(by_makes, 1e-12) / max(by_change, 1e-12)) > 3 * math.log(n)
