"""Sharp corners: where a line has them, and how much longer or shorter they leave the runs beside.

A corner ends a run. δ is the angle that the line turns there, left positive: δ > 0 stands out towards the
viewer, δ < 0 goes in. Runs meet in a mitre, on the line that halves the corner, or one returns past the
end of the other; the run that ends at the corner is the one that runs past (its right-hand neighbour stops).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.errors import Fault, JobFaults
from layout.outline.chain import Chain, break_between
from layout.outline.curves import Line
from layout.outline.segment import Segment
from layout.outline.tolerances import SAME_STATION, SMOOTH
from layout.units import format_angle, format_length

SHARPEST: Final = {"mitre": math.radians(150.0), "return": math.radians(135.0)}
"""radians that a corner may turn: past it the metal runs far beyond the corner (assumed)"""

BLUNTEST_RETURN: Final = math.radians(45.0)
"""radians: a blunter corner leaves no end to return past (assumed)"""


@dataclass(frozen=True)
class Corner:
    """A sharp corner of a line."""

    segment: int
    """index of the segment that ends there"""
    station: float
    """mm along the line, from its start; the whole length where a loop closes in a corner"""
    turn: float
    """radians, left positive: out towards the viewer"""
    x: float
    """mm"""
    y: float


@dataclass(frozen=True)
class End:
    """How much a corner changes the length of a run that ends or begins there.

    >>> End(slope=1.0).change(25.0), End(fixed=-18.0).change(25.0)
    (25.0, -18.0)
    """

    fixed: float = 0.0
    """mm, on every parallel alike"""
    slope: float = 0.0
    """mm for each mm that a parallel lies towards the viewer"""

    def change(self, offset: float) -> float:
        """Return by how much the parallel `offset` mm towards the viewer grows, mm; negative: it is cut."""
        return self.fixed + self.slope * offset


def corners_of(segments: Sequence[Segment], closed: bool) -> tuple[Corner, ...]:
    """Return the corners of a line: tangent breaks over `SMOOTH`, by rising station.

    Parameters
    ----------
    segments
        In order, each from where the last one ends; directions as the viewer's left to right.
    closed
        Whether the last meets the first.

    Examples
    --------
    >>> wall = (Line(0.0, 0.0, 0.0, 5.0), Line(5.0, 0.0, math.pi / 2, 3.0))
    >>> [(c.station, round(math.degrees(c.turn), 9), c.x, c.y) for c in corners_of(wall, closed=False)]
    [(5.0, 90.0, 5.0, 0.0)]
    >>> corners_of(wall[:1], closed=False)
    ()
    """
    found, station = [], 0.0
    for k, before in enumerate(segments):
        station += before.length
        last = k + 1 == len(segments)
        if last and not closed:
            break
        after = segments[0 if last else k + 1]
        _, turn = break_between(before, after)
        if abs(turn) > SMOOTH:
            x, y = after.point(np.array(0.0)).tolist()
            found.append(Corner(k, station, turn, x, y))
    return tuple(found)


def mitre_ends(turn: float) -> tuple[End, End]:
    """Return what a mitre changes of the run before and the run after a corner.

    Both parallels at offset d end where they meet: tan(δ/2)·d past the back line's corner where it stands
    out, as much short of it where it goes in.

    >>> [round(end.change(30.0), 9) for end in mitre_ends(math.pi / 2)]
    [30.0, 30.0]
    """
    return End(slope=math.tan(turn / 2)), End(slope=math.tan(turn / 2))


def return_ends(turn: float, depth: float) -> tuple[End, End]:
    """Return what a return changes of the run before a corner, which runs past, and of the one after.

    Both end square. D is the face's full depth off the back line.
    Outside (δ > 0): the first grows by D/sin δ, so that it covers the second's whole end, and by D at a
    right angle; the second begins at the corner, and where δ < 90° is cut by D·cot δ, so that its crests
    stay behind the first's back line.
    Inside (δ < 0), with a = |δ|: the first runs into the corner, and where a > 90° is cut by −D·cot a, so
    that its crests stay off the second's back line; the second begins against the first's crests, cut by
    D·sin a up to a right angle, and by D·tan(a/2) past it.

    Parameters
    ----------
    turn
        δ, radians, left positive.
    depth
        mm, from the back line to the outermost metal: depth of the scallop and thickness.

    Examples
    --------
    >>> [round(end.change(9.0), 9) + 0.0 for end in return_ends(math.pi / 2, depth=20.0)]
    [20.0, 0.0]
    >>> [round(end.change(9.0), 9) + 0.0 for end in return_ends(-math.pi / 2, depth=20.0)]
    [0.0, -20.0]
    """
    sharp = abs(turn)
    sin, cos = math.sin(sharp), math.cos(sharp)
    if turn > 0:
        return End(fixed=depth / sin), End(fixed=-depth * max(cos, 0.0) / sin)
    against = sin if cos >= 0 else math.tan(sharp / 2)
    return End(fixed=depth * min(cos, 0.0) / sin), End(fixed=-depth * against)


def ends_at(kind: str, turn: float, depth: float) -> tuple[End, End]:
    """Return what a corner of a kind, ``mitre`` or ``return``, changes before and after it."""
    return mitre_ends(turn) if kind == "mitre" else return_ends(turn, depth)


def corner_faults(
    segments: Sequence[Segment], closed: bool, kind: str, depth: float, key: str, units: str
) -> Iterator[Fault]:
    """Yield a fault for each corner that runs cannot meet at: too sharp, too blunt, no straight beside it.

    Parameters
    ----------
    segments, closed
        The back line.
    kind
        mitre · return.
    depth
        mm, from the back line to the outermost metal.
    key
        Of the outline, as ``outline``.
    units
        The job's units, for the words.
    """
    corners = corners_of(segments, closed)
    faults = [fault for corner in corners for fault in _turn_faults(corner, kind, key, units)]
    yield from faults
    if faults:
        return
    # Count line and crest line meet in mitres whatever the runs do.
    for way in dict.fromkeys((kind, "mitre")):
        told = list(_straight_faults(segments, corners, way, depth, units))
        yield from (Fault(f"{key}.corner", kind, rule, remedy) for rule, remedy in told)
        if told:
            return


def refuse_corners(chain: Chain, kind: str, depth: float, key: str, units: str) -> None:
    """Refuse a line at whose corners runs cannot meet, or no parallel at `depth`; parameters as `corner_faults`.

    Raises
    ------
    JobFaults
        With every such corner.
    """
    faults = list(corner_faults(chain.segments, chain.closed, kind, depth, key, units))
    if faults:
        raise JobFaults(faults)


def _straight_faults(
    segments: Sequence[Segment], corners: Sequence[Corner], way: str, depth: float, units: str
) -> Iterator[tuple[str, str]]:
    """Yield rule and remedy for each corner without a straight beside it that bears what `way` changes."""
    changes: dict[int, float] = {}
    for corner in corners:
        beside = (corner.segment, (corner.segment + 1) % len(segments))
        for k, end in zip(beside, ends_at(way, corner.turn, depth), strict=True):
            if end.change(depth) and not isinstance(segments[k], Line):
                rule = f"runs meet on straights, and a curve comes up to the corner {_where(corner, units)}"
                yield rule, "Draw a straight beside it, a little longer than the face is deep"
            changes[k] = changes.get(k, 0.0) + end.change(depth)
    for k, change in changes.items():
        if segments[k].length + change <= SAME_STATION:
            x, y, cut, length = (
                format_length(float(mm), units)
                for mm in (*segments[k].point(np.array(0.0)), -change, segments[k].length)
            )
            rule = f"corners cut {cut} off the straight of {length} from x {x}, y {y}"
            yield rule, "Draw that straight longer"


def _where(corner: Corner, units: str) -> str:
    station, x, y = (format_length(mm, units) for mm in (corner.station, corner.x, corner.y))
    return f"at station {station} (x {x}, y {y})"


def _turn_faults(corner: Corner, kind: str, key: str, units: str) -> Iterator[Fault]:
    """Yield a fault where a corner is too sharp or too blunt for its kind."""
    sharp, most = abs(corner.turn), SHARPEST[kind]
    where, turns = _where(corner, units), format_angle(abs(corner.turn))
    if sharp > most + SMOOTH:
        rule = f"a {kind} turns at most {format_angle(most)}, and the corner {where} turns {turns}"
        yield Fault(f"{key}.corner", kind, rule, "Draw the corner blunter, or round it")
    elif kind == "return" and sharp < BLUNTEST_RETURN - SMOOTH:
        rule = f"a return turns at least {format_angle(BLUNTEST_RETURN)}, and the corner {where} turns {turns}"
        yield Fault(f"{key}.corner", kind, rule, 'Use corner = "mitre"')
