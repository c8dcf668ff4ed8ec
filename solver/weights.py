"""What sums weigh when they are met as one."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Weights:
    """What a piece charges, and what a unit of cost does."""

    piece: int
    cost: int


PIECES = Weights(1, 0)
TOTAL = Weights(0, 1)
