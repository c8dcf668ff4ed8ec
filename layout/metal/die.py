"""Where to start with the die: punch, groove, spacing, and what the metal's yield does to them.

The face is formed one scallop a stroke, crests pressed down into grooves. Two ways of working:

- `FREE`: the tool bends further than drawn and the metal springs back to the drawing;
- `BOTTOMED`: the tool squeezes the metal to its own shape, which is then the drawing's (assumed: all of it).

Formed free, the whole line is bent further by one factor, the crest's Rf/R0 (`springback`), with the
developed length held part by part. So the die itself is flat, and the crest comes out as drawn. A valley
of another radius opens by another share; what that leaves turns each scallop from the last, and the sheet
curls.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from layout.metal.bends import Shape, bent_line_of, bent_more, shape_of, sprung
from layout.metal.metals import Metal
from layout.metal.profile import Profile, both
from layout.metal.springback import Spring, loaded_radius, ratio, spring_of, sprung_radius

FREE: Final = "formed free"
BOTTOMED: Final = "bottomed"

GROOVES: Final = 3
"""grooves of a step die: the new scallop and the two before it, struck again (common practice, no source)"""

MISSED: Final = 0.005
"""share by which pitch or depth may finish off the drawing before a caution says so (assumed)"""

CURLED: Final = 1e-6
"""radians a scallop under which a sheet counts as straight"""


@dataclass(frozen=True)
class Outcome:
    """What the die makes of metal of one yield."""

    yield_: float
    """MPa"""
    pitch: float
    """mm, free"""
    depth: float
    """mm, free"""
    crest_radius: float
    """mm at mid-metal, free"""
    punch_radius: float
    """mm, of the punch that this yield would ask for"""


@dataclass(frozen=True)
class Curl:
    """What a sheet does when its crests and valleys open differently."""

    radius: float
    """mm, of the circle through the valleys"""
    hollow: bool
    """the face comes out hollow (valleys stay tighter); otherwise round"""
    flat_valley_radius: float
    """mm at mid-metal: a valley of the crest's own radius opens as the crest does, and the sheet lies flat"""
    flat_stroke: float | None
    """mm by which the stroke must go deeper (negative: less deep) on the same punch for crest and valley to
    finish alike; None where no stroke does"""


@dataclass(frozen=True)
class Die:
    """A die to start with; the first-off decides."""

    way: str
    """FREE or BOTTOMED"""
    punch_radius: float
    """mm, of the tool's own surface on the crest's inside"""
    groove_radius: float
    """mm, of the groove's surface on the crest's outside"""
    ridge_radius: float | None
    """mm, of the ridge between grooves, on the valley's inside; None where the valley is sharp or flat"""
    crest_radius: float
    """mm at mid-metal, in the tool"""
    springback_ratio: float
    """R0/Rf of the crest, 1 where nothing springs"""
    loaded_pitch: float
    """mm, in the tool"""
    loaded_depth: float
    opening: float
    """mm, width of the groove between its ridges, for the press"""
    finished_pitch: float
    """mm, free, at the yield planned with"""
    spacing: float
    """mm from groove to groove"""
    grooves: int
    nesting: tuple[float, ...]
    """mm by which free scallops overreach the second, third… groove before the stroke closes them"""
    feed: float
    """mm of flat metal a stroke"""
    outcomes: tuple[Outcome, Outcome, Outcome]
    """at the softest yield, the one planned with, the hardest"""
    curl: Curl | None
    cautions: tuple[str, ...]


def die_for(profile: Profile, metal: Metal, way: str = FREE, grooves: int = GROOVES) -> Die:
    """Work out the die for a finished scallop.

    Parameters
    ----------
    profile
        The scallop as it must finish.
    metal
        With its band of yields.
    way
        FREE or BOTTOMED.
    grooves
        In the die, at least 1.

    Raises
    ------
    ValueError
        For another way of working, no groove, or a profile without a crest radius.
    """
    if way not in (FREE, BOTTOMED) or grooves < 1 or profile.crest_radius is None:
        raise ValueError(f"no die is worked out for {way!r} with {grooves} grooves over {profile.form}")
    t, finished = profile.thickness, profile.crest_radius
    spring = spring_of(metal, t)
    crest = loaded_radius(finished, spring) if way == FREE else finished
    share = crest / finished
    loaded = bent_more(bent_line_of(profile), 1 / share)
    held = shape_of(loaded)
    curl = _curl(profile, spring, crest) if way == FREE else None
    free = shape_of(sprung(loaded, spring)) if way == FREE else held
    ridge = None if profile.valley_radius is None else max(profile.valley_radius * share - t / 2, 0.0)
    return Die(
        way=way,
        punch_radius=max(crest - t / 2, 0.0),
        groove_radius=crest + t / 2,
        ridge_radius=ridge,
        crest_radius=crest,
        springback_ratio=share,
        loaded_pitch=held.pitch,
        loaded_depth=held.depth,
        opening=held.pitch - profile.flat,
        finished_pitch=free.pitch,
        spacing=held.pitch,
        grooves=grooves,
        nesting=tuple(place * (free.pitch - held.pitch) for place in range(1, grooves)),
        feed=profile.developed,
        outcomes=_outcomes(profile, metal, crest, way),
        curl=curl,
        cautions=tuple(_cautions(profile, crest, profile.steepest / share, free, curl)),
    )


def _outcomes(profile: Profile, metal: Metal, crest: float, way: str) -> tuple[Outcome, Outcome, Outcome]:
    """Return what the same die makes of soft, planned and hard metal."""
    low, planned, high = (
        _outcome(profile, spring_of(metal, profile.thickness, stress), crest, way)
        for stress in (metal.yield_low, metal.yield_, metal.yield_high)
    )
    return low, planned, high


def _outcome(profile: Profile, spring: Spring, crest: float, way: str) -> Outcome:
    t, finished = profile.thickness, profile.crest_radius or math.inf
    if way == BOTTOMED:
        return Outcome(spring.yield_, profile.pitch, profile.depth, finished, max(finished - t / 2, 0.0))
    free = shape_of(sprung(bent_more(bent_line_of(profile), finished / crest), spring))
    punch = max(loaded_radius(finished, spring) - t / 2, 0.0)
    return Outcome(spring.yield_, free.pitch, free.depth, sprung_radius(crest, spring), punch)


def _curl(profile: Profile, spring: Spring, crest: float) -> Curl | None:
    """Return the curl of the sheet, or None where crest and valley open alike."""
    share = crest / (profile.crest_radius or crest)
    free = shape_of(sprung(bent_more(bent_line_of(profile), 1 / share), spring))
    if abs(free.turn) <= CURLED:
        return None
    valley = 0.0 if profile.valley_radius is None else profile.valley_radius * share
    return Curl(
        radius=free.curl_radius,
        hollow=free.turn > 0,
        flat_valley_radius=flat_valley_radius(profile),
        flat_stroke=_flat_stroke(profile.steepest / share, crest, ratio(valley / spring.unit) / share),
    )


def flat_valley_radius(profile: Profile) -> float:
    """Return the valley radius (mm at mid-metal) with which crest and valley of a form are alike.

    Crest and rounded valley share the radius of the sharp-valleyed arc, so each takes half.
    """
    return ((profile.crest_radius or 0.0) + (profile.valley_radius or 0.0)) / 2


def _flat_stroke(flank: float, crest: float, more: float) -> float | None:
    """Return the stroke that turns the crest `more` times as far on the same punch; None past upright."""
    if flank * more > math.pi / 2:
        return None
    return crest * (math.cos(flank) - math.cos(flank * more))


def _cautions(profile: Profile, crest: float, flank: float, free: Shape, curl: Curl | None) -> list[str]:
    found = ["start here; springback follows the yield of the heat, and the first-off decides"]
    if flank > math.pi / 2:
        found.append(
            f"in the tool the flanks would stand at {math.degrees(flank):.0f}°, past upright: a straight "
            "stroke cannot form it; make the scallop shallower, or bottom it"
        )
    if crest <= profile.thickness / 2:
        found.append(
            f"the crest would have to be bent to {both(crest)} at mid-metal, under half the metal's "
            "thickness: no punch does"
        )
    if (
        abs(free.pitch - profile.pitch) > MISSED * profile.pitch
        or abs(free.depth - profile.depth) > MISSED * profile.depth
    ):
        found.append(
            f"flanks and valleys open by another share than the crest: it finishes {both(free.pitch)} by "
            f"{both(free.depth)}, drawn {both(profile.pitch)} by {both(profile.depth)}"
        )
    if curl is not None:
        found.append(
            "crests and valleys open differently: a free sheet curls "
            f"{'hollow' if curl.hollow else 'round'} on a radius of "
            f"{both(curl.radius)}; valleys of {both(curl.flat_valley_radius)} at mid-metal would lie flat"
        )
    return found
