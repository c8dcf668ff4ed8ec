"""The form `serpentine`: crest and valley arcs of one radius that touch where they bend over.

The flank's slope is φ = 2·atan(2d/p) and the radius p/(4·sin φ). Deeper than half the pitch the flanks
overhang and neighbouring arcs of a side draw together, until the metal touches at radius (p − t)/2.
"""

from __future__ import annotations

import math
from dataclasses import replace

from layout.errors import Fault, JobFaults
from layout.job.model import ScallopSpec
from layout.metal.profile import Profile, both, profile_of
from layout.metal.rounds import alike, arc_radius, half_turn


def build_serpentine(spec: ScallopSpec, thickness: float) -> Profile:
    """Build crest and valley arcs of one radius, tangent to each other.

    Raises
    ------
    JobFaults
        So deep that neighbouring arcs overlap, or so thick that an inside radius vanishes.
    """
    radius = arc_radius(spec.pitch, spec.depth) / 2
    slope = half_turn(spec.pitch, spec.depth)
    deepest = deepest_serpentine(spec.pitch, thickness)
    if not spec.depth <= deepest:
        raise JobFaults(
            [
                Fault(
                    "scallop.depth",
                    both(spec.depth),
                    f"serpentine arcs of one side must not overlap with metal {both(thickness)} thick",
                    f"Give a depth of at most {both(deepest)} for a pitch of {both(spec.pitch)}",
                )
            ]
        )
    pieces = alike(spec.pitch, spec.depth, radius, slope)
    return profile_of(spec.form, (spec.pitch, spec.depth), pieces, thickness, (radius, radius))


def deepest_serpentine(pitch: float, thickness: float) -> float:
    """Return the depth (mm) at which arcs of one side touch; 0 where the metal is thicker than that.

    There the radius is (p − t)/2, so sin φ = p/(2(p − t)) with φ past a right angle, and d = p/2·tan(φ/2).

    >>> round(deepest_serpentine(1.0, 0.0), 9) == round(0.5 * math.tan(math.radians(75)), 9)
    True
    >>> deepest_serpentine(1.0, 0.6)
    0.0
    """
    if pitch < 2 * thickness:
        return 0.0
    slope = math.pi - math.asin(pitch / (2 * (pitch - thickness)))
    return pitch / 2 * math.tan(slope / 2)


def serpentine_on_tool(spec: ScallopSpec, thickness: float, crest: float, most_turn: float) -> ScallopSpec:
    """Return the serpentine that arcs of another radius make of the drawn one.

    The pitch is held and the depth follows; where the arcs would go past `most_turn` a flank, the pitch
    gives way.

    Parameters
    ----------
    thickness
        mm; unused, as the radius stands at mid-metal.
    crest
        Finished radius at mid-metal, mm, of crest and valley alike.
    most_turn
        Steepest flank that the tool can leave, radians.
    """
    del thickness
    pitch = min(spec.pitch, 4 * crest * math.sin(min(most_turn, math.pi / 2)))
    slope = math.asin(min(pitch / (4 * crest), 1.0))
    return replace(spec, pitch=pitch, depth=pitch / 2 * math.tan(slope / 2))
