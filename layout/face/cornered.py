"""How far a run's metal goes past the corner where it meets another, and what is done with its end there."""

from __future__ import annotations

from collections.abc import Iterator

from layout.face.plan import Plan, Run
from layout.outline.chain import Chain
from layout.outline.corners import ends_at
from layout.outline.tolerances import SAME_STATION, SMOOTH
from layout.units import format_angle, format_length


def corner_leg(plan: Plan, run: Run, offset: float, *, at_end: bool) -> float | None:
    """Return how far past its corner a run's metal goes on along its own wall, mm; negative: it stops short.

    None where the run does not meet another in a corner there.

    Parameters
    ----------
    offset
        mm towards the viewer at which it is asked: a mitre is cut across.
    """
    kind, lines = plan.job.outlines[run.outline].corner, plan.lines[run.outline]
    if not lines.back.cornered or not _met(plan, run, at_end=at_end):
        return None
    turn = _turn(lines.back, run.end if at_end else run.start)
    if not turn:
        return None
    stop, start = ends_at(kind or "mitre", turn, plan.scallop.depth + plan.job.metal.thickness)
    return (stop if at_end else start).change(offset)


def _met(plan: Plan, run: Run, *, at_end: bool) -> bool:
    """Tell whether another run begins where this one ends, or ends where it begins."""
    back = plan.lines[run.outline].back
    here = run.end if at_end else run.start
    return any(
        _apart(back, here, other.start if at_end else other.end) <= SAME_STATION
        for other in plan.runs
        if other.outline == run.outline and other is not run
    )


def _apart(back: Chain, a: float, b: float) -> float:
    gap = abs(a - b)
    return min(gap % back.length, -gap % back.length) if back.closed else gap


def _turn(back: Chain, station: float) -> float:
    """Return how far a line turns at a corner, radians, left positive; 0 where there is none."""
    corners = (turn for at, _, turn in back.breaks if abs(turn) > SMOOTH and _apart(back, at, station) <= SAME_STATION)
    return next(corners, 0.0)


def corner_words(plan: Plan) -> Iterator[str]:
    """Say of every corner at which two runs meet what the ends of its panels need, and where their valleys stand."""
    height = plan.scallop.profile.neutral_height + plan.job.metal.thickness / 2
    for run in plan.runs:
        leg = corner_leg(plan, run, height, at_end=True)
        after = next((other for other in plan.runs if _begins_at(plan, run, other)), None)
        if leg is None or after is None:
            continue
        beyond = corner_leg(plan, after, height, at_end=False) or 0.0
        last = max(panel.number for panel in plan.panels if panel.run == run.number)
        first = min(panel.number for panel in plan.panels if panel.run == after.number)
        yield _corner(plan, run, (last, leg), (first, beyond))


def _corner(plan: Plan, run: Run, left: tuple[int, float], right: tuple[int, float]) -> str:
    units, lines = plan.job.units, plan.lines[run.outline]
    at = format_length(run.end, units)
    mitred = (plan.job.outlines[run.outline].corner or "mitre") == "mitre"
    turn = abs(_turn(lines.back, run.end))
    how = (
        f"both ends are cut to a mitre of {format_angle(turn / 2)} on site"
        if mitred
        else f"panel {left[0]} returns past the corner and panel {right[0]} stops against it"
    )
    return (
        f"corner at station {at}: {how}. Along its own wall, panel {left[0]}'s last valley {_stands(left[1], units)}, "
        f"and panel {right[0]}'s first {_stands(right[1], units)}: measure their other valleys from there"
    )


def _stands(leg: float, units: str) -> str:
    way = "past the corner" if leg > 0 else "short of the corner"
    return f"stands {format_length(abs(leg), units)} {way}"


def _begins_at(plan: Plan, run: Run, other: Run) -> bool:
    back = plan.lines[run.outline].back
    return other.outline == run.outline and other is not run and _apart(back, run.end, other.start) <= SAME_STATION
