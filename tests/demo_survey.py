"""Writes the survey that a demo job reads: a clinic's desk as two people with a tape and a level take it.

    python -m tests.demo_survey demo_jobs/clinic_desk.csv

The wall is straight, bends round a quarter and runs straight on; every mark is off by up to 1.5 mm, seeded.
"""

from __future__ import annotations

import math
import random
import sys
from pathlib import Path
from typing import Final

FIRST, RADIUS, SECOND = 1800.0, 1200.0, 1400.0
"""mm: a straight, a bend of 90° to the left, a straight"""
STEP: Final = 125.0
"""mm along the wall from mark to mark, about"""
SCATTER: Final = 1.5
"""mm, largest that a mark is off, along x and along y"""
SEED: Final = 7


def wall(at: float) -> tuple[float, float]:
    """Return a place of the true wall, mm, by its distance from the left end."""
    bend = RADIUS * math.pi / 2
    if at <= FIRST:
        return at, 0.0
    if at <= FIRST + bend:
        turn = (at - FIRST) / RADIUS
        return FIRST + RADIUS * math.sin(turn), RADIUS * (1 - math.cos(turn))
    return FIRST + RADIUS, RADIUS + at - FIRST - bend


def marks() -> list[tuple[float, float]]:
    """Return the marks as measured, mm to a tenth."""
    length = FIRST + RADIUS * math.pi / 2 + SECOND
    count = round(length / STEP)
    chance = random.Random(SEED)
    places = [wall(length * k / count) for k in range(count + 1)]
    return [
        (round(x + chance.uniform(-SCATTER, SCATTER), 1), round(y + chance.uniform(-SCATTER, SCATTER), 1))
        for x, y in places
    ]


def survey() -> str:
    """Return the survey's text."""
    return "\n".join(["x,y", *(f"{x:.1f},{y:.1f}" for x, y in marks())]) + "\n"


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(survey(), encoding="utf-8")
