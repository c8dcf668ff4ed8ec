"""What is seen of every seam, from every viewpoint: hidden, grazed or seen.

A valley is seen when nothing opaque stands between and the line of sight clears the scallops beside it.
What a turn of the line of sight by `MARGIN` about the valley would change is grazed. The edge of a lap
faces one side: from the other its valley is seen but the edge is turned away, and that is grazed too.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import IntEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray

from layout.errors import Fault
from layout.face.plan import Lines, Run
from layout.face.sight_lines import Floats, Screens
from layout.face.spans import count_height
from layout.job.model import Job, Viewpoint
from layout.metal.profile import Profile
from layout.outline.tolerances import SAME_STATION
from layout.units import format_length

Views = NDArray[np.int8]
Ints = NDArray[np.int64]

MARGIN: Final = math.radians(1.0)
"""radians by which a line of sight is turned to tell seen from grazed: 50 mm at 3 m, less than people
move their heads (assumed)"""

STAND_OFF: Final = 150.0
"""mm from a crest line within which nobody looks, and between crests the rule of sight says nothing (assumed)"""

POINTS: Final = 128
"""points on a scallop that may hide its valley, beside the exact angle at which it leaves it"""

LIFT_ROOM: Final = 10**7
"""µm of lift that a plan's sum stays below, so that no lift outweighs a step of sight: in decimals the last
seven figures of a cost are lift, those before them sight"""

MOST_WEIGHT: Final = 100
"""sum of whole weights; weights that are not whole are kept to a hundredth of their sum"""

COST_BITS: Final = 59
"""of a plan's costs, summed and packed with counts of panels and levels of cost, as the solver takes them"""


class View(IntEnum):
    """What a viewpoint has of a seam, the worse the greater."""

    HIDDEN = 0
    GRAZED = 1
    SEEN = 2

    @property
    def word(self) -> str:
        """Return the word for it: hidden, grazed or seen."""
        return self.name.lower()


@dataclass(frozen=True)
class Hand:
    """Which valley a seam's edge shows in, and which side it is seen from."""

    shift: int
    """scallops to the right of the seam's boundary"""
    side: int
    """+1: seen from its right, −1: from its left, 0: from both"""


HANDS: Final = {"under": Hand(0, -1), "over": Hand(1, 1), "butt": Hand(0, 0)}
"""A lap tucked under shows its neighbour's left edge, open to the left; one tucked over its own right edge."""


def hand_of(job: Job) -> Hand:
    """Return the hand of a job's seams."""
    return HANDS[job.face.lap_goes if job.face.seam == "lap" else "butt"]


def hands_of(job: Job) -> tuple[Job, ...]:
    """Return the job with each hand of its laps that is to be planned.

    One of its own, unless it leaves the choice: then under, which equals go to, and over.

    Examples
    --------
    >>> from layout.job.model import FaceSpec, MetalSpec, ScallopSpec
    >>> face = FaceSpec(900, lap_goes="either")
    >>> job = Job("Bar", "in", (), ScallopSpec("arc", 70, 16), MetalSpec("steel", 0.6), face, ())
    >>> [way.face.lap_goes for way in hands_of(job)]
    ['under', 'over']
    """
    if job.face.lap_goes != "either":
        return (job,)
    hands = ("under", "over") if job.face.seam == "lap" else ("under",)
    return tuple(replace(job, face=replace(job.face, lap_goes=hand)) for hand in hands)


@dataclass(frozen=True, eq=False)
class Grooves:
    """Every boundary's valley as it stands; arrays have shape (scallops + 1,)."""

    point: Floats
    """mm, mid-metal of the valley, shape (scallops + 1, 2)"""
    heading: Floats
    """radians, direction of rising stations"""
    open_left: Floats
    """radians off the normal, to the left, under which the scallop on its left lets it be seen"""
    open_right: Floats


def grooves_of(job: Job, lines: Lines, run: Run, profile: Profile) -> Grooves:
    """Return the valleys of a run with the angles that their scallops leave open.

    Every point of a scallop stands on the normal of its count-line station, at its height: so crests
    spread where the face is convex and close up where it is concave. The angle is atan(min x/y) over the
    scallop, x along and y off the face in the valley's own frame (DESIGN, sight).
    """
    own = _own_side(lines, run, run.stations)
    heading = lines.back.heading(own)
    along, across = _frame(heading)
    point = lines.back.point(run.stations) + profile.thickness / 2 * across
    metal = _standing(job, lines, run, profile)
    leaving = _leaving_angles(job, lines, run, profile)
    right, left = np.full(run.scallops + 1, math.pi / 2), np.full(run.scallops + 1, math.pi / 2)
    right[:-1] = _least_angle(metal, (point[:-1], along[:-1], across[:-1]))
    left[1:] = _least_angle(metal, (point[1:], -along[1:], across[1:]))
    right[:-1], left[1:] = np.minimum(right[:-1], leaving[:-1]), np.minimum(left[1:], leaving[1:])
    if run.closed:
        right[-1], left[0] = right[0], left[-1]
    return Grooves(point, heading, left, right)


def _frame(heading: Floats) -> tuple[Floats, Floats]:
    """Return unit vectors along the face and off it towards the viewer, shape (…, 2)."""
    cos, sin = np.cos(heading), np.sin(heading)
    return np.stack([cos, sin], axis=-1), np.stack([sin, -cos], axis=-1)


def _own_side(lines: Lines, run: Run, stations: Floats) -> Floats:
    """Return stations of the back line, at a corner just within the run: the corner itself is the next wall's."""
    if not lines.back.cornered:
        return stations
    return np.clip(stations, run.start + SAME_STATION, run.end - SAME_STATION)


def _standing(job: Job, lines: Lines, run: Run, profile: Profile) -> Floats:
    """Return points on every scallop as it stands, shape (scallops, points, 2); NaN past a cut."""
    x, y = profile.points(POINTS + 1).T
    missing = 0.0 if run.first_part is None else (1 - run.first_part) * run.pitch
    gone = run.pitch * (np.arange(run.scallops)[:, None] + x / profile.pitch) - missing
    kept = np.clip(gone, 0.0, run.count_length)
    point, across = _on_count_line(lines, run, _count_start(lines, run, missing) + kept)
    height = y + profile.thickness / 2 - count_height(job, profile)
    slack = 1e-6 * profile.pitch
    cut = (gone < -slack) | (gone > run.count_length + slack)
    return np.where(cut[..., None], np.nan, point + height[:, None] * across)


def _count_start(lines: Lines, run: Run, missing: float) -> float:
    """Return the count-line station at which a run begins, mm, told by a boundary that no corner is near."""
    middle = run.scallops // 2
    if not lines.back.cornered or middle == 0:
        return float(lines.back.carry(run.start, lines.count))
    return float(lines.back.carry(run.stations[middle], lines.count)) - (middle * run.pitch - missing)


def _on_count_line(lines: Lines, run: Run, along: Floats) -> tuple[Floats, Floats]:
    """Return points of a run's count line and unit vectors off it, straight on where it goes past a corner."""
    if lines.back.cornered:
        first, last = lines.back.carry([run.start + SAME_STATION, run.end - SAME_STATION], lines.count)
        inner = np.clip(along, first, last - SAME_STATION)
    else:
        inner = along
    ahead, across = _frame(lines.count.heading(inner))
    return lines.count.point(inner) + (along - inner)[..., None] * ahead, across


def _least_angle(metal: Floats, frames: tuple[Floats, Floats, Floats]) -> Floats:
    """Return for each valley the least angle off its normal at which its scallop stands, at most π/2."""
    point, along, across = frames
    off = metal - point[:, None]
    x, y = np.einsum("ijk,ik->ij", off, along), np.einsum("ijk,ik->ij", off, across)
    # Points in the valley itself, and its flat, hide nothing; the angle in which metal leaves is known apart.
    hides = y > 1e-9 * np.nanmax(y)
    angle = np.where(hides, np.arctan2(x, y), math.pi / 2)
    return np.asarray(np.minimum(angle.min(axis=1), math.pi / 2), dtype=np.float64)


def _leaving_angles(job: Job, lines: Lines, run: Run, profile: Profile) -> Floats:
    """Return 90° less the angle at which metal leaves each valley, as it stands."""
    leaving = profile.pieces[0].headings[0]
    own = _own_side(lines, run, run.stations)
    bend = lines.back.curvature(np.clip(own, 0.0, None if run.closed else lines.back.length))
    spread = (1 + bend * profile.thickness / 2) / (1 + bend * count_height(job, profile))
    return np.asarray(np.arctan2(run.pitch / profile.pitch * spread * math.cos(leaving), math.sin(leaving)))


@dataclass(frozen=True, eq=False)
class Sights:
    """What every viewpoint sees of every valley of a run; arrays have shape (viewpoints, scallops + 1)."""

    viewpoints: tuple[Viewpoint, ...]
    valley: Views
    """`View` of the valley at each boundary"""
    angle: Floats
    """radians off the normal at which it is looked at; positive from its right"""
    closed: bool

    def edges(self, hand: Hand) -> Views:
        """Return the `View` of each boundary's edge, were a seam there."""
        shown = np.arange(self.valley.shape[1]) + hand.shift
        last = self.valley.shape[1] - 1
        shown = np.where(shown > last, shown - last if self.closed else last, shown)
        valley, angle = self.valley[:, shown], self.angle[:, shown]
        away = (valley == View.SEEN) & (hand.side * angle < MARGIN) & (hand.side != 0)
        return np.where(away, View.GRAZED, valley).astype(np.int8)

    def at(self, boundary: int, hand: Hand) -> dict[str, str]:
        """Return hidden, grazed or seen by viewpoint name, for a seam at a boundary."""
        views = self.edges(hand)[:, boundary]
        return {place.name: View(view).word for place, view in zip(self.viewpoints, views.tolist(), strict=True)}

    def scores(self, hand: Hand) -> Ints:
        """Return how much each boundary's seam would be seen: views times whole weights, summed."""
        weights = whole_weights([place.weight for place in self.viewpoints])
        return np.asarray(weights @ self.edges(hand).astype(np.int64), dtype=np.int64)


def sights_of(
    job: Job, lines: Lines, run: Run, profile: Profile, screens: Screens, viewpoints: Sequence[Viewpoint] | None = None
) -> Sights:
    """Return what the job's viewpoints (or those given) see of every valley of a run."""
    places = tuple(job.viewpoints if viewpoints is None else viewpoints)
    grooves, face = grooves_of(job, lines, run, profile), screens.face_of(lines, run)
    shape = (len(places), run.scallops + 1)
    valley, angle = np.zeros(shape, dtype=np.int8), np.zeros(shape)
    for k, place in enumerate(places):
        valley[k], angle[k] = _views(grooves, screens, face, np.array(place.at, dtype=np.float64))
    return Sights(places, valley, angle, run.closed)


def _views(grooves: Grooves, screens: Screens, face: int, eye: Floats) -> tuple[Views, Floats]:
    """Return one eye's views of all valleys, and the angles at which it looks at them."""
    off = eye - grooves.point
    along, across = _frame(grooves.heading)
    angle = np.arctan2((off * along).sum(axis=1), (off * across).sum(axis=1))
    seen = np.zeros((3, len(angle)), dtype=np.bool_)
    for k, turn in enumerate((-MARGIN, 0.0, MARGIN)):
        ahead = np.flatnonzero((-grooves.open_left < angle + turn) & (angle + turn < grooves.open_right))
        if ahead.size:
            cos, sin = math.cos(turn), math.sin(turn)
            turned = off[ahead] @ np.array([[cos, sin], [-sin, cos]])
            seen[k, ahead] = screens.clear(face, grooves.point[ahead] + turned, grooves.point[ahead])
    views = np.where(seen.all(axis=0), View.SEEN, np.where(seen.any(axis=0), View.GRAZED, View.HIDDEN))
    return views.astype(np.int8), angle


def viewpoint_faults(job: Job, lines: Sequence[Lines]) -> Iterator[Fault]:
    """Yield a fault for each viewpoint nearer to a face than eyes come, in front of it or in the metal."""
    for k, place in enumerate(job.viewpoints, start=1):
        off = min(float(line.crest.nearest(place.at)[1][0]) for line in lines)
        if off < STAND_OFF:
            rule = f"a viewpoint stands at least {format_length(STAND_OFF, job.units)} off every face"
            at = ", ".join(f"{axis} {format_length(c, job.units)}" for axis, c in zip("xy", place.at, strict=True))
            yield Fault(f"viewpoint[{k}].at", at, rule, "Give the place where the eyes are")


def whole_weights(weights: Sequence[float]) -> Ints:
    """Return viewpoints' weights as whole numbers of at least 1, in proportion, that sum to few.

    Whole weights stay as they are while they sum to at most `MOST_WEIGHT`.

    Raises
    ------
    ValueError
        Where a weight is not above 0, or there are more than `MOST_WEIGHT` of them.

    Examples
    --------
    >>> whole_weights([1, 3]).tolist(), whole_weights([0.5, 1.5]).tolist()
    ([1, 3], [25, 74])
    """
    given = np.asarray(weights, dtype=np.float64)
    if not (np.isfinite(given).all() and (given > 0).all()) or len(given) > MOST_WEIGHT:
        raise ValueError(f"weights must be above 0, and at most {MOST_WEIGHT} of them: {weights}")
    total = float(given.sum())
    if (given == np.rint(given)).all() and total <= MOST_WEIGHT:
        return given.astype(np.int64)
    # One each is set aside first, so that none is lost however small and the sum holds.
    return 1 + np.floor(given / total * (MOST_WEIGHT - len(given))).astype(np.int64)


def most_seams(runs: Sequence[Run], smallest: int) -> int:
    """Return how many seams the runs may have at most."""
    return sum(run.scallops // smallest + 1 for run in runs)


def priced(lift: Floats, scores: Ints, seams: int) -> Ints:
    """Return each boundary's cost: first how much it is seen, then its lift in µm.

    Parameters
    ----------
    lift
        mm, shape (n,), each counted as at most `LIFT_ROOM`/`seams` µm.
    scores
        Shape (n,), at most 2·`MOST_WEIGHT`.
    seams
        that the plan may have at most

    Examples
    --------
    >>> cost = priced(np.array([0.25, 0.5]), np.array([1, 0]), 20)
    >>> cost.tolist(), [told(int(c)) for c in cost]
    ([10000250, 500], [(1, 250), (0, 500)])
    """
    most = (LIFT_ROOM - 1) // seams
    return np.asarray(scores * LIFT_ROOM + np.minimum(np.rint(lift * 1000), most).astype(np.int64))


def told(cost: int) -> tuple[int, int]:
    """Return what a cost of a job with viewpoints, or a sum of such costs, holds: score of sight, µm of lift."""
    return divmod(cost, LIFT_ROOM)


def long_faults(job: Job, runs: Sequence[Run]) -> Iterator[Fault]:
    """Yield a fault where so many seams are so finely weighed that their costs cannot be summed exactly."""
    if not job.viewpoints:
        return
    seams, scallops = most_seams(runs, job.face.smallest_panel), sum(run.scallops for run in runs)
    dearest = 2 * int(whole_weights([place.weight for place in job.viewpoints]).sum()) * LIFT_ROOM
    if (seams + 1) ** 2 * 2 * scallops * dearest >= 1 << COST_BITS:
        rule = f"sight and lift of {scallops} scallops cannot be weighed exactly together"
        remedy = "Leave viewpoints out, give them small whole weights, or plan the face in parts"
        yield Fault("viewpoint", f"{len(job.viewpoints)} of them", rule, remedy)
