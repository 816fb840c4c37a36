"""What is believed before a maker has timed anything, in plain figures.

All of it is a guess [memory]: nobody timed it. The variances are of natural logarithms of times.
"""

import math

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
