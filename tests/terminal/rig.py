"""The screen with no child process: a real terminal output drawn into pyte, keys sent through a pipe."""

import asyncio
from types import SimpleNamespace

import pyte
from prompt_toolkit.application import create_app_session
from prompt_toolkit.data_structures import Size
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output.vt100 import Vt100_Output

from guide.show.screen.app import Screen

# For walks at random: the big key often, a way out of questions often, every other key now and then.
KEYS = [" "] * 14 + ["\x1b"] * 5 + ["\r"] * 3 + ["a"] * 2 + list("aupntisbfwxvcgl?mq0123456789/.\té布")
KEYS += ["\x1b[C", "\x1b[D", "\x1b[A", "\x1b[B", "\x7f", "\x1b[15~"]


class Sink:
    """What a terminal's stream must be, and no more."""

    encoding = "utf-8"

    def __init__(self, cols, rows):
        self.screen = pyte.Screen(cols, rows)
        self.stream = pyte.Stream(self.screen)
        self.raw = ""

    def write(self, data):
        self.raw += data
        self.stream.feed(data)
        return len(data)

    def flush(self):
        pass

    def isatty(self):
        return True

    def fileno(self):
        raise OSError("no descriptor")


class Rig:
    """A screen that runs inside the test's own loop: a session's, or what `make` gives of what it is to show."""

    def __init__(self, shown, cols=80, rows=24, *, make=Screen, **more):
        self.shown, self.size, self.more, self.make = shown, [cols, rows], more, make
        self.sink = Sink(cols, rows)

    async def __aenter__(self):
        self._pipe = create_pipe_input()
        self.input = self._pipe.__enter__()
        output = Vt100_Output(
            self.sink, lambda: Size(rows=self.size[1], columns=self.size[0]), term="xterm-256color", enable_cpr=False
        )
        with create_app_session(input=self.input, output=output):
            self.screen = self.make(self.shown, **self.more)
        self.app = self.screen.app
        self.task = asyncio.create_task(self.app.run_async(pre_run=self.screen.before_run, set_exception_handler=False))
        await self.settle()
        return self

    async def __aexit__(self, *why):
        if not self.task.done():
            self.app.exit(result=0)
        await asyncio.wait([self.task], timeout=2)
        self._pipe.__exit__(*why)

    async def settle(self):
        """Until nothing more is drawn."""
        for _ in range(400):
            before = self.app.render_counter, len(self.sink.raw)
            await asyncio.sleep(0.002)
            done = self.task.done()
            drawn = self.app.render_counter and not self.app._invalidated
            if done or (drawn and before == (self.app.render_counter, len(self.sink.raw))):
                return

    async def press(self, keys):
        self.input.send_text(keys)
        await self.settle()

    async def resize(self, cols, rows):
        self.size[:] = [cols, rows]
        self.sink.screen.resize(rows, cols)
        self.app._on_resize()
        await self.settle()

    @property
    def lines(self):
        return [line.rstrip() for line in self.sink.screen.display]

    @property
    def text(self):
        return "\n".join(self.lines)

    @property
    def cursor(self):
        return self.sink.screen.cursor.x, self.sink.screen.cursor.y


def still(scene):
    """A session in which nothing moves: what the golden screens are drawn from."""
    return SimpleNamespace(
        plan=scene.plan,
        record=scene.record,
        desk=scene.desk,
        left=False,
        clock=SimpleNamespace(read=lambda: scene.now),
        paces=scene.paces,
        heartbeat=lambda: None,
        press=lambda _key: None,
        stop=lambda: None,
        beside_waits=lambda: scene.beside_waits,
    )


def seen(scene, cols, rows, **more):
    """The screen of a moment, as pyte shows it, and where its cursor is."""

    async def look():
        async with Rig(still(scene), cols, rows, saved_in=scene.saved_in, **more) as rig:
            if scene.rest:  # what the screen finds out by itself, and this still session has not worked long enough for
                rig.screen.rest = scene.record.count, scene.rest
                rig.app.invalidate()
                await rig.settle()
            return rig.lines, rig.cursor

    return asyncio.run(look())
