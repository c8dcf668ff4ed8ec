"""Several outlines in one plan: walls that stand in one another are refused, with the place."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from outline_cases import path

from layout.errors import Fault, JobFaults
from layout.face.runs import walk_all
from layout.job.model import OutlineSpec, Straight, Turn
from layout.outline.tolerances import JOINT_GAP
from tests.jobs import job

R = 1000.0
"""mm, radius of the first outline"""
RING = OutlineSpec("ring", "circle", diameter=2 * R, key="outline[1]")


def second(shape: str, **given: object) -> OutlineSpec:
    """Return a second outline of a named shape."""
    return OutlineSpec("other", shape, key="outline[2]", **given)  # type: ignore[arg-type]


def wall(x: float, y: float, *steps: Straight | Turn, closed: bool = False, **given: object) -> OutlineSpec:
    """Return a second outline that starts at a place."""
    return replace(path(*steps, closed=closed, start=(x, y), **given), name="other", key="outline[2]")


def told(*specs: OutlineSpec, units: str = "mm") -> tuple[Fault, ...]:
    """Return the faults of outlines that stand in one plan."""
    try:
        walk_all(replace(job(RING), outlines=specs, units=units))
    except JobFaults as refused:
        return refused.faults
    return ()


def test_an_ellipse_across_a_circle_is_told_with_its_place() -> None:
    """Of x² + y² = R² and (x/a)² + (y/b)² = 1: x² = a²·(R² − b²)/(a² − b²)."""
    a, b = 1300.0, 700.0
    (fault,) = told(RING, second("ellipse", length=2 * a, width=2 * b))
    x = a * math.sqrt((R * R - b * b) / (a * a - b * b))
    # From the lowest point anticlockwise the first one met is the right-hand lower one.
    y = -math.sqrt(R * R - x * x)
    along = R * (math.pi / 2 + math.atan2(y, x))
    assert fault.key == "outline[2].name"
    assert fault.value == "other"
    place = re.search(r"ring and other meet at x (.+) mm, y (.+) mm: (.+) mm along ring is", fault.rule)
    assert place is not None
    assert [float(figure) for figure in place.groups()] == pytest.approx([x, y, along], abs=0.1)
    assert "always lies about (0, 0)" in fault.remedy


@pytest.mark.parametrize(("y", "meets"), [(-R - 0.2, False), (-R + 0.2, True)])
def test_a_wall_past_a_ring_is_clear_until_it_touches(y: float, meets: bool) -> None:
    """A straight 0.2 mm outside the ring's lowest point, and 0.2 mm inside of it."""
    assert bool(told(RING, wall(-2000.0, y, Straight(4000.0)))) is meets


@pytest.mark.parametrize(("past", "meets"), [(0.0, False), (JOINT_GAP - 0.1, False), (JOINT_GAP + 0.1, True)])
def test_an_open_wall_may_end_against_another(past: float, meets: bool) -> None:
    """A screen that comes up to the ring from the left; one that goes on through its wall is refused."""
    screen = wall(-3000.0, 0.0, Straight(3000.0 - R + past))
    assert bool(told(RING, screen)) is meets
    assert bool(told(replace(screen, key="outline[1]"), replace(RING, key="outline[2]"))) is meets


def test_two_walls_may_end_in_one_corner() -> None:
    """An L of two open outlines, the end of one at the start of the other."""
    assert not told(wall(0.0, 0.0, Straight(2000.0)), replace(wall(2000.0, 0.0, Straight(900.0)), heading=math.pi / 2))


@pytest.mark.parametrize("shape", ["circle", "ellipse"])
def test_one_inside_the_other_is_sound(shape: str) -> None:
    """Concentric, 1 mm apart: an island in an island."""
    sizes = {"diameter": 2 * R - 2} if shape == "circle" else {"length": 2 * R - 2, "width": 2 * R - 200}
    assert not told(RING, second(shape, **sizes))


def test_the_same_outline_twice_is_refused() -> None:
    """A ring on a ring."""
    (fault,) = told(RING, second("circle", diameter=2 * R))
    assert "ring and other meet" in fault.rule


@pytest.mark.parametrize(("inset", "meets"), [(0.0, False), (-50.0, True)])
def test_it_is_the_back_lines_that_must_be_clear(inset: float, meets: bool) -> None:
    """Two rings of radius R a gap of 60 mm apart: each with its wall 50 mm out, they overlap by 40 mm."""
    around = wall(2 * R + 60.0 - R, 0.0, Turn(2 * math.pi, R), closed=True, heading=-math.pi / 2, inset=inset)
    assert bool(told(replace(RING, inset=inset), around)) is meets
    assert not told(replace(RING, inset=-29.9), replace(around, inset=-29.9))
    assert told(replace(RING, inset=-30.1), replace(around, inset=-30.1))


@pytest.mark.parametrize("turned", [False, True])
def test_walls_on_one_straight_are_refused(turned: bool) -> None:
    """Two straights from (0, 0) on, or one along it and one back: the shorter lies on the longer from end to end."""
    back = wall(600.0, 0.0, Straight(600.0), heading=math.pi) if turned else wall(0.0, 0.0, Straight(600.0))
    assert told(replace(wall(0.0, 0.0, Straight(1000.0)), name="bar", key="outline[1]"), back)


def test_each_two_that_meet_are_told() -> None:
    """Of three, the third lies across both others: two faults, each with both names."""
    third = replace(wall(-1900.0, 0.0, Straight(3800.0)), name="third", key="outline[3]")
    faults = told(RING, second("circle", diameter=R), third)
    assert [fault.key for fault in faults] == ["outline[3].name"] * 2
    assert "ring and third" in faults[0].rule
    assert "other and third" in faults[1].rule
    assert "always lies" in faults[0].remedy


def test_walls_that_cannot_be_moved_by_a_start_are_told_plainly() -> None:
    """Two paths across each other: move one."""
    (fault,) = told(
        replace(wall(-500.0, 0.0, Straight(1000.0)), name="bar", key="outline[1]"),
        wall(0.0, -500.0, Straight(1000.0), heading=math.pi / 2),
        units="in",
    )
    assert "at x 0 in, y 0 in: 1 ft 7 11/16 in along bar" in fault.rule
    assert fault.remedy == "Move one of them"
