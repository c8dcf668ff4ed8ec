"""Every tolerance of the outline, by name. Lengths in mm, angles in radians."""

from __future__ import annotations

import math

CLOSURE = 0.5
"""mm: a closed path whose end misses its start by no more than this counts as closed."""

SMOOTH = math.radians(0.1)
"""radians: a tangent break smaller than this counts as smooth, anything more is a corner."""

CROSSING_CHORD = 0.05
"""mm: crossings are looked for on a polyline that leaves the curve by no more than this, so two parts of
a line that pass within twice this of each other may be taken for crossing, and a crossing less than
this deep may be missed. Assumed: a tenth of what a scribed line on site can hold."""

JOINT_GAP = 2.0
"""mm: the widest gap between two segments of a chain. A closing gap of `CLOSURE` with a break of `SMOOTH`
opens to this on a parallel some 850 mm off. Assumed."""

FOLD = 1e-9
"""A parallel at distance d folds where 1 + d·κ is no more than this (0 in exact sums; no unit)."""

SAME_STATION = 1e-6
"""mm: stations closer than this are one; a station may lie this far past an end of an open line."""

SAME_DISTANCE = 1e-6
"""mm: points that differ in distance by no more than this are equally near."""

SAME_PLACE = CLOSURE
"""mm: equally near points closer than this along the line are one place."""

LEVEL = 1e-6
"""mm: points whose heights differ by no more than this are equally low."""

LEAST_RADIUS = 1.0
"""mm: a drawn curve that bends tighter is a corner. Assumed: no face is hung round less."""

SAME_POINT = 1e-3
"""mm: ends of drawn pieces closer than this are one point, and pieces no longer than this are none.
Coordinates written to six decimals of an inch, and angles to six of a degree on a radius of 60 m, hold it."""

DRAWING_GAP = CLOSURE
"""mm: free ends of drawn pieces that lie no farther apart are joined, and it is said; farther ones are a gap."""

DRAWING_NEAR_MISS = 25.0
"""mm: free ends no farther apart than this are told as gaps where a line does not close. Assumed."""
