"""How far is it? Progress is a running stitch: sewn, the needle, the marked line ahead."""

import msgspec

from guide.show.columns import cells
from guide.show.screen.marks import Marks
from guide.show.screen.text import Fragment, Line, clip


class Stretch(msgspec.Struct, frozen=True):
    """A named part of the seam: a stage, so much of it done (0 to 1), and whether the needle is in it."""

    name: str
    done: float
    share: float = 1.0  # how much of the line it may have
    here: bool = False


def _sewn(stitches: int, needle: bool, of: int, marks: Marks) -> list[Fragment]:
    parts: list[Fragment] = []
    if stitches:
        parts.append(("class:sewn", f"{marks.sewn} " * stitches))
    ahead = of - stitches
    if needle and ahead > 0:
        parts.append(("class:needle", f"{marks.needle} "))
        ahead -= 1
    if ahead > 0:
        parts.append(("class:ahead", f"{marks.ahead} " * ahead))
    return parts


def pieces(done: int, of: int, room: int, marks: Marks, *, needle: bool = True) -> Line:
    """A row of stitches, one a piece when they fit, else each standing for several; a knot ends a finished row.

    A row that is not finished never looks finished: at least one marked stitch is left.
    """
    most = max(2, (room - 1) // 2)  # a knot at the end
    stitches = min(of, most)
    sewn = done if of <= most else min(stitches - 1, done * stitches // max(1, of))
    if done >= of:
        return [*_sewn(stitches, False, stitches, marks), ("class:sewn", marks.knot)]
    return _sewn(sewn, needle, stitches, marks)


def _rooms(stretches: list[Stretch], room: int) -> list[int]:
    """Columns for each stretch, two a stitch: its name and a gap, and of what is left a share by its steps."""
    least = [(cells(part.name) + 3) // 2 for part in stretches]
    spare, shares = max(0, room // 2 - sum(least)), sum(part.share for part in stretches) or 1.0
    ends = [round(spare * sum(part.share for part in stretches[: index + 1]) / shares) for index in range(len(least))]
    return [2 * (own + end - start) for own, start, end in zip(least, [0, *ends], ends, strict=False)]


def _window(stretches: list[Stretch], room: int) -> tuple[list[Stretch], bool, bool]:
    """The stretches round the needle that fit, and whether some are left out before and after."""
    here = next((index for index, part in enumerate(stretches) if part.here), 0)
    first, last = here, here + 1
    while True:
        for low, high in ((first, last + 1), (first - 1, last)):
            if low < 0 or high > len(stretches):
                continue
            if sum(cells(part.name) + 4 for part in stretches[low:high]) <= room - 4:
                first, last = low, high
                break
        else:
            return stretches[first:last], first > 0, last < len(stretches)


def stages(stretches: list[Stretch], room: int, marks: Marks) -> tuple[Line, Line]:
    """The whole seam, and under it the stages' names where they begin; a window round the needle when narrow."""
    if not stretches:
        return [], []
    kept, before, after = stretches, False, False
    if sum((cells(part.name) + 3) // 2 * 2 for part in stretches) > room:
        kept, before, after = _window(stretches, room)
    inner = room - 2 * before - 2 * after
    thread: Line = [("class:quiet", f"{marks.more[:1]} ")] if before else []
    names: Line = [("", "  ")] if before else []
    for part, wide in zip(kept, _rooms(kept, inner), strict=True):
        stitches = max(1, wide // 2)
        whole = part.done >= 1.0
        sewn = stitches if whole else min(stitches - 1, int(part.done * stitches))
        thread += _sewn(sewn, part.here and not whole, stitches, marks)
        style = "class:here" if part.here else "class:sewn.name" if whole else "class:ahead.name"
        names += clip([(style, part.name)], wide - 1)
        names.append(("", " " * (wide - min(wide - 1, cells(part.name)))))
    if after:
        thread.append(("class:quiet", marks.more[:1]))
    return thread, names


def loop(share: float, marks: Marks) -> str:
    """A wait as a loop that fills by quarters; whole only when it is over."""
    if share >= 1.0:
        return marks.loops[3]
    return marks.loops[min(2, max(0, int(share * 4)))]
