"""A session on the sample project, with hands to press its keys."""

from guide.follow.model import Desk
from guide.follow.session import Session
from guide.record.fold import fold
from tests.follow.samples import Clock, Memory, make_plan


class Bench:
    """A session with its clock; `press` lets time go by before each key."""

    def __init__(self, *, beginner=False, make=1, units="inch", elsewhere=None, memory=None, paces=None):
        self.clock = Clock()
        self.memory = memory or Memory(self.clock.read())
        self.planned = 0
        self.make, self.units = make, units
        desk = Desk(beginner=beginner)
        self.session = Session(self.memory, self._plan, self.clock, desk=desk, elsewhere=elsewhere, paces=paces)

    def _plan(self, measured, layout, texts):
        self.planned += 1
        return make_plan(measured, layout, texts, make=self.make, units=self.units)

    def press(self, *keys, after=5.0):
        for key in keys:
            self.clock.run(after)
            self.session.press(key)
        return self.desk

    def type(self, text, after=0.1):
        return self.press(*("space" if letter == " " else letter for letter in text), after=after)

    def through(self, title):
        """Work on, with the big key alone, until the step of this title is next."""
        while self.next.title != title or self.record.current:
            self.press("space")
        return self

    def open(self, title):
        """Work on until the step of this title is open."""
        self.through(title)
        while not self.record.current:
            self.press("space")
        return self

    @property
    def next(self):
        from guide.follow.order import under_needle

        return under_needle(self.session.plan, self.record)

    @property
    def desk(self):
        return self.session.desk

    @property
    def said(self):
        return self.session.desk.said

    @property
    def record(self):
        return self.session.record

    @property
    def newest(self):
        return self.session.journal.events[-1]

    @property
    def wrote(self):
        return [event.what for event in self.session.journal.events]

    def holds(self):
        """The record shown is the fold of the file."""
        return fold(self.session.journal.events) == self.record
