"""Workings of the die page."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from layout.face.forming import Forming, StockTool
from layout.face.plan import Plan
from layout.metal.die import FREE, Die
from layout.metal.forms import build_profile
from layout.metal.profile import Profile
from layout.metal.springback import Spring, spring_of
from layout.paper.workings_rows import Units, Working, number

GARDINER: Final = "Gardiner, Trans. ASME 79 (1957), from memory"
SINE_LENGTH: Final = "∫₀ᵖ √(1 + (π·d/p)²·sin²(2·π·x/p)) dx"
"""arc length of a sine over a pitch; no closed form, any rule of quadrature does"""
PITCH: Final = "√(X² + Y²), X = ∫₀ˢ cos(θ) ds, Y = ∫₀ˢ sin(θ) ds"
"""pitch of a line by its slope θ, end to end"""
DEPTH: Final = "max of (X·y − Y·x)/√(X² + Y²), x = ∫ cos(θ) ds, y = ∫ sin(θ) ds"
"""its depth: the crest over the chord from (0, 0) to (X, Y)"""
INTEGRALS: Final = (SINE_LENGTH, PITCH, DEPTH)
_LENGTHS: Final = "geometry: lengths held, every turn larger by Rf/R0"
_SINE: Final = "lengths held; θ sums the bends 1/R0, each R0 the root of Rf·(4·x³ − 3·x + 1), 1/Rf the sine's own bend"


def die_workings(plan: Plan, forming: Forming, units: Units) -> Iterator[Working]:
    """Yield the workings of the die page."""
    die = forming.die
    yield from _tool_radii(plan, forming, die, units)
    yield from _loaded(plan, die, units)
    yield from _outcomes(plan, forming, units)
    yield from _curl(plan, forming, units)
    for k, off in enumerate(die.nesting, 2):
        inputs = units.lengths(a=die.finished_pitch, b=die.spacing)
        source = "free scallops beside grooves, from the first"
        yield Working(f"nesting error, groove {k}", f"{k - 1}·(a − b)", inputs, off / units.mm, units.length, source)
    yield _feed(plan, units)
    strokes = {"n": float(sum(p.scallops for p in plan.panels)), "l": float(sum(p.lapped for p in plan.panels))}
    yield Working("strokes", "n + l", strokes, float(forming.strokes_in_all), "", "one a scallop, laps included")
    if forming.other is not None:
        yield from _tool_radii(plan, forming, forming.other, units, f"{forming.other.way}: ")
        yield from _loaded(plan, forming.other, units, f"{forming.other.way}: ")
    yield from _drawn(forming, units)
    for tool in forming.stock:
        yield from tool_workings(plan, forming, tool, units)


def _feed(plan: Plan, units: Units) -> Working:
    """Return the working of the feed: of a sine its arc length, unless that was measured."""
    profile = plan.scallop.profile
    flat = profile.developed / units.mm
    if profile.form == "sine" and plan.job.scallop.developed is None:
        given = units.lengths(p=profile.pitch, d=profile.depth)
        return Working("feed", SINE_LENGTH, given, flat, units.length, "arc length of the sine")
    return Working("feed", "S", {"S": flat}, flat, units.length, "developed length of a scallop")


def _tool_radii(plan: Plan, forming: Forming, die: Die, units: Units, name: str = "") -> Iterator[Working]:
    """Yield crest, punch, groove and ridge of a die."""
    profile = plan.scallop.profile
    spring = spring_of(forming.metal, profile.thickness)
    x = die.crest_radius / spring.unit
    t = profile.thickness / units.mm
    metal = {"E": forming.metal.modulus / units.mpa, "t": t, "Y": forming.metal.yield_ / units.mpa}
    r0, rf = die.crest_radius / units.mm, (profile.crest_radius or math.inf) / units.mm
    if die.way == FREE:
        source = "x < 1/2: under the elastic limit"
        yield Working(f"{name}x, share of E·t/Y", "R0·Y/(E·t)", {"R0": r0, **metal}, x, "", source)
        source = f"{GARDINER}; R0 is the root under 1/2 of this and the line above"
        yield Working(
            f"{name}crest R0 in the tool", "Rf·(4·x³ − 3·x + 1)", {"Rf": rf, "x": x}, r0, units.length, source
        )
    else:
        source = "bottomed: nothing springs (assumed)"
        yield Working(f"{name}crest R0 in the tool", "Rf", {"Rf": rf}, r0, units.length, source)
    inputs = {"R0": r0, "t": t}
    punch, groove = die.punch_radius / units.mm, die.groove_radius / units.mm
    yield Working(f"{name}punch radius", "R0 − t/2", inputs, punch, units.length, "half the metal inside")
    yield Working(f"{name}punch diameter", "2·r", {"r": punch}, 2 * punch, units.length, "twice the radius")
    yield Working(f"{name}groove radius", "R0 + t/2", inputs, groove, units.length, "half the metal outside")
    share = die.springback_ratio
    yield Working(f"{name}radius in tool / finished", "R0/Rf", {"R0": r0, "Rf": rf}, share, "", "by definition")
    valley = (profile.valley_radius or 0.0) * share / units.mm
    if die.ridge_radius is not None and valley > t / 2:
        inputs = {"v": valley, "t": t}
        source = "v: the drawn valley's radius × R0/Rf"
        yield Working(f"{name}ridge radius", "v − t/2", inputs, die.ridge_radius / units.mm, units.length, source)


def _flank_straight(profile: Profile) -> float:
    """Return the straight between crest and valley arcs, mm; 0 where they touch."""
    both = (profile.crest_radius or 0.0) + (profile.valley_radius or 0.0)
    left = (profile.pitch - profile.flat) / 2 - both * math.sin(profile.steepest)
    return left / math.cos(profile.steepest) if left > 1e-9 * profile.pitch else 0.0


def _loaded(plan: Plan, die: Die, units: Units, name: str = "") -> Iterator[Working]:
    """Yield pitch and depth in the tool: two arcs and a straight each side of the crest; a sine is walked."""
    profile = plan.scallop.profile
    pitch, depth = die.loaded_pitch / units.mm, die.loaded_depth / units.mm
    if profile.form == "sine":
        given = _sine_inputs(plan, units)
        source = _SINE if die.way == FREE else "bottomed: θ is the sine's own slope"
        yield Working(f"{name}loaded pitch = spacing", PITCH, given, pitch, units.length, source)
        yield Working(f"{name}loaded depth", DEPTH, given, depth, units.length, source)
        return
    valley = (profile.valley_radius or 0.0) * die.springback_ratio
    given = {
        "r": (die.crest_radius + valley) / units.mm,
        "φ": profile.steepest / die.springback_ratio,
        "L": _flank_straight(profile) / units.mm,
        "f": profile.flat / units.mm,
    }
    formula = "2·r·sin(φ) + 2·L·cos(φ) + f"
    source = f"{_LENGTHS}; r crest and valley radius together, φ flank in radians"
    yield Working(f"{name}loaded pitch = spacing", formula, given, pitch, units.length, source)
    given = {letter: given[letter] for letter in ("r", "φ", "L")}
    yield Working(f"{name}loaded depth", "r·(1 − cos(φ)) + L·sin(φ)", given, depth, units.length, _LENGTHS)


def _sine_inputs(plan: Plan, units: Units) -> dict[str, float]:
    """Return what a sine's slope follows from: pitch, depth, flat metal, and what springback lives on."""
    profile = plan.scallop.profile
    return units.lengths(p=profile.pitch, d=profile.depth, S=profile.developed, t=profile.thickness)


def _line_inputs(profile: Profile, share: float, units: Units) -> dict[str, float]:
    """Return radii in the tool, flank, straight and flat that a line of arcs is walked by; r crest, v valley."""
    given = units.lengths(
        r=(profile.crest_radius or 0.0) * share,
        v=(profile.valley_radius or 0.0) * share,
        L=_flank_straight(profile),
        f=profile.flat,
    )
    return {**given, "φ": profile.steepest / share}


def _outcomes(plan: Plan, forming: Forming, units: Units) -> Iterator[Working]:
    """Yield what the die makes of each yield: crest, the punch it asks for, pitch and depth."""
    die, profile = forming.die, plan.scallop.profile
    r0, t = die.crest_radius / units.mm, profile.thickness / units.mm
    for name, one in zip(("softest", "planned", "hardest"), die.outcomes, strict=True):
        crest = one.crest_radius / units.mm
        spring = Spring(one.yield_, forming.metal.modulus, profile.thickness)
        if die.way == FREE:
            x = die.crest_radius / spring.unit
            source = f"{GARDINER}; x = R0·Y/(E·t) at {number(one.yield_ / units.mpa)} {units.stress}"
            given = {"R0": r0, "x": x}
            yield Working(f"{name}: crest", "R0/(4·x³ − 3·x + 1)", given, crest, units.length, source)
            wanted = (one.punch_radius + profile.thickness / 2) / spring.unit
            given = {"Rf": (profile.crest_radius or 0.0) / units.mm, "x": wanted, "t": t}
            source = f"{GARDINER}; x is the root for this yield"
            formula = "Rf·(4·x³ − 3·x + 1) − t/2"
            yield Working(f"{name}: punch", formula, given, one.punch_radius / units.mm, units.length, source)
        given = _sine_inputs(plan, units)
        if profile.form != "sine":
            given = _line_inputs(profile, die.springback_ratio, units)
        shape = (one.pitch, one.depth, one.crest_radius)
        given = {**given, "E": forming.metal.modulus / units.mpa, "Y": one.yield_ / units.mpa}
        yield from _outcome_shape(profile, name, shape, given, units)


def _outcome_shape(
    profile: Profile, name: str, shape: tuple[float, float, float], walked: dict[str, float], units: Units
) -> Iterator[Working]:
    """Yield pitch and depth of what springs out.

    Parameters
    ----------
    shape
        Pitch, depth and crest radius, mm.
    walked
        Inputs of the integrals, by letter, where it is not one arc.
    """
    pitch, depth, crest = (length / units.mm for length in shape)
    if profile.valley_radius is None and profile.flat == 0 and profile.form == "arc":
        given = {"R": crest, "S": profile.pieces[0].length / units.mm}
        source = "one arc of length S"
        yield Working(f"{name}: pitch", "2·R·sin(S/(2·R))", given, pitch, units.length, source)
        yield Working(f"{name}: depth", "R·(1 − cos(S/(2·R)))", given, depth, units.length, source)
        return
    source = "θ sums the bends, each of its own length, its radius R0/(4·x³ − 3·x + 1), its own x = R0·Y/(E·t)"
    yield Working(f"{name}: pitch", PITCH, walked, pitch, units.length, source)
    yield Working(f"{name}: depth", DEPTH, walked, depth, units.length, source)


def _curl(plan: Plan, forming: Forming, units: Units) -> Iterator[Working]:
    """Yield the curl, and what lays the sheet flat."""
    die, profile = forming.die, plan.scallop.profile
    curl = die.curl
    if curl is None:
        return
    turn = 2 * math.asin(min(die.outcomes[1].pitch / (2 * curl.radius), 1.0))
    given = {"p": die.outcomes[1].pitch / units.mm, "α": turn}
    source = "circle through the valleys; α, radians: what valleys keep over what the crest keeps, a scallop"
    yield Working("curl radius", "p/(2·sin(α/2))", given, curl.radius / units.mm, units.length, source)
    given = units.lengths(r=profile.crest_radius or 0.0, v=profile.valley_radius or 0.0)
    flat = curl.flat_valley_radius / units.mm
    yield Working("valley that lies flat", "(r + v)/2", given, flat, units.length, "crest and valley alike")
    if curl.flat_stroke is not None:
        flank = profile.steepest / die.springback_ratio
        r0 = die.crest_radius / units.mm
        stroke = curl.flat_stroke / units.mm
        given = {"R0": r0, "φ": flank, "ψ": math.acos(max(-1.0, math.cos(flank) - stroke / r0))}
        source = "on the same punch, ψ the flank at which crest and valley keep alike"
        yield Working("stroke deeper by", "R0·(cos(φ) − cos(ψ))", given, stroke, units.length, source)


def _drawn(forming: Forming, units: Units) -> Iterator[Working]:
    """Yield what tools are compared with: off is the tool's figure less this one."""
    tool = forming.stock[0] if forming.stock else None
    if tool is None:
        return
    source = "off: a tool's figure less this one"
    for name, letter, value in (
        ("drawn pitch", "p", tool.pitch - tool.pitch_off),
        ("drawn depth", "d", tool.depth - tool.depth_off),
        ("drawn flat metal", "S", tool.developed - tool.developed_off),
    ):
        given = {letter: value / units.mm}
        yield Working(name, letter, given, value / units.mm, units.length, source)


def tool_workings(plan: Plan, forming: Forming, tool: StockTool, units: Units) -> Iterator[Working]:
    """Yield crest, depth and flat metal that a stock tool gives."""
    t, drawn, name = plan.job.metal.thickness, forming.drawn, tool.name
    spring = spring_of(forming.metal, t)
    side, sign = (-1, "−") if "cutter" in name else (1, "+")
    loaded = tool.diameter / 2 + side * t / 2
    x = loaded / spring.unit
    free = plan.job.die.way != "bottomed"
    crest = loaded / ((x + 1) * (2 * x - 1) ** 2) if free else loaded
    given = {"D": tool.diameter / units.mm, "t": t / units.mm, **({"x": x} if free else {})}
    formula = f"(D {sign} t)/2/(4·x³ − 3·x + 1)" if free else f"(D {sign} t)/2"
    source = f"{GARDINER}; x = (D {sign} t)/2·Y/(E·t)" if free else "bottomed: nothing springs (assumed)"
    yield Working(f"{name}: crest", formula, given, crest / units.mm, units.length, source)
    depth, flat = tool.depth / units.mm, tool.developed / units.mm
    whole = {"arc": crest + (drawn.valley_radius or 0.0), "serpentine": 2 * crest}
    whole["arc-flat"] = whole["arc"]
    if drawn.form in whole:
        straight = ((drawn.flat or 0.0) if drawn.form == "arc-flat" else 0.0) / units.mm
        given = {"R": whole[drawn.form] / units.mm, "c": tool.pitch / units.mm - straight}
        source = "arc over its chord c; R crest and valley radius together"
        yield Working(f"{name}: depth", "R − √(R² − c²/4)", given, depth, units.length, source)
        given = {**given, "f": straight}
        yield Working(f"{name}: flat metal", "2·R·asin(c/(2·R)) + f", given, flat, units.length, source)
    elif drawn.form == "sine":
        given = {"p": tool.pitch / units.mm, "R": crest / units.mm, "π": math.pi}
        source = "a sine of pitch p is bent to R at its very tip"
        yield Working(f"{name}: depth", "p²/(2·π²·R)", given, depth, units.length, source)
        given = {"p": tool.pitch / units.mm, "d": depth}
        yield Working(f"{name}: flat metal", SINE_LENGTH, given, flat, units.length, "arc length of the sine")
    else:
        profile = build_profile(replace(drawn, pitch=tool.pitch, depth=tool.depth, radius=crest - t / 2), t)
        given = {"R": 2 * crest / units.mm, "φ": profile.steepest, "L": _flank_straight(profile) / units.mm}
        source = "two arcs of one radius, R both together, φ flank in radians, L straight between them"
        yield Working(f"{name}: depth", "R·(1 − cos(φ)) + L·sin(φ)", given, depth, units.length, source)
        yield Working(f"{name}: flat metal", "2·(R·φ + L)", given, flat, units.length, source)
