"""A judge of cutting plans that shares no code with the engine: it looks at the rectangles only."""

from itertools import pairwise

NEAR = 1e-5  # mm


def faults(cutting, parts, bolt=None, remnants=(), straighten_mm=0.0):
    """Everything wrong with a plan, as texts; none when it can be cut as it stands."""
    found = []
    wanted = {}
    for part in parts:
        wanted[part.name] = wanted.get(part.name, 0) + part.count
    got = {}
    stock = [[r.width, r.length, r.count] for r in remnants]
    for cloth in cutting.cloths:
        edge = bolt.selvedge_mm if cloth.bought else 0.0
        if cloth.bought:
            if bolt is None or abs(cloth.width_mm - bolt.width_mm) > NEAR:
                found.append("bought cloth of a width that is not sold")
        else:
            own = [
                s for s in stock if s[2] and abs(s[0] - cloth.width_mm) < NEAR and abs(s[1] - cloth.length_mm) < NEAR
            ]
            if own:
                own[0][2] -= 1
            else:
                found.append(f"no piece {cloth.width_mm} by {cloth.length_mm} is on hand (any more)")
        low = straighten_mm if cloth.bought else 0.0
        boxes = []
        for p in cloth.placements:
            got[p.part] = got.get(p.part, 0) + 1
            box = (p.x_mm, p.y_mm, p.x_mm + p.width_mm, p.y_mm + p.height_mm)
            if box[0] < edge - NEAR or box[2] > cloth.width_mm - edge + NEAR:
                found.append(f"{p} is in the selvedge")
            if box[1] < low - NEAR or box[3] > cloth.length_mm + NEAR:
                found.append(f"{p} is off the cloth's length")
            part = next(q for q in parts if q.name == p.part)
            size = (part.height_mm, part.width_mm) if p.turned else (part.width_mm, part.height_mm)
            if abs(size[0] - p.width_mm) > NEAR or abs(size[1] - p.height_mm) > NEAR:
                found.append(f"{p} has not the size of its part")
            if p.turned and part.one_way:
                found.append(f"{p} is turned, and its print runs one way")
            boxes.append(box)
        if [p.order for p in cloth.placements] != list(range(1, len(boxes) + 1)):
            found.append("orders are not 1, 2, 3 …")
        for at, a in enumerate(boxes):
            for b in boxes[:at]:
                if min(a[2], b[2]) - max(a[0], b[0]) > NEAR and min(a[3], b[3]) - max(a[1], b[1]) > NEAR:
                    found.append(f"{a} and {b} overlap")
        if not separable(boxes):
            found.append("the parts cannot be freed by edge-to-edge cuts")
        found += _strip_faults(cloth)
    if got != {name: count for name, count in wanted.items() if count}:
        found.append(f"wanted {wanted}, got {got}")
    return found


def _strip_faults(cloth):
    """Strips are whole bands of the cloth: no two share a place along the direction they are cut in."""
    bands = {}
    for p in cloth.placements:
        low, high = (p.x_mm, p.x_mm + p.width_mm) if cloth.along else (p.y_mm, p.y_mm + p.height_mm)
        band = bands.setdefault(p.strip, [low, high])
        band[:] = [min(band[0], low), max(band[1], high)]
    if sorted(bands) != list(range(1, len(bands) + 1)):
        return ["strips are not numbered 1, 2, 3 …"]
    ordered = [bands[number] for number in sorted(bands)]
    return ["two strips share cloth" for a, b in pairwise(ordered) if b[0] < a[1] - NEAR]


def separable(boxes):
    """Whether straight cuts right through can free every box from the others."""
    if len(boxes) < 2:
        return True
    for low, high in ((0, 2), (1, 3)):
        ordered = sorted(boxes, key=lambda box: box[low])
        reach = ordered[0][high]
        for at in range(1, len(ordered)):
            if ordered[at][low] >= reach - NEAR:
                return separable(ordered[:at]) and separable(ordered[at:])
            reach = max(reach, ordered[at][high])
    return False
