"""What the installer is told beside the set-out: which edge goes to the mark, and the closing check."""

from __future__ import annotations

from collections.abc import Iterator

from layout.face.plan import Plan, Run
from layout.paper.flow import Column
from layout.units import format_length

CHECK_COLUMNS = (
    Column("run", bold=True, wraps=True),
    Column("planned, back line", "end", bold=True),
    Column("springs back, about", "end"),
    Column("may measure, about", "end"),
)


def edge_words(plan: Plan) -> str:
    """Say which edge stands on the mark and in which order panels are hung."""
    face = plan.job.face
    if face.seam != "lap" or not any(panel.lapped for panel in plan.panels):
        return "Butt seams: the edges of both panels meet at the mark. Hang in rising order."
    loop = any(run.closed for run in plan.runs)
    if face.lap_goes == "over":
        words = (
            "Laps over: each panel's left valley stands on its mark; its right end goes over the next, so"
            " hang in falling order, right to left. The edge seen stands one scallop right of the mark."
        )
        late = (
            " On a loop leave the right end of the last panel, the first one hung, loose, so that the first"
            " panel's left edge goes under it."
        )
    else:
        words = (
            "Laps under: each panel's left edge stands on its mark; its right end tucks under the next, so"
            " hang in rising order, left to right."
        )
        late = " On a loop leave the first panel's left edge loose, so that the last panel's lap goes under it."
    return words + (late if loop else "")


def closing_words(plan: Plan) -> Iterator[str]:
    """Say what the tape must read at the end, before anything is hung, and what to do where it doesn't."""
    named = len(plan.lines) > 1
    for number, lines in enumerate(plan.lines, 1):
        length = format_length(lines.back.length, plan.job.units)
        where = f"{lines.name or f'outline {number}'}: " if named else ""
        place = "The tape back at the datum" if lines.closed else "The tape at the right end"
        yield f"Closing check, before metal is hung: {where}{place} must read {length}."
    if any(run.last_part is None for run in plan.runs):
        several = len(plan.runs) > len(plan.lines)
        reach = "each station's distance from its run's start" if several else "every station"
        yield (
            f"Reads otherwise, but in the range below: multiply {reach} by measured / planned. Within"
            " “springs back” the metal takes no set. Out of the range: stop, and plan again with the wall as"
            " built."
        )
    if any(run.last_part is not None for run in plan.runs):
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
    if run.last_part is not None:
        return "goes into the cut"
    found = springing(plan, run)
    return "no: it takes a set as planned" if found is None else _range(planned, *found, plan.job.units)


def _range(planned: float, shorter: float, longer: float, units: str) -> str:
    return f"{format_length(planned - shorter, units)} to {format_length(planned + longer, units)}"
