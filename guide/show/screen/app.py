"""The screen itself: the one place of it that touches the terminal.

Every second it asks whether anything on the screen has changed, and draws only then. Keys go to the session,
which saves before it changes what is drawn; a signal stops the session as `q` would.
"""

import asyncio
import signal
import sys
from contextlib import suppress
from functools import partial

from msgspec.structs import replace

from guide import system
from guide.errors import CannotWrite
from guide.follow.halting import make_safe, rest_due
from guide.follow.order import open_ms as this_ms
from guide.follow.order import waits
from guide.follow.session import Session
from guide.plan.parts import own_colours
from guide.show.scene import Onlooker, Scene, Words, remembering, scene_of
from guide.show.screen.page import page
from guide.show.screen.parts import Page
from guide.show.screen.text import STITCHED, Marks
from guide.show.screen.window import Ground, Window, load


class Screen:
    """What is on the screen of one session, and the application that draws it.

    `pedal`: the key a foot pedal sends; raises WrongUse where it is none. `saved_in`: where the journal is, for the
    maker to read. `ground`: the terminal's, where the maker says it; else the terminal is asked. `beside`: what is
    followed by the same hands in this window, gone over to by a key. `onlooker`: the page beside the machine.
    """

    def __init__(
        self,
        session: Session,
        *,
        pedal: str | None = None,
        saved_in: str = "",
        marks: Marks = STITCHED,
        ground: Ground = "",
        beside: Session | None = None,
        true: bool = False,
        onlooker: Onlooker | None = None,
    ) -> None:
        self.session, self.beside = session, beside
        self.onlooker = onlooker
        self.words = remembering(Words())
        self.saved_in = saved_in
        self.marks = marks
        self.true = true
        self.scroll = 0
        self.drawn: Page | None = None
        self.rung: set[tuple[bool, int]] = set()
        self.rest = (-1, "")
        self.exit_code = 0
        self.window = Window(
            self._drawn,
            load(self.press, self.interrupt, self.suspend, lambda: self.session.desk, pedal),
            self._own_colours,
            ground=ground,
            true=true,
        )
        self.app, self._guarded = self.window.app, self.window.guarded
        self._note_waits()

    def scene(self) -> Scene:
        """This moment."""
        more = {"words": self.words, "marks": self.marks, "saved_in": self.saved_in, "scroll": self.scroll}
        return scene_of(self.session, rest=self._rest(), **more)

    def _rest(self) -> str:
        """Whether it is time to rest; found out anew only when something was written."""
        at = self.session
        if self.rest[0] != at.record.count:
            self.rest = at.record.count, rest_due(at.plan, at.record, beginner=at.desk.beginner)
        return self.rest[1]

    def page(self) -> Page:
        """The screen at this moment, in the size the terminal has now."""
        size = self.app.output.get_size()
        return page(self.scene(), size.columns, size.rows)

    def _own_colours(self) -> dict[str, str]:
        """The colours of this project's prints, where the terminal shows them truly."""
        own = own_colours(self.session.plan.project) if self.true else {}
        self.marks = replace(self.marks, dyed=bool(own))
        return own

    def _drawn(self, width: int, height: int) -> Page:
        """Draw this moment."""
        self.drawn = page(self.scene(), width, height)
        return self.drawn

    def press(self, key: str) -> None:
        """Give a key to the session; what the session cannot do is our bug, raised once the terminal is whole."""
        self._guarded(lambda: self._pressed(key))

    def _pressed(self, key: str) -> None:
        if key in {"up", "down"} and self._scrolled(key):
            return
        self.scroll = 0
        self.session.press(key)
        self._after_key()

    def _after_key(self) -> None:
        """Go over or leave where the key said so; whoever else looks on is told."""
        if self.session.changing and self.beside is not None:
            self.session, self.beside = self.beside, self.session
            self.session.come_over()
            self.rest = -1, ""
            self._note_waits()
            self.window.dye()
        self._show_onlooker()
        if self.session.left:
            self._guarded(self.stop)
            self.leave(0)

    def _show_onlooker(self) -> None:
        if self.onlooker is not None:
            self.onlooker.tell(self.session, self._rest())

    def _pressed_elsewhere(self, press: object) -> None:
        """Take a press of the page beside the machine."""
        if self.onlooker is not None and not self.session.left:
            self._guarded(partial(self.onlooker.answer, press, self.session))
            self._guarded(self._after_key)
            self.app.invalidate()

    def _scrolled(self, key: str) -> bool:
        """Whether the arrows moved a long card."""
        if self.session.desk.ask is not None or self.drawn is None or not (self.drawn.more or self.scroll):
            return False
        by = max(1, self.app.output.get_size().rows - 6)
        self.scroll = max(0, self.scroll - by) if key == "up" else self.scroll + by * self.drawn.more
        return True

    def stop(self) -> None:
        """Stop for now, whatever lies on the desk: as `q` does, saved; what is followed beside it too."""
        for one in filter(None, (self.session, self.beside)):
            one.stop()

    def interrupt(self) -> None:
        """Ctrl-C, or an interrupt from outside."""
        self.signalled(signal.SIGINT)

    def signalled(self, number: int) -> None:
        """A signal: the stop is recorded, then the screen is given back."""
        self._guarded(self.stop)
        self.leave(system.STOPPING[number])

    def suspend(self) -> None:
        """Ctrl-Z: to the shell and back with `fg`; the session sees the gap by itself."""
        self.window.suspend()

    def leave(self, code: int) -> None:
        """End the application with an exit code, once."""
        self.exit_code = code
        self.window.leave(code)

    async def ticking(self) -> None:
        """Once a second, as the seconds of the piece in hand turn over."""
        while True:
            phase = this_ms(self.session.record, self.session.clock.read()) % 1000
            await asyncio.sleep(1.01 - phase / 1000)
            self._guarded(self.tick)

    def tick(self) -> None:
        """Keep the session alive, ring for a wait that is over, and draw if the screen would look different."""
        self.session.heartbeat()
        self._show_onlooker()
        if self._note_waits():
            self.app.output.bell()
            self.app.output.flush()
        if self.drawn is None or self.page() != self.drawn:
            self.app.invalidate()

    def _note_waits(self) -> bool:
        """Whether a wait is over that was not a moment ago."""
        at = self.session
        mine, theirs = waits(at.plan, at.record, at.clock.read()), at.beside_waits()
        over = {(own, one.n) for own, some in ((True, mine), (False, theirs)) for one in some if one.over}
        fresh, self.rung = over - self.rung, over
        return bool(fresh)

    def before_run(self) -> None:
        """Start the ticking and listen for signals; called inside the running loop."""
        self.window.before_run(self.signalled, self.ticking())
        if self.onlooker is not None:
            self.onlooker.take = partial(self._taken, asyncio.get_running_loop())
            self._show_onlooker()

    def _taken(self, loop: asyncio.AbstractEventLoop, press: object) -> None:
        """Hand on a press from the thread that heard it; once the screen has ended it is dropped."""
        with suppress(RuntimeError):
            loop.call_soon_threadsafe(self._pressed_elsewhere, press)


def run(screen: Screen) -> int:
    """Follow a session on the full screen until it is left.

    Gives the exit code: 0, or 130, 143, 129 when a signal or a closed window ended it, 6 when the last press
    could not be written. Raises what went wrong inside, after the terminal is whole again.
    """
    code = screen.window.run(screen.before_run, screen.stop)
    if code is None:
        return screen.exit_code or system.WINDOW_CLOSED
    session = screen.session
    if session.record.doing == "stopped":
        sys.stderr.write(f"Make safe: {', '.join(make_safe(session.plan))}.\n")
    return code or (CannotWrite.exit_code if session.desk.problem else 0)
