"""What powder goes on: how far a weight of it reaches.

Coverage 192.3/(SG·mil) ft²/lb, or 1000/(SG·µm) m²/kg: a weight over its density and film (coating trade
tables, read). Divided by the share that stays on.
"""

from __future__ import annotations


def coverage(gravity: float, film: float) -> float:
    """Return the area (m²) that a kilogram of powder covers at a film, mm, with none lost.

    >>> round(coverage(1.6, 2 * 0.0254) * 10.7639 * 0.45359237, 1)
    60.1
    """
    return 1.0 / (gravity * film)


def powder(area: float, gravity: float, film: float, transfer: float) -> float:
    """Return the powder (kg) for an area, m², at a film, mm, of which the share `transfer` stays on.

    >>> round(powder(15.0, 1.5, 0.06, 0.6), 9)
    2.25
    """
    return area / coverage(gravity, film) / transfer
