"""The set-out of whole plans: ties clear of the counter, chords, the closing sum, how marks are made."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from set_out_cases import circle, generated, marked, straight

from layout.face.set_out import CHORD, STATION, TIES, set_out, stop_rule
from layout.face.set_out_chords import chord_between, straightedge_rise, tape_lies
from layout.face.set_out_controls import LEAST_CROSSING
from layout.job.model import OutlineSpec, Straight, Turn
from tests.jobs import INCH

# Ties.


def test_ties_from_given_points_are_exact():
    """3-4-5 from points in the corner, and 5-12-13 from both sides, to the last bit."""
    wall = marked([straight(6000.0, start=(0.0, 4000.0))], 2)
    ties = set_out(wall, [(0.0, 0.0), (3000.0, 0.0)]).marks[0].ties
    assert ties.distances == (4000.0, 5000.0)
    assert math.cos(ties.crossing) == pytest.approx(4 / 5)
    ties = set_out(wall, [(-5000.0, -8000.0), (5000.0, -8000.0)]).marks[0].ties
    assert ties.distances == (13000.0, 13000.0)


@pytest.mark.parametrize("outline", generated(60, seed=7), ids=lambda spec: f"{spec.shape}-{spec.face}")
def test_ties_never_cross_the_counter(outline):
    """On 60 walls every tie runs clear up to a millimetre before its mark, on the viewer's side."""
    plan = marked([outline], 9)
    found = set_out(plan)
    wall = shapely.linestrings(plan.lines[0].back.sample(tolerance=0.005))
    shapely.prepare(wall)
    place = {control.name: np.array(control.xy) for control in found.controls}
    tied = [mark for mark in found.marks if mark.ties is not None]
    assert tied
    for mark in tied:
        assert LEAST_CROSSING <= mark.ties.crossing <= math.pi - LEAST_CROSSING
        for name, distance in zip(mark.ties.controls, mark.ties.distances, strict=True):
            at, start = np.array([mark.x, mark.y]), place[name]
            assert distance == pytest.approx(float(np.linalg.norm(at - start)))
            way = (start - at) / distance
            assert not shapely.intersects(wall, shapely.linestrings([start, at + way]))
            assert way @ (math.sin(mark.heading), -math.cos(mark.heading)) > 0


def test_every_round_counter_has_ties_to_all_seams():
    """On closed convex walls, seen from outside, chosen points tie every mark, whatever the size."""
    for diameter in (1200.0, 3000.0, 9000.0, 30000.0):
        assert set_out(marked([circle(diameter)], 12)).untied == ()


def test_two_counters_keep_clear_of_each_other():
    """Ties to one island don't run through the other that stands beside it."""
    first = OutlineSpec("a", "circle", diameter=2000.0)
    steps = (Turn(math.tau / 2, 1000.0), Turn(math.tau / 2, 1000.0))
    second = OutlineSpec("b", "path", start=(2600.0, -1000.0), steps=steps)
    plan = marked([first, second], 8)
    found = set_out(plan)
    place = {control.name: control.xy for control in found.controls}
    assert {mark.outline for mark in found.marks if mark.ties} == {0, 1}
    for mark in found.marks:
        for name in mark.ties.controls if mark.ties else ():
            tie = shapely.linestrings([place[name], (mark.x, mark.y)])
            other = plan.lines[1 - mark.outline].back.sample(tolerance=0.01)
            assert not shapely.intersects(shapely.polygons(other), tie)


def test_given_points_that_see_nothing_tie_nothing():
    """From behind the wall, or from one point alone, no mark is tied and its seam is named."""
    wall = marked([straight(6000.0)], 3)
    for control in ([(0.0, 3000.0), (3000.0, 3000.0)], [(3000.0, -3000.0)]):
        found = set_out(wall, control)
        assert found.untied == (1, 2, 3)
        assert found.given


@pytest.mark.parametrize(("least", "tied"), [(29.9, False), (30.1, True)])
def test_flat_crossings_are_refused(least, tied):
    """Two tapes cross at 30° or more."""
    half = math.tan(math.radians(least / 2)) * 4000.0
    wall = marked([straight(6000.0)], [3000.0])
    ties = set_out(wall, [(3000.0 - half, -4000.0), (3000.0 + half, -4000.0)]).marks[0].ties
    assert (ties is not None) == tied


@pytest.mark.parametrize(("tape", "tied"), [(4999.0, False), (5000.0, True)])
def test_ties_are_no_longer_than_the_tape(tape, tied):
    """A tape of 5 m reaches over 3-4-5, one a millimetre shorter does not."""
    wall = marked([straight(6000.0)], [3000.0])
    assert (set_out(wall, [(0.0, -4000.0), (6000.0, -4000.0)], tape=tape).marks[0].ties is not None) == tied


def test_set_out_turns_with_its_plan():
    """A job mirrored in y has the same distances from mirrored points."""
    wall = OutlineSpec("", "ellipse", length=6000.0, width=3600.0)
    points = [(4000.0, -3000.0), (-4000.0, -3000.0), (0.0, -5000.0)]
    upright = set_out(marked([wall], [700.0, 1400.0]), points)
    back = marked([wall], 1).lines[0].back
    turned = marked([wall], [back.length - 700.0, back.length - 1400.0])
    mirrored = set_out(turned, [(-x, y) for x, y in points])
    for one, other in zip(upright.marks, mirrored.marks, strict=True):
        assert sorted(one.ties.distances) == pytest.approx(sorted(other.ties.distances))


# Chords and rises.


@pytest.mark.parametrize(("chord", "rise", "radius"), [(96.0, 12.0, 102.0), (6.0, 2.0, 3.25), (20.0, 5.0, 12.5)])
def test_chords_and_rises_are_the_carpenters(chord, rise, radius):
    """Chord 96 rise 12; 6 rise 2; 20 rise 5: radius 102; 3.25; 12.5 (carpenters' tables)."""
    back = marked([circle(2 * radius * 100)], 1).lines[0].back
    found = chord_between(back, 0.0, 200 * radius * math.asin(chord / 2 / radius))
    assert found.length == pytest.approx(chord * 100)
    assert found.mid_ordinate == pytest.approx(rise * 100)
    assert straightedge_rise(radius, chord) == pytest.approx(rise)


def test_hollow_walls_have_negative_mid_ordinates_and_clear_chords():
    """Seen from inside, the same ring's mid-ordinates are negative, and its chords free for a tape."""
    out, inside = (set_out(marked([circle(6000.0, face)], 12)) for face in ("outside", "inside"))
    rise = 3000.0 * (1 - math.cos(math.pi / 12))
    assert [mark.chord.mid_ordinate for mark in out.marks] == pytest.approx([rise] * 12)
    assert [mark.chord.mid_ordinate for mark in inside.marks] == pytest.approx([-rise] * 12)
    assert not any(mark.chord.clear for mark in out.marks)
    assert all(mark.chord.clear for mark in inside.marks)


def test_straight_chords_have_no_rise():
    """On a straight the chord is the wall."""
    chord = set_out(marked([straight(6000.0)], 4)).marks[1].chord
    assert (chord.length, chord.clear) == (pytest.approx(2000.0), True)
    assert chord.mid_ordinate == pytest.approx(0.0, abs=1e-9)


def test_rise_is_told_for_large_radii_only():
    """A radius gauge of paper does under 1.5 m; from there on the straightedge reads the rise, signed."""
    assert set_out(marked([circle(2998.0)], 4)).marks[0].rise is None
    large, hollow = (set_out(marked([circle(3000.0, face)], 4)).marks[0].rise for face in ("outside", "inside"))
    assert large == pytest.approx(1500.0 - math.sqrt(1500.0**2 - 600.0**2))
    assert hollow == pytest.approx(-large)


def test_a_straightedge_must_fit_the_round():
    """As long as the round is wide it reads the radius; longer it has no rise."""
    assert straightedge_rise(600.0, 1200.0) == 600.0
    with pytest.raises(ValueError, match="does not fit"):
        straightedge_rise(600.0, 1200.1)


# The closing sum.


@pytest.mark.parametrize("outline", generated(20, seed=11), ids=lambda spec: f"{spec.shape}-{spec.face}")
def test_parts_come_back_to_zero(outline):
    """From the datum over all marks and back, the parts make the back line."""
    (closing,) = set_out(marked([outline], 7)).closings
    assert closing.remainder == pytest.approx(0.0, abs=1e-6)
    assert len(closing.parts) == 7 + 1


def test_vectors_from_mark_to_mark_close_a_loop():
    """On a closed line x and y of all marks come back to where they began."""
    found = set_out(marked([circle(5000.0)], 11))
    by_seam = {mark.seam: mark for mark in found.marks}
    steps = [(by_seam[m.next_seam].x - m.x, by_seam[m.next_seam].y - m.y) for m in found.marks]
    assert [math.hypot(*step) for step in steps] == pytest.approx([m.chord.length for m in found.marks])
    assert np.sum(steps, axis=0) == pytest.approx([0.0, 0.0], abs=1e-9)


# How marks are made.


def s_wall() -> OutlineSpec:
    """Return a straight, a hollow quarter turn, and a straight."""
    return OutlineSpec(
        "", "path", closed=False, face="right", steps=(Straight(2000.0), Turn(-math.pi / 2, 1500.0), Straight(1500.0))
    )


def test_tapes_lie_up_to_the_hollow():
    """To the end of the first straight marks are read off the laid tape; past it by ties."""
    plan = marked([s_wall()], [0.0, 1000.0, 2000.0, 2001.0, 4000.0])
    assert [mark.way for mark in set_out(plan).marks] == [STATION, STATION, STATION, TIES, TIES]
    back = plan.lines[0].back
    assert tape_lies(back, 1999.9)
    assert not tape_lies(back, 2000.1)


def test_hollow_marks_without_ties_are_chained():
    """Where no control point sees them, marks on a hollow wall are set by chords, and their errors grow."""
    found = set_out(marked([s_wall()], [0.0, 1000.0, 2500.0, 3000.0, 3500.0]), [(0.0, 9000.0)])
    assert [mark.way for mark in found.marks] == [STATION, STATION, CHORD, CHORD, CHORD]
    errors = [mark.sigma for mark in found.marks[1:]]
    assert errors == sorted(errors)
    assert errors[0] < errors[1] < errors[-1]


def test_chaining_is_worse_than_running():
    """On a ring of 40 marks the last chained mark is six times as far off as one read off the tape."""
    last = set_out(marked([circle(6000.0)], 40)).marks[-1]
    assert last.sigma == pytest.approx(1.5)
    assert last.chained == pytest.approx(1.5 * math.sqrt(39) / math.cos(math.pi / 40), rel=0.01)


def test_two_ends_at_one_place_are_one_mark():
    """Where one run ends and the next begins, the second seam is marked with the first."""
    found = set_out(marked([straight(6000.0)], [0.0, 3000.0, 3000.0, 6000.0]))
    assert [mark.same_as for mark in found.marks] == [None, None, 2, None]
    assert [mark.next_seam for mark in found.marks] == [2, 4, None, None]
    assert found.closings[0].parts == pytest.approx((0.0, 3000.0, 3000.0, 0.0))


def test_a_run_that_ends_at_the_datum_is_marked_with_it():
    """On a loop the whole length and station 0 are one place."""
    back = marked([circle(4000.0)], 1).lines[0].back
    found = set_out(marked([circle(4000.0)], [0.0, 3000.0, back.length]))
    assert [mark.same_as for mark in found.marks] == [None, None, 1]
    assert found.marks[1].next_seam == 1


def test_a_lone_seam_on_a_loop_has_no_chord():
    """One panel round a loop meets itself."""
    (mark,) = set_out(marked([circle(4000.0)], 1)).marks
    assert mark.chord is None
    assert mark.next_seam is None


# Tolerance and rule.


def test_tolerance_covers_the_worst_check():
    """On a laid tape a tie's check spreads by at most √2·σ; the tolerance is twice that, rounded up."""
    found = set_out(marked([circle(6000.0)], 12), tape_sigma=1.0)
    assert 1.0 <= found.check_sigma <= math.sqrt(2.0)
    assert found.tolerance == math.ceil(2 * found.check_sigma)


def test_tolerance_grows_with_the_tapes_error():
    """A tape that reads ten times worse has about ten times the tolerance."""
    good, bad = (set_out(marked([circle(6000.0)], 12), tape_sigma=sigma) for sigma in (1.0, 10.0))
    assert bad.check_sigma == pytest.approx(10 * good.check_sigma)


def test_stop_rule_says_both_halves():
    """One mark: again. Two the same way: stop."""
    words = stop_rule(set_out(marked([circle(6000.0)], 4)), "3 mm")
    assert "by 3 mm" in words
    assert "same way: stop" in words


@pytest.mark.parametrize("wrong", [{"tape_sigma": 0.0}, {"tape_sigma": -1.0}, {"tape": 0.0}])
def test_tapes_must_read(wrong):
    """A reading without error, or a tape without length, is none."""
    with pytest.raises(ValueError, match="better than nothing"):
        set_out(marked([circle(6000.0)], 4), **wrong)


def test_same_plan_same_set_out():
    """Nothing in it is left to chance."""
    assert set_out(marked([circle(6000.0)], 9)) == set_out(marked([circle(6000.0)], 9))


def test_inch_jobs_have_control_points_on_whole_inches():
    """Points that are chosen can be read off an inch tape."""
    found = set_out(marked([circle(6000.0)], 9, units="in"))
    assert all(round(c / INCH) == pytest.approx(c / INCH, abs=1e-9) for control in found.controls for c in control.xy)
