"""The shape of an answer to where tracks are broken."""

from __future__ import annotations

from dataclasses import dataclass

from solver.problems import Met


@dataclass(frozen=True)
class Breaks:
    """Where the tracks are broken, and how well each goal was met."""

    positions: tuple[tuple[int, ...], ...] | None
    """of each track, rising; a line's with its two ends; None: there is no way to break them"""
    met: tuple[Met, ...]
    """in the order of the goals; empty where there is no way"""

    @property
    def proved(self) -> bool:
        """Whether every goal is met exactly."""
        return self.positions is not None and all(met.proved for met in self.met)
