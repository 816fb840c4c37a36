"""Means of steps whose days differ, judged by a mixed model: steps fixed, days and a step's own day at random.

The judge is statsmodels' MixedLM (restricted maximum likelihood; Laird and Ware, Biometrics 38, 1982), on the laps
themselves. Makers, days and laps are simulated here, without drift, trouble or first pieces.
"""

import math
import os
import random
import warnings
from functools import cache

import pytest

from guide.money.glean import glean
from guide.money.model import Seen
from guide.money.paces import learn
from tests.money.hand import lap, record, step

mixed = pytest.importorskip("statsmodels.regression.mixed_linear_model")
numpy = pytest.importorskip("numpy")

STEPS = [
    step(f"a/{name}", 8, pace) for name, pace in zip("abcdef", (40.0, 55.0, 60.0, 90.0, 120.0, 180.0), strict=True)
]
DAYS = 10
MAKERS = 12 if os.environ.get("FRAYWORK_FULL") == "1" else 6


def worked(seed: int) -> list[Seen]:
    """Ten days that differ by 15 %; of each step, laps on about half of them, so that days sway raw means."""
    rng = random.Random(f"mixed {seed}")
    own = {one.key: rng.gauss(0.1, 0.2) for one in STEPS}
    out: list[Seen] = []
    for day in range(DAYS):
        run, laps = rng.gauss(0, 0.15), []
        for one in STEPS:
            if rng.random() < 0.5 or one is STEPS[day % len(STEPS)]:
                today = one.pace_s * math.exp(own[one.key] + run + rng.gauss(0, 0.05))
                laps += [lap(one.key, today * math.exp(rng.gauss(0, 0.12)), day=day) for _ in range(one.pieces)]
        out += glean(record(*laps, session=day), STEPS)
    return out


def judged(rows: list[Seen]) -> tuple[list[float], list[list[float]]]:
    """Each step's mean logarithm over its starter by the judge, and their covariances."""
    told = [
        (row.base, row.day, math.log(one.seconds / one.pieces / (row.starter_s or 1)))
        for row in rows
        for one in row.laps
    ]
    keys = [one.key for one in STEPS]
    design = numpy.array([[float(base == key) for key in keys] for base, _, _ in told])
    days = numpy.array([day for _, day, _ in told])
    step_days = numpy.array([[float(base == key) for key in keys] for base, _, _ in told])
    model = mixed.MixedLM(
        numpy.array([y for _, _, y in told]),
        design,
        groups=days,
        exog_re=numpy.ones((len(told), 1)),
        exog_vc=mixed.VCSpec(
            ["step"],
            [[[f"{n}" for n in range(len(keys))] for _ in sorted(set(days))]],
            [[step_days[days == day] for day in sorted(set(days))]],
        ),
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the judge's own doubts of its variances; its means are asked for
        fit = model.fit(reml=True)
    return list(fit.fe_params), fit.cov_params()[: len(keys), : len(keys)].tolist()


def apart(mine: list[float], theirs: list[float], errors: list[list[float]]) -> tuple[float, float]:
    """The largest distance of a mean, and of the difference of two means, in standard errors."""
    n = range(len(mine))
    alone = max(abs(mine[i] - theirs[i]) / math.sqrt(errors[i][i]) for i in n)
    between = max(
        abs(mine[i] - mine[j] - theirs[i] + theirs[j]) / math.sqrt(errors[i][i] + errors[j][j] - 2 * errors[i][j])
        for i in n
        for j in n
        if i < j
    )
    return alone, between


@cache
def held() -> list[tuple[float, float, float]]:
    """By seed, in the judge's standard errors: our means, how they differ, and how plain means differ."""
    out = []
    for seed in range(MAKERS):
        rows = worked(seed)
        theirs, errors = judged(rows)
        steps = learn(rows).steps
        plain: dict[str, list[float]] = {}
        for row in rows:
            plain.setdefault(row.base, []).extend(math.log(one.seconds / (row.starter_s or 1)) for one in row.laps)
        mine = [math.log(steps[one.key].own_s / one.pace_s) for one in STEPS]
        means = [math.fsum(plain[one.key]) / len(plain[one.key]) for one in STEPS]
        out.append((*apart(mine, theirs, errors), apart(means, theirs, errors)[1]))
    return out


def test_means_agree_with_a_mixed_model_within_its_standard_errors():
    """Each step's own mean; and how any two differ, whose errors are smaller, but for one maker at the most."""
    assert max(alone for alone, _, _ in held()) < 1
    assert sum(between < 1 for _, between, _ in held()) >= MAKERS - 1
    assert max(between for _, between, _ in held()) < 2


def test_means_that_forgot_the_days_would_be_found_out():
    """Plain means of the same laps are further off than the judge's errors allow: the test above can fail."""
    assert min(plain for _, _, plain in held()) > 1
    assert sum(plain > 2 for _, _, plain in held()) >= MAKERS / 2
