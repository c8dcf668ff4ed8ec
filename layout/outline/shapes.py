"""The drawn shapes: from what a job says to the segments of its outline, in the direction drawn.

One table. A further shape is one builder and one line in `SHAPES`. Builders judge only the figures that
they are given; whether the line closes, crosses itself or has a corner is judged in `soundness`.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from layout.errors import Fault, JobFaults
from layout.job.model import OutlineSpec, Straight
from layout.outline.curves import Arc, EllipseArc, Line
from layout.outline.drawing import read_drawing
from layout.outline.segment import Segment
from layout.outline.survey import surveyed
from layout.units import format_length

Builder = Callable[[OutlineSpec, str], tuple[Segment, ...]]
"""An outline and the job's units, for its faults, to segments."""


def drawn_segments(spec: OutlineSpec, units: str = "mm") -> tuple[Segment, ...]:
    """Return the segments of an outline in the direction drawn; named shapes run anticlockwise.

    Raises
    ------
    JobFaults
        Where the shape is unknown, or a figure that it needs is missing or cannot be.

    Examples
    --------
    >>> spec = OutlineSpec("", "stadium", length=3000.0, width=1000.0)
    >>> [type(segment).__name__ for segment in drawn_segments(spec)]
    ['Line', 'Arc', 'Line', 'Arc']
    >>> drawn_segments(OutlineSpec("", "circle"))
    Traceback (most recent call last):
    layout.errors.JobFaults: outline.diameter: a circle needs a diameter over 0. Give it.
    """
    if spec.shape not in SHAPES:
        known = " · ".join(SHAPES)
        raise JobFaults([Fault(f"{spec.key}.shape", spec.shape, f"one of {known}", "Choose one of them")])
    return SHAPES[spec.shape](spec, units)


def _circle(spec: OutlineSpec, units: str) -> tuple[Segment, ...]:
    (diameter,) = _figures(spec, units, "diameter")
    return (Arc(0.0, 0.0, diameter / 2, 0.0, math.tau),)


def _ellipse(spec: OutlineSpec, units: str) -> tuple[Segment, ...]:
    length, width = _figures(spec, units, "length", "width")
    return (EllipseArc(0.0, 0.0, length / 2, width / 2),)


def _stadium(spec: OutlineSpec, units: str) -> tuple[Segment, ...]:
    length, width = _figures(spec, units, "length", "width")
    return _rounded(length, width, min(length, width) / 2)


def _rounded_rectangle(spec: OutlineSpec, units: str) -> tuple[Segment, ...]:
    length, width, radius = _figures(spec, units, "length", "width", "radius")
    if radius > min(length, width) / 2:
        rule, given = "no more than half the shorter side", format_length(radius, units)
        raise JobFaults([Fault(f"{spec.key}.radius", given, rule, "Give a smaller radius")])
    return _rounded(length, width, radius)


def _rounded(length: float, width: float, radius: float) -> tuple[Segment, ...]:
    """Straights and quarter circles from the left end of the lower straight, as few as can be."""
    along, across = length / 2 - radius, width / 2 - radius
    corners = ((along, -across), (along, across), (-along, across), (-along, -across))
    pieces: list[Segment] = []
    for quarter, (x, y) in enumerate(corners):
        direction = quarter * math.pi / 2
        side = 2 * (across if quarter % 2 else along)
        if side > 0:
            right = direction - math.pi / 2
            x0 = x + radius * math.cos(right) - side * math.cos(direction)
            y0 = y + radius * math.sin(right) - side * math.sin(direction)
            pieces.append(Line(x0, y0, direction, side))
        bend = Arc(x, y, radius, direction - math.pi / 2, math.pi / 2)
        whole = pieces[-1].joined(bend) if pieces else None
        pieces[-1:] = [whole] if whole is not None else [*pieces[-1:], bend]
    if len(pieces) > 1 and (whole := pieces[-1].joined(pieces[0])) is not None:
        pieces = [*pieces[1:-1], whole]
    return tuple(pieces)


def _path(spec: OutlineSpec, units: str) -> tuple[Segment, ...]:
    """Straights and arcs one after another, each tangent to the one before but for turns on the spot."""
    if faults := _step_faults(spec, units):
        raise JobFaults(faults)
    (x, y), heading = spec.start, spec.heading
    pieces: list[Segment] = []
    for step in spec.steps:
        if isinstance(step, Straight):
            pieces.append(Line(x, y, heading, step.length))
            x, y = x + step.length * math.cos(heading), y + step.length * math.sin(heading)
        elif step.radius == 0:
            heading += step.angle
        else:
            towards = heading + math.copysign(math.pi / 2, step.angle)
            cx, cy = x + step.radius * math.cos(towards), y + step.radius * math.sin(towards)
            pieces.append(Arc(cx, cy, step.radius, towards + math.pi, step.angle))
            heading, towards = heading + step.angle, towards + step.angle
            x, y = cx - step.radius * math.cos(towards), cy - step.radius * math.sin(towards)
    return tuple(pieces)


def _step_faults(spec: OutlineSpec, units: str) -> list[Fault]:
    """Find steps that are no step, and a path of none."""
    key = f"{spec.key}.steps"
    if all(not isinstance(step, Straight) and step.radius == 0 for step in spec.steps):
        return [Fault(key, "", "a path needs at least one step", "Give straights and arcs")]
    found = []
    for number, step in enumerate(spec.steps, 1):
        length, what = (
            (step.length, "a straight must be longer than 0")
            if isinstance(step, Straight)
            else (step.radius, "a radius must be 0, for a corner, or more")
        )
        corner = not isinstance(step, Straight) and length == 0
        if not ((length > 0 or corner) and math.isfinite(length)):
            found.append((number, _shown(length, units), what))
        if not isinstance(step, Straight) and corner and not 0 < abs(step.angle) < math.pi:
            found.append(
                (number, f"{math.degrees(step.angle):.6g}°", "a corner must turn by more than 0 and under 180°")
            )
        elif not isinstance(step, Straight) and not 0 < abs(step.angle) <= math.tau * (1 + 1e-12):
            rule = "an arc must turn by more than 0 and at most 360°"
            found.append((number, f"{math.degrees(step.angle):.6g}°", rule))
    mend = "Correct the step or leave it out"
    return [Fault(f"{key}[{number}]", value, rule, mend) for number, value, rule in found]


def _shown(mm: float, units: str) -> str:
    """Format a length that may be no number at all."""
    return format_length(mm, units) if math.isfinite(mm) else str(mm)


def _figures(spec: OutlineSpec, units: str, *names: str) -> list[float]:
    """Return the named figures, mm, each over 0; all that are not are faults together."""
    values: list[float | None] = [getattr(spec, name) for name in names]
    article = "an" if spec.shape[0] in "aeiou" else "a"
    faults = [
        Fault(
            f"{spec.key}.{name}",
            "" if value is None else _shown(value, units),
            f"{article} {spec.shape} needs a {name} over 0",
            "Give it",
        )
        for name, value in zip(names, values, strict=True)
        if value is None or not (value > 0 and math.isfinite(value))
    ]
    if faults:
        raise JobFaults(faults)
    return [value for value in values if value is not None]


SHAPES: dict[str, Builder] = {
    "circle": _circle,
    "ellipse": _ellipse,
    "stadium": _stadium,
    "rounded-rectangle": _rounded_rectangle,
    "path": _path,
    "dxf": lambda spec, units: read_drawing(spec, units).segments,
    "points": lambda spec, units: surveyed(spec, units).segments,
}
"""Every drawn shape by its name in the job file."""
