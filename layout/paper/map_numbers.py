"""The numbers on the seam map: seams on the viewer's side, panels on the wall side, as large as they fit."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.face.plan import Panel, Plan, Seam
from layout.outline.tolerances import SAME_STATION
from layout.paper.badges import Label, Spot, badge_size, stretch_badge
from layout.paper.frame import SMALLEST
from layout.paper.ink import CARE, LEADER
from layout.paper.labels import Ground, Placed, Wanted, place_all
from layout.paper.letters import PT, text_width
from layout.paper.map_face import ONE_WAY, Placing, hatch_edge, outward_of, stretch_middle, tick_ends
from layout.paper.map_view import View, panel_stations
from layout.paper.primitives import CAP_HEIGHT, XY, Lines, Primitive, centred
from layout.units import format_length

_TRIES: Final = (
    (12.0, False),
    (10.0, False),
    (8.5, False),
    (8.5, True),
    (7.0, False),
    (7.0, True),
)
"""pt, and whether the numbers are turned along the normals; the first at which all find a place is taken"""
_DENSEST: Final = 0.8
"""mean distance of seams, in widths of their numbers, below which two rows don't take them all (measured)"""
_UPRIGHT: Final = 0.6
"""share of the outward vector to the side, from which a station stands beside its number (by eye)"""
_BESIDE: Final = 2.5
"""mm from a stretch's end to a station that still clearly belongs to it (assumed)"""
_LETTER: Final = 8.0
"""pt, of a seam-free stretch's letter"""


@dataclass(frozen=True)
class Numbers:
    """The numbers of a map, placed."""

    items: list[Primitive]
    size: float
    """pt, of the figures"""
    stations: int
    """seams that have their station beside their number"""


def place_numbers(
    view: View, placing: Placing, ground: Ground, *, stations: str = "none", turns: Sequence[bool] = (False, True)
) -> Numbers | None:
    """Place the numbers of all seams and panels shown, and keep the ground clear of later words.

    Parameters
    ----------
    view, placing, ground
        What is shown, where, and what stands there already.
    stations
        ``"all"`` seams carry their station, ``"some"`` where there is room beside their number, or ``"none"``.
    turns
        Whether numbers stand level (False) or turned along the normals (True); both may be tried.

    Returns
    -------
    Numbers or None
        None where they do not all find a place; the ground is then as it was.
    """
    apart = view.length / placing.ratio / max(len(view.panels), 1)
    longest = max([seam.number for seam in view.seams] + [panel.number for panel in view.panels])
    for size, turned in _TRIES:
        if turned not in turns:
            continue
        width, height = badge_size(longest, size)
        if apart < (height if turned else width) * _DENSEST:
            continue  # it would be tried in vain, and that costs the most time of all
        trial = ground.copy()
        placed = []
        for ways in _labels(view, size, turned=turned, stations=stations):
            one = _place(trial, ways, view, placing, turned=turned)
            if one is None:
                break
            placed.append(one)
        else:
            ground.take(trial)
            beside = list(_stations_beside(view, placed, ground)) if stations == "some" else []
            told = sum(bool(label.station) for label, _ in placed) + len(beside)
            return Numbers([*_drawn(placed), *beside], size, told)
    return None


def place_some_numbers(view: View, placing: Placing, ground: Ground) -> tuple[list[Primitive], int]:
    """Place as many numbers as find a place at the smallest size; also return how many do not."""
    size, turned = _TRIES[-1]
    tried = [
        _place(ground, ways, view, placing, turned=turned)
        for ways in _labels(view, size, turned=turned, stations="none")
    ]
    return _drawn([one for one in tried if one]), tried.count(None)


def _place(
    ground: Ground, ways: Sequence[Label], view: View, placing: Placing, *, turned: bool
) -> tuple[Label, Placed] | None:
    """Place a label in the first of its ways that finds room, and keep it."""
    for label in ways:
        spot = ground.place(_wanted(label, view, placing, turned=turned))
        if spot:
            ground.keep(spot)
            return label, spot
    return None


def _labels(view: View, size: float, *, turned: bool, stations: str) -> Iterator[list[Label]]:
    """Run through what stands at every seam, then at every panel: the ways to write it, best first."""
    for seam, *others in seams_by_place(view.plan, view.seams):
        outward = outward_of(view.plan, seam)
        words = format_length(seam.station, view.plan.job.units)
        twins = tuple(others)
        beside, stacked = (Label(seam, size, words, outward, stacked=way, others=twins) for way in (False, True))
        upright = abs(outward[0]) < _UPRIGHT
        ways = [beside] if turned else [stacked, beside] if upright else [beside, stacked]
        yield ways if stations == "all" else [Label(seam, size, outward=outward, others=twins)]
    for panel in view.panels:
        yield [Label(panel, size)]


def seams_by_place(plan: Plan, seams: Sequence[Seam]) -> list[list[Seam]]:
    """Return seams with those at one place of their line together, in the order of their first."""
    places: list[list[Seam]] = []
    firsts: dict[int, list[Seam]] = {}
    for seam in seams:
        # Seams are in station order: one place is the last one's, or round a loop the first one's.
        likely = [*places[-1:], *([firsts[seam.outline]] if seam.outline in firsts else [])]
        home = next((place for place in likely if _one_place(plan, place[0], seam)), None)
        if home is None:
            places.append([seam])
            firsts.setdefault(seam.outline, places[-1])
        else:
            home.append(seam)
    return places


def _one_place(plan: Plan, one: Seam, other: Seam) -> bool:
    """Tell whether two seams stand at one place and face one way.

    At a corner one place faces two ways, and each seam has its own label.
    """
    if one.outline != other.outline:
        return False
    lines = plan.lines[one.outline]
    apart = abs(one.station - other.station)
    gap = min(apart, abs(lines.back.length - apart)) if lines.closed else apart
    return gap <= SAME_STATION and abs(math.remainder(one.heading - other.heading, math.tau)) < ONE_WAY


def _stations_beside(view: View, placed: Sequence[tuple[Label, Placed]], ground: Ground) -> Iterator[Primitive]:
    """Write the station close beside each seam's number that has room there, and keep it."""
    for label, spot in placed:
        if not isinstance(label.thing, Seam) or spot.angle:
            continue
        words = format_length(label.thing.station, view.plan.job.units)
        wide, tall = text_width(words, SMALLEST) + 0.6, CAP_HEIGHT * SMALLEST * PT + 0.8
        up = 1.0 if label.outward[1] > 0 else -1.0
        beside = ((1.0, 0.0), spot.width), ((-1.0, 0.0), spot.width)
        for normal, half in (((0.0, up), spot.height), *beside, ((0.0, -up), spot.height)):
            near = half / 2 + 0.5
            found = ground.place(Wanted(spot.centre, normal, wide, tall, near=near, led=False, rows=1))
            if found:
                ground.keep(found)
                yield centred(found.centre, words, SMALLEST, kind="station")
                break


def _drawn(placed: Sequence[tuple[Label, Placed]]) -> list[Primitive]:
    items = list(_leaders([spot for _, spot in placed]))
    for label, spot in placed:
        items += label.draw(spot)
    return items


def place_letters(view: View, placing: Placing, ground: Ground) -> list[Primitive]:
    """Place the letters of the seam-free stretches."""
    wanted = [
        Wanted(*stretch_middle(marked, placing), *badge_size(marked.letter, _LETTER), near=0.8)
        for marked in view.stretches
    ]
    placed = list(place_all(ground, wanted))
    items = list(_leaders(placed))
    for marked, spot in zip(view.stretches, placed, strict=True):
        if spot:
            items += stretch_badge(Spot(spot.centre, _LETTER), marked.letter)
    return items


def place_stretch_ends(view: View, placing: Placing, ground: Ground) -> list[Primitive]:
    """Write the stations of both ends of every seam-free stretch close to them, where there is room."""
    items: list[Primitive] = []
    for marked in view.stretches:
        back, length = marked.lines.back, marked.lines.back.length
        for station in (marked.start, marked.end):
            at, normal = hatch_edge(marked, station, placing)
            words = format_length(station % length if back.closed else station, view.plan.job.units)
            size = (text_width(words, SMALLEST) + 0.4, CAP_HEIGHT * SMALLEST * PT + 1.4)
            spot = ground.place(Wanted(at, normal, *size, near=0.5, led=False))
            if spot and math.dist(spot.centre, at) < size[0] / 2 + _BESIDE:
                ground.keep(spot)
                items.append(centred(spot.centre, words, SMALLEST, ink=CARE, kind="stretch-station"))
    return items


def _leaders(placed: Sequence[Placed | None]) -> Iterator[Primitive]:
    return (Lines((spot.leader,), LEADER, "leader") for spot in placed if spot and spot.leader)


def _wanted(label: Label, view: View, placing: Placing, *, turned: bool) -> Wanted:
    if isinstance(label.thing, Seam):
        _, anchor = tick_ends(view.plan, label.thing, placing)
        normal, near = label.outward, 0.4
    else:
        anchor, normal = _panel_middle(label.thing, view.plan, placing)
        near = 2.4
    return Wanted(anchor, normal, *label.extent, near=near, turned=turned)


def _panel_middle(panel: Panel, plan: Plan, placing: Placing) -> tuple[XY, XY]:
    """Return the middle of a panel on the back line, and the unit vector to the wall side."""
    run = plan.runs[panel.run - 1]
    back = plan.lines[run.outline].back
    middle = sum(panel_stations(plan, panel)) / 2
    heading = float(back.heading(middle))
    return placing.on_paper(back.point(np.array([middle])))[0], (-math.sin(heading), math.cos(heading))
