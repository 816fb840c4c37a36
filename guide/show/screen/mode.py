"""Which face? The full screen, or plain lines that a screen reader, a pipe and any terminal can take."""

from collections.abc import Mapping
from typing import Literal

from guide import system

Face = Literal["screen", "plain"]
_NO = frozenset({"", "0", "false", "no"})


def face(*, plain: bool, env: Mapping[str, str], stdin_tty: bool, stdout_tty: bool) -> Face:
    """Choose a face: plain when asked for, by `ACCESSIBLE`, on a dumb terminal, or without a terminal at all."""
    if plain or env.get("ACCESSIBLE", "").strip().lower() not in _NO:
        return "plain"
    if env.get("TERM", system.TERM) in {"", "dumb"}:
        return "plain"
    return "screen" if stdin_tty and stdout_tty else "plain"
