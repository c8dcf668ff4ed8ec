"""The accessible part of a counter: what the 2010 ADA Standards say, beside what a lowered zone has.

The figures are the federal ones of the United States; a note, for the local code and its official decide.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from layout.face.plan import Plan, Run
from layout.units import format_length

PARALLEL_LONG: Final = 36 * 25.4
"""mm, least length of a sales or service counter's part approached alongside (2010 ADA Standards 904.4.1)"""

FORWARD_LONG: Final = 30 * 25.4
"""mm, least length where it is approached head on (904.4.2)"""

MOST_HIGH: Final = 36 * 25.4
"""mm, greatest height above the floor (904.4.1, 904.4.2)"""

SURFACE_HIGH: Final = (28 * 25.4, 34 * 25.4)
"""mm, least and greatest height of dining and work surfaces (902.3)"""

SAME: Final = 1e-6
"""mm by which a length may pass a figure from rounding alone"""


def accessible_notes(plan: Plan) -> Iterator[str]:
    """Yield a caution for each lowered zone that is higher or shorter than the figures, face to the floor taken."""
    for zone in plan.job.zones:
        if zone.height >= plan.job.face.height:
            continue
        runs = [run for run in plan.runs if run.zone == zone.name]
        told = [*_height(plan, zone.height), *_length(plan, runs)]
        if told:
            yield (
                f"zone {zone.name} is lower than the face; were it meant as the accessible part of the counter: "
                f"{'; '.join(told)} (2010 ADA Standards 904.4, 902.3); the local code decides"
            )


def _height(plan: Plan, height: float) -> Iterator[str]:
    units, (low, high) = plan.job.units, SURFACE_HIGH
    shown = format_length(height, units)
    if height > MOST_HIGH + SAME:
        yield f"its {shown} are over the {format_length(MOST_HIGH, units)} of a sales or service counter"
    elif height > high + SAME:
        yield f"its {shown} are over the {format_length(high, units)} of a dining or work surface"
    elif height < low - SAME:
        yield f"its {shown} are under the {format_length(low, units)} of a dining or work surface"


def _length(plan: Plan, runs: list[Run]) -> Iterator[str]:
    units = plan.job.units
    long = sum(run.end - run.start for run in runs)
    shown = format_length(long, units)
    if long < FORWARD_LONG - SAME:
        yield f"its {shown} are under the {format_length(FORWARD_LONG, units)} that even an approach head on asks"
    elif long < PARALLEL_LONG - SAME:
        yield f"its {shown} are under the {format_length(PARALLEL_LONG, units)} of an approach alongside"
