"""How far a bend opens when it leaves the tool, and how far to overbend it.

Gardiner's cubic, R0/Rf = 4x³ − 3x + 1 = (x + 1)(2x − 1)² with x = R0·Y/(E·t): R0 the radius in the tool,
Rf the radius once free, Y yield. Source: F. J. Gardiner, Trans. ASME 79 (1957) (from memory; factor form
read). It holds for x < 1/2; at x = 1/2 the bend was only elastic and returns flat, and R0 is then the
natural bend radius of a flat strip, E·t/(2Y). Radii here are at mid-metal; the developed length does not
change.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from layout.metal.metals import Metal
from layout.metal.pieces import Floats


@dataclass(frozen=True)
class Spring:
    """What springback lives on: one yield, modulus and thickness."""

    yield_: float
    """MPa"""
    modulus: float
    """MPa"""
    thickness: float
    """mm"""

    def __post_init__(self) -> None:
        if not (self.yield_ > 0 and self.modulus > 0 and self.thickness > 0):
            raise ValueError(f"yield, modulus and thickness must be above 0: {self}")

    @property
    def unit(self) -> float:
        """Radius (mm) at which x = 1: E·t/Y."""
        return self.modulus * self.thickness / self.yield_

    @property
    def elastic_radius(self) -> float:
        """Loaded radius (mm) that returns flat: E·t/(2Y)."""
        return self.unit / 2


def spring_of(metal: Metal, thickness: float, yield_: float | None = None) -> Spring:
    """Return the spring of a metal, at the yield planned with or another one (MPa)."""
    return Spring(metal.yield_ if yield_ is None else yield_, metal.modulus, thickness)


def ratio(x: float) -> float:
    """Return R0/Rf at x = R0·Y/(E·t); 0 from x = 1/2 on, where the bend returns flat.

    >>> ratio(0.0), ratio(0.5), ratio(0.7)
    (1.0, 0.0, 0.0)
    """
    return (x + 1) * (2 * x - 1) ** 2 if x < 0.5 else 0.0


def sprung_radius(loaded: float, spring: Spring) -> float:
    """Return the free radius (mm at mid-metal) of a bend held at a loaded one; infinite if it returns flat.

    >>> steel = Spring(yield_=40e3, modulus=29e6, thickness=0.0359)
    >>> round(sprung_radius(0.5, steel), 3)
    0.531
    >>> sprung_radius(steel.elastic_radius, steel)
    inf
    """
    share = ratio(loaded / spring.unit)
    return loaded / share if share > 0 else math.inf


def loaded_radius(finished: float, spring: Spring) -> float:
    """Return the radius (mm at mid-metal) to bend to, so that it springs to a finished one.

    Solves 4x³ − (3 + 1/f)x + 1 = 0, f = Rf·Y/(E·t), for its middle root, the one under 1/2 (trigonometric
    form of the cubic, then one Newton step for the last digits).

    >>> steel = Spring(yield_=40e3, modulus=29e6, thickness=0.0359)
    >>> round(loaded_radius(sprung_radius(0.5, steel), steel), 12)
    0.5
    >>> loaded_radius(math.inf, steel) == steel.elastic_radius
    True

    Raises
    ------
    ValueError
        For a radius that is not above 0.
    """
    if not finished > 0:
        raise ValueError(f"a finished radius must be above 0, got {finished}")
    if math.isinf(finished):
        return spring.elastic_radius
    linear = 3 + spring.unit / finished
    scale = math.sqrt(linear / 3)
    x = scale * math.cos(math.acos(-1 / scale**3) / 3 - 2 * math.pi / 3)
    x -= (4 * x**3 - linear * x + 1) / (12 * x**2 - linear)
    return x * spring.unit


def sprung_curvatures(loaded: Floats, spring: Spring) -> Floats:
    """Return free curvatures (1/mm, signed) of parts held at loaded ones; flat where only elastic.

    >>> steel = Spring(yield_=40e3, modulus=29e6, thickness=0.0359)
    >>> sprung_curvatures(np.array([0.0, -2.0]), steel).round(3) + 0.0
    array([ 0.   , -1.885])
    """
    bend = np.abs(loaded)
    x = np.full_like(bend, 0.5)
    np.divide(1.0, bend * spring.unit, out=x, where=bend * spring.unit > 2.0)
    return np.asarray(loaded * (x + 1) * (2 * x - 1) ** 2, dtype=np.float64)


def loaded_curvatures(finished: Floats, spring: Spring) -> Floats:
    """Return the curvatures (1/mm, signed) to hold parts at, so that each springs to a finished one.

    A part that finishes flat is not bent; the least bend is held at the elastic limit. The cubic is that of
    `loaded_radius`, part by part.

    >>> steel = Spring(yield_=40e3, modulus=29e6, thickness=0.0359)
    >>> sprung_curvatures(loaded_curvatures(np.array([0.0, -1.885, 0.3]), steel), steel).round(9) + 0.0
    array([ 0.   , -1.885,  0.3  ])
    """
    linear = 3 + spring.unit * np.abs(finished)
    scale = np.sqrt(linear / 3)
    x = scale * np.cos(np.arccos(-1 / scale**3) / 3 - 2 * math.pi / 3)
    np.subtract(x, (4 * x**3 - linear * x + 1) / (12 * x**2 - linear), out=x, where=linear > 3)
    return np.asarray(np.sign(finished) / (x * spring.unit), dtype=np.float64)


def opening_share(loaded: float, spring: Spring) -> float:
    """Return the share of first yield at which a formed bend sets when it is opened further.

    Bent to R0 by a moment M, an elastic-plastic strip keeps an elastic core of ξ = 2x of its thickness and
    M = 1.5·My·(1 − ξ²/3). Let go, its surfaces keep Y − M/My·Y = −Y·(1 − ξ²)/2, already strained the way in
    which opening strains them: (1 + ξ²)/2 of yield is left. Closing has more than all of it left.
    Source: elastic-plastic bending of a rectangular section (textbook; derived), no hardening (assumed).

    Parameters
    ----------
    loaded
        mm at mid-metal, the radius in the tool.

    Examples
    --------
    >>> steel = Spring(yield_=40e3, modulus=29e6, thickness=0.0359)
    >>> opening_share(steel.elastic_radius, steel), round(opening_share(0.001, steel), 3)
    (1.0, 0.5)
    """
    core = min(2 * loaded / spring.unit, 1.0)
    return (1 + core**2) / 2


def bend_allowance(angle: float, inside: float, thickness: float, share: float = 0.5) -> float:
    """Return the flat length (mm) that a bend takes: angle·(inside radius + share·thickness).

    Share is where the unstretched line lies: 0.5 (mid-metal, as all profiles here) for inside radii of twice
    the thickness or more, 0.33 for tighter ones (Groover; factors read).

    Examples
    --------
    >>> round(bend_allowance(math.radians(60), 4.75, 3.2, share=0.33), 2)
    6.08
    """
    return angle * (inside + share * thickness)
