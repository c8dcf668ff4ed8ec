"""The forms `arc` and `arc-flat`: one arc a pitch, with or without a flat in the valley.

`arc` is `arc-flat` without its flat. A rounded valley keeps pitch and depth: an arc of `valley_radius`
(mid-metal) stands level at the middle of the valley (or at the end of the flat) and touches the crest
arc where the flank is steepest. From (w/2)² + (d − R)² = R², R = r + v, the two radii add up to the
radius R = (w²/4 + d²)/(2d) of the sharp-valleyed arc over the same width w, and the flank's slope stays
φ = 2·atan(2d/w).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from layout.errors import Fault, JobFaults
from layout.job.model import ScallopSpec
from layout.metal.profile import Profile, both, profile_of
from layout.metal.rounds import arc_radius, rounded_arc, valley_radius_fault


def build_arc(spec: ScallopSpec, thickness: float) -> Profile:
    """Build one arc a pitch; sharp valleys, or rounded by `valley_radius`.

    Raises
    ------
    JobFaults
        Deeper than half the pitch, or a valley radius that leaves no crest.
    """
    return _build(replace(spec, flat=0.0), thickness)


def build_arc_flat(spec: ScallopSpec, thickness: float) -> Profile:
    """Build an arc and a flat a pitch; half the flat at each end, so that a seam falls in its middle.

    Raises
    ------
    JobFaults
        No flat, one as long as the pitch, the arc beside it deeper than half its width, or a valley
        radius that leaves no crest.
    """
    return _build(spec, thickness)


def _build(spec: ScallopSpec, thickness: float) -> Profile:
    faults = tuple(_faults(spec, thickness))
    if faults:
        raise JobFaults(faults)
    flat = spec.flat or 0.0
    chord = spec.pitch - flat
    pieces = rounded_arc(chord, spec.depth, spec.valley_radius, flat)
    crest = arc_radius(chord, spec.depth) - (spec.valley_radius or 0.0)
    return profile_of(spec.form, (spec.pitch, spec.depth), pieces, thickness, (crest, spec.valley_radius), flat)


def _faults(spec: ScallopSpec, thickness: float) -> Iterator[Fault]:
    if spec.flat is None:
        yield Fault("scallop.flat", "", "an arc-flat form needs its flat", "Give flat, at least 0 and under the pitch")
        return
    if not 0 <= spec.flat < spec.pitch:
        yield Fault(
            "scallop.flat",
            both(spec.flat),
            "the flat is at least 0 and leaves room for an arc in the pitch",
            f"Give a flat under the pitch of {both(spec.pitch)}, at most "
            f"{both(max(spec.pitch - 2 * spec.depth, 0.0))} for this depth",
        )
        return
    chord = spec.pitch - spec.flat
    if spec.depth > chord / 2:
        beside = "the pitch" if spec.flat == 0 else "what the flat leaves of the pitch"
        yield Fault(
            "scallop.depth",
            both(spec.depth),
            f"an arc is at most half as deep as it is wide, half of {beside}",
            f"Give a depth of at most {both(chord / 2)}, or a pitch of at least {both(2 * spec.depth + spec.flat)}",
        )
        return
    fault = valley_radius_fault(spec.valley_radius, arc_radius(chord, spec.depth), thickness)
    if fault:
        yield fault


def arc_on_tool(spec: ScallopSpec, thickness: float, crest: float, most_turn: float) -> ScallopSpec:
    """Return the arc or arc-flat that a crest of another radius makes of the drawn one.

    The pitch, the flat and the valley radius are held and the depth follows; where the arc would go
    past `most_turn` a flank, the pitch gives way.

    Parameters
    ----------
    thickness
        mm; unused, as both radii stand at mid-metal.
    crest
        Finished crest radius at mid-metal, mm.
    most_turn
        Steepest flank that the tool can leave, radians.
    """
    del thickness
    flat = spec.flat or 0.0 if spec.form == "arc-flat" else 0.0
    whole = crest + (spec.valley_radius or 0.0)
    chord = min(spec.pitch - flat, 2 * whole * math.sin(min(most_turn, math.pi / 2)))
    slope = math.asin(min(chord / (2 * whole), 1.0))
    return replace(spec, pitch=chord + flat, depth=chord / 2 * math.tan(slope / 2))
