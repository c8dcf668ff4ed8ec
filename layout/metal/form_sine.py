"""The form `sine`: y = depth/2·(1 − cos(2πx/pitch))."""

from __future__ import annotations

import math
from dataclasses import replace

from layout.job.model import ScallopSpec
from layout.metal.pieces import Sine
from layout.metal.profile import Profile, profile_of


def build_sine(spec: ScallopSpec, thickness: float) -> Profile:
    """Build one sine wave a pitch; crest and valley are bent to p²/(2π²d) at their very middle."""
    radius = tip_radius(spec.pitch, spec.depth)
    wave = Sine(spec.pitch, spec.depth)
    return profile_of(spec.form, (spec.pitch, spec.depth), (wave,), thickness, (radius, radius))


def tip_radius(pitch: float, depth: float) -> float:
    """Return the radius (mm) at the tip of a sine wave: 1/(½·d·(2π/p)²).

    >>> tip_radius(math.pi, 0.5)
    1.0
    """
    return pitch**2 / (2 * math.pi**2 * depth)


def sine_on_tool(spec: ScallopSpec, thickness: float, crest: float, most_turn: float) -> ScallopSpec:
    """Return the sine that a tip of another radius makes of the drawn one: pitch held, depth follows.

    Parameters
    ----------
    thickness, most_turn
        Unused: a sine's flank never stands upright.
    crest
        Finished crest radius at mid-metal, mm.
    """
    del thickness, most_turn
    return replace(spec, depth=spec.pitch**2 / (2 * math.pi**2 * crest))
