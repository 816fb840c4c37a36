"""How sure are we: means, quantiles, straight lines and prediction intervals, without numpy.

Judged in the tests by NIST StRD data sets, SciPy and published worked examples.
"""

import math
from collections.abc import Sequence
from statistics import NormalDist

import msgspec


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
    return NormalDist().inv_cdf(share)


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


def t_quantile(share: float, freedom: float) -> float:
    """The value of Student's t below which a share lies; freedom need not be whole."""
    if share == 0.5:
        return 0.0
    if share < 0.5:
        return -t_quantile(1 - share, freedom)
    tail = 1 - share
    low, high = 0.0, max(2.0, normal_quantile(share))
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
