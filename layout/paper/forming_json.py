"""Die, press and weights for `plan.json`, in the job's units: lengths in or mm, lbf or kN, lb or kg."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from layout.face.forming import Forming
from layout.units import KG_PER_POUND, N_PER_LBF

Value = str | int | float | bool | None | list["Value"] | dict[str, "Value"]
Number = Callable[[float], float]

_FORCE: Final = {"in": float(N_PER_LBF), "mm": 1000.0}
"""N of the unit that forces are written in: lbf, kN"""
_WEIGHT: Final = {"in": float(KG_PER_POUND), "mm": 1.0}
"""kg of the unit that weights are written in: lb, kg"""


def die_object(forming: Forming, length: Number) -> dict[str, Value]:
    """Return the die to start with, and the stock tools near it; `length` writes mm in the job's units."""
    die = forming.die
    return {
        "punch_radius": length(die.punch_radius),
        "groove_radius": length(die.groove_radius),
        "loaded_pitch": length(die.loaded_pitch),
        "spacing": length(die.spacing),
        "grooves": die.grooves,
        "springback_ratio": float(f"{die.springback_ratio:.12g}"),
        "strokes": forming.strokes_in_all,
        "stock": [
            {
                "name": tool.name,
                "diameter": length(tool.diameter),
                "pitch": length(tool.pitch),
                "depth": length(tool.depth),
                "developed": length(tool.developed),
                "count": tool.count,
            }
            for tool in forming.stock
        ],
    }


def press_object(forming: Forming, units: str) -> dict[str, Value]:
    """Return what the press has to do; capacity and share are null where no press is given."""
    work, size = forming.press, _FORCE[units]
    return {
        "force": float(f"{work.force / size:.12g}"),
        "bottoming": float(f"{work.bottoming / size:.12g}"),
        "capacity": None if work.capacity is None else float(f"{work.capacity / size:.12g}"),
        "share": None if work.share is None else float(f"{work.share:.12g}"),
    }


def weight_in(kg: float, units: str) -> float:
    """Return a weight as a number in pounds or kilograms.

    >>> weight_in(1.0, "mm"), weight_in(0.45359237, "in")
    (1.0, 1.0)
    """
    return float(f"{kg / _WEIGHT[units]:.12g}")
