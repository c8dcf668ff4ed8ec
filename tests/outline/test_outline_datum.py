"""Where stations start, and that turned, mirrored and shifted plans give the same walk."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from outline_cases import CLOCKWISE, KIDNEY, S_BEND, left, path, right

from layout.job.model import OutlineSpec, Straight, Turn
from layout.outline.chain import Chain
from layout.outline.curves import EllipseArc
from layout.outline.walk import lowest_station, walk

ELLIPSE = OutlineSpec("", "ellipse", length=6000.0, width=4000.0, inset=240.0)


@pytest.mark.parametrize("face", ["outside", "inside"])
@pytest.mark.parametrize(
    ("spec", "datum"),
    [
        (OutlineSpec("", "circle", diameter=2000.0), (0, -1000)),
        (ELLIPSE, (0, -2000)),
        (OutlineSpec("", "stadium", length=3000.0, width=1000.0), (0, -500)),
        (OutlineSpec("", "stadium", length=1000.0, width=3000.0), (0, -1500)),
        (OutlineSpec("", "rounded-rectangle", length=3000.0, width=1000.0, radius=200.0), (0, -500)),
        (replace(KIDNEY, start=(-600.0, 0.0)), (400, 0)),
    ],
)
def test_the_lowest_point_is_the_datum(spec: OutlineSpec, datum: tuple[float, float], face: str) -> None:
    """Of a lowest straight its middle; on the back line, whichever face is hung."""
    away = -spec.inset if face == "inside" else spec.inset
    walked = walk(replace(spec, face=face))
    assert walked.datum == pytest.approx((datum[0], datum[1] + away), abs=1e-9)
    assert walked.drawn.point(0.0) == pytest.approx(datum, abs=1e-9)


def humps(count: int, lower: int = -1) -> OutlineSpec:
    """Make a bar 1000 deep with `count` half-round humps of radius 200 along its lower side.

    Hump number `lower` hangs 10 mm lower than the others.
    """
    steps: list[Straight | Turn] = []
    for hump in range(count):
        legs = [Straight(10.0)] if hump == lower else []
        steps += [right(90, 100.0), *legs, left(180, 200.0), *legs, right(90, 100.0)]
    side = count * 600.0
    ends = [left(180, 500.0), Straight(side), left(180, 500.0)]
    return path(*steps, *ends, closed=True, start=(0.0, 0.0))


def test_of_several_lowest_places_the_leftmost_is_the_datum() -> None:
    """Three humps hang equally low: the left one's bottom; a lower one wins wherever it is."""
    assert walk(humps(3)).datum == pytest.approx((300, -300))
    assert walk(replace(humps(3), face="inside")).datum == pytest.approx((300, -300))
    assert walk(humps(3, lower=1)).datum == pytest.approx((900, -310))


def test_a_lowest_straight_in_pieces_is_one_straight() -> None:
    """The middle of a straight drawn in three steps, split over the start, is the middle of it all."""
    steps = (Straight(200.0), left(180, 400.0), Straight(1000.0), left(180, 400.0))
    spec = path(*steps, Straight(500.0), Straight(300.0), closed=True)
    assert walk(spec).datum == pytest.approx((-300, 0))


def test_the_lowest_point_of_a_turned_ellipse() -> None:
    """Turned by ω it reaches √(a² sin² ω + b² cos² ω) below its centre."""
    line = Chain((EllipseArc(0.0, 0.0, 3000.0, 2000.0, rotation=0.6),), closed=True)
    low = math.hypot(3000 * math.sin(0.6), 2000 * math.cos(0.6))
    assert line.point(lowest_station(line))[1] == pytest.approx(-low)
    assert line.parallel(50.0).bounds[1] == pytest.approx(-low - 50)


@pytest.mark.parametrize(
    ("datum", "found"),
    [
        ((0.0, -74.0), (0, -1760)),
        ((5000.0, 0.0), (2760, 0)),
        ((-1.0, 5000.0), None),
        ((2000.0, 1500.0), None),
    ],
)
def test_a_given_datum_is_taken_to_the_nearest_point_of_the_back_line(
    datum: tuple[float, float], found: tuple[float, float] | None
) -> None:
    """Station 0 is on the normal through the given point, nearer than any sampled point."""
    walked = walk(replace(ELLIPSE, datum=datum))
    here = np.array(walked.datum)
    if found is not None:
        assert walked.datum == pytest.approx(found, abs=1e-9)
    heading = float(walked.back.heading(0.0))
    off = np.array(datum) - here
    assert off @ [math.cos(heading), math.sin(heading)] == pytest.approx(0, abs=1e-8)
    sampled = np.linalg.norm(walked.back.sample(step=5.0) - datum, axis=1).min()
    assert np.linalg.norm(off) <= sampled + 1e-9


def test_an_open_line_starts_at_its_left_end() -> None:
    """Facing it from its right the drawn start is on the left; from its left the drawn end is."""
    ahead, against = walk(S_BEND), walk(replace(S_BEND, face="left"))
    assert ahead.datum == pytest.approx(S_BEND.start)
    assert against.datum == pytest.approx(tuple(ahead.back.point(ahead.back.length)))


def _moved(spec: OutlineSpec, turn: float, shift: tuple[float, float]) -> OutlineSpec:
    """Turn a path about (0, 0), then shift it, with its datum."""
    datum = None if spec.datum is None else _turned(spec.datum, turn, shift)
    start = _turned(spec.start, turn, shift)
    return replace(spec, start=start, heading=spec.heading + turn, datum=datum)


def _turned(xy: tuple[float, float], turn: float, shift: tuple[float, float]) -> tuple[float, float]:
    z = complex(*xy) * complex(math.cos(turn), math.sin(turn)) + complex(*shift)
    return z.real, z.imag


PATHS = [
    pytest.param(replace(KIDNEY, datum=(3000.0, 100.0), inset=30.0), id="kidney"),
    pytest.param(replace(CLOCKWISE, datum=(0.0, 0.0), inset=-30.0), id="drawn clockwise"),
    pytest.param(replace(S_BEND, inset=30.0), id="open"),
]


@pytest.mark.parametrize("spec", PATHS)
@pytest.mark.parametrize(("turn", "shift"), [(1.0, (0.0, 0.0)), (0.0, (1e4, -3e3)), (-2.5, (200.0, 5e4))])
def test_a_turned_and_shifted_plan_is_walked_the_same(
    spec: OutlineSpec, turn: float, shift: tuple[float, float]
) -> None:
    """Same length, same curvature at each station, each point turned and shifted."""
    was, now = walk(spec).back, walk(_moved(spec, turn, shift)).back
    s = np.linspace(1.0, was.length - 1, 83)
    assert now.length == pytest.approx(was.length, rel=1e-12)
    np.testing.assert_allclose(now.curvature(s), was.curvature(s), atol=1e-12)
    expected = [_turned((x, y), turn, shift) for x, y in was.point(s).tolist()]
    np.testing.assert_allclose(now.point(s), expected, atol=1e-7)


@pytest.mark.parametrize("spec", PATHS)
def test_a_mirrored_plan_is_walked_the_other_way(spec: OutlineSpec) -> None:
    """Mirrored in the y axis, station s is where length − s was, with the same convexity and neighbours."""
    steps = tuple(step if isinstance(step, Straight) else replace(step, angle=-step.angle) for step in spec.steps)
    datum = None if spec.datum is None else (-spec.datum[0], spec.datum[1])
    face = {"right": "left"}.get(spec.face, spec.face)
    mirrored = replace(
        spec,
        steps=steps,
        start=(-spec.start[0], spec.start[1]),
        heading=math.pi - spec.heading,
        datum=datum,
        face=face,
    )
    was, now = walk(spec).back, walk(mirrored).back
    s = np.linspace(1.0, was.length - 1, 83)
    assert now.length == pytest.approx(was.length, rel=1e-12)
    np.testing.assert_allclose(now.curvature(was.length - s), was.curvature(s), atol=1e-12)
    np.testing.assert_allclose(now.point(was.length - s), was.point(s) * [-1, 1], atol=1e-7)


def test_one_outline_gives_one_walk() -> None:
    """Walked twice it is equal, value for value."""
    assert walk(ELLIPSE) == walk(ELLIPSE)
    assert walk(KIDNEY) == walk(KIDNEY)
