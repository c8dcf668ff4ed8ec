"""What a sharp corner adds to the two runs that meet in it, from where their lines cross.

The first run comes along x to the corner at (0, 0), the viewer below it; the second leaves at the turn δ.
"""

from __future__ import annotations

import math

import numpy as np

from layout.face.check_line import mitre


def corner_changes(kind: str, turn: float, offset: float, depth: float) -> tuple[float, float]:
    """Return by how much the run before and the run after are longer at an offset off the back line, mm.

    Parameters
    ----------
    kind
        mitre · return.
    turn
        δ, radians, left positive.
    offset
        mm towards the viewer.
    depth
        mm, from the back line to the outermost metal.

    Examples
    --------
    >>> [round(mm, 9) + 0.0 for mm in corner_changes("return", math.pi / 2, 9.0, depth=20.0)]
    [20.0, 0.0]
    >>> [round(mm, 9) for mm in corner_changes("mitre", -math.pi / 2, 9.0, depth=20.0)]
    [-9.0, -9.0]
    """
    if kind == "mitre":
        past = mitre(turn, offset)
        return past, past
    ahead = np.array([math.cos(turn), math.sin(turn)])
    crest = depth * np.array([math.sin(turn), -math.cos(turn)])
    # Where the second's crest line crosses the first's back line: so far along the first, so far along the second.
    first, second = np.linalg.solve(np.column_stack([[1.0, 0.0], -ahead]), crest)
    if turn > 0:
        # The first goes on until it covers the second's end, whose crests begin no nearer than that back line.
        return float(first), -max(float(second), 0.0)
    # Inside the first stops where its own crests would touch the second's back line.
    end = min(0.0, depth / math.tan(-turn))
    if ahead[0] >= 0:
        # The second's square end touches the outermost corner of the first's.
        return end, -float(np.dot(ahead, [end, -depth]))
    # Past a right angle the second's crests begin at the level of the first's.
    return end, -(depth - depth * math.cos(turn)) / math.sin(-turn)
