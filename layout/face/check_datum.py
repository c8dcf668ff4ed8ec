"""Where station 0 lies, as the check finds it: the lowest point, or the one nearest to a given one."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from layout.face.check_line import SHARP, Floats, Part, mitre, turns_between
from layout.job.model import OutlineSpec

LOOK = 400
"""places of a part between which a turning point is looked for"""

HALVINGS = 60
"""bisections, to the last bit of a parameter 0…1"""

LEVEL = 1e-9
"""radians: a straight that rises by no more than this is level"""

SAME = 1e-6
"""mm: points whose heights differ by no more than this are equally low"""

TIP = 1e-9
"""parameters this near to a part's end are the joint itself"""

Place = tuple[int, float]
"""a part's index and the parameter 0…1 on it"""

Slope = Callable[[Floats], Floats]
"""x, y, heading, shape (3, n), to a number (n,) that is zero at a turning point"""


def started(parts: Sequence[Part], spec: OutlineSpec) -> list[Part]:
    """Return the parts of an outline's drawn line from the datum's normal on; an open line stays."""
    if not spec.closed:
        return list(parts)
    laid = _laid(parts, -spec.inset)
    back = [part.between(*ends) for part, ends in zip(parts, laid, strict=True)]
    k, u = _nearest(back, spec) if spec.datum is not None else _lowest(back, -spec.inset)
    u = min(max(laid[k][0] + u * (laid[k][1] - laid[k][0]), 0.0), 1.0)
    if u <= TIP or u >= 1 - TIP:
        first = k + (u >= 0.5)
        return [*parts[first:], *parts[:first]]
    return [parts[k].between(u, 1.0), *parts[k + 1 :], *parts[:k], parts[k].between(0.0, u)]


def _laid(parts: Sequence[Part], d: float) -> list[tuple[float, float]]:
    """Return from which parameter to which each part's parallel goes; corners make straights longer or shorter."""
    ends = [[0.0, 1.0] for _ in parts]
    for k, turn in enumerate(turns_between(parts)):
        if abs(turn) > SHARP:
            after = (k + 1) % len(parts)
            ends[k][1] += mitre(turn, d) / parts[k].length
            ends[after][0] -= mitre(turn, d) / parts[after].length
    return [(first, last) for first, last in ends]


def _nearest(parts: Sequence[Part], spec: OutlineSpec) -> Place:
    """Return the place of the back line nearest to the datum given."""
    x, y = spec.datum or (0.0, 0.0)

    def slope(node: Floats) -> Floats:
        return np.asarray((node[0] - x) * np.cos(node[2]) + (node[1] - y) * np.sin(node[2]))

    places = [*_turning_places(parts, -spec.inset, slope), *((k, 0.0) for k in range(len(parts)))]
    nodes = [parts[k].moved(np.array([u]), -spec.inset)[:, 0] for k, u in places]
    away = [math.hypot(node[0] - x, node[1] - y) for node in nodes]
    return places[away.index(min(away))]


def _lowest(parts: Sequence[Part], d: float) -> Place:
    """Return the lowest place, the middle of a lowest straight, the leftmost of several."""
    level = [_is_level(part) for part in parts]
    places = [(k, u) for k, u in _turning_places(parts, d, _rise) if not level[k]]
    for k, part in enumerate(parts):
        turns = abs(turns_between(parts)[k - 1]) > SHARP
        if not (level[k] or level[k - 1]) and (turns or abs(math.sin(part.curve(np.zeros(1))[2, 0])) <= LEVEL):
            places.append((k, 0.0))
    places += [_middle(parts, level, k) for k in range(len(parts)) if level[k] and not level[k - 1]]
    nodes = [parts[k].moved(np.array([u]), d)[:, 0] for k, u in places]
    lowest = min(float(node[1]) for node in nodes)
    low = [i for i, node in enumerate(nodes) if node[1] <= lowest + SAME]
    return places[min(low, key=lambda i: float(nodes[i][0]))]


def _rise(node: Floats) -> Floats:
    return np.asarray(np.sin(node[2]))


def _is_level(part: Part) -> bool:
    # An ellipse from its top on is level at its ends and half way, so a few places more are asked.
    heading = part.curve(np.linspace(0.0, 1.0, 9))[2]
    return bool((np.abs(np.sin(heading)) <= LEVEL).all())


def _middle(parts: Sequence[Part], level: Sequence[bool], first: int) -> Place:
    """Return the middle of the level straights that begin with part `first`."""
    group = [first]
    while level[(group[-1] + 1) % len(parts)]:
        group.append((group[-1] + 1) % len(parts))
    left = math.fsum(parts[k].length for k in group) / 2
    for k in group:
        if left <= parts[k].length:
            return k, left / parts[k].length
        left -= parts[k].length
    return group[-1], 1.0


def _turning_places(parts: Sequence[Part], d: float, slope: Slope) -> list[Place]:
    """Return the places inside parts where the slope passes through zero."""
    places: list[Place] = []
    u = np.linspace(0.0, 1.0, LOOK + 1)
    for k, part in enumerate(parts):
        values = slope(part.moved(u, d))
        for i in np.flatnonzero(np.signbit(values[:-1]) != np.signbit(values[1:])):
            root = _root(part, d, slope, (float(u[i]), float(u[i + 1])))
            if TIP < root < 1 - TIP:
                places.append((k, root))
    return places


def _root(part: Part, d: float, slope: Slope, between: tuple[float, float]) -> float:
    """Return the parameter between two where the slope passes through zero, by bisection."""
    low, high = between
    rising = slope(part.moved(np.array([low, high]), d))[1] > 0
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if (slope(part.moved(np.array([middle]), d))[0] > 0) == rising:
            high = middle
        else:
            low = middle
    return (low + high) / 2
