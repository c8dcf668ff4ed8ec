"""Sight, by casting rays at the face with every scallop drawn out.

The scallops are traced by the check's own formulas and stood on its own lines; every line of sight is
tried against every chord of every face, back line and wall. Nothing is shared with what made the plan.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.face.check_runs import Own
from layout.face.check_scallop import traced
from layout.face.plan import Plan, Run, Seam
from layout.job.model import Job

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

CHORDS = 48
"""chords of each part of a scallop"""

BACK = 4000
"""nodes of a back line as it stands in the way"""

SHORT = 1e-3
"""mm by which a line of sight ends before its valley, so as not to touch the metal it looks at"""

WITHIN = math.radians(1.0)
"""radians: what a turn of this to either side changes is grazed; the plan's own margin"""

BESIDE = 0.5
"""mm to either side by which the direction of a wall with corners is taken"""

TINY = 1e-3
"""mm that such a place keeps off the ends of its run, whose corner belongs to two walls"""

SLACK = math.radians(0.25)
"""radians by which chords, samples and the metal's thickness may mistake a grazing angle"""

WORDS = ("hidden", "grazed", "seen")
"""what may be told of a seam, the worse the later"""

STEP = 10**7
"""µm of lift that a step of sight outweighs: the seven last figures of a cost are lift"""

WEIGHTS = 100
"""that whole weights sum to at most"""

CELLS = 300_000
"""pairs of ray and chord tried at a time"""


@dataclass(frozen=True, eq=False)
class Scene:
    """All that is opaque, as chords of shape (m, 2, 2), mm."""

    chords: Floats

    def clear(self, eyes: Floats, targets: Floats) -> Flags:
        """Tell for each eye and target, shape (k, 2), whether no chord is met on the way, short of the target."""
        away = eyes - targets
        ends = targets + SHORT * away / np.maximum(np.hypot(*away.T), SHORT)[:, None]
        step = max(1, CELLS // max(len(self.chords), 1))
        parts = [~self._met(eyes[k : k + step], ends[k : k + step]).any(axis=1) for k in range(0, len(eyes), step)]
        return np.concatenate(parts) if parts else np.zeros(0, dtype=np.bool_)

    def _met(self, eyes: Floats, ends: Floats) -> Flags:
        """Tell which chords each ray meets, shape (rays, chords)."""
        a, b = self.chords[:, 0], self.chords[:, 1]
        e, t = eyes[:, None], ends[:, None]
        apart = _side(e, t, a) * _side(e, t, b) <= 0
        return np.asarray(apart & (_side(a, b, e) * _side(a, b, t) <= 0))


def _side(p: Floats, q: Floats, r: Floats) -> Floats:
    """Return twice the area of the triangle p, q, r: positive where it turns left."""
    return np.asarray(
        (q[..., 0] - p[..., 0]) * (r[..., 1] - p[..., 1]) - (q[..., 1] - p[..., 1]) * (r[..., 0] - p[..., 0])
    )


def whole_weights(job: Job) -> list[int]:
    """Return each viewpoint's weight as it counts: whole ones as they are, others in parts of `WEIGHTS`."""
    given = [place.weight for place in job.viewpoints]
    if all(weight == int(weight) for weight in given) and sum(given) <= WEIGHTS:
        return [int(weight) for weight in given]
    return [1 + math.floor(weight / math.fsum(given) * (WEIGHTS - len(given))) for weight in given]


def score_of(job: Job, told: Mapping[str, str]) -> int:
    """Return how much a seam is seen, by what is told of it; nothing told is nothing seen."""
    views = [WORDS.index(told[place.name]) if told.get(place.name) in WORDS else 0 for place in job.viewpoints]
    return sum(weight * view for weight, view in zip(whole_weights(job), views, strict=True))


def price_of(plan: Plan, seam: Seam) -> float:
    """Return what a seam costs, by what is told of its sight and lift; half a µm may be rounded away."""
    micro = seam.lift * 1000
    if not plan.job.viewpoints:
        return micro
    most = sum(run.scallops // plan.job.face.smallest_panel + 1 for run in plan.runs)
    return STEP * score_of(plan.job, dict(seam.sight)) + min(micro, (STEP - 1) // most)


def drawn_face(job: Job, own: Own, run: Run, pitch: float) -> Floats:
    """Return a run's mid-metal with every scallop drawn out, shape (n, 2), mm.

    What a corner adds to a run goes straight on, past the corner: the leg of a return, the tip of a mitre.
    """
    x, y = traced(job.scallop, job.metal.thickness, pitch, CHORDS).T
    missing = 0.0 if run.first_part is None else (1 - run.first_part) * run.pitch
    along = run.pitch * (np.arange(run.scallops)[:, None] + x[:-1] / pitch).ravel() - missing
    along, height = np.append(along, along[0] + run.pitch * run.scallops), np.append(np.tile(y[:-1], run.scallops), 0.0)
    kept = (along >= -1e-9 * pitch) & (along <= run.count_length * (1 + 1e-9))
    foot, off = _footed(own, run, along[kept], missing)
    return np.asarray(foot + off * (height[kept] + job.metal.thickness / 2)[:, None])


def _footed(own: Own, run: Run, along: Floats, missing: float) -> tuple[Floats, Floats]:
    """Return the places on the wall of what stands so far along a run's count line, and unit vectors off it there."""
    stations, gone = own.back.between(run.start, run.end, own.count)
    # How far the first scallop begins before its corner's normal is told by a boundary well away from both ends.
    middle = max(1, run.scallops // 2)
    before = 0.0
    if middle < run.scallops:
        before = middle * run.pitch - missing - float(np.interp(float(run.stations[middle]), stations, gone))
    there = along - before
    foot, off = _frames(own, run, np.interp(there, gone, stations))
    past = there - np.clip(there, gone[0], gone[-1])
    ahead = np.column_stack([-off[:, 1], off[:, 0]])
    return foot + past[:, None] * ahead, off


def _frames(own: Own, run: Run, stations: Floats) -> tuple[Floats, Floats]:
    """Return points of a run's wall and unit vectors off it, at a corner those of the run's own side."""
    foot = own.back.point(stations)
    if not own.back.corner_stations:
        off = own.crest.point(own.back.carried(stations, own.crest)) - foot
        return foot, off / np.hypot(*off.T)[:, None]
    first, last = (np.clip(stations + by, run.start + TINY, run.end - TINY) for by in (-BESIDE, BESIDE))
    ahead = own.back.point(last) - own.back.point(first)
    return foot, np.column_stack([ahead[:, 1], -ahead[:, 0]]) / np.hypot(*ahead.T)[:, None]


def scene_of(job: Job, own: Sequence[Own], runs: Sequence[Run], pitch: float) -> Scene:
    """Return all faces with scallops drawn out, the back lines and the walls."""
    drawn = [drawn_face(job, own[run.outline], run, pitch) for run in runs]
    drawn += [_thinned(line) for line in own]
    drawn += [np.array(wall.points) for wall in job.walls]
    return Scene(np.concatenate([np.stack([line[:-1], line[1:]], axis=1) for line in drawn]))


def _thinned(own: Own) -> Floats:
    """Return about `BACK` nodes of a back line, both ends among them."""
    nodes = np.linspace(0, own.back.x.size - 1, BACK).round().astype(np.intp)
    return np.column_stack([own.back.x[nodes], own.back.y[nodes]])


def valleys_of(job: Job, own: Own, run: Run, boundaries: Sequence[int]) -> tuple[Floats, Floats]:
    """Return boundaries' valleys at mid-metal and the unit vectors off the face there, shape (k, 2) each."""
    foot, off = _frames(own, run, np.array([float(run.stations[k]) for k in boundaries]))
    return foot + off * (job.metal.thickness / 2), off


def turned_clear(scene: Scene, eye: Floats, valley: Floats, turns: Floats) -> Flags:
    """Tell for one valley whether it is seen when the line of sight is turned about it by each angle."""
    off = eye - valley
    cos, sin = np.cos(turns), np.sin(turns)
    eyes = valley + np.column_stack([off[0] * cos - off[1] * sin, off[0] * sin + off[1] * cos])
    return scene.clear(eyes, np.broadcast_to(valley, eyes.shape))


def check_sight(plan: Plan, own: Sequence[Own]) -> list[str]:
    """Return which seams are not seen as the plan says, in words.

    ``seen`` must be clear and its edge open to the eye, ``hidden`` must be blocked, and ``grazed`` must
    be near a change of either.
    """
    job = plan.job
    if not job.viewpoints:
        seen = [seam.number for seam in plan.seams if seam.sight]
        return [f"seam {number}: said to be seen, and there is no viewpoint" for number in seen]
    scene = scene_of(job, own, plan.runs, plan.scallop.pitch)
    runs = {run.number: run for run in plan.runs}
    found: list[str] = []
    for seam in plan.seams:
        if not seam.end:
            found += _check_seam(plan, own[seam.outline], scene, (runs[seam.run], seam))
        elif seam.sight:
            found.append(f"seam {seam.number}: said to be seen, and it is an end of a run")
    return found


def _check_seam(plan: Plan, own: Own, scene: Scene, place: tuple[Run, Seam]) -> Iterator[str]:
    run, seam = place
    claimed = dict(seam.sight)
    job = plan.job
    boundary, side = edge_of(job, run, seam.boundary)
    valley, off = (pair[0] for pair in valleys_of(job, own, run, [boundary]))
    if [name for name, _ in seam.sight] != [viewpoint.name for viewpoint in job.viewpoints]:
        yield f"seam {seam.number}: sight is told for other viewpoints than the job's"
        return
    for viewpoint in job.viewpoints:
        view = claimed[viewpoint.name]
        possible = possible_views(scene, np.array(viewpoint.at), (valley, off), side)
        if view not in possible:
            yield (
                f"seam {seam.number}: said to be {view} from {viewpoint.name}, "
                f"the check finds it {' or '.join(sorted(possible))}"
            )


def edge_of(job: Job, run: Run, boundary: int) -> tuple[int, int]:
    """Return the boundary at which a seam's edge shows, and the side it is open to: +1 right, −1 left, 0 both."""
    if job.face.seam != "lap":
        return boundary, 0
    if job.face.lap_goes == "under":
        return boundary, -1
    return ((boundary + 1) % run.scallops if run.closed else min(boundary + 1, run.scallops)), 1


def possible_views(scene: Scene, eye: Floats, groove: tuple[Floats, Floats], side: int) -> set[str]:
    """Return the words that a seam's sight may bear: one, or two about where it changes.

    Parameters
    ----------
    groove
        The valley and the unit vector off the face.
    side
        To which the edge is open.
    """
    valley, off = groove
    turns = np.add.outer([-WITHIN, 0.0, WITHIN], [-SLACK, 0.0, SLACK])
    away = eye - valley
    # Left turn from the normal to the eye is to the viewer's right: stations rise that way.
    angle = math.atan2(off[0] * away[1] - off[1] * away[0], off[0] * away[0] + off[1] * away[1])
    # Behind the face is hidden, also past the end of an open one.
    ahead = np.abs(angle + turns) < math.pi / 2
    clear = ahead & turned_clear(scene, eye, valley, turns.ravel()).reshape(turns.shape)
    may, may_not = clear.any(axis=1), ~clear.all(axis=1)
    possible = set()
    if may.all() and (side == 0 or side * angle >= WITHIN - SLACK):
        possible.add("seen")
    if may_not.all():
        possible.add("hidden")
    if (np.outer(may, may_not) & ~np.eye(3, dtype=np.bool_)).any():
        possible.add("grazed")
    if may.all() and side != 0 and side * angle < WITHIN + SLACK:
        possible.add("grazed")
    return possible
