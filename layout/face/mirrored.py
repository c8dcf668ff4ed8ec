"""Whether seams can mirror one another about the plan's own axis."""

from __future__ import annotations

from layout.errors import NoPlan
from layout.face.choosing import Choosing
from solver.mirror import has_mirrored_way


def check_mirrored(asked: Choosing) -> None:
    """Refuse a choice among mirrored seams where there are none.

    Raises
    ------
    JobFaults
        Where a run has no axis.
    NoPlan
        Where no mirrored seams exist.
    """
    if asked.mirrors is not None and not all(map(has_mirrored_way, asked.draft.tracks, asked.mirrors)):
        raise NoPlan(
            "no seams that mirror one another about the plan's axis keep the limits of panels and seam-free stretches",
            ["Leave seams.symmetric out, or make the seam-free stretches mirror one another"],
        )
