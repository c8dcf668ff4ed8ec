"""What the installer is told beside the set-out: which edge goes to the mark, and the closing check."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from layout.face.plan import Panel, Plan, Run
from layout.paper.flow import Column
from layout.paper.ranges import ranges
from layout.units import format_length

_NOUGHT: Final = 0.05
"""mm under which a station is the datum"""

CHECK_COLUMNS: Final = (
    Column("run", bold=True, wraps=True),
    Column("planned, back line", "end", bold=True),
    Column("springs back, about", "end"),
    Column("may measure, about", "end"),
)


@dataclass(frozen=True)
class Turn:
    """When a panel is hung."""

    place: int
    """counted in its run, 1 first"""
    of: int
    """panels of its run"""
    closing: bool
    """the last of a run of several: hung, and so formed, last"""


def order_in_run(plan: Plan, run: Run) -> list[int]:
    """Return the numbers of a run's panels in the order of hanging.

    Where a plan does not say: rising, or falling where laps go over.
    """
    for hung in plan.hanging:
        if hung.run == run.number:
            return list(hung.order)
    numbers = [panel.number for panel in plan.panels if panel.run == run.number]
    over = plan.job.face.seam == "lap" and plan.job.face.lap_goes == "over"
    return numbers[::-1] if over else numbers


def goes_right(run: Run, order: Sequence[int]) -> bool:
    """Tell whether a run's panels are hung to the right.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> loop, line = SimpleNamespace(closed=True), SimpleNamespace(closed=False)
    >>> goes_right(loop, [3, 1, 2]), goes_right(loop, [2, 1, 3]), goes_right(line, [2, 1])
    (True, False, False)
    """
    if len(order) < 2:
        return True
    numbers = sorted(order)
    here, there = numbers.index(order[0]), numbers.index(order[1])
    return (there - here) % len(numbers) == 1 if run.closed and len(numbers) > 2 else there > here


def hung_as(plan: Plan, panel: Panel) -> Turn:
    """Return when a panel is hung."""
    order = order_in_run(plan, plan.runs[panel.run - 1])
    place = order.index(panel.number) + 1
    return Turn(place, len(order), closing=place == len(order) > 1)


def edge_words(plan: Plan) -> str:
    """Say which edge stands on the mark and in which order panels are hung."""
    face = plan.job.face
    if face.seam != "lap" or not any(panel.lapped for panel in plan.panels):
        return f"Butt seams: the edges of both panels meet at the mark.{order_words(plan)}"
    loop = any(run.closed for run in plan.runs)
    if face.lap_goes == "over":
        words = (
            "Laps over: each panel's left valley stands on its mark; its right end goes over the next, so"
            " hang in falling order, right to left. The edge seen stands one scallop right of the mark."
        )
        late = (
            " On a loop leave the right end of the first panel hung loose, so that the closing panel's left"
            " edge goes under it."
        )
    else:
        words = (
            "Laps under: each panel's left edge stands on its mark; its right end tucks under the next, so"
            " hang in rising order, left to right."
        )
        late = (
            " On a loop leave the left edge of the first panel hung loose, so that the closing panel's lap goes"
            " under it."
        )
    return words + order_words(plan) + (late if loop else "")


def order_words(plan: Plan) -> str:
    """Say with which panel to start and which one closes, run by run; it begins with a blank."""
    several, laps = len(plan.runs) > 1, any(panel.lapped for panel in plan.panels)
    found = [
        f"{f'{run.name}: start' if several else 'Start'} with panel {order[0]}, close with panel {order[-1]}"
        f"{'' if laps else _way(run, order)}."
        for run in plan.runs
        if len(order := order_in_run(plan, run)) > 1
    ]
    return "".join(f" {words}" for words in found) + (" Form the closing panel last, as measured." if found else "")


def shown_station(plan: Plan, run: Run, station: float) -> str:
    """Write a station; past the datum it begins anew, and back at the datum it is the whole length."""
    length = plan.lines[run.outline].back.length
    return format_length(station - length if station > length + _NOUGHT else station, plan.job.units)


def held_back(plan: Plan) -> list[int]:
    """Return the panels whose blanks wait until the site has measured: the last of each run."""
    return sorted(order[-1] for run in plan.runs if (order := order_in_run(plan, run)))


def hold_words(plan: Plan) -> str:
    """Say which blanks are cut last, when the wall has been measured."""
    closing = held_back(plan)
    many = len(closing) > 1
    return (
        f"Hold back the blank{'s' if many else ''} of panel{'s' if many else ''} {ranges(closing)}: shear and form only"
        " when the site has confirmed the girth at floor and at top. Where floor and top differ by more than the"
        " wall may measure, the face would fan: tell the shop before anything is formed."
    )


def _way(run: Run, order: Sequence[int]) -> str:
    """Say which way a run without laps is hung."""
    return ", left to right" if goes_right(run, order) else ", right to left"


def hanging_order(plan: Plan) -> list[int]:
    """Return panel numbers in the order of hanging, run by run."""
    return [number for run in plan.runs for number in order_in_run(plan, run)]


def closing_words(plan: Plan) -> Iterator[str]:
    """Say what the tape must read at the end, before anything is hung, and what to do where it doesn't."""
    named = len(plan.lines) > 1
    for number, lines in enumerate(plan.lines, 1):
        length = format_length(lines.back.length, plan.job.units)
        where = f"{lines.name or f'outline {number}'}: " if named else ""
        place = "the tape back at the datum" if lines.closed else "the tape at the right end"
        yield f"Closing check, before metal is hung: {where}{place} must read {length}."
    if any(run.cut_part is None for run in plan.runs):
        several = len(plan.runs) > len(plan.lines)
        reach = "each station's distance from its run's start" if several else "every station"
        yield (
            f"Reads otherwise, but in the range below: multiply {reach} by measured / planned. Within"
            " “springs back” the metal takes no set. Out of the range: stop, and plan again with the wall as"
            " built."
        )
    if any(run.cut_part is not None for run in plan.runs):
        yield (
            "Where the last scallop is cut, stations stay as they are: the difference goes into the cut. Out"
            " of the range below: stop, and plan again with the wall as built."
        )


def check_rows(plan: Plan) -> list[tuple[str, ...]]:
    """Return for every run its planned length and what the wall may measure on the back line.

    The gives are those of the count line: on a wall of like curve the back line differs by as much, to
    first order.
    """
    units = plan.job.units
    rows: list[tuple[str, ...]] = []
    for run in plan.runs:
        planned = float(run.stations[-1] - run.stations[0])
        rows.append(
            (
                run.name or "face",
                format_length(planned, units),
                _springs(plan, run, planned),
                _range(planned, run.may_be_shorter, run.may_be_longer, units),
            )
        )
    return rows


def springing(plan: Plan, run: Run) -> tuple[float, float] | None:
    """Return how much shorter and longer a run's wall may be, mm, before its metal takes a set.

    First yield at the tightest curve: scallops × (limit ∓ take-up), never past what is refused. None where
    the wrap alone takes a set, or the planned take-up does.
    """
    limit = plan.scallop.flex.tight_take_up_limit
    if limit <= abs(run.take_up):
        return None
    shorter, longer = run.scallops * (limit + run.take_up), run.scallops * (limit - run.take_up)
    return min(shorter, run.may_be_shorter), min(longer, run.may_be_longer)


def _springs(plan: Plan, run: Run, planned: float) -> str:
    if run.cut_part is not None:
        return "goes into the cut"
    found = springing(plan, run)
    return "no: it takes a set as planned" if found is None else _range(planned, *found, plan.job.units)


def _range(planned: float, shorter: float, longer: float, units: str) -> str:
    return f"{format_length(planned - shorter, units)} to {format_length(planned + longer, units)}"
