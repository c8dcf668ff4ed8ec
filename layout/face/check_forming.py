"""Die, press and first-off, worked out again from the job, its metal and the check's own trace of the scallop.

The metal is the job's, from the table; the plan's flex must go by the same modulus and yield.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layout.face.check_press import check_press
from layout.face.check_runs import Own
from layout.face.check_scallop import Sums, traced
from layout.face.check_stock import check_stock, crest_of
from layout.face.check_words import BEND, FINE, counted, differs, unless
from layout.face.forming import Forming, PanelFlex
from layout.face.plan import Panel, Plan
from layout.job.model import ScallopSpec
from layout.metal.die import Die
from layout.metal.metals import Metal, metal_of

CHORDS = 4000
"""chords on each part of a traced scallop"""

ROUGH = 1e-5
"""share by which lengths walked along so many chords may differ (no unit)"""

GROUND = 1e-6
"""share by which what the flex goes by may differ from the job's metal (no unit)"""

FREE = "formed free"


@dataclass(frozen=True)
class Spring:
    """What springback lives on."""

    modulus: float
    """MPa"""
    yield_: float
    """MPa"""
    thickness: float

    @property
    def unit(self) -> float:
        """Return E·t/Y, mm."""
        return self.modulus * self.thickness / self.yield_

    def overbent(self, finished: float) -> float:
        """Return the radius to hold, mm: the root under 1/2 of 4x³ − (3 + u/Rf)x + 1, u = E·t/Y."""
        return float(1 / self.overbends(np.array([1 / finished]))[0])

    def overbends(self, finished: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the bends (1/mm) to hold for finished ones: that root, by halving; none where none is left."""
        linear = 3.0 + self.unit * np.abs(finished)
        low, high = np.zeros(linear.size), np.full(linear.size, 0.5)
        for _ in range(60):
            x = (low + high) / 2
            above = 4 * x**3 - linear * x + 1 > 0
            low, high = np.where(above, x, low), np.where(above, high, x)
        return np.asarray(np.sign(finished) / (low * self.unit))

    def springs(self, held: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the bends (1/mm) that are left of held ones: 4x³ − 3x + 1 of each, none from x = 1/2 on."""
        x = 1 / np.maximum(np.abs(held) * self.unit, 2.0)
        return np.asarray(held * (4 * x**3 - 3 * x + 1))


def check_forming(plan: Plan, sums: Sums, own: Sequence[Own]) -> Iterator[str]:
    """Yield what of die, press and flex does not follow from job, scallop and curves."""
    forming = plan.forming
    if forming is None:
        yield "the plan does not say how it is formed"
        return
    t, metal = plan.job.metal.thickness, metal_of(plan.job.metal)
    spring = Spring(metal.modulus, metal.yield_, t)
    yield from unless(forming.metal == metal, "forming: its metal is not the job's")
    yield from _check_ground(plan, sums, spring)
    bent = _traced(plan.job.scallop, t, plan.scallop.pitch)
    finished = plan.scallop.profile.crest_radius or math.inf
    yield from differs("die: crest as it finishes", finished, _crest(bent.points), 1e-3 * finished)
    yield from _check_die(plan, forming, spring, bent)
    yield from _check_outcomes(forming.die, metal, spring, bent)
    yield from _check_to_drawn(plan, forming, spring)
    yield from _check_tool(plan, forming, spring, finished)
    yield from _check_measured(plan)
    yield from check_stock(plan, forming, plan.job.drawn or plan.job.scallop, spring.unit)
    yield from check_press(plan, forming, metal.tensile)
    if len(forming.flex) != len(plan.panels):
        yield f"forming: flex of {len(forming.flex)} panels, the plan has {len(plan.panels)}"
        return
    for panel, given in zip(plan.panels, forming.flex, strict=True):
        yield from counted(f"panel {panel.number}: number by its flex", given.panel, panel.number)
        yield from _check_flex(plan, panel, given.pre_curve, own[plan.runs[panel.run - 1].outline])
        yield from _check_panel(plan, panel, given, forming.opening_share)


def _check_ground(plan: Plan, sums: Sums, spring: Spring) -> Iterator[str]:
    """Check that the plan's flex goes by the metal of the job."""
    flex, t = plan.scallop.flex, spring.thickness
    pull = spring.modulus * t**3 / (12 * sums.second)
    yield from differs("flex: pull a millimetre", flex.pull_per_mm, pull, GROUND * pull)
    natural = spring.unit * sums.pitch / (2 * sums.developed)
    yield from differs("flex: natural bend radius", flex.natural_bend_radius, natural, GROUND * natural)


@dataclass(frozen=True)
class Bent:
    """A traced scallop as chords: where they are, how long, and how far each turns from the one before."""

    points: NDArray[np.float64]
    alike: bool
    """whether each bend is held so that it springs to its own; else all are turned further alike"""

    @property
    def lengths(self) -> NDArray[np.float64]:
        """Return the length of each chord, mm."""
        return np.asarray(np.hypot(*np.diff(self.points, axis=0).T))

    @property
    def turns(self) -> NDArray[np.float64]:
        """Return how far each chord turns from the one before, radians; the first from level."""
        steps = np.diff(self.points, axis=0)
        return np.diff(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0])), prepend=0.0)

    @property
    def reach(self) -> NDArray[np.float64]:
        """Return the length that each turn is spread over, mm: half of both chords."""
        lengths = self.lengths
        return np.asarray((lengths + np.concatenate([[0.0], lengths[:-1]])) / 2)

    def held(self, spring: Spring, share: float) -> NDArray[np.float64]:
        """Return the turns in the tool, R0/Rf of the crest being `share`."""
        if not self.alike:
            return np.asarray(self.turns / share)
        return spring.overbends(self.turns / self.reach) * self.reach

    def shape(self, turns: NDArray[np.float64]) -> tuple[float, float]:
        """Return pitch and depth (mm) with these turns, lengths held."""
        heading = np.cumsum(turns)
        x = np.concatenate([[0.0], np.cumsum(self.lengths * np.cos(heading))])
        y = np.concatenate([[0.0], np.cumsum(self.lengths * np.sin(heading))])
        pitch = math.hypot(x[-1], y[-1])
        return pitch, float((x[-1] * y - y[-1] * x).max()) / pitch


def _traced(spec: ScallopSpec, thickness: float, pitch: float) -> Bent:
    """Trace a scallop; of a sine every bend is its own, the other forms have one or two."""
    return Bent(traced(spec, thickness, pitch, CHORDS), spec.form == "sine")


def _crest(points: NDArray[np.float64]) -> float:
    """Return the radius at the top, by the circle through three of its points, mm."""
    top = int(np.argmax(points[:, 1]))
    a, b, c = points[[top - CHORDS // 400, top, top + CHORDS // 400]]
    sides = [math.dist(a, b), math.dist(b, c), math.dist(c, a)]
    double = abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))
    return float(sides[0] * sides[1] * sides[2] / (2 * double))


def _check_die(plan: Plan, forming: Forming, spring: Spring, bent: Bent) -> Iterator[str]:
    die, t, finished = forming.die, spring.thickness, plan.scallop.profile.crest_radius or math.inf
    crest = spring.overbent(finished) if die.way == FREE else finished
    share, near = crest / finished, ROUGH * finished
    yield from differs("die: crest in the tool", die.crest_radius, crest, near)
    yield from differs("die: punch", die.punch_radius, max(crest - t / 2, 0.0), near)
    yield from differs("die: groove", die.groove_radius, crest + t / 2, near)
    yield from differs("die: springback ratio", die.springback_ratio, share, ROUGH)
    pitch, depth = bent.shape(bent.held(spring, share) if die.way == FREE else bent.turns)
    yield from differs("die: loaded pitch", die.loaded_pitch, pitch, 3 * ROUGH * pitch + FINE)
    yield from differs("die: loaded depth", die.loaded_depth, depth, 3 * ROUGH * pitch + FINE)
    yield from differs("die: spacing", die.spacing, die.loaded_pitch, FINE)
    yield from differs("die: opening", die.opening, die.loaded_pitch - plan.scallop.profile.flat, FINE)
    yield from differs("die: feed", die.feed, plan.scallop.profile.developed, FINE)
    yield from counted("die: grooves", die.grooves, plan.job.press.grooves)
    yield from counted("die: nesting errors", len(die.nesting), die.grooves - 1)
    for k, off in enumerate(die.nesting, 1):
        yield from differs(f"die: nesting, groove {k + 1}", off, k * (die.finished_pitch - die.spacing), FINE)
    wanted = [panel.scallops + panel.lapped for panel in plan.panels]
    yield from unless(list(forming.strokes) == wanted, "die: strokes are not one a scallop, lap included")


def _check_outcomes(die: Die, metal: Metal, spring: Spring, bent: Bent) -> Iterator[str]:
    """Check what the same die makes of soft, planned and hard metal."""
    yields = (metal.yield_low, metal.yield_, metal.yield_high)
    if len(die.outcomes) != len(yields):
        yield f"die: outcomes at {len(die.outcomes)} yields, not {len(yields)}"
        return
    finished = die.crest_radius / die.springback_ratio
    held = bent.held(spring, die.springback_ratio) / bent.reach
    for one, stress in zip(die.outcomes, yields, strict=True):
        what, other = f"die: at {stress:.6g} MPa, ", replace(spring, yield_=stress)
        sprung = other.springs(held) if die.way == FREE else bent.turns / bent.reach
        # A sharp valley turns all at once between two chords: a bend so tight that nothing of it springs.
        pitch, depth = bent.shape(sprung * bent.reach)
        near = 3 * ROUGH * pitch + FINE
        crest = 1 / float(other.springs(np.array([1 / die.crest_radius]))[0]) if die.way == FREE else finished
        punch = max((other.overbent(finished) if die.way == FREE else finished) - spring.thickness / 2, 0.0)
        yield from differs(f"{what}yield", one.yield_, stress, GROUND * stress)
        yield from differs(f"{what}pitch", one.pitch, pitch, near)
        yield from differs(f"{what}depth", one.depth, depth, near)
        yield from differs(f"{what}crest", one.crest_radius, crest, ROUGH * crest)
        yield from differs(f"{what}punch", one.punch_radius, punch, ROUGH * finished)
    yield from differs("die: finished pitch", die.finished_pitch, die.outcomes[1].pitch, 3 * ROUGH * die.finished_pitch)


def _check_to_drawn(plan: Plan, forming: Forming, spring: Spring) -> Iterator[str]:
    """Check the die that comes to the drawn scallop, where the job is planned with another."""
    drawn, die = plan.job.drawn, forming.to_drawn
    yield from unless((drawn is None) == (die is None), "die: the way to the drawn scallop is missing, or needless")
    yield from unless(forming.drawn == (drawn or plan.job.scallop), "die: the drawn scallop is not the job's")
    if drawn is None or die is None:
        return
    bent = _traced(drawn, spring.thickness, drawn.pitch)
    finished = crest_of(drawn, spring.thickness)
    crest = spring.overbent(finished) if die.way == FREE else finished
    yield from differs("die to the drawn: punch", die.punch_radius, crest - spring.thickness / 2, ROUGH * finished)
    pitch, depth = bent.shape(bent.held(spring, crest / finished) if die.way == FREE else bent.turns)
    yield from differs("die to the drawn: spacing", die.spacing, pitch, 3 * ROUGH * pitch + FINE)
    yield from differs("die to the drawn: depth", die.loaded_depth, depth, 3 * ROUGH * pitch + FINE)


def _check_tool(plan: Plan, forming: Forming, spring: Spring, finished: float) -> Iterator[str]:
    """Check that a job planned with a stock tool has the crest that the tool springs to."""
    die = plan.job.die
    if die.tool is None or die.measured is not None:
        return
    chosen = [tool for tool in forming.stock if tool.name == die.tool]
    if len(chosen) != 1:
        yield f"die: the tool {die.tool} is not among those offered"
        return
    side = -1 if "cutter" in die.tool else 1
    loaded = chosen[0].diameter / 2 + side * spring.thickness / 2
    x = loaded / spring.unit
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


def _check_panel(plan: Plan, panel: Panel, given: PanelFlex, opening: float) -> Iterator[str]:
    """Check what a panel is said to take up and to pull, by the plan's own flex."""
    run, flex, where = plan.runs[panel.run - 1], plan.scallop.flex, f"panel {panel.number}"
    taken, pull = panel.scallops * run.take_up, flex.pull_per_mm * abs(run.take_up) * panel.blank_height
    yield from differs(f"{where}: take-up", given.take_up, taken, FINE)
    yield from differs(f"{where}: pull", given.pull, pull, GROUND * pull)
    yield from differs(f"{where}: may stretch", given.stretch, given.crowd * opening, FINE)
    hold = plan.job.fixing.pull
    rows = None if hold is None else max(1, math.ceil(given.end_pull / hold - GROUND))
    yield from unless(given.rows == rows, f"{where}: rows of fixings {given.rows}, the check finds {rows}")


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
