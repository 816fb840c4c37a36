"""What is believed before a maker has timed anything, in plain figures.

All of it is a guess [memory]: nobody timed it. The variances are of natural logarithms of times.
"""

STARTER_PIECES = 1.0  # the starter pace counts as one piece of the maker's own
DAY_VAR = 0.12**2  # a good or a bad day, shared by all steps of that day
STEP_VAR = 0.10**2  # a step's own day
PIECE_VAR = 0.25**2  # one piece against the next
TEMPO_VAR = 0.30**2  # a maker against the starter paces
TEMPO_FREEDOM = 4.0  # how readily a step is taken for an odd one: fewer, sooner
ERRAND_S = 60.0  # fetching, looking and keys, in any step however short
TILT_VAR = 0.7**2  # effort beside handling, against the starter: a third more or less of a piece is handling
BESIDES_VAR = 0.03**2  # a session's share of first pieces and trouble
TROUBLES, TROUBLE_HOURS = 0.5, 5.0  # so many in so many hours, and each so long: as if it had been seen so often
TROUBLE_S, TROUBLE_SEEN = 180.0, 6.0
CHANGE = 0.02  # the chance that a maker's tempo changed so many sessions ago: a new machine, a bad wrist
CHANGE_VAR = 0.25**2  # and by how much then
CHANGE_BACK = 6  # days back that a change is looked for
DAY_FREEDOM = 4.0  # readings each guess of a variance counts for
SPREAD_FREEDOM = 6.0
POOL_FREEDOM = 10.0


def own_var(pieces: float) -> float:
    """Variance of a step's mean pace over so many pieces of one day, without the day's part."""
    return STEP_VAR + PIECE_VAR / pieces


ONE_PIECE_VAR = DAY_VAR + own_var(1)


def weight(pieces: float) -> float:
    """How much one day's pieces tell, in single pieces: 12 on one day tell as much as 3 on three days."""
    return ONE_PIECE_VAR / (DAY_VAR + own_var(pieces))
