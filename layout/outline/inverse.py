"""From stations back to the parameter of a curve whose length has no inverse in closed form."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from layout.outline.segment import Floats

MOST_STEPS = 60
"""Newton or halving steps for one station; 3 or 4 are usual, 50 halvings reach the last bit of a cell."""

Along = Callable[[Floats], Floats]
"""Of parameters (n,): a value for each."""


def inverse(s: Floats, table: tuple[Floats, Floats], station: Along, pace: Along, near: float) -> Floats:
    """Return the parameters of stations, to `near` mm or better, by Newton's rule.

    Started from a table and halved instead wherever a step would leave its bracket. Stations outside the
    table are taken at its ends.

    Parameters
    ----------
    s
        Stations, mm, any shape.
    table
        Parameters and their stations, both rising, shape (m,) each; the first station is 0.
    station, pace
        Of the parameter: the station, mm, and its derivative, > 0.
    near
        mm: a station closer than this has had its last step.

    Examples
    --------
    >>> table = np.linspace(0.0, 2.0, 5), np.linspace(0.0, 2.0, 5) ** 2
    >>> inverse(np.array([0.0, 2.0, 4.0]), table, lambda u: u**2, lambda u: 2 * u + 1e-300, 1e-14).round(9).tolist()
    [0.0, 1.414213562, 2.0]
    """
    natives, reach = table
    goal = np.clip(np.asarray(s, dtype=np.float64), 0.0, reach[-1])
    flat = goal.ravel()
    cell = np.clip(np.searchsorted(reach, flat, side="right") - 1, 0, len(reach) - 2)
    lo, hi = natives[cell], natives[cell + 1]
    guess = lo + (hi - lo) * (flat - reach[cell]) / (reach[cell + 1] - reach[cell])
    # Ends are asked most, and known.
    guess = np.where(flat <= 0, natives[0], np.where(flat >= reach[-1], natives[-1], guess))
    left = np.flatnonzero((flat > 0) & (flat < reach[-1]))
    for _ in range(MOST_STEPS if left.size else 0):
        at = guess[left]
        miss = station(at) - flat[left]
        lo[left] = np.where(miss < 0, at, lo[left])
        hi[left] = np.where(miss > 0, at, hi[left])
        step = at - miss / pace(at)
        inside = (step >= lo[left]) & (step <= hi[left])
        guess[left] = np.where(inside, step, (lo[left] + hi[left]) / 2)
        left = left[~inside | (np.abs(miss) > near)]
        if not left.size:
            break
    return guess.reshape(goal.shape)
