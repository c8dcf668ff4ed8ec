"""The form `arc-tangent`: crest and valley arcs of one inside radius, joined by tangent straights.

Inside is the concave side of the metal: the crest's back and the valley's front, so at mid-metal the
radius is r = radius + t/2. The centres lie p/2 apart along the face and d − 2r across it, D from each other;
the flank is their inner common tangent: length √(D² − 4r²), slope atan2(d − 2r, p/2) + asin(2r/D).
"""

from __future__ import annotations

import math
from dataclasses import replace

from layout.errors import Fault, JobFaults
from layout.job.model import ScallopSpec
from layout.metal.profile import Profile, both, profile_of
from layout.metal.rounds import alike, arc_radius


def build_arc_tangent(spec: ScallopSpec, thickness: float) -> Profile:
    """Build crest and valley arcs of inside radius `radius` with tangent straights between.

    Raises
    ------
    JobFaults
        No radius, or one too large for the pitch and depth.
    """
    inside = spec.radius
    most = largest_inside_radius(spec.pitch, spec.depth, thickness)
    if inside is None or not 0 <= inside <= most * (1 + 1e-12):
        raise JobFaults([_radius_fault(inside, most, spec)])
    radius = inside + thickness / 2
    slope = flank_slope(spec.pitch, spec.depth, radius)
    pieces = alike(spec.pitch, spec.depth, radius, slope)
    return profile_of(spec.form, (spec.pitch, spec.depth), pieces, thickness, (radius, radius))


def _radius_fault(inside: float | None, most: float, spec: ScallopSpec) -> Fault:
    if most < 0:
        remedy = f"This metal is too thick for a pitch of {both(spec.pitch)} and a depth of {both(spec.depth)}"
    else:
        remedy = f"Give an inside radius from 0 to {both(most)}"
    return Fault(
        "scallop.radius",
        "" if inside is None else both(inside),
        "crest and valley arcs of one inside radius must be given and leave room for straights between them",
        remedy,
    )


def largest_inside_radius(pitch: float, depth: float, thickness: float) -> float:
    """Return the greatest inside radius (mm) of a pitch and depth; negative where none will do.

    Crest and valley arcs touch at mid-metal radius (p²/4 + d²)/(4d), arcs of one side at (p − t)/2.

    >>> largest_inside_radius(2.0, 1.0, 0.0)
    0.5
    """
    return min(arc_radius(pitch, depth) / 2, (pitch - thickness) / 2) - thickness / 2


def flank_slope(pitch: float, depth: float, radius: float) -> float:
    """Return the slope (radians) of the straight between arcs of a mid-metal radius, mm.

    >>> math.degrees(flank_slope(2.0, 1.0, 0.0))
    45.0
    """
    along, across = pitch / 2, depth - 2 * radius
    return math.atan2(across, along) + math.asin(min(2 * radius / math.hypot(along, across), 1.0))


def arc_tangent_on_tool(spec: ScallopSpec, thickness: float, crest: float, most_turn: float) -> ScallopSpec:
    """Return the arc-tangent that arcs of another radius make of the drawn one: pitch and depth held.

    Where the radius leaves no straight between the arcs, or the flank would pass `most_turn`, the depth
    gives way.

    Parameters
    ----------
    thickness
        mm.
    crest
        Finished radius at mid-metal, mm, of crest and valley alike.
    most_turn
        Steepest flank that the tool can leave, radians.
    """
    held = replace(spec, radius=crest - thickness / 2)
    most = largest_inside_radius(spec.pitch, spec.depth, thickness)
    if crest - thickness / 2 <= most and flank_slope(spec.pitch, spec.depth, crest) <= most_turn:
        return held
    pitch = min(spec.pitch, 4 * crest * math.sin(min(most_turn, math.pi / 2)))
    touching = math.asin(min(pitch / (4 * crest), 1.0))
    return replace(held, pitch=pitch, depth=pitch / 2 * math.tan(touching / 2))
