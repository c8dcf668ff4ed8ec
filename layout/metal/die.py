"""Where to start with the die: punch, groove, spacing, and what the metal's yield does to them.

The face is formed one scallop a stroke, crests pressed down into grooves. Two ways of working:

- `FREE`: the tool bends further than drawn and the metal springs back to the drawing;
- `BOTTOMED`: the tool squeezes the metal to its own shape, which is then the drawing's (assumed: all of it).

Formed free, the developed length is held part by part and every bend is held tighter than drawn. Where
crest and valley are alike, each part is held so that it springs to its own drawn bend: the scallop finishes
as drawn. Where they are not, a flat die can turn the line further only by one factor, the crest's Rf/R0
(`springback`): the crest comes out as drawn, a valley of another radius opens by another share, and what that
leaves turns each scallop from the last. The sheet curls, and pitch and depth may finish off the drawing; no
punch, stroke and spacing bring both back, so the plan says what to expect.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from layout.metal.bends import BentLine, bent_line_of, bent_more, shape_of, sprung, steepest
from layout.metal.metals import Metal
from layout.metal.profile import Profile, both
from layout.metal.springback import Spring, loaded_curvatures, loaded_radius, ratio, spring_of, sprung_radius

FREE: Final = "formed free"
BOTTOMED: Final = "bottomed"

GROOVES: Final = 3
"""grooves of a step die: the new scallop and the two before it, struck again (common practice, no source)"""

MISSED_PITCH: Final = 0.001
"""share by which the pitch may finish off the drawing before a caution says so (assumed)"""

MISSED: Final = 0.005
"""share by which the depth may (assumed)"""

ALIKE: Final = 1e-9
"""share by which crest and valley radius of forms that have but one may differ"""

UPRIGHT: Final = 1e-9
"""share by which a flank may seem past upright from rounding alone"""

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


def forms_free(profile: Profile, metal: Metal) -> bool:
    """Tell whether a straight stroke can overbend a scallop enough: flanks upright at most, a punch that can be."""
    finished, t = profile.crest_radius or math.inf, profile.thickness
    crest = loaded_radius(finished, spring_of(metal, t))
    # A tool wraps at most half round: rounding must not refuse the scallop that it then gives.
    upright = math.pi / 2 * (1 + UPRIGHT)
    return steepest(held_line(profile, metal, FREE)) <= upright and crest > t / 2


def held_line(profile: Profile, metal: Metal, way: str) -> BentLine:
    """Return the scallop as the tool holds it, so that it finishes as drawn, or as nearly as a flat die can.

    Bottomed it is the drawing. See the module for what is held, formed free.
    """
    line = bent_line_of(profile)
    if way == BOTTOMED:
        return line
    spring, finished = spring_of(metal, profile.thickness), profile.crest_radius or math.inf
    if are_alike(profile):
        return replace(line, curvatures=loaded_curvatures(line.curvatures, spring))
    return bent_more(line, finished / loaded_radius(finished, spring))


def are_alike(profile: Profile) -> bool:
    """Tell whether crest and valley have one radius, so that both open by one share."""
    crest, valley = profile.crest_radius, profile.valley_radius
    return crest is not None and valley is not None and abs(crest - valley) <= ALIKE * crest


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
    loaded = held_line(profile, metal, way)
    held = shape_of(loaded)
    curl = _curl(profile, loaded, spring, crest) if way == FREE else None
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
        outcomes=_outcomes(profile, loaded, metal, way),
        curl=curl,
        cautions=tuple(_cautions(profile, crest, steepest(loaded))),
    )


def _outcomes(profile: Profile, loaded: BentLine, metal: Metal, way: str) -> tuple[Outcome, Outcome, Outcome]:
    """Return what the same die makes of soft, planned and hard metal."""
    finished = profile.crest_radius or math.inf
    crest = loaded_radius(finished, spring_of(metal, profile.thickness)) if way == FREE else finished
    low, planned, high = (
        _outcome(profile, loaded, spring_of(metal, profile.thickness, stress), crest, way)
        for stress in (metal.yield_low, metal.yield_, metal.yield_high)
    )
    return low, planned, high


def _outcome(profile: Profile, loaded: BentLine, spring: Spring, crest: float, way: str) -> Outcome:
    t, finished = profile.thickness, profile.crest_radius or math.inf
    if way == BOTTOMED:
        return Outcome(spring.yield_, profile.pitch, profile.depth, finished, max(finished - t / 2, 0.0))
    free = shape_of(sprung(loaded, spring))
    punch = max(loaded_radius(finished, spring) - t / 2, 0.0)
    return Outcome(spring.yield_, free.pitch, free.depth, sprung_radius(crest, spring), punch)


def _curl(profile: Profile, loaded: BentLine, spring: Spring, crest: float) -> Curl | None:
    """Return the curl of the sheet, or None where crest and valley open alike."""
    share = crest / (profile.crest_radius or crest)
    free = shape_of(sprung(loaded, spring))
    if are_alike(profile) or abs(free.turn) <= CURLED:
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


def misses(profile: Profile, pitch: float, depth: float) -> bool:
    """Tell whether a pitch or depth (mm) is so far off the drawn one that it must be said."""
    off = abs(pitch / profile.pitch - 1) > MISSED_PITCH
    return off or abs(depth / profile.depth - 1) > MISSED


def _cautions(profile: Profile, crest: float, flank: float) -> list[str]:
    """Say what stops the die; what it misses and how the sheet curls is said in the job's units by its pages."""
    found = []
    if flank > math.pi / 2 * (1 + UPRIGHT):
        found.append(
            f"in the tool the flanks would stand at {math.degrees(flank):.0f}°, past upright: a straight "
            "stroke cannot form it; make the scallop shallower, or bottom it"
        )
    if crest <= profile.thickness / 2:
        found.append(
            f"the crest would have to be bent to {both(crest)} at mid-metal, under half the metal's "
            "thickness: no punch does"
        )
    return found
