"""What the metal bears, held against the check's own sums of the scallop.

The metals' tables are not asked again. Two of the plan's figures tell which modulus and yield it went by;
these must be the job's where it gives them, those of some sheet metal where not, and the others follow.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from layout.face.check_runs import Own
from layout.face.check_scallop import Sums
from layout.face.check_words import BEND, SHARE, differs, unless
from layout.face.plan import Plan

MODULUS = (20e3, 400e3)
"""MPa: no sheet metal is outside of it (assumed)"""

YIELD = (5.0, 2000.0)
"""MPa: no sheet metal is outside of it (assumed)"""


def check_flex(plan: Plan, sums: Sums, own: Sequence[Own]) -> Iterator[str]:
    """Yield what of the first-yield figures does not follow from scallop, metal and curves."""
    flex, metal, t = plan.scallop.flex, plan.job.metal, plan.job.metal.thickness
    if not (flex.natural_bend_radius > 0 and flex.pull_per_mm > 0):
        yield f"flex: radius {flex.natural_bend_radius} and pull {flex.pull_per_mm} are not positive"
        return
    modulus = flex.pull_per_mm * 12 * sums.second / t**3
    strain = t * sums.pitch / (2 * flex.natural_bend_radius * sums.developed)
    for name, found, given, (low, high) in (
        ("modulus", modulus, metal.modulus, MODULUS),
        ("yield", strain * modulus, metal.yield_, YIELD),
    ):
        if given is not None:
            yield from differs(f"flex: {name} that it goes by", found, given, 4 * SHARE * given)
        yield from unless(low <= found <= high, f"flex: a {name} of {found:.6g} MPa is no sheet metal's")
    limit = 2 * strain * sums.second / (t * sums.reach)
    yield from differs("flex: take-up limit", flex.take_up_limit, limit, 4 * SHARE * limit)
    bend = max(float(np.abs(lines.back.curvature).max()) for lines in own)
    left = limit * max(0.0, 1 - flex.natural_bend_radius * bend)
    near = limit * (4 * SHARE + BEND * flex.natural_bend_radius * bend)
    yield from differs("flex: take-up limit left at the tightest curve", flex.tight_take_up_limit, left, near)
