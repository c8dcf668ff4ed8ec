"""Control points and ties on a map: where to tape from, and which two tapes set each mark."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator

import numpy as np

from layout.face.set_out import SetOut
from layout.face.set_out_controls import Control
from layout.paper.ink import BLACK, QUIET, WHITE
from layout.paper.labels import Ground, Wanted
from layout.paper.letters import PT, text_width
from layout.paper.map_face import Placing
from layout.paper.primitives import CAP_HEIGHT, XY, Area, Circle, Lines, Primitive, Style, centred
from layout.units import format_length

_POINT = Style(BLACK, 0.9, fill=WHITE)
TIE = Style(QUIET, 0.25, (3.0, 1.6))
BASE = Style(BLACK, 0.5, (6.0, 1.6, 1.2, 1.6))
_RADIUS = 1.9
"""mm on paper, of a control point's circle"""
_FEW = 8
"""control points up to which the map gives their x and y; the set-out gives all (assumed)"""
_SIZE = 10.0
"""pt, of a control point's letter"""


def controls_of(found: SetOut, seams: Collection[int]) -> list[Control]:
    """Return the control points that tie some seams, in their order; all given ones where the job gives them."""
    used = {name for mark in found.marks if mark.seam in seams and mark.ties for name in mark.ties.controls}
    return [one for one in found.controls if found.given or one.name in used]


def draw_control_points(
    found: SetOut, seams: Collection[int], placing: Placing, ground: Ground, units: str
) -> list[Primitive]:
    """Draw ties as thin dashed lines and control points with their letters, kept clear of each other.

    Parameters
    ----------
    seams
        Numbers of the seams whose ties are shown.
    """
    controls = controls_of(found, seams)
    places = {one.name: placing.on_paper(np.array([one.xy]))[0] for one in controls}
    bases = list(_bases(places))
    items: list[Primitive] = [*_ties(found, seams, placing, places), *bases]
    for one in controls:
        items += control_mark(places[one.name])
        ground.keep_line([_round(places[one.name], _RADIUS, turn) for turn in range(0, 361, 30)])
    # Letters keep off the base lines; seam numbers, which are boxed, may stand on them.
    trial = ground.copy()
    for base in bases:
        trial.keep_line(base.paths[0])
    x, y = np.mean(list(places.values()), axis=0).tolist() if places else (0.0, 0.0)
    for one in controls:
        at = places[one.name]
        outward = math.degrees(math.atan2(at[1] - y, at[0] - x)) if len(controls) > 1 else 90.0
        items += _letter(one, at, outward, (trial, ground), units if len(controls) <= _FEW else None)
    return items


def _ties(found: SetOut, seams: Collection[int], placing: Placing, places: dict[str, XY]) -> Iterator[Primitive]:
    for mark in found.marks:
        if mark.ties is None or mark.same_as is not None or mark.seam not in seams:
            continue
        at = placing.on_paper(np.array([(mark.x, mark.y)]))[0]
        yield Lines(tuple((places[name], at) for name in mark.ties.controls), TIE, "tie")


def _bases(places: dict[str, XY]) -> Iterator[Lines]:
    """Draw the lines from control point to control point by which they are set out."""
    names = list(places)
    around = [*names, *names[:1]] if len(names) > 2 else names
    if len(names) > 1:
        yield Lines((tuple(places[name] for name in around),), BASE, "base")


def control_mark(at: XY) -> list[Primitive]:
    """Draw a control point: a filled triangle in a circle."""
    x, y = at
    corners = (x - 0.9, y - 0.6), (x + 0.9, y - 0.6), (x, y + 0.9)
    return [Circle(at, _RADIUS, _POINT, "control"), Area(corners, Style(BLACK, 0.3, fill=BLACK), "control")]


def _letter(one: Control, at: XY, outward: float, grounds: tuple[Ground, ...], units: str | None) -> list[Primitive]:
    """Write a control point's letter close to it; where units are given, with its x and y if they find room.

    It is placed on the first ground, and kept on all: away from the other points first, where no ties run.

    Parameters
    ----------
    outward
        degrees
    """
    place = ", ".join(format_length(side, units).replace("-", "−", 1) for side in one.xy) if units else ""
    for words in (f"{one.name}  ({place})", one.name) if units else (one.name,):
        size = _SIZE if words == one.name else 8.0
        wide, tall = text_width(words, size, bold=True) + 0.8, CAP_HEIGHT * size * PT + 1.6
        for turn in sorted((outward + away for away in range(-180, 180, 30)), key=lambda t: abs(t - outward)):
            normal = (math.cos(math.radians(turn)), math.sin(math.radians(turn)))
            spot = grounds[0].place(Wanted(at, normal, wide, tall, near=_RADIUS + 0.8, led=False, rows=5))
            if spot and math.dist(spot.centre, at) < wide / 2 + 8.0:
                for ground in grounds:
                    ground.keep(spot)
                # Ties pass behind it.
                back = Area(spot.corners, Style(WHITE, 0.0, fill=WHITE), "backing")
                return [back, centred(spot.centre, words, size, bold=True, kind="control-name")]
    return []


def _round(at: XY, radius: float, turn: float) -> XY:
    return at[0] + radius * math.cos(math.radians(turn)), at[1] + radius * math.sin(math.radians(turn))
