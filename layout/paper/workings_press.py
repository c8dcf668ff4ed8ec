"""Workings of the press and flex pages."""

from __future__ import annotations

from collections.abc import Iterator

from layout.face.forming import Forming
from layout.face.forming_work import clear_height
from layout.face.plan import Plan
from layout.metal.hold_down import END_PULL
from layout.metal.press import BEND_FACTOR
from layout.metal.springback import spring_of
from layout.paper.workings_rows import Units, Working


def press_workings(plan: Plan, forming: Forming, units: Units) -> Iterator[Working]:
    """Yield the workings of the press and flex pages."""
    work, profile = forming.press, plan.scallop.profile
    height, t, opening, tensile = work.bend
    force = {
        "K": BEND_FACTOR,
        "T": tensile / units.mpa,
        "w": height / units.mm,
        "t": t / units.mm,
        "D": opening / units.mm,
    }
    yield Working(
        "force, new scallop",
        "K·T·w·t²/D",
        force,
        work.force / units.newton,
        units.force,
        "Groover, Fundamentals of Modern Manufacturing (factors read); ±20 % assumed",
    )
    bottom = {"F": work.force / units.newton, "k": work.bottoming_factor, "g": float(work.grooves)}
    source = "factor 4 of 3 to 5, common practice, no source"
    yield Working("bottoming", "k·F·g", bottom, work.bottoming / units.newton, units.force, source)
    if work.capacity is not None and work.share is not None:
        share = {"F": bottom["F"], "C": work.capacity / units.newton}
        yield Working("share of capacity", "F/C", share, work.share, "", "by definition")
    hours = {"n": float(work.strokes), "v": plan.job.press.speed}
    yield Working("hours of strokes", "n/v/60", hours, work.hours, "h", "strokes a minute as given or assumed")
    lift = units.lengths(a=forming.die.loaded_depth, d=profile.depth, t=profile.thickness)
    clear = clear_height(forming.die, profile) / units.mm
    yield Working("stroke and lift to feed", "a + d + t", lift, clear, units.length, "down, and clear of the ridges")
    yield from _flex(plan, forming, units)


def _flex(plan: Plan, forming: Forming, units: Units) -> Iterator[Working]:
    profile, metal, flex = plan.scallop.profile, forming.metal, plan.scallop.flex
    core = 2 * forming.die.crest_radius / spring_of(metal, profile.thickness).unit
    yield Working(
        "stretch sets at, of first yield",
        "(1 + ξ²)/2",
        {"ξ": min(core, 1.0)},
        forming.opening_share,
        "",
        "elastic-plastic bending, no hardening (derived); ξ = 2·x",
    )
    strength = {
        "Y": metal.yield_ / units.mpa,
        "J": profile.second_moment / units.mm**3,
        "E": metal.modulus / units.mpa,
        "t": profile.thickness / units.mm,
        "y": profile.reach / units.mm,
    }
    yield Working(
        "take-up at first yield, a scallop",
        "2·Y·J/(E·t·y)",
        strength,
        flex.take_up_limit / units.mm,
        units.length,
        "Castigliano, thin curved bar; J = ∫(y − c)² ds",
    )
    bend = {
        **{name: strength[name] for name in ("E", "t", "Y")},
        **units.lengths(p=profile.pitch, S=profile.developed),
    }
    yield Working(
        "natural bend radius",
        "E·t·p/(2·Y·S)",
        bend,
        flex.natural_bend_radius / units.mm,
        units.length,
        "bending of a flat strip, curvature shared along S",
    )
    worst = max(forming.flex, key=lambda one: (one.end_pull, -one.panel))
    if worst.end_pull > 0:
        yield _end_pull(plan, worst.panel, worst.end_pull, units)


def _end_pull(plan: Plan, panel: int, pull: float, units: Units) -> Working:
    one = plan.panels[panel - 1]
    spacing = plan.job.fixing.every * plan.runs[one.run - 1].pitch
    moment = pull * spacing / (END_PULL * one.blank_height)
    return Working(
        f"end pull, panel {panel}",
        "(3 − √3)·M·h/b",
        {
            "M": moment / units.newton,
            "h": one.blank_height / units.mm,
            "b": spacing / units.mm,
        },
        pull / units.newton,
        units.force,
        "continuous beam of one curvature (three-moment equation); M = E·t³·p/(12·R·S) a length of height",
    )
