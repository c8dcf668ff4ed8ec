"""The numbers on the seam map: seams on the viewer's side, panels on the wall side, as large as they fit."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

import numpy as np

from layout.face.plan import Panel, Plan, Seam
from layout.paper.badges import Spot, badge_size, panel_badge, seam_badge, stretch_badge
from layout.paper.ink import LEADER
from layout.paper.labels import Ground, Placed, Wanted, place_all
from layout.paper.map_face import Placing, stretch_middle, tick_ends
from layout.paper.map_view import View, panel_stations
from layout.paper.primitives import XY, Lines, Primitive

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
_LETTER: Final = 8.0
"""pt, of a seam-free stretch's letter"""


def place_numbers(view: View, placing: Placing, ground: Ground) -> list[Primitive] | None:
    """Place the numbers of all seams and panels shown, and keep the ground clear of later words.

    Returns
    -------
    list of Primitive or None
        None where they do not all find a place; the ground is then as it was.
    """
    apart = view.length / placing.ratio / max(len(view.panels), 1)
    longest = max([seam.number for seam in view.seams] + [panel.number for panel in view.panels])
    for size, turned in _TRIES:
        width, height = badge_size(longest, size)
        if apart < (height if turned else width) * _DENSEST:
            continue  # it would be tried in vain, and that costs the most time of all
        trial = ground.copy()
        placed = _all_or_none(trial, _wanted(view, placing, size, turned=turned))
        if placed is not None:
            ground.take(trial)
            return _drawn(view, placed, size)
    return None


def place_some_numbers(view: View, placing: Placing, ground: Ground) -> tuple[list[Primitive], int]:
    """Place as many numbers as find a place at the smallest size; also return how many do not."""
    size, turned = _TRIES[-1]
    placed = list(place_all(ground, _wanted(view, placing, size, turned=turned)))
    return _drawn(view, placed, size), placed.count(None)


def _all_or_none(ground: Ground, wanted: Iterable[Wanted]) -> list[Placed] | None:
    placed = []
    for spot in place_all(ground, wanted):
        if spot is None:
            return None
        placed.append(spot)
    return placed


def _drawn(view: View, placed: Sequence[Placed | None], size: float) -> list[Primitive]:
    things: list[Seam | Panel] = [*view.seams, *view.panels]
    items = list(_leaders(placed))
    for thing, spot in zip(things, placed, strict=True):
        if spot:
            items += _badge(thing, Spot(spot.centre, size, spot.angle))
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


def _leaders(placed: Sequence[Placed | None]) -> Iterator[Primitive]:
    return (Lines((spot.leader,), LEADER, "leader") for spot in placed if spot and spot.leader)


def _wanted(view: View, placing: Placing, size: float, *, turned: bool) -> Iterator[Wanted]:
    for seam in view.seams:
        _, tip = tick_ends(seam, placing)
        normal = (math.sin(seam.heading), -math.cos(seam.heading))
        yield Wanted(tip, normal, *badge_size(seam.number, size), near=0.4, turned=turned)
    for panel in view.panels:
        anchor, normal = _panel_middle(panel, view.plan, placing)
        yield Wanted(anchor, normal, *badge_size(panel.number, size), near=2.4, turned=turned)


def _panel_middle(panel: Panel, plan: Plan, placing: Placing) -> tuple[XY, XY]:
    """Return the middle of a panel on the back line, and the unit vector to the wall side."""
    run = plan.runs[panel.run - 1]
    back = plan.lines[run.outline].back
    middle = sum(panel_stations(plan, panel)) / 2
    heading = float(back.heading(middle))
    return placing.on_paper(back.point(np.array([middle])))[0], (-math.sin(heading), math.cos(heading))


def _badge(thing: Seam | Panel, spot: Spot) -> list[Primitive]:
    if isinstance(thing, Seam):
        return seam_badge(spot, thing.number, end=thing.end)
    return panel_badge(spot, thing.number)
