"""First-fit shelves written anew, as a judge of cutting plans.

Source: Coffman, Garey, Johnson and Tarjan, SIAM J. Comput. 9 (1980), first-fit decreasing height.
"""

from typing import NamedTuple


class Case(NamedTuple):
    width: int
    parts: list[tuple[int, int, int]]
    one_way: bool

    @property
    def bound(self) -> float:
        return sum(width * height * count for width, height, count in self.parts) / self.width


def first_fit(case: Case) -> int:
    """First-fit decreasing height, written anew: as given, flat and upright, the best of the three."""
    if case.one_way:
        return _shelves(case, lambda part: part)
    return min(_shelves(case, lay) for lay in (lambda part: part, sorted, lambda part: sorted(part, reverse=True)))


def _shelves(case, lay):
    sides = []
    for width, height, count in case.parts:
        across, down = lay((width, height))
        sides += [(across, down) if across <= case.width else (down, across)] * count
    sides.sort(key=lambda side: (-side[1], -side[0]))
    room, length = [], 0
    for across, down in sides:
        for at, left in enumerate(room):
            if across <= left:
                room[at] -= across
                break
        else:
            room.append(case.width - across)
            length += down
    return length
