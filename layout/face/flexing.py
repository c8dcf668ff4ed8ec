"""What the planned face may give before its metal takes a set."""

from __future__ import annotations

from collections.abc import Sequence

from layout.face.plan import Flex, Lines
from layout.job.model import Job
from layout.metal.flex import natural_bend_radius, pull, take_up_left, take_up_limit
from layout.metal.metals import metal_of
from layout.metal.profile import Profile


def flex_of(job: Job, profile: Profile, lines: Sequence[Lines]) -> Flex:
    """Return first-yield limits on the straight and at the tightest curve of any line."""
    metal = metal_of(job.metal)
    limit = take_up_limit(profile, metal)
    natural = natural_bend_radius(profile, metal)
    tightest = min(line.back.smallest_radius for line in lines)
    return Flex(
        take_up_limit=limit,
        tight_take_up_limit=take_up_left(limit, natural, tightest),
        pull_per_mm=pull(profile, metal),
        natural_bend_radius=natural,
    )
