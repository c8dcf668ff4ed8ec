"""The axis on which a run's boundaries mirror one another, where its outline has one."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from layout.errors import Fault, JobFaults
from layout.face.plan import Lines, Run
from layout.outline.chain import Chain

LOOKS = 181
"""places on either side of an axis that are compared (assumed)"""

MIRRORED = 1e-7
"""share of a line's length by which mirrored places may miss one another and still be one"""

Floats = NDArray[np.float64]


def mirrors_of(lines: Sequence[Lines], runs: Sequence[Run]) -> tuple[int, ...]:
    """Return for each run the number m such that boundary j mirrors boundary m − j.

    An axis through the datum is taken first, then the one of lowest number.

    Raises
    ------
    JobFaults
        Where a run has no such axis.
    """
    found = [mirror_of(lines[run.outline], run) for run in runs]
    faults = [_no_axis(run) for run, mirror in zip(runs, found, strict=True) if mirror is None]
    if faults:
        raise JobFaults(faults)
    return tuple(mirror for mirror in found if mirror is not None)


def mirror_of(lines: Lines, run: Run) -> int | None:
    """Return the number m such that boundary j of a run mirrors boundary m − j; None: it has no axis."""
    if not run.closed:
        return run.scallops if _mirrors(lines.back, (run.start + run.end) / 2, (run.end - run.start) / 2) else None
    middles = np.append(run.stations[:-1], (run.stations[1:] + run.stations[:-1]) / 2)
    numbers = np.append(2 * np.arange(run.scallops), 2 * np.arange(run.scallops) + 1)
    for number, middle in sorted(zip(numbers.tolist(), middles.tolist(), strict=True)):
        if _mirrors(lines.back, middle, lines.back.length / 2):
            return int(number) % run.scallops
    return None


def _mirrors(line: Chain, middle: float, reach: float) -> bool:
    """Tell whether the line within `reach` of a station mirrors itself about the normal there."""
    off = np.linspace(0.0, reach, LOOKS)
    origin, heading = line.point(middle), float(line.heading(middle))
    along = np.array([np.cos(heading), np.sin(heading)])
    across = np.array([-along[1], along[0]])
    after, before = line.point(middle + off) - origin, line.point(middle - off) - origin
    gap = np.hypot(after @ along + before @ along, after @ across - before @ across)
    return bool(gap.max() <= MIRRORED * max(line.length, 1.0))


def _no_axis(run: Run) -> Fault:
    return Fault(
        "seams.symmetric",
        "true",
        f"run {run.name} has no axis on which its valleys mirror one another",
        "Put the datum on the plan's axis, or leave seams.symmetric out",
    )
