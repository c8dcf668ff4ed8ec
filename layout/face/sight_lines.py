"""What stands in the way between an eye and a valley: the faces, the counter behind them, walls."""

from __future__ import annotations

import bisect
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from layout.face.plan import Lines, Run
from layout.job.model import Wall
from layout.outline.tolerances import SAME_STATION, SMOOTH

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

CHORD: Final = 0.1
"""mm that the polyline of an opaque line may leave it: 0.006° seen from a metre off (assumed)"""

PIECES: Final = 8
"""parts that a line of sight is looked up in: a long slanting one has a wide box round it"""


@dataclass(frozen=True)
class Faces:
    """The faces of one outline: all round it, or from corner to corner."""

    first: int
    """number of the face at station 0"""
    corners: tuple[float, ...]
    """mm, stations of its corners along the crest line, rising; a loop's at its datum last, as its length"""
    joined: bool
    """the stretch past the last corner is the first again, on a loop whose datum is no corner"""

    def of(self, station: float) -> int:
        """Return the number of the face at a station of the crest line, mm.

        >>> box = Faces(3, (10.0, 30.0, 40.0, 60.0), joined=True)
        >>> [box.of(station) for station in (5.0, 20.0, 35.0, 50.0, 70.0)]
        [3, 4, 5, 6, 3]
        """
        place = bisect.bisect(self.corners, station)
        return self.first + (0 if self.joined and place == len(self.corners) else place)


@dataclass(frozen=True, eq=False)
class Screens:
    """All that is opaque in plan, as polylines of shape (n, 2), mm."""

    backs: tuple[Floats, ...]
    """back line of every outline: no line of sight passes the counter"""
    crests: tuple[Floats, ...]
    """crest line of every outline, from corner to corner: a line of sight may leave its own face through it, once"""
    walls: tuple[Floats, ...] = ()
    owners: tuple[int, ...] = ()
    """of which face each crest line is: several may be one's; not given: each of its own"""
    faces: tuple[Faces, ...] = ()
    """of every outline"""

    def face_of(self, lines: Lines, run: Run) -> int:
        """Return the number of the face that a run is of."""
        middle = (run.start + run.end) / 2
        return self.faces[run.outline].of(float(np.mod(lines.back.carry(middle, lines.crest), lines.crest.length)))

    @cached_property
    def _solid(self) -> shapely.Geometry:
        """Return all that may never be crossed, prepared."""
        solid = shapely.MultiLineString([line.tolist() for line in (*self.backs, *self.walls)])
        shapely.prepare(solid)
        return solid

    @cached_property
    def _segments(self) -> Floats:
        """Return the chords of all crest lines, shape (m, 2, 2)."""
        return np.concatenate([np.stack([line[:-1], line[1:]], axis=1) for line in self.crests])

    @cached_property
    def _owner(self) -> NDArray[np.intp]:
        owners = self.owners or range(len(self.crests))
        return np.repeat(np.array(owners, dtype=np.intp), [len(line) - 1 for line in self.crests])

    @cached_property
    def _tree(self) -> shapely.STRtree:
        return shapely.STRtree(np.asarray(shapely.linestrings(self._segments)))

    def clear(self, face: int, eyes: Floats, targets: Floats) -> Flags:
        """Tell for each pair of eye and target whether nothing opaque stands between.

        Parameters
        ----------
        face
            Number of the face in which the targets lie, between back line and crest line (`Faces.of`).
        eyes, targets
            mm, shape (k, 2).

        Examples
        --------
        >>> screens = Screens((np.array([[0.0, 0.0], [9.0, 0.0]]),), (np.array([[0.0, -1.0], [9.0, -1.0]]),))
        >>> screens.clear(0, np.array([[5.0, -9.0], [5.0, 9.0]]), np.array([[4.0, -0.1], [4.0, -0.1]])).tolist()
        [True, False]
        """
        rays = np.stack([eyes, targets], axis=1)
        clear = ~np.asarray(shapely.intersects(self._solid, shapely.linestrings(rays)), dtype=np.bool_)
        left = np.flatnonzero(clear)
        if left.size:
            own, other = self._crossings(face, rays[left])
            clear[left] = (own <= 1) & (other == 0)
        return clear

    def _crossings(self, face: int, rays: Floats) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Count how often each ray crosses its own face's crest line and any other, shape (k,) each."""
        shares = np.linspace(0.0, 1.0, PIECES + 1)[:, None, None]
        ends = rays[:, 0] + shares * (rays[:, 1] - rays[:, 0])
        pieces = np.stack([ends[:-1], ends[1:]], axis=2).reshape(-1, 2, 2)
        piece, segment = self._tree.query(shapely.linestrings(pieces), predicate="intersects")
        pairs = np.unique(piece % len(rays) * len(self._segments) + segment)
        ray, segment = np.divmod(pairs, len(self._segments))
        crossed = _crosses(rays[ray], self._segments[segment])
        own = self._owner[segment] == face
        return (
            np.bincount(ray[crossed & own], minlength=len(rays)),
            np.bincount(ray[crossed & ~own], minlength=len(rays)),
        )


def _crosses(rays: Floats, segments: Floats) -> Flags:
    """Tell for each pair whether the segment's ends lie on different sides of the ray.

    A point on the ray counts as left of it, so a ray through a vertex crosses one of its two segments.
    """
    along = rays[:, 1] - rays[:, 0]
    sides = [
        along[:, 0] * (segments[:, k, 1] - rays[:, 0, 1]) - along[:, 1] * (segments[:, k, 0] - rays[:, 0, 0]) >= 0
        for k in (0, 1)
    ]
    return np.asarray(sides[0] != sides[1])


def faces_of(lines: Sequence[Lines]) -> tuple[Faces, ...]:
    """Return the faces of every outline, numbered through."""
    found: list[Faces] = []
    count = 0
    for line in lines:
        corners = [at for at, _, turn in line.crest.breaks if line.crest.cornered and abs(turn) > SMOOTH]
        at_datum = bool(corners) and corners[-1] >= line.crest.length - SAME_STATION
        joined = line.closed and bool(corners) and not at_datum
        found.append(Faces(count, tuple(corners), joined))
        count += len(corners) + (0 if line.closed and corners else 1)
    return tuple(found)


def screens_of(lines: Sequence[Lines], walls: Sequence[Wall] = ()) -> Screens:
    """Return what is opaque of all outlines and walls of a job."""
    crests, owners = [], []
    for line, faces in zip(lines, faces_of(lines), strict=True):
        stations = line.crest.mesh(tolerance=CHORD)
        cuts = np.searchsorted(stations, [at - SAME_STATION for at in faces.corners])
        for a, b in pairwise([0, *cuts.tolist(), len(stations) - 1]):
            if b > a:
                crests.append(line.crest.point(stations[a : b + 1]))
                owners.append(faces.of(float(stations[a] + stations[b]) / 2))
    return Screens(
        backs=tuple(line.back.sample(tolerance=CHORD) for line in lines),
        crests=tuple(crests),
        walls=tuple(np.array(wall.points, dtype=np.float64) for wall in walls),
        owners=tuple(owners),
        faces=faces_of(lines),
    )
