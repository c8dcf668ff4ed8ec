"""A scallop as a line of bends: what a die holds, and what springs out of it.

A bent line keeps its developed length part by part; only its bends change. Walked like a path, it tells
the pitch, the depth, and how far one scallop is turned from the next: a sheet that curls.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from layout.metal.pieces import Floats
from layout.metal.profile import Profile
from layout.metal.springback import Spring, sprung_curvatures

_STEPS = 64
"""Parts that each bend is walked in; even, so that a crest's middle is among them"""


@dataclass(frozen=True, eq=False)
class BentLine:
    """One scallop's bends, left to right."""

    lengths: Floats
    """mm of each part, shape (k,)"""
    curvatures: Floats
    """1/mm of each part, left turn positive, shape (k,)"""
    corners: Floats
    """radians turned at once before each part, shape (k,); the first is half a sharp valley"""


@dataclass(frozen=True)
class Shape:
    """What a bent line measures."""

    pitch: float
    """mm, straight from valley to valley"""
    depth: float
    """mm, crest over that straight"""
    turn: float
    """radians that a scallop is turned from the one before; positive curls the face hollow"""

    @property
    def curl_radius(self) -> float:
        """Radius (mm) of the circle through the valleys of many; infinite where they lie straight."""
        if abs(self.turn) < 1e-9:
            return math.inf
        return self.pitch / (2 * math.sin(min(abs(self.turn), math.pi) / 2))


def bent_line_of(profile: Profile) -> BentLine:
    """Return the bends of a profile."""
    lengths, curvatures, corners = [], [], []
    heading = 0.0
    for piece in profile.pieces:
        part, bent = piece.bends()
        lengths.append(part)
        curvatures.append(bent)
        start, end = piece.headings
        corners.append(np.concatenate(([start - heading], np.zeros(len(part) - 1))))
        heading = end
    return BentLine(np.concatenate(lengths), np.concatenate(curvatures), np.concatenate(corners))


def bent_more(line: BentLine, factor: float) -> BentLine:
    """Return the line with every bend and corner turned further by a factor, lengths held."""
    return replace(line, curvatures=line.curvatures * factor, corners=line.corners * factor)


def steepest(line: BentLine) -> float:
    """Return the greatest slope (radians) of a line whose chord lies level, sharp valleys shared evenly.

    >>> steepest(BentLine(np.array([math.pi]), np.array([-1.0]), np.array([math.pi / 2]))) == math.pi / 2
    True
    """
    after = np.cumsum(line.corners + line.lengths * line.curvatures)
    before = np.concatenate(([0.0], after[:-1])) + line.corners
    return float(max(np.abs(before).max(), np.abs(after).max()))


def sprung(line: BentLine, spring: Spring) -> BentLine:
    """Return the line as it springs free; a corner is a bend of no radius and stays as it is."""
    return replace(line, curvatures=sprung_curvatures(line.curvatures, spring))


def shape_of(line: BentLine) -> Shape:
    """Walk the line and measure it.

    >>> half_round = BentLine(np.array([math.pi]), np.array([-1.0]), np.array([math.pi / 2]))
    >>> shape = shape_of(half_round)
    >>> round(shape.pitch, 12), round(shape.depth, 12), round(shape.turn, 12) + 0.0
    (2.0, 1.0, 0.0)
    """
    x, y, last = _walked(line)
    pitch = math.hypot(x[-1], y[-1])
    over = (x[-1] * y - y[-1] * x) / pitch
    return Shape(pitch, float(over.max()), float(last + line.corners[0]))


def line_points(line: BentLine) -> Floats:
    """Return points along the line, mm, shape (n, 2), turned so that both its ends lie level.

    >>> half_round = BentLine(np.array([math.pi]), np.array([-1.0]), np.array([math.pi / 2]))
    >>> line_points(half_round)[[0, 32, -1]].round(9).tolist()
    [[0.0, 0.0], [1.0, 1.0], [2.0, 0.0]]
    """
    x, y, _ = _walked(line)
    pitch = math.hypot(x[-1], y[-1])
    cos, sin = x[-1] / pitch, y[-1] / pitch
    return np.column_stack([x * cos + y * sin, y * cos - x * sin])


def _walked(line: BentLine) -> tuple[Floats, Floats, float]:
    """Return x, y (mm) along the line, and the heading (radians) at its end."""
    parts = np.repeat(line.lengths / _STEPS, _STEPS)
    turns = np.repeat(line.lengths * line.curvatures / _STEPS, _STEPS)
    corners = np.zeros(len(parts))
    corners[::_STEPS] = line.corners
    before = np.cumsum(corners) + np.concatenate(([0.0], np.cumsum(turns)[:-1]))
    chords = parts * np.sinc(turns / (2 * math.pi))  # numpy's sinc is sin(πx)/(πx)
    middle = before + turns / 2
    x = np.concatenate(([0.0], np.cumsum(chords * np.cos(middle))))
    y = np.concatenate(([0.0], np.cumsum(chords * np.sin(middle))))
    return x, y, float(before[-1] + turns[-1])
