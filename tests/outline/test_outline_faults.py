"""Every refusal, with its place, and the last outline that is still accepted beside it."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from outline_cases import KIDNEY, S_BEND, left, path, right

from layout.errors import Fault, JobFaults
from layout.job.model import OutlineSpec, Straight
from layout.outline.chain import Chain
from layout.outline.curves import Arc, Line
from layout.outline.soundness import checked_parallel, joint_faults
from layout.outline.walk import walk


def refused(spec: OutlineSpec, units: str = "mm") -> tuple[Fault, ...]:
    """Return the faults of an outline that must be refused."""
    with pytest.raises(JobFaults, match=re.escape(spec.key)) as caught:
        walk(spec, units)
    return caught.value.faults


def only_fault(spec: OutlineSpec, units: str = "mm") -> Fault:
    """Return the one fault of an outline that must be refused for one reason."""
    (fault,) = refused(spec, units)
    return fault


def bar(gap: float = 0.0, bend: float = 0.0) -> OutlineSpec:
    """Make a stadium by steps that ends `gap` mm beyond its start and `bend` degrees off its heading."""
    return path(
        Straight(1000.0), left(180, 400.0), Straight(1000.0 - gap), left(180 + bend, 400.0),
        closed=True, start=(50.0, -400.0),
    )  # fmt: skip


# Figures.


@pytest.mark.parametrize(
    ("spec", "keys"),
    [
        (OutlineSpec("", "circle"), ["outline.diameter"]),
        (OutlineSpec("", "circle", diameter=0.0), ["outline.diameter"]),
        (OutlineSpec("", "ellipse", width=-1.0), ["outline.length", "outline.width"]),
        (OutlineSpec("", "stadium", length=math.nan, width=5.0), ["outline.length"]),
        (OutlineSpec("", "rounded-rectangle", length=9.0, width=5.0), ["outline.radius"]),
        (OutlineSpec("", "pentagon"), ["outline.shape"]),
        (path(), ["outline.steps"]),
        (path(Straight(0.0), left(0, 5.0), left(361, -5.0)),
         ["outline.steps[1]", "outline.steps[2]", "outline.steps[3]", "outline.steps[3]"]),
    ],
)  # fmt: skip
def test_figures_that_cannot_be_are_all_refused_at_once(spec: OutlineSpec, keys: list[str]) -> None:
    """Each missing, zero, negative or impossible figure is one fault under its own key."""
    assert [fault.key for fault in refused(spec)] == keys


def test_keys_follow_the_outlines_place_in_the_file() -> None:
    """The second outline's faults stand under outline[2]."""
    assert only_fault(OutlineSpec("", "circle", key="outline[2]")).key == "outline[2].diameter"


def test_a_corner_radius_is_at_most_half_the_shorter_side() -> None:
    """Half the width is accepted, a hundredth of a millimetre more is not."""
    spec = OutlineSpec("", "rounded-rectangle", length=3000.0, width=1400.0, radius=700.0)
    assert walk(spec).back.closed
    fault = only_fault(replace(spec, radius=700.01))
    assert (fault.key, fault.value) == ("outline.radius", "700 mm")


# Closing.


@pytest.mark.parametrize("gap", [0.49, -0.49])
def test_half_a_millimetre_still_closes(gap: float) -> None:
    """A path that misses its start by less than 0.5 mm, short or over, is closed."""
    assert walk(bar(gap=gap)).back.length == pytest.approx(2000 - gap + 2 * math.pi * 400)


@pytest.mark.parametrize("gap", [0.51, -0.51])
def test_more_than_half_a_millimetre_is_open(gap: float) -> None:
    """The fault says how far apart the ends are, and where both are."""
    fault = only_fault(bar(gap=gap))
    assert fault.key == "outline.steps"
    end = f"{50 + gap:.1f}".removesuffix(".0")
    assert f"ends 0.51 mm away: at x {end} mm, y -400 mm instead of x 50 mm, y -400 mm" in fault.rule


def test_a_small_gap_is_not_called_none_in_an_inch_job() -> None:
    """0.6 mm is 1/32 in to the nearest 1/64, though 0 in to the nearest 1/16."""
    assert "ends 1/32 in away" in only_fault(bar(gap=0.6), "in").rule


@pytest.mark.parametrize("bend", [0.06, -0.06])
def test_a_break_under_a_tenth_of_a_degree_is_smooth(bend: float) -> None:
    """0.06° off, which misses the start by 0.42 mm, is accepted."""
    assert walk(bar(bend=bend)).back.turning == pytest.approx(math.radians(360 + bend))


def test_a_closing_corner_is_refused_with_angle_and_place() -> None:
    """0.11° on a radius of 100 mm still meets its start, and is a corner there."""
    steps = (left(180, 100.0), Straight(20.0), left(180.11, 100.0), Straight(20.0))
    fault = only_fault(path(*steps, closed=True, start=(7.0, -100.0)))
    assert "corner of 0.11° to the right where it closes, at x 7 mm, y -100 mm" in fault.rule
    assert walk(path(*steps[:2], left(180.09, 100.0), steps[3], closed=True)).back.closed


def test_gap_corner_crossing_and_wrong_face_are_told_together() -> None:
    """All that can be known of one path is listed at once."""
    spec = path(Straight(1000.0), left(270, 300.0), Straight(1200.0), closed=True, face="right")
    rules = " ".join(fault.rule for fault in refused(spec))
    for words in ("a closed outline has a face outside or inside", "it ends", "corner", "cross itself"):
        assert words in rules


def test_a_crossing_a_datum_and_a_fold_are_told_together() -> None:
    """An open path that crosses itself, has a datum, and folds at its inset has three faults."""
    spec = path(Straight(1000.0), left(270, 300.0), Straight(1200.0), inset=300.0, datum=(0.0, 0.0))
    assert [fault.key for fault in refused(spec)] == ["outline.datum", "outline.steps", "outline.inset"]


def test_pieces_that_do_not_meet_are_refused_with_their_place() -> None:
    """A line of pieces with a gap and a corner inside has a fault for each, 100 mm along."""
    pieces = (Line(0.0, 0.0, 0.0, 100.0), Line(101.0, 0.0, 0.5, 50.0))
    gap, corner = joint_faults(pieces, False, "outline", "mm")
    assert "gap of 1 mm 100 mm along, at x 101 mm, y 0 mm" in gap.rule
    assert "corner of 28.65° to the left 100 mm along" in corner.rule
    with pytest.raises(ValueError, match="breaks at 100"):
        Chain(pieces, closed=False)


# Crossing.


def test_a_path_that_crosses_itself_is_refused_with_its_place() -> None:
    """A tail 300 mm long stops on the line, one of 1200 comes down through it at x = 700."""
    steps = (Straight(1000.0), left(270, 300.0))
    assert walk(path(*steps, Straight(299.0))).back.length == pytest.approx(1299 + 1.5 * math.pi * 300)
    fault = only_fault(path(*steps, Straight(1200.0)))
    assert fault.key == "outline.steps"
    assert "at x 700 mm, y 0 mm: 700 mm along meets 2713.7 mm along" in fault.rule


def test_a_figure_of_eight_is_refused() -> None:
    """A closed path that turns as far left as right crosses itself in its middle."""
    tangent, angle = 1000 * math.sqrt(3), 240
    eight = path(
        Straight(tangent), left(angle, 1000.0), Straight(2 * tangent), right(angle, 1000.0),
        Straight(tangent), closed=True,
    )  # fmt: skip
    assert "cross itself, and it does at x 0 mm, y 0 mm" in only_fault(eight).rule


def test_going_round_twice_is_refused() -> None:
    """A circle walked twice lies on itself."""
    assert any("cross itself" in fault.rule for fault in refused(path(*[left(360, 500.0)] * 2, closed=True)))


# Back lines and other parallels.


@pytest.mark.parametrize(
    ("spec", "last", "first", "place"),
    [
        (OutlineSpec("", "circle", diameter=1000.0), 499.9, 500.0, "x 500 mm, y 0 mm"),
        (OutlineSpec("", "circle", diameter=1000.0, face="inside"), -499.9, -500.0, "x 500 mm, y 0 mm"),
        (OutlineSpec("", "ellipse", length=6000.0, width=4000.0), 1333.3, 4000 / 3, "x 3000 mm, y 0 mm"),
        (OutlineSpec("", "ellipse", length=50.0, width=100.0), 12.49, 12.5, "y 50 mm"),
        (S_BEND, -449.9, -450.0, "where the radius is 450 mm"),
        (replace(S_BEND, face="left"), 449.9, 450.0, "where the radius is 450 mm"),
        (S_BEND, 599.9, 600.0, "where the radius is 600 mm"),
        (KIDNEY, -999.9, -1000.0, "where the radius is 1000 mm"),
    ],
)
def test_a_back_line_folds_at_the_smallest_radius(spec: OutlineSpec, last: float, first: float, place: str) -> None:
    """Just under the radius on that side the back line stands; at it, it folds, and the fault says where."""
    drawn = walk(spec).drawn
    assert drawn.parallel(-last).smallest_radius < 0.2
    faults = refused(replace(spec, inset=first))
    assert {fault.key for fault in faults} == {"outline.inset"}
    assert all("must not fold" in fault.rule for fault in faults)
    assert any(place in fault.rule for fault in faults)


def dumbbell(inset: float, n: float = 600.0, w: float = 300.0) -> OutlineSpec:
    """Make two lobes of radius 1000 joined by a neck w wide and n long, blended with radius 800."""
    blend = math.degrees(math.acos((w / 2 + 800) / 1800))
    lobe = (right(blend, 800.0), left(180 + 2 * blend, 1000.0), right(blend, 800.0))
    return path(
        Straight(n / 2), *lobe, Straight(n), *lobe, Straight(n / 2),
        closed=True, start=(0.0, -w / 2), inset=inset,
    )  # fmt: skip


def test_a_back_line_may_not_cross_in_a_narrow_neck() -> None:
    """At an inset of half the neck's width its sides meet; the fault names the place on both sides."""
    assert walk(dumbbell(149.5)).back.closed
    fault = only_fault(dumbbell(151.0))
    # Sides 1 mm past the middle run back to it on the blends, concentric at (n/2, ∓(w/2 + 800)).
    x = 300 + math.sqrt((800 + 151) ** 2 - (150 + 800) ** 2)
    found = re.search(r"must not cross itself, and it does at x (-?[\d.]+) mm, y (-?[\d.]+) mm", fault.rule)
    assert found is not None
    assert abs(float(found[1])) == pytest.approx(x, abs=2)  # crossed at 2.6°: 0.05 mm off is 1 mm along
    assert float(found[2]) == pytest.approx(0, abs=0.1)
    assert fault.value == "151 mm"


def test_a_crest_line_may_not_cross_in_a_narrow_bay() -> None:
    """Inside a dumbbell the viewer's own lines meet in the neck; the stations are the back line's."""
    back = walk(replace(dumbbell(0.0), face="inside")).back
    assert checked_parallel(back, 149.5, "scallop.depth", "mm").length < back.length
    with pytest.raises(JobFaults, match=r"151 mm towards the viewer must not cross itself") as caught:
        checked_parallel(back, 151.0, "scallop.depth", "mm")
    rule = caught.value.faults[0].rule
    stations = [float(mm) for mm in re.findall(r"([\d.]+) mm along", rule)]
    xs, ys = back.point(stations).T
    assert xs[0] == pytest.approx(xs[1], abs=3)
    assert sorted(ys) == pytest.approx([-150, 150], abs=2)  # the two walls of the neck, face to face


def test_a_parallel_that_comes_apart_is_a_fault() -> None:
    """Gap and break each within tolerance add up far off the line: a fault, not an error."""
    line = walk(bar(bend=0.06)).back
    assert line.parallel(100.0).closed
    with pytest.raises(JobFaults, match="comes apart where the outline closes"):
        checked_parallel(line, 5000.0, "outline.inset", "mm")


def test_every_fold_is_listed() -> None:
    """Both ends of a stadium fold, and both are told."""
    faults = refused(OutlineSpec("", "stadium", length=3000.0, width=1000.0, inset=600.0))
    assert [f"x {x} mm" in fault.rule for fault, x in zip(faults, (1000, -1000), strict=True)] == [True, True]


def test_places_are_told_in_the_jobs_units() -> None:
    """An inch job's faults are in feet and inches."""
    fault = only_fault(OutlineSpec("", "circle", diameter=2 * 304.8, inset=304.8), "in")
    assert fault.value == "1 ft"
    assert "at x 1 ft, y 0 in" in fault.rule


# Faces and datums.


@pytest.mark.parametrize(
    ("spec", "face"),
    [(OutlineSpec("", "circle", diameter=9.0), "left"), (S_BEND, "outside"), (S_BEND, "up")],
)
def test_a_face_must_be_one_that_the_line_has(spec: OutlineSpec, face: str) -> None:
    """Loops have an outside and an inside, open lines a right and a left."""
    assert only_fault(replace(spec, face=face)).key == "outline.face"


def test_an_open_line_takes_no_datum() -> None:
    """Its left end is its datum, even if that very point is given."""
    assert only_fault(replace(S_BEND, datum=S_BEND.start)).key == "outline.datum"


@pytest.mark.parametrize(
    ("spec", "places"),
    [
        (OutlineSpec("", "ellipse", length=6000.0, width=4000.0), ["y -2000 mm", "y 2000 mm"]),
        (OutlineSpec("", "stadium", length=3000.0, width=1000.0), ["y -500 mm", "y 500 mm"]),
        (OutlineSpec("", "circle", diameter=500.0), ["x 250 mm, y 0 mm"]),
    ],
)
def test_several_nearest_places_are_no_datum(spec: OutlineSpec, places: list[str]) -> None:
    """From the middle two places (or all) are as near: a fault that names two; a millimetre off is none."""
    fault = only_fault(replace(spec, datum=(0.0, 0.0)))
    assert fault.key == "outline.datum"
    assert all(place in fault.rule for place in places)
    assert walk(replace(spec, datum=(0.0, 1.0))).datum == pytest.approx((0.0, (spec.width or 500.0) / 2))


# Values that cannot exist.


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Line(0.0, 0.0, 0.0, -1.0), "longer than 0"),
        (lambda: Arc(0.0, 0.0, 0.0, 0.0, 1.0), "radius of an arc must be over 0"),
        (lambda: Arc(0.0, 0.0, 1.0, 0.0, 0.0), "must turn"),
        (lambda: Arc(0.0, 0.0, 1.0, 0.0, 6.3), "no more than a full turn"),
        (lambda: Arc(0.0, 0.0, 1.0, 0.0, 1.0).parallel(-1.0), "folds"),
    ],
)
def test_impossible_curves_are_refused_at_birth(make: object, words: str) -> None:
    """An existing curve is a valid curve."""
    assert callable(make)
    with pytest.raises(ValueError, match=words):
        make()
