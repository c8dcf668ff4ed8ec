"""Places that a job tells by a point or an angle: that their stations are where the check's own line has them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from layout.face.check_line import Floats
from layout.face.check_runs import Own
from layout.face.check_words import unless
from layout.face.plan import Plan
from layout.job.model_places import Asked

CENTRE = 0.05
"""mm by which a place by angle may differ: the centre of a line without one is its area's, from a polygon"""

NEAREST = 1e-3
"""mm by which the distance of a point from dense nodes may seem less than from the place itself"""

CENTRED = ("circle", "ellipse", "stadium", "rounded-rectangle")


def check_places(plan: Plan, own: Sequence[Own]) -> Iterator[str]:
    """Yield each place whose station is not the nearest to its point, or not at its angle."""
    for asked in plan.job.places:
        k = next((k for k, spec in enumerate(plan.job.outlines) if asked.outline in ("", spec.name)), 0)
        station = _station(plan, asked.key)
        if station is None:
            yield f"{asked.key} tells a place of nothing"
            continue
        near = asked.place.near is not None
        held = (
            _is_nearest(asked, own[k], station)
            if near
            else _is_at_angle(asked, own[k], station, _centre(plan, k, own[k]))
        )
        yield from unless(held, f"{asked.key}: station {station:.9g} is not the place that it tells")


def _station(plan: Plan, key: str) -> float | None:
    """Return the station that the job now has under a key."""
    table, _, last = key.rpartition(".")
    path, _, number = table.rstrip("]").rpartition("[")
    job = plan.job
    lists: dict[str, Sequence[object]] = {
        "seams.avoid": job.seams.avoid,
        "seams.require": job.seams.require,
        "zone": job.zones,
        "opening": job.openings,
        "cutout": job.cutouts,
    }
    if path not in lists or not 1 <= int(number) <= len(lists[path]):
        return None
    return float(getattr(lists[path][int(number) - 1], {"from": "start", "to": "end"}.get(last, last)))


def _is_nearest(asked: Asked, own: Own, station: float) -> bool:
    """Tell whether no node is nearer, and the way to the point leaves the line at a right angle, or at an end."""
    point = np.array(asked.place.near)
    to = point - own.back.point([station])[0]
    away = float(np.hypot(own.back.x - point[0], own.back.y - point[1]).min())
    if float(np.hypot(*to)) > away + NEAREST:
        return False
    heading = own.back.heading_at(station)
    along = float(to[0] * math.cos(heading) + to[1] * math.sin(heading))
    aside = float(to[1] * math.cos(heading) - to[0] * math.sin(heading))
    bend = own.back.sides(station)[1]
    ends = [at for at, _ in own.back.corner_stations] + ([] if own.back.closed else [0.0, own.back.length])
    at_end = any(abs(station - end) <= own.near for end in ends)
    return at_end or abs(along) <= 10 * own.near * max(abs(1 - bend * aside), 0.1)


def _is_at_angle(asked: Asked, own: Own, station: float, centre: Floats) -> bool:
    """Tell whether the place is seen from the centre at its angle."""
    angle = asked.place.at_angle or 0.0
    to = own.back.point([station])[0] - centre
    ahead = float(to[0] * math.cos(angle) + to[1] * math.sin(angle))
    aside = float(to[1] * math.cos(angle) - to[0] * math.sin(angle))
    steep = abs(math.sin(own.back.heading_at(station) - angle))
    return ahead > 0 and abs(aside) <= CENTRE * max(steep, 0.01)


def _centre(plan: Plan, outline: int, own: Own) -> Floats:
    """Return where angles are seen from."""
    x, y = own.drawn.x, own.drawn.y
    if plan.job.outlines[outline].shape in CENTRED:
        return np.zeros(2)
    if not own.drawn.closed:
        return np.array([x[0] + x[-1], y[0] + y[-1]]) / 2
    u, v = x - x.mean(), y - y.mean()
    cross = u * np.roll(v, -1) - np.roll(u, -1) * v
    middle = np.array([((u + np.roll(u, -1)) * cross).sum(), ((v + np.roll(v, -1)) * cross).sum()])
    return np.asarray(middle / (3 * cross.sum()) + [x.mean(), y.mean()], dtype=np.float64)
