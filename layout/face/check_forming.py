"""Die, press and first-off, worked out again from the job and from the metal that the plan's flex goes by.

The metals' tables are not asked again (see `check_flex`): modulus and yield follow from two figures of the
plan, tensile strength from a third, and each must be the job's where it gives one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.face.check_runs import Own
from layout.face.check_scallop import Sums, traced
from layout.face.check_words import BEND, FINE, SHARE, counted, differs, unless
from layout.face.plan import Panel, Plan

CHORDS = 4000
"""chords on each part of a traced scallop"""

ROUGH = 1e-5
"""share by which lengths walked along so many chords may differ (no unit)"""

FACTOR = 1.33
"""Kbf of a groove (Groover; factors read)"""

TENSILE = (20.0, 3000.0)
"""MPa: no sheet metal is outside of it (assumed)"""

BOTTOM = (3.0, 5.0)
"""range of the bottoming factor (common practice, no source)"""

FREE = "formed free"


@dataclass(frozen=True)
class Spring:
    """What the plan's own figures say of its metal."""

    modulus: float
    """MPa"""
    yield_: float
    """MPa"""
    thickness: float

    def overbent(self, finished: float) -> float:
        """Return the radius to hold, mm: the root under 1/2 of 4x³ − (3 + u/Rf)x + 1, u = E·t/Y."""
        unit = self.modulus * self.thickness / self.yield_
        roots = np.roots([4.0, 0.0, -(3.0 + unit / finished), 1.0])
        real = roots[np.abs(roots.imag) < 1e-12].real
        return float(real[(real > 0) & (real < 0.5)].min()) * unit


def check_forming(plan: Plan, sums: Sums, own: Sequence[Own]) -> Iterator[str]:
    """Yield what of die, press and flex does not follow from job, scallop and curves."""
    forming = plan.forming
    if forming is None:
        yield "the plan does not say how it is formed"
        return
    flex, t = plan.scallop.flex, plan.job.metal.thickness
    modulus = flex.pull_per_mm * 12 * sums.second / t**3
    strain = t * sums.pitch / (2 * flex.natural_bend_radius * sums.developed)
    spring = Spring(modulus, strain * modulus, t)
    points = traced(plan.job.scallop, t, plan.scallop.pitch, CHORDS)
    finished = plan.scallop.profile.crest_radius or math.inf
    yield from differs("die: crest as it finishes", finished, _crest(points), 1e-3 * finished)
    yield from _check_die(plan, spring, points, finished)
    yield from _check_tool(plan, spring, finished)
    yield from _check_measured(plan)
    yield from _check_press(plan)
    for panel, given in zip(plan.panels, forming.flex, strict=True):
        yield from _check_flex(plan, panel, given.pre_curve, own[plan.runs[panel.run - 1].outline])


def _crest(points: NDArray[np.float64]) -> float:
    """Return the radius at the top, by the circle through three of its points, mm."""
    top = int(np.argmax(points[:, 1]))
    a, b, c = points[[top - CHORDS // 400, top, top + CHORDS // 400]]
    sides = [math.dist(a, b), math.dist(b, c), math.dist(c, a)]
    double = abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))
    return float(sides[0] * sides[1] * sides[2] / (2 * double))


def _check_die(plan: Plan, spring: Spring, points: NDArray[np.float64], finished: float) -> Iterator[str]:
    forming, t = plan.forming, spring.thickness
    if forming is None:
        return
    die = forming.die
    crest = spring.overbent(finished) if die.way == FREE else finished
    share, near = crest / finished, ROUGH * finished
    yield from differs("die: crest in the tool", die.crest_radius, crest, near)
    yield from differs("die: punch", die.punch_radius, crest - t / 2, near)
    yield from differs("die: groove", die.groove_radius, crest + t / 2, near)
    yield from differs("die: springback ratio", die.springback_ratio, share, ROUGH)
    pitch, depth = _bent(points, share)
    yield from differs("die: loaded pitch", die.loaded_pitch, pitch, 3 * ROUGH * pitch + FINE)
    yield from differs("die: loaded depth", die.loaded_depth, depth, 3 * ROUGH * pitch + FINE)
    yield from differs("die: spacing", die.spacing, die.loaded_pitch, FINE)
    yield from differs("die: feed", die.feed, plan.scallop.profile.developed, FINE)
    yield from counted("die: grooves", die.grooves, plan.job.press.grooves)
    wanted = [panel.scallops + panel.lapped for panel in plan.panels]
    yield from unless(list(forming.strokes) == wanted, "die: strokes are not one a scallop, lap included")


def _bent(points: NDArray[np.float64], share: float) -> tuple[float, float]:
    """Return pitch and depth (mm) of a traced scallop with every turn 1/share as large, its lengths held."""
    steps = np.diff(points, axis=0)
    lengths = np.hypot(*steps.T)
    heading = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0])) / share
    x = np.concatenate([[0.0], np.cumsum(lengths * np.cos(heading))])
    y = np.concatenate([[0.0], np.cumsum(lengths * np.sin(heading))])
    pitch = math.hypot(x[-1], y[-1])
    return pitch, float((x[-1] * y - y[-1] * x).max()) / pitch


def _check_tool(plan: Plan, spring: Spring, finished: float) -> Iterator[str]:
    """Check that a job planned with a stock tool has the crest that the tool springs to."""
    die, forming = plan.job.die, plan.forming
    if die.tool is None or die.measured is not None or forming is None:
        return
    chosen = [tool for tool in forming.stock if tool.name == die.tool]
    if len(chosen) != 1:
        yield f"die: the tool {die.tool} is not among those offered"
        return
    side = -1 if "cutter" in die.tool else 1
    loaded = chosen[0].diameter / 2 + side * spring.thickness / 2
    x = loaded * spring.yield_ / (spring.modulus * spring.thickness)
    sprung = loaded if die.way == "bottomed" else loaded / (4 * x**3 - 3 * x + 1)
    yield from differs("die: crest that the tool gives", finished, sprung, ROUGH * sprung)
    yield from differs("die: pitch that the tool gives", chosen[0].pitch, plan.scallop.pitch, FINE)
    yield from counted("die: count with the tool", chosen[0].count, _rounded_count(plan))


def _rounded_count(plan: Plan) -> int:
    """Return the scallops of all runs, halves up, whatever their ends."""
    return sum(max(1, math.floor(run.count_length / plan.scallop.pitch + 0.5)) for run in plan.runs)


def _check_measured(plan: Plan) -> Iterator[str]:
    found, scallop = plan.job.die.measured, plan.job.scallop
    if found is None:
        return
    each = (found.length / found.scallops, found.depth, found.flat / found.scallops)
    names = ("pitch", "depth", "developed length")
    for name, claimed, wanted in zip(names, (scallop.pitch, scallop.depth, scallop.developed), each, strict=True):
        yield from differs(f"first-off: {name}", claimed or 0.0, wanted, FINE)


def _check_press(plan: Plan) -> Iterator[str]:
    """Check force, bottoming and shares; the tensile strength that they go by is the job's, or some metal's."""
    forming, spec = plan.forming, plan.job.press
    if forming is None:
        return
    work, t = forming.press, plan.job.metal.thickness
    height, opening = max(panel.blank_height for panel in plan.panels), forming.die.loaded_pitch - _flat(plan)
    tensile = work.force * opening / (FACTOR * height * t**2)
    yield from unless(TENSILE[0] <= tensile <= TENSILE[1], f"press: a tensile strength of {tensile:.6g} MPa is none")
    if plan.job.metal.tensile is not None:
        yield from differs("press: tensile strength", tensile, plan.job.metal.tensile, SHARE * tensile)
    factor = work.bottoming / (work.force * spec.grooves)
    yield from unless(BOTTOM[0] <= factor <= BOTTOM[1], f"press: bottoming factor {factor:.6g} is out of range")
    yield from counted("press: strokes", work.strokes, sum(forming.strokes))
    yield from differs("press: hours", work.hours, sum(forming.strokes) / spec.speed / 60, SHARE * work.hours)
    if spec.capacity is not None:
        share = work.force / spec.capacity
        yield from differs("press: share of its capacity", work.share or 0.0, share, SHARE * share)
    if spec.bed is not None:
        yield from unless(height <= spec.bed + FINE, f"press: blanks {height:.6g} high on a bed of {spec.bed:.6g}")


def _flat(plan: Plan) -> float:
    return (plan.job.scallop.flat or 0.0) if plan.job.scallop.form == "arc-flat" else 0.0


def _check_flex(plan: Plan, panel: Panel, pre_curve: bool, own: Own) -> Iterator[str]:
    """Check that a panel is named for pre-curving where its curve is tighter than the natural bend, and only there."""
    run = plan.runs[panel.run - 1]
    start = float(run.stations[panel.first_scallop])
    last = panel.first_scallop + panel.scallops
    lap = own.back.length if last > run.scallops else 0.0
    end = float(run.stations[last - run.scallops if lap else last]) + lap
    station = own.back.station
    inside = np.zeros(station.size, dtype=bool)
    for shift in (0.0, own.back.length) if own.back.closed else (0.0,):
        inside |= (station + shift >= start) & (station + shift <= end)
    bend = float(np.abs(own.back.curvature[inside]).max(initial=0.0)) * plan.scallop.flex.natural_bend_radius
    if abs(bend - 1) > BEND:
        yield from unless(pre_curve == (bend > 1), f"panel {panel.number}: whether to pre-curve it")
