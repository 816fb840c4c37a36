"""The commands and the one error boundary. What a command needs is imported when it is called."""

import codecs
import errno
import gc
import importlib
import io
import os
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from guide import __version__
from guide.errors import GuideError

if TYPE_CHECKING:
    from guide.record.clock import LocalClock

# name → one line of help; the command itself is in guide/commands/<name>.py
COMMANDS = {
    "new": "Start a project: asks in your own words, writes a commented file.",
    "plan": "Every number of a project: sizes, cut list, layout, shopping, steps.",
    "why": "Where a number comes from, down to the project's lines.",
    "layout": "See both faces, swap blocks, keep some, lay the rest again.",
    "follow": "Be guided through the steps at the machine, timed and kept.",
    "log": "Write the maker's log of a session.",
    "amend": "Put a record right afterwards, or type times in from paper.",
    "paces": "What each step takes you, learnt from your sessions.",
    "price": "What to ask for it, from time, cloth and selling costs.",
    "checklist": "A paced checklist to hand to a beginner.",
    "sheet": "A run sheet on paper, for where there is no computer.",
    "class": "Plan a class at shared machines, and keep its board.",
    "history": "Your sessions: totals by project, stage, step, day.",
    "shelf": "The cloth on the shelf: what lies there, bought, counted, promised.",
    "order": "Orders and quotations: what is due, what is owed, what to begin.",
    "sell": "Pieces by their tickets: sold, sent to a shop, returned; what lies unsold.",
    "book": "What earns most, what is late, what lies unsold; and putting it right.",
    "export": "Sessions as CSV or JSON, with exact starts and ends.",
    "check": "Check a project, a stage file or a journal; says all that is wrong.",
    "schema": "JSON Schema of project, stage or class files, for editors.",
    "words": "The trade's words, British and American.",
    "help": "The documentation, page by page.",
}
# the file of a command that has none of its own name: beside another, or because `class` is a word of Python's
WITH = {"class": "teach", "export": "history", "schema": "check", "sheet": "checklist", "words": "help"}


class Commands(click.Group):
    """Finds a command by name and imports only that one."""

    def list_commands(self, _ctx: click.Context) -> list[str]:
        """List the commands in the order of a maker's work."""
        return list(COMMANDS)

    def get_command(self, _ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import the command's module; None when there is none of that name."""
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"guide.commands.{WITH.get(cmd_name, cmd_name)}")
        command: click.Command = getattr(module, f"{cmd_name}_command", module.command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command, or say which one was meant. Raises UsageError where there is none."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            from guide.read.model import did_you_mean  # noqa: PLC0415 - only for a slip

            near = did_you_mean(args[0], COMMANDS) or "; guide -h lists them"
            raise click.UsageError(f"there is no command {args[0]}{near}")
        return super().resolve_command(ctx, args)

    def format_commands(self, _ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


NO_FILE = frozenset({errno.ENAMETOOLONG, errno.ELOOP, errno.EACCES, errno.EPERM, errno.ENOTDIR})
EPILOG = """\b
Examples:
  guide plan sessions/window-seat-cushion
  guide follow sessions/window-seat-cushion
  guide why zip_cut sessions/window-seat-cushion

\b
Exit codes: 0 done · 2 wrong use, or a file needs mending · 3 our bug · 4 the session is open elsewhere
5 a journal is damaged · 6 cannot write · 130, 143, 129 stopped by a signal."""


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog=EPILOG,
)
@click.version_option(__version__, prog_name="fraywork")
def guide() -> None:
    """Be guided through layered, frayed-seam patchwork: sizes, steps, times, log and price."""


def run(argv: Sequence[str] | None = None, clock: "LocalClock | None" = None) -> int:
    """Run a command by a clock (the computer's own when none is given) and give its exit code.

    Every error ends here, as one plain sentence.
    """
    args = list(sys.argv[1:] if argv is None else argv)
    try:
        out = guide.main(args=args, prog_name="guide", standalone_mode=False, obj=clock)
    except click.exceptions.Exit as leaving:
        return leaving.exit_code
    except click.ClickException as error:
        error.show()
        return 2
    except (click.Abort, KeyboardInterrupt):
        _say("Stopped.")
        return 130
    except GuideError as error:
        _say(str(error))
        return error.exit_code
    except SystemExit:  # so click ends when who read our output went away, and when it completed a shell's word
        return 0
    except OSError as error:
        return _cannot_print(error)
    except Exception as error:  # noqa: BLE001 - the one boundary: our bug becomes a report, not a traceback
        return _our_bug(error)
    return out if isinstance(out, int) else 0


def _cannot_print(error: OSError) -> int:
    """Say that stdout took no more (a full disk behind a redirection), or what no file can be called or reached by.

    Anything else is our bug.
    """
    if error.errno in NO_FILE and error.filename is not None:
        name = os.fsdecode(error.filename)
        _say(f"{name if len(name) <= 60 else name[:60] + '…'} cannot be used: {error.strerror}. Nothing was changed.")
        return 2
    if error.errno not in {errno.ENOSPC, errno.EIO, errno.EDQUOT, errno.EFBIG} or error.filename is not None:
        return _our_bug(error)
    _say(f"What was to be printed could not be written: {error.strerror}. Nothing else was changed.")
    return 6


def _our_bug(error: Exception) -> int:
    from guide.commands.crash import report  # noqa: PLC0415

    _say(report(error))
    return 3


def _say(text: str) -> None:
    from guide.commands.common import talk  # noqa: PLC0415

    talk(text)


def _fill_streams() -> None:
    """Put nobody where a stream was closed before we began: no file of ours may get its number and be printed into."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: PTH123, SIM115 - it stays open


def _speak_utf8() -> None:
    """Read and print what the words need: UTF-8 in files and pipes, as pages and JSON are; all that a terminal has."""
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper) and codecs.lookup(stream.encoding).name != "utf-8":
            stream.reconfigure(encoding=None if stream.isatty() else "utf-8", errors="replace")


def main(clock: "LocalClock | None" = None) -> None:
    """Start here: `guide …`. Raises SystemExit with the code it ends with."""
    # Nearly all that a command makes stays until it ends: to look through it for what does not, every 700 new things,
    # takes a tenth of its time.
    gc.set_threshold(200_000, 5, 20)
    _fill_streams()
    _speak_utf8()
    code = run(clock=clock)
    try:
        sys.stdout.flush()
    except OSError as error:
        code = code if isinstance(error, BrokenPipeError) else _cannot_print(error)
        sys.stdout = None
    # Python looks through all there is several times more as it ends; nothing that is left then needs to be found.
    gc.freeze()
    raise SystemExit(code)
