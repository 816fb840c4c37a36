"""Five kinds of makers, simulated: do forecasts hold for the next making, for other sizes, and after a change?

Their figures are their own, none of them from `guide.money.stats`: a third of them come from a population that takes 30 %
less than the starters, a third from one that takes 30 % more, and in each the part of a piece that is handling is 30 % less,
as the starters say, or 30 % more; makers scatter about their population. A piece takes handling and so much for its effort.
The articles are a dozen steps with the starters' own shares. [invented; nobody was timed]
"""

import math
import random
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cache

from guide.money.forecast import forecast
from guide.money.glean import glean
from guide.money.model import Paces, Seen
from guide.money.paces import learn
from guide.plan.model import Plan, Step
from guide.record.model import Lap
from tests.money.hand import lap, plan, record, step

SHIFTS = (math.log(0.7), 0.0, math.log(1.3))  # of the populations, in speed and in the part that is handling
SCATTER = 0.20  # of the makers of one, in both


@dataclass(frozen=True)
class Article:
    """What is made: the square in inches, blocks, and how many."""

    square: float = 6.0
    across: int = 4
    down: int = 3
    make: int = 1

    @property
    def blocks(self) -> int:
        return self.across * self.down * self.make

    @property
    def face(self) -> float:
        """Half the way round, m."""
        return 0.0254 * (self.square - 1) * (self.across + self.down)


CUSHION = Article()
OTHERS = {
    "3 in": Article(3.0),
    "9 in": Article(9.0),
    "6×8 throw": Article(6.0, 6, 8),
    "four alike": Article(make=4),
}


@dataclass(frozen=True)
class Work:
    """A step: s a piece for the cushion, the part of it that is handling, pieces, and a piece's effort."""

    key: str
    pace: float
    handling: float
    pieces: Callable[[Article], int]
    effort: Callable[[Article], float] | None = None


def _seam(one: Article) -> float:
    return 0.0254 * (one.square - 0.75)


def _long(one: Article) -> float:
    return 0.0254 * ((one.square - 1) * one.across + 0.25)


WORKS = (
    Work("cut/press", 180, 1.0, lambda _: 3),
    Work("cut/pieces", 85, 0.53, lambda one: max(round(one.blocks * 4 / 6), 1)),
    Work("stack/lay", 35, 1.0, lambda one: one.blocks),
    Work("quilt/mark", 20, 0.4, lambda one: one.blocks, lambda one: 0.0718 * (one.square - 1)),
    Work("quilt/cross", 60, 0.4, lambda one: one.blocks, lambda one: 0.0718 * (one.square - 1)),
    Work("quilt/check", 150, 1.0, lambda one: one.make),
    Work("join/rows", 40, 0.6, lambda one: one.make * one.down * (one.across - 1), _seam),
    Work("join/panel", 184, 0.16, lambda one: one.make * (one.down - 1), _long),
    Work("snip/rows", 41, 0.12, lambda one: one.make * one.down * (one.across - 1), _seam),
    Work("snip/panel", 176, 0.06, lambda one: one.make * (one.down - 1), _long),
    Work("assemble/outer", 487, 0.12, lambda one: one.make, lambda one: 2 * one.face),
    Work("wash/finish", 780, 1.0, lambda one: one.make),
)
OF = {work.key: work for work in WORKS}


@cache
def planned(article: Article) -> Plan:
    """The article with its starter paces, handling and effort."""
    return plan(*(_step(work, article) for work in WORKS), make=article.make)


def _step(work: Work, article: Article) -> Step:
    if work.effort is None:
        return step(work.key, work.pieces(article), work.pace)
    by_effort = work.pace * (1 - work.handling) * work.effort(article) / work.effort(CUSHION)
    return step(
        work.key, work.pieces(article), work.pace * work.handling + by_effort,
        effort=work.effort(article), effort_noun="m", effort_s=by_effort,
    )  # fmt: skip


@dataclass(frozen=True)
class Kind:
    """How a maker's times scatter; standard deviations are of logarithms."""

    name: str
    day: float
    step_day: float
    piece: float
    rate: float = 1.0  # what each doubling of makes takes of the time
    trouble: float = 0.06  # of steps that have some
    forgotten: float = 0.0  # of laps


KINDS = (
    Kind("steady", 0.09, 0.03, 0.10),
    Kind("moody", 0.12, 0.04, 0.15),
    Kind("learning", 0.12, 0.04, 0.15, rate=0.90),
    Kind("uneven", 0.15, 0.12, 0.35),
    Kind("careless", 0.15, 0.06, 0.20, trouble=0.15, forgotten=0.004),
)


@dataclass
class Maker:
    """One simulated maker."""

    kind: Kind
    rng: random.Random
    shift: tuple[float, float] = (0.0, 0.0)
    made: int = 0
    speed: float = 0.0
    own: dict[str, tuple[float, float]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        rng = self.rng
        self.speed, share = (rng.gauss(shift, SCATTER) for shift in self.shift)
        for work in WORKS:
            odds = math.log(work.handling / (1 - work.handling)) if work.handling < 1 else 0.0
            odds += share / 0.6 + rng.gauss(0, 0.3)  # a third more of 0.4 is half as much again of the odds
            part = 1 / (1 + math.exp(-odds)) if work.handling < 1 else 1.0
            self.own[work.key] = (rng.gauss(0, 0.25), part)

    def piece_s(self, key: str, article: Article) -> float:
        """What a piece takes at its size, without day or chance."""
        work, (own, part) = OF[key], self.own[key]
        size = work.effort(article) / work.effort(CUSHION) if work.effort else 1.0
        return work.pace * math.exp(self.speed + own) * (part + (1 - part) * size)

    def usual_s(self, article: Article) -> float:
        """What a making takes on a middle day, first pieces and the usual trouble in it."""
        steps = planned(article).steps
        work = sum(
            self.piece_s(one.key, article) * (one.pieces + (0.2 if one.pieces > 1 else 0.0)) for one in steps
        )  # fmt: skip
        return work + self.kind.trouble * len(steps) * 200.0

    def session(self, article: Article, number: int, *, trouble_s: float = 0.0) -> tuple[list[Lap], float]:
        """One making on a day of its own, and its labour with timers as they should have been; s."""
        rng, kind = self.rng, self.kind
        unit = self.made + (article.make + 1) / 2
        self.made += article.make
        run = rng.gauss(0, kind.day) + math.log2(kind.rate) * math.log(unit)
        laps, labour = [], 0.0
        for one in planned(article).steps:
            today = self.piece_s(one.key, article) * math.exp(run + rng.gauss(0, kind.step_day))
            hit = rng.randrange(one.pieces) if rng.random() < kind.trouble else -1
            for piece in range(one.pieces):
                seconds = today * math.exp(rng.gauss(0, kind.piece) - kind.piece**2 / 2)
                seconds *= 1.2 if piece == 0 and one.pieces > 1 else 1.0
                bad = rng.uniform(60, 340) if piece == hit else 0.0
                bad += trouble_s if one.key == "quilt/cross" and piece == 3 else 0.0
                labour += seconds + bad
                if rng.random() < kind.forgotten:
                    seconds *= rng.uniform(8, 30)
                laps.append(lap(one.key, seconds + bad, trouble_s=bad, first=piece == 0, day=number))
        return laps, labour


def met(kind: Kind, seed: int, number: int) -> Maker:
    """One maker of a kind: of nine in a row, one from each population."""
    return Maker(kind, random.Random(f"{seed} {kind.name} {number}"), (SHIFTS[number % 3], SHIFTS[number // 3 % 3]))


def seen(laps: Sequence[Lap], article: Article, number: int) -> tuple[Seen, ...]:
    """What a session says."""
    return glean(record(*laps, session=number), planned(article).steps, make=article.make)


def worked(maker: Maker, articles: Iterable[Article]) -> list[Seen]:
    """So many makings, one a day."""
    out: list[Seen] = []
    for number, article in enumerate(articles):
        out += seen(maker.session(article, number)[0], article, number)
    return out


@dataclass
class Told:
    """Forecasts held against what came."""

    inside: list[bool] = field(default_factory=list)
    off: list[float] = field(default_factory=list)  # ln(actual / likely)

    def add(self, paces: Paces, article: Article, actual_s: float, seed: int) -> None:
        """Hold one against what came."""
        span = forecast(planned(article), paces, seed=seed, draws=200).hands_on
        self.inside.append(span.low <= actual_s <= span.high)
        self.off.append(math.log(actual_s / span.likely))

    @property
    def held(self) -> float:
        """How often it held."""
        return sum(self.inside) / len(self.inside)

    @property
    def middle(self) -> float:
        """The middle making over what was likely, less one."""
        ordered = sorted(self.off)
        return math.expm1(ordered[len(ordered) // 2])

    @property
    def mean(self) -> float:
        """The mean of the same."""
        return math.expm1(math.fsum(self.off) / len(self.off))


def calibrated(makers: int, past: Sequence[int], seed: int = 1) -> dict[tuple[str, int], Told]:
    """The next making of the same article, by kind and past sessions."""
    out = {(kind.name, n): Told() for kind in KINDS for n in past}
    for kind in KINDS:
        for number in range(makers):
            maker, rows = met(kind, seed, number), list[Seen]()
            for done in range(max(past) + 1):
                laps, labour = maker.session(CUSHION, done)
                if done in past:
                    out[kind.name, done].add(learn(rows), CUSHION, labour, number)
                rows += seen(laps, CUSHION, done)
    return out


def wild(makers: int, past: int = 6, seed: int = 7) -> Told:
    """The next making after so many, of makers whose days differ three times as much as anybody thought."""
    kind, out = Kind("wild", 0.40, 0.05, 0.12), Told()
    for number in range(makers):
        maker = met(kind, seed, number)
        paces = learn(worked(maker, [CUSHION] * past))
        out.add(paces, CUSHION, maker.session(CUSHION, past)[1], number)
    return out


def transferred(makers: int, past: int = 5, seed: int = 2) -> dict[str, Told]:
    """After so many cushions of one size, another article."""
    out = {name: Told() for name in OTHERS}
    for kind in KINDS:
        for number in range(makers):
            maker = met(kind, seed, number)
            paces, made = learn(worked(maker, [CUSHION] * past)), maker.made
            for name, article in OTHERS.items():
                maker.made = made
                out[name].add(paces, article, maker.session(article, past)[1], number)
    return out


def after_trouble(makers: int, seed: int = 3) -> list[float]:
    """How far one hour of trouble in the only session moves the next forecast."""
    out = []
    for number in range(makers):
        likely = []
        for trouble_s in (0.0, 3600.0):
            maker = met(KINDS[0], seed, number)
            laps, _ = maker.session(CUSHION, 0, trouble_s=trouble_s)
            likely.append(forecast(planned(CUSHION), learn(seen(laps, CUSHION, 0)), draws=10).hands_on.likely)
        out.append(likely[1] / likely[0] - 1)
    return out


def after_a_machine(makers: int, before: int = 8, seed: int = 4) -> list[list[float]]:
    """A maker 22 % quicker from now on: likely over what it is without chance, after 1, 2, 3 and 4 sessions."""
    out: list[list[float]] = [[] for _ in range(4)]
    for number in range(makers):
        maker = met(KINDS[number % 2], seed, number // 2)
        rows = worked(maker, [CUSHION] * before)
        maker.speed += math.log(0.78)
        for later, offs in enumerate(out):
            rows += seen(maker.session(CUSHION, before + later)[0], CUSHION, before + later)
            offs.append(forecast(planned(CUSHION), learn(rows), draws=10).hands_on.likely / maker.usual_s(CUSHION) - 1)
    return out


def moves(makers: int, seed: int = 5) -> list[float]:
    """How far a steady maker's forecast moves from session to session, from the fifth on."""
    out = []
    for number in range(makers):
        maker, rows, last = met(KINDS[0], seed, number), list[Seen](), 0.0
        for done in range(12):
            rows += seen(maker.session(CUSHION, done)[0], CUSHION, done)
            likely = forecast(planned(CUSHION), learn(rows), draws=10).hands_on.likely
            if done >= 4:
                out.append(abs(likely / last - 1))
            last = likely
    return out


def called_learners(kind: Kind, makers: int, makes: int = 12, seed: int = 6) -> float:
    """How many are called learners after so many makes."""
    found = 0
    for number in range(makers):
        curve = learn(worked(met(kind, seed, number), [CUSHION] * makes)).curve
        found += curve is not None and curve.sure
    return found / makers


def pooled(of: Iterable[Told], population: int | None = None) -> Told:
    """Several kinds as one; of one speed's population alone (its place in `SHIFTS`) where asked for."""
    out = Told()
    for one in of:
        out.inside += one.inside if population is None else one.inside[population::3]
        out.off += one.off if population is None else one.off[population::3]
    return out


def told(makers: int, seed: int) -> None:
    """Print all measures."""
    past = (0, 1, 3, 10, 30)
    of = calibrated(makers, past, seed)
    for n in past:
        mine = [of[kind.name, n] for kind in KINDS]
        whole = pooled(mine)
        by = (f"{kind.name} {one.held:.0%} {one.middle:+.1%}" for kind, one in zip(KINDS, mine, strict=True))
        print(f"{n} past: pooled {whole.held:.1%} middle {whole.middle:+.1%};", *by)
        print("  by speed:", *(f"{pooled(mine, place).held:.0%}" for place in range(len(SHIFTS))))
    for name, one in transferred(makers, seed=seed + 1).items():
        print(name, f"held {one.held:.0%} mean {one.mean:+.1%} middle {one.middle:+.1%}")
    print(f"days three times as uneven, 6 past: held {wild(makers, seed=seed + 6).held:.1%}")
    bad = after_trouble(makers, seed + 2)
    print("trouble", f"mean {sum(bad) / len(bad):+.1%} worst {max(bad):+.1%}")
    print("quicker", *(f"{sum(one) / len(one):+.1%}" for one in after_a_machine(makers, seed=seed + 3)))
    moved = sorted(moves(makers, seed + 4))
    under = sum(one < 0.04 for one in moved) / len(moved)
    print(f"moves: mean {sum(moved) / len(moved):.1%}, {under:.0%} under 4 %, 95 % {moved[int(len(moved) * 0.95)]:.1%}")
    print("learners", *(f"{kind.name} {called_learners(kind, max(makers, 400), seed=seed + 5):.1%}" for kind in KINDS))


if __name__ == "__main__":
    import sys

    told(*(int(given) for given in (sys.argv[1:3] + ["18", "1"][len(sys.argv) - 1 :])))
