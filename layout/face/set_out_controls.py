"""Control points: where to tape from, so that two tapes cross well and run clear of the counter."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from string import ascii_uppercase
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiLineString
from shapely.geometry.base import BaseGeometry

from layout.face.plan import Lines

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
XY = tuple[float, float]

LEAST_CROSSING: Final = math.radians(30.0)
"""radians; two tapes that cross under it, or over 150°, fix a mark badly (surveyors' rule, from memory)"""
GOOD_CROSSING: Final = math.radians(45.0)
"""radians; control points are first sought that cross no flatter (assumed)"""
LEAST_APPROACH: Final = math.radians(5.0)
"""radians between a tape and the wall at its mark: flatter, the tape touches the wall (assumed)"""
CLEAR: Final = 1.0
"""mm that a tape keeps from the wall before its mark (assumed)"""
_NEAR: Final = 30.0
"""mm before its mark from which a tape may come nearer than `CLEAR`: 30·sin 5° is over 2 mm"""
_CHORD: Final = 0.1
"""mm by which the wall's polyline may leave the wall, well under `CLEAR`"""
_STAND: Final = 150.0
"""mm that a chosen point keeps from every line, so that a mark can be made there (assumed)"""
_GAP: Final = (600.0, 2400.0, 0.35)
"""mm least, mm most, and the share of the shorter side that chosen points stand off the counter (assumed)"""
_STEPS: Final = 6
"""parts into which each side of the frame of possible points is cut"""


@dataclass(frozen=True)
class Control:
    """A point that is marked on the floor before all others."""

    name: str
    x: float
    """mm"""
    y: float

    @property
    def xy(self) -> XY:
        """Place, mm."""
        return self.x, self.y


def named(points: Sequence[XY]) -> tuple[Control, ...]:
    """Return points as control points A, B, C … in the order given.

    Examples
    --------
    >>> [control.name for control in named([(0.0, 0.0), (3.0, 0.0)])]
    ['A', 'B']
    """
    return tuple(Control(name, x, y) for name, (x, y) in zip(_names(), points, strict=False))


def _names() -> Iterator[str]:
    yield from ascii_uppercase
    for first in ascii_uppercase:
        yield from (first + second for second in ascii_uppercase)


class Sight:
    """What stands on the floor: the walls that the face is fixed to."""

    def __init__(self, lines: Sequence[Lines]) -> None:
        self._lines = tuple(lines)
        walls = MultiLineString([one.back.sample(tolerance=_CHORD).tolist() for one in lines])
        self._walls: BaseGeometry = shapely.buffer(walls, CLEAR)
        shapely.prepare(self._walls)

    def clear(self, points: Floats, marks: Floats, headings: Floats) -> Bools:
        """Tell which tapes run clear from points to marks, and come to the wall from the viewer's side.

        Parameters
        ----------
        points
            mm, shape (m, 2).
        marks
            mm, on a wall, shape (n, 2).
        headings
            Radians, of rising stations there, shape (n,); the viewer is on the right.

        Returns
        -------
        array of bool
            Shape (m, n).
        """
        back = points[:, None, :] - marks[None, :, :]
        length = np.linalg.norm(back, axis=2)
        far = length > 2 * _NEAR
        away = back / np.where(far, length, 1.0)[..., None]
        out = np.stack([np.sin(headings), -np.cos(headings)], axis=-1)
        found = far & (np.einsum("mnk,nk->mn", away, out) >= math.sin(LEAST_APPROACH))
        asked = np.nonzero(found)
        ends = marks[asked[1]] + _NEAR * away[asked]
        tapes = shapely.linestrings(np.stack([points[asked[0]], ends], axis=1))
        found[asked] = ~shapely.intersects(self._walls, tapes)
        return np.asarray(found)

    def candidates(self, step: float) -> Floats:
        """Return places for control points, mm, shape (m, 2): a square net round and between the lines.

        Corners of the frame first. A net of lines along x and y is set out with a tape and a 3-4-5 square;
        its lines fall on whole steps, mm.
        """
        boxes = np.array([chain.bounds for one in self._lines for chain in (one.drawn, one.back, one.crest)])
        low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
        least, most, share = _GAP
        gap = min(max(least, share * float((high - low).min())), most)
        xs, ys = (step * np.round(np.linspace(low[k] - gap, high[k] + gap, _STEPS + 1) / step) for k in (0, 1))
        net = np.array([(x, y) for y in ys for x in xs])
        ring = [(x in {xs[0], xs[-1]}) + (y in {ys[0], ys[-1]}) for x, y in net.tolist()]
        ordered = net[np.argsort(-np.array(ring), kind="stable")]
        kept = [chain.sample(tolerance=1.0) for one in self._lines for chain in (one.drawn, one.back, one.crest)]
        near = shapely.buffer(MultiLineString([points.tolist() for points in kept]), _STAND)
        return np.asarray(ordered[~shapely.intersects(near, shapely.points(ordered))])


def choose_controls(sight: Sight, marks: Floats, headings: Floats, tape: float, step: float) -> tuple[Control, ...]:
    """Choose few control points that between them tie as many marks as can be tied.

    First the pair that ties most marks, then one point after another, or a pair, while marks are left; well
    crossing tapes are sought before flat ones. Ties by the order of places.

    Parameters
    ----------
    marks, headings
        mm and radians, shapes (n, 2) and (n,).
    tape
        mm, longest tie.
    step
        mm, of their coordinates.
    """
    places = sight.candidates(step)
    seen = sight.clear(places, marks, headings) & (_distances(places, marks) <= tape)
    crossing = _crossings(places, marks)
    chosen: list[int] = []
    for least in (GOOD_CROSSING, LEAST_CROSSING):
        good = (crossing >= least) & (crossing <= math.pi - least) & seen[:, None, :] & seen[None, :, :]
        chosen = _cover(good, chosen)
    middle = marks.mean(axis=0)
    around = sorted(chosen, key=lambda i: (math.atan2(*(middle - places[i])[::-1].tolist()), i))
    return named([(float(places[i][0]), float(places[i][1])) for i in around])


def _cover(good: Bools, chosen: list[int]) -> list[int]:
    """Add places until no place or pair ties another mark; `good` says which pairs tie which mark."""
    chosen = list(chosen)
    left = ~good[np.ix_(chosen, chosen)].any(axis=(0, 1))
    while left.any():
        pairs = good[..., left].sum(axis=2)
        singles = good[:, chosen][..., left].any(axis=1).sum(axis=1)
        best, pair = int(np.argmax(singles)), divmod(int(np.argmax(pairs)), len(pairs))
        if singles[best] and 2 * singles[best] >= pairs[pair]:
            chosen.append(best)
        elif pairs[pair]:
            chosen += [place for place in pair if place not in chosen]
        else:
            break
        left = ~good[np.ix_(chosen, chosen)].any(axis=(0, 1))
    return chosen


def best_pairs(
    sight: Sight, controls: Sequence[Control], marks: Floats, headings: Floats, tape: float
) -> list[tuple[int, int] | None]:
    """Return for each mark the two control points that cross best over it, or None.

    Best is the crossing nearest a right angle; of equal ones (to a degree) the shorter tapes.
    """
    places = np.array([control.xy for control in controls]).reshape(-1, 2)
    if len(places) < 2:
        return [None] * len(marks)
    length = _distances(places, marks)
    seen = sight.clear(places, marks, headings) & (length <= tape)
    crossing = _crossings(places, marks)
    found: list[tuple[int, int] | None] = []
    for k in range(len(marks)):
        fit = [
            (round(abs(math.degrees(crossing[i, j, k]) - 90)), length[i, k] + length[j, k], i, j)
            for i in range(len(places))
            for j in range(i + 1, len(places))
            if seen[i, k] and seen[j, k] and LEAST_CROSSING <= crossing[i, j, k] <= math.pi - LEAST_CROSSING
        ]
        found.append(min(fit)[2:] if fit else None)
    return found


def _distances(places: Floats, marks: Floats) -> Floats:
    return np.asarray(np.linalg.norm(places[:, None, :] - marks[None, :, :], axis=2))


def _crossings(places: Floats, marks: Floats) -> Floats:
    """Return the angle between every two tapes at every mark, radians, shape (m, m, n)."""
    away = places[:, None, :] - marks[None, :, :]
    dot = np.einsum("ink,jnk->ijn", away, away)
    cross = away[:, None, :, 0] * away[None, :, :, 1] - away[:, None, :, 1] * away[None, :, :, 0]
    return np.asarray(np.arctan2(np.abs(cross), dot))
