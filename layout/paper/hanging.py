"""What the installer is told beside the set-out: which edge goes to the mark, and the closing check."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from layout.face.plan import Panel, Plan, Run
from layout.paper.flow import Column
from layout.units import format_length

CHECK_COLUMNS = (
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
    several = len(plan.runs) > 1
    found = [
        f"{f'{run.name}: start' if several else 'Start'} with panel {order[0]}, close with panel {order[-1]}."
        for run in plan.runs
        if len(order := order_in_run(plan, run)) > 1
    ]
    return "".join(f" {words}" for words in found) + (" Form the closing panel last, as measured." if found else "")


def hanging_order(plan: Plan) -> list[int]:
    """Return panel numbers in the order of hanging, run by run."""
    return [number for run in plan.runs for number in order_in_run(plan, run)]


def closing_words(plan: Plan) -> Iterator[str]:
    """Say what the tape must read at the end, before anything is hung, and what to do where it doesn't."""
    named = len(plan.lines) > 1
    for number, lines in enumerate(plan.lines, 1):
        length = format_length(lines.back.length, plan.job.units)
        where = f"{lines.name or f'outline {number}'}: " if named else ""
        place = "The tape back at the datum" if lines.closed else "The tape at the right end"
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
