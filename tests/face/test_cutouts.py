"""Holes in the flat: developed lengths by hand, places on panels, clearances and faults."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from site_cases import FORMS, Laid, laid, site_job

from layout.face.cutouts import (
    along_profile,
    cutout_faults,
    cutout_stretches,
    flat_place,
    holes_of,
    scallops_to,
)
from layout.face.panels import panels_of
from layout.job.model import Cutout, FaceSpec, Job, OutlineSpec, ScallopSpec, Straight, Turn
from layout.metal.forms import build_profile

RING = OutlineSpec("", "circle", diameter=5000.0)
FLAT = OutlineSpec("", "path", closed=False, face="right", steps=(Straight(7000.0),))
"""100 scallops of 70 mm without take-up"""
SOCKET = Cutout("socket", at=1234.0, up=300.0, width=86.0, height=146.0)
FACE = FaceSpec(height=590.0, top_return=15.0, bottom_return=12.0, scribe=25.0, form_trim=20.0)


def with_holes(outline: OutlineSpec, *cutouts: Cutout, form: str = "arc", face: FaceSpec = FACE) -> Laid:
    return laid(site_job(outline, form, face=face, cutouts=cutouts))


def holes(made: Laid, chosen: list[int]) -> list[tuple[int, float, float, float, float, bool]]:
    panels = panels_of(made.job, made.runs, [chosen], made.blanks)
    found = holes_of(made.job, made.lines, made.runs, panels, made.profile)
    return [(hole.panel, hole.left, hole.bottom, hole.width, hole.height, hole.whole) for hole in found]


def on_arc(x: float, pitch: float = 70.0, depth: float = 16.0) -> float:
    """Arc length of one arc of chord `pitch` and rise `depth` from its left end to `x` along the chord."""
    r = (pitch**2 / 4 + depth**2) / (2 * depth)
    half = math.asin(pitch / 2 / r)
    return r * (half + math.asin((x - pitch / 2) / r))


# Along the profile.


@pytest.mark.parametrize("x", [0.0, 0.001, 10.0, 35.0, 61.7, 70.0])
def test_arc_is_walked_by_its_angle(x: float) -> None:
    """On an arc of radius r the developed length is r·(asin(p/2r) + asin((x − p/2)/r))."""
    profile = build_profile(ScallopSpec("arc", pitch=70.0, depth=16.0), 0.6)
    assert along_profile(profile, x) == pytest.approx(on_arc(x), abs=1e-10)


@pytest.mark.parametrize("x", [0.0, 5.0, 20.0, 38.0, 50.0, 76.0])
def test_sine_is_walked_by_its_integral(x: float) -> None:
    """On a sine the developed length is ∫√(1 + (πd/p)² sin²(2πx/p)) dx, here by quadrature."""
    p, d = 76.0, 18.0
    profile = build_profile(ScallopSpec("sine", pitch=p, depth=d), 0.6)
    length, _ = quad(lambda u: math.hypot(1, math.pi * d / p * math.sin(math.tau * u / p)), 0, x, epsabs=1e-12)
    assert along_profile(profile, x) == pytest.approx(length, abs=1e-9)


@pytest.mark.parametrize("form", FORMS)
def test_every_form_is_walked_as_its_drawn_points(form: str) -> None:
    """Up to any x the length is that of a dense polyline of the profile, and all of it at the pitch."""
    profile = build_profile(FORMS[form], 0.6)
    points = profile.points(20001)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    for k in range(0, 20001, 1250):
        assert along_profile(profile, float(points[k, 0])) == pytest.approx(along[k], abs=2e-4)
    assert along_profile(profile, profile.pitch) == pytest.approx(profile.developed, abs=1e-9)
    assert along_profile(profile, 0.0) == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("form", FORMS)
def test_profile_is_walked_alike_from_both_valleys(form: str) -> None:
    """Scallops are mirrored about their crest: the length to x and from p − x are one."""
    profile = build_profile(FORMS[form], 0.6)
    for x in np.linspace(0.0, profile.pitch / 2, 9):
        rest = profile.developed - along_profile(profile, profile.pitch - float(x))
        assert along_profile(profile, float(x)) == pytest.approx(rest, abs=1e-9)


def test_measured_developed_length_is_spread_over_the_scallop() -> None:
    """Where the first-off measured 1 % more metal, every place on it moves out by 1 %."""
    profile = build_profile(ScallopSpec("arc", pitch=70.0, depth=16.0), 0.6)
    longer = replace(profile, developed=1.01 * profile.developed)
    assert along_profile(longer, 20.0) == pytest.approx(1.01 * on_arc(20.0), abs=1e-9)


@pytest.mark.parametrize("x", [-0.01, 70.01])
def test_place_off_the_scallop_is_refused(x: float) -> None:
    """A scallop runs from valley to valley."""
    profile = build_profile(ScallopSpec("arc", pitch=70.0, depth=16.0), 0.6)
    with pytest.raises(ValueError, match="is off it"):
        along_profile(profile, x)


def test_overhanging_flank_has_no_one_place() -> None:
    """Past upright a line off the wall meets the metal thrice."""
    profile = replace(build_profile(ScallopSpec("arc", pitch=70.0, depth=16.0), 0.6), steepest=1.6)
    with pytest.raises(ValueError, match="overhang"):
        along_profile(profile, 20.0)


def test_whole_scallops_are_whole_developed_lengths() -> None:
    """So many scallops and a part are n·S and that part's length."""
    profile = build_profile(ScallopSpec("arc", pitch=70.0, depth=16.0), 0.6)
    assert flat_place(profile, 3.0) == pytest.approx(3 * profile.developed, abs=1e-9)
    assert flat_place(profile, 3.25) == pytest.approx(3 * profile.developed + on_arc(17.5), abs=1e-9)


# On panels.


def test_hole_on_a_straight_wall_by_hand() -> None:
    """1234 ± 43 mm on 70 mm scallops: 17 scallops and 1 mm to 18 scallops and 17 mm, panel from boundary 10."""
    made = with_holes(FLAT, SOCKET)
    developed = made.profile.developed
    left, right = 17 * developed + on_arc(1.0), 18 * developed + on_arc(17.0)
    (found,) = holes(made, [0, 10, 40, 100])
    expected = (2, 20.0 + left - 10 * developed, 25.0 + 12.0 + 300.0, right - left, 146.0, True)
    assert found == pytest.approx(expected, abs=1e-9)


def test_hole_on_a_ring_goes_by_the_count_line() -> None:
    """Round a ring of n scallops a station s is n·s/(2πr) scallops from the datum, whatever the pitch."""
    made = with_holes(RING, SOCKET)
    run = made.runs[0]
    share = run.scallops / (math.pi * 5000.0)
    assert scallops_to(made.lines[0], run, 1234.0) == pytest.approx(1234.0 * share, abs=1e-9)
    first, last = (1234.0 - 43.0) * share, (1234.0 + 43.0) * share
    (found,) = holes(made, [0, 60, 120])
    assert found[0] == 1
    assert found[1] == pytest.approx(20.0 + flat_place(made.profile, first), abs=1e-6)
    assert found[3] == pytest.approx(flat_place(made.profile, last) - flat_place(made.profile, first), abs=1e-6)


def test_hole_across_the_datum_lies_on_the_panel_across_it() -> None:
    """A hole about station 0 is on the panel that closes the ring, at its distance from that panel's start."""
    made = with_holes(RING, replace(SOCKET, at=0.0))
    run = made.runs[0]
    (found,) = holes(made, [50, 100, 150, 200])
    half = 43.0 * run.scallops / (math.pi * 5000.0)
    start = run.scallops - 200
    assert found[0] == 4
    assert found[1] == pytest.approx(20.0 + flat_place(made.profile, start - half), abs=1e-6)
    assert found[3] == pytest.approx(2 * (flat_place(made.profile, half)), abs=1e-6)


def test_hole_beside_a_seam_goes_through_the_lap_too() -> None:
    """Within a pitch right of a seam the left panel's lap lies under the hole: both blanks get it."""
    made = with_holes(FLAT, Cutout("pipe", at=2835.0, up=10.0, width=30.0, height=30.0))
    found = holes(made, [0, 40, 100])
    developed = made.profile.developed
    left, width = on_arc(20.0), on_arc(50.0) - on_arc(20.0)
    assert found[0] == pytest.approx((1, 20.0 + 40 * developed + left, 47.0, width, 30.0, True), abs=1e-9)
    assert found[1] == pytest.approx((2, 20.0 + left, 47.0, width, 30.0, True), abs=1e-9)


def test_hole_past_the_end_of_a_lap_is_a_notch_there() -> None:
    """Where the lap ends inside the hole its blank is notched; the other blank has it whole."""
    made = with_holes(FLAT, Cutout("pipe", at=2870.0, up=10.0, width=40.0, height=30.0))
    found = holes(made, [0, 40, 100])
    developed = made.profile.developed
    notch = developed - on_arc(50.0)
    assert found[0] == pytest.approx((1, 20.0 + 40 * developed + on_arc(50.0), 47.0, notch, 30.0, False), abs=1e-9)
    assert found[1] == pytest.approx((2, 20.0 + on_arc(50.0), 47.0, 2 * notch, 30.0, True), abs=1e-9)


def test_holes_add_up_to_the_metal_between_their_outer_sides() -> None:
    """Two holes that meet are as wide as one over both."""
    apart = (replace(SOCKET, at=1000.0, width=90.0), replace(SOCKET, at=1085.0, width=80.0))
    both = replace(SOCKET, at=1040.0, width=170.0)
    outline = OutlineSpec("", "path", closed=False, face="right", steps=(Turn(2.0, 1700.0),))
    two = holes(with_holes(outline, *apart), [0, 40])
    one = holes(with_holes(outline, both), [0, 40])
    assert two[0][3] + two[1][3] == pytest.approx(one[0][3], abs=1e-9)
    assert two[0][1] == pytest.approx(one[0][1], abs=1e-9)


# Clearance.


@pytest.mark.parametrize(("clearance", "reach"), [(None, 43.0 + 71.0), (0.0, 43.0), (150.0, 43.0 + 150.0)])
def test_seams_keep_half_the_width_and_the_clearance_off(clearance: float | None, reach: float) -> None:
    """The stretch is the hole and its clearance on both sides: one pitch where none is given."""
    job = with_holes(FLAT, replace(SOCKET, clearance=clearance)).job
    (kept,) = cutout_stretches(job, 71.0, [7000.0], [False])
    assert (kept.start, kept.end, kept.why) == (1234.0 - reach, 1234.0 + reach, "socket")


def test_clearance_ends_with_an_open_line_and_wraps_on_a_loop() -> None:
    """At an open end the stretch stops; past the datum of a loop it goes on."""
    near = replace(SOCKET, at=60.0)
    (kept,) = cutout_stretches(with_holes(FLAT, near).job, 70.0, [7000.0], [False])
    assert (kept.start, kept.end) == (0.0, 60.0 + 113.0)
    (kept,) = cutout_stretches(with_holes(RING, near).job, 70.0, [15000.0], [True])
    assert (kept.start, kept.end) == (15000.0 + 60.0 - 113.0, 60.0 + 113.0)


# Faults.


def faults(outline: OutlineSpec, cutout: Cutout) -> list[tuple[str, str]]:
    made = with_holes(outline, cutout)
    return [(fault.key, fault.rule) for fault in cutout_faults(made.job, made.lines, made.runs, made.profile)]


@pytest.mark.parametrize(("at", "wrong"), [(43.0, 0), (42.9, 1), (6957.0, 0), (6957.1, 1)])
def test_hole_lies_within_its_run(at: float, wrong: int) -> None:
    """A hole may touch an end of its run and not cross it."""
    found = faults(FLAT, replace(SOCKET, at=at))
    assert [key for key, _ in found] == ["cutout[1].at"] * wrong
    assert all("within one run" in rule for _, rule in found)


@pytest.mark.parametrize(("up", "wrong"), [(590.0 - 146.0, 0), (590.0 - 145.9, 1)])
def test_hole_is_no_higher_than_the_face(up: float, wrong: int) -> None:
    """Its top may reach the top of the face as seen, which is without returns and scribe."""
    found = faults(FLAT, replace(SOCKET, up=up))
    assert [key for key, _ in found] == ["cutout[1].height"] * wrong


def test_hole_past_the_end_of_the_line_is_off_it() -> None:
    """A station past the line's end is a fault of its own."""
    assert faults(FLAT, replace(SOCKET, at=7000.1)) == [("cutout[1].at", "the back line ends at station 7000 mm")]


def test_hole_across_the_datum_of_a_whole_loop_is_none() -> None:
    """A loop that is one run has no end to cross."""
    assert faults(RING, replace(SOCKET, at=1.0)) == []


def test_hole_as_long_as_its_loop_is_a_fault() -> None:
    """Nothing would be left of the face."""
    assert [key for key, _ in faults(RING, replace(SOCKET, width=16000.0))] == ["cutout[1].width"]


def test_overhanging_flanks_take_no_holes() -> None:
    """The fault names the scallop, once, and only where there are holes."""
    made = with_holes(FLAT, SOCKET, SOCKET)
    steep = replace(made.profile, steepest=1.7)
    assert [f.key for f in cutout_faults(made.job, made.lines, made.runs, steep)] == ["scallop"]
    none: Job = replace(made.job, cutouts=())
    assert cutout_faults(none, made.lines, made.runs, steep) == []
