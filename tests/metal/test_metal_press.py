"""The press and the first-off."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.errors import JobFaults
from layout.metal.die import die_for
from layout.metal.first_off import Measured, curl_radius, fan, first_off
from layout.metal.forms import build_profile
from layout.metal.press import BOTTOMING, Press, bending_force, press_work
from tests.metal.metal_cases import DRAWN, IN, SPECS, STEEL, T24


def test_groovers_example_takes_its_published_force() -> None:
    """W 44.5, t 3.2, D 25 mm, TS 450 MPa, Kbf 1.33: 10 909 N (Groover, from memory; factors read)."""
    assert bending_force(44.5, 3.2, 25.0, 450.0, 1.33) == pytest.approx(10909, abs=0.5)


@settings(max_examples=50, deadline=None, derandomize=True)
@given(scale=st.floats(0.2, 5.0))
def test_force_scales_as_width_and_thickness_squared_over_opening(scale: float) -> None:
    """F ∝ w·t²/D and TS."""
    plain = bending_force(1000.0, 0.6, 70.0, 330.0)
    assert bending_force(1000.0 * scale, 0.6, 70.0, 330.0) == pytest.approx(plain * scale)
    assert bending_force(1000.0, 0.6 * scale, 70.0, 330.0) == pytest.approx(plain * scale**2)
    assert bending_force(1000.0, 0.6, 70.0 * scale, 330.0) == pytest.approx(plain / scale)
    assert bending_force(1000.0, 0.6, 70.0, 330.0 * scale) == pytest.approx(plain * scale)


def test_a_thirty_ton_shop_press_has_ample_margin() -> None:
    """Common practice, no source: 42 in of 24 gauge, three grooves bottomed, a press set to some 30 tons."""
    ton = 2000 * 4.4482216152605
    die = die_for(build_profile(DRAWN, T24), STEEL)
    work = press_work(Press(30 * ton), 43.5 * IN, (T24, die.opening, STEEL.tensile), die.grooves, 100)
    assert work.bottoming_range[1] < 0.25 * work.capacity
    assert work.share < work.bottoming_share < 0.2
    assert work.bottoming == pytest.approx(BOTTOMING * 3 * work.force)
    assert work.force_range[0] < work.force < work.force_range[1]


def test_the_inputs_of_the_force_give_it_back() -> None:
    """What the force was worked out from stands beside it: 1.33·TS·w·t²/D."""
    work = press_work(Press(1e5), 1000.0, (0.6, 70.0, 330.0), 3, 100)
    assert work.bend == (1000.0, 0.6, 70.0, 330.0)
    assert pytest.approx(work.force) == 1.33 * 330 * 1000 * 0.6**2 / 70


def test_without_a_capacity_there_is_a_force_and_no_share() -> None:
    """A press that is not known bears anything; nothing is over capacity."""
    work = press_work(Press(), 1000.0, (0.6, 70.0, 330.0), 3, 100)
    assert work.force == press_work(Press(1e5), 1000.0, (0.6, 70.0, 330.0), 3, 100).force
    assert (work.capacity, work.share, work.bottoming_share) == (None, None, None)
    assert "capacity" not in " ".join(work.cautions)


def test_strokes_take_their_time() -> None:
    """Two strokes a minute: 240 strokes in two hours."""
    work = press_work(Press(1e5, strokes_a_minute=2.0), 1000.0, (0.6, 70.0, 330.0), 3, 240)
    assert (work.strokes, work.hours) == (240, 2.0)


def over(press: Press, height: float = 1000.0) -> str:
    return " ".join(press_work(press, height, (0.6, 70.0, 330.0), 3, 1).cautions)


def test_over_capacity_says_what_would_do() -> None:
    """At the force itself it forms; a little under, the height that it can form is named."""
    force = bending_force(1000.0, 0.6, 70.0, 330.0)
    assert "forms at most" not in over(Press(force))
    assert f"forms at most {900:.4g} mm" in over(Press(force * 0.9))
    assert "bottom 2 of them" in over(Press(BOTTOMING * force * 2.5))
    assert "cannot bottom one" in over(Press(BOTTOMING * force * 0.99))
    assert "bottom" not in over(Press(BOTTOMING * force * 3.0001))


def test_the_blank_must_lie_on_the_bed_and_may_stand_between_the_uprights() -> None:
    """Last valid and first invalid height; past the uprights only a caution."""
    press = Press(1e6, bed=1000.0, between_uprights=800.0)
    assert "uprights" not in over(press, 800.0)
    assert "uprights" in over(press, 800.1)
    with pytest.raises(JobFaults, match=r"press\.bed"):
        over(press, 1000.1)


def test_figures_of_a_press_are_above_nothing() -> None:
    """So are those of a bend."""
    with pytest.raises(ValueError, match="above 0"):
        Press(0.0)
    with pytest.raises(ValueError, match="above 0"):
        bending_force(1.0, 1.0, 0.0, 1.0)


def test_a_first_off_that_matches_the_drawing_changes_nothing() -> None:
    """Measured as drawn, over ten scallops: the same scallop."""
    drawn = build_profile(DRAWN, T24)
    found = first_off(Measured(10, 30 * IN, 0.75 * IN, 10 * drawn.developed), DRAWN, T24)
    assert found.spec == replace(DRAWN, pitch=found.spec.pitch)
    assert found.spec.pitch == pytest.approx(3 * IN)
    assert found.profile.developed == pytest.approx(drawn.developed)
    assert (found.pitch_off, found.depth_off, found.developed_off) == pytest.approx((0, 0, 0), abs=1e-9)
    assert found.form_off == pytest.approx(0, abs=1e-12)


def test_a_first_off_is_planned_with_as_it_came_out() -> None:
    """Pitch length/n, depth as measured, developed length flat/n, with the differences from the drawing."""
    drawn = build_profile(DRAWN, T24)
    flat = 10 * drawn.developed * 1.01
    found = first_off(Measured(10, 30.2 * IN, 0.74 * IN, flat), DRAWN, T24)
    assert found.profile.pitch == pytest.approx(3.02 * IN)
    assert found.profile.depth == pytest.approx(0.74 * IN)
    assert found.profile.developed == pytest.approx(flat / 10)
    assert found.pitch_off == pytest.approx(0.02 * IN)
    assert found.depth_off == pytest.approx(-0.01 * IN)


def test_a_die_that_ran_soft_metal_is_found_by_its_first_off() -> None:
    """Form with soft metal's outcome, measure it, and the plan's scallop is that outcome."""
    profile = build_profile(SPECS["serpentine"], T24)
    low = die_for(profile, STEEL).outcomes[0]
    found = first_off(Measured(10, 10 * low.pitch, low.depth, 10 * profile.developed), SPECS["serpentine"], T24)
    assert (found.profile.pitch, found.profile.depth) == pytest.approx((low.pitch, low.depth))
    assert abs(found.form_off) < 1e-3


@pytest.mark.parametrize(("share", "good"), [(1.0299, True), (1.0301, False), (0.9701, True), (0.9699, False)])
def test_a_stretch_out_that_is_not_the_forms_is_a_fault(share: float, good: bool) -> None:
    """Within 3 % it is believed, past it measured again: each side of each limit."""
    measured = Measured(10, 30 * IN, 0.75 * IN, 10 * build_profile(DRAWN, T24).developed * share)
    if good:
        assert first_off(measured, DRAWN, T24).form_off == pytest.approx(share - 1)
    else:
        with pytest.raises(JobFaults, match=r"die\.measured.*stretch-out"):
            first_off(measured, DRAWN, T24)


def test_measures_that_no_form_has_are_faults() -> None:
    """Nothing measured, and an arc deeper than half its pitch."""
    with pytest.raises(JobFaults, match=r"die\.measured"):
        Measured(0, 100.0, 10.0, 120.0)
    with pytest.raises(JobFaults, match=r"die\.measured"):
        Measured(10, math.nan, 10.0, 120.0)
    with pytest.raises(JobFaults, match=r"die\.measured.*at most half"):
        first_off(Measured(1, 76.0, 38.1, 119.0), DRAWN, T24)


def test_a_fan_is_a_sector() -> None:
    """Both edges' arcs have the measured lengths about one centre, and the bow is their rise."""
    panel = fan(70.08, 70.0, 1000.0, 30)
    assert panel.angle * (panel.radius + 500) == pytest.approx(30 * 70.08)
    assert panel.angle * (panel.radius - 500) == pytest.approx(30 * 70.0)
    assert panel.longer_by == pytest.approx(2.4)
    assert panel.bow == pytest.approx(panel.radius * (1 - math.cos(panel.angle / 2)), rel=1e-6)
    assert fan(70.0, 70.08, 1000.0, 30).angle == pytest.approx(-panel.angle)
    assert fan(70.0, 70.0, 1000.0, 30).radius == math.inf


def test_a_fan_past_its_limit_is_refused_with_the_panel_that_would_do() -> None:
    """1/8 in over the panel: 31 scallops at 0.1 mm each pass, 32 do not."""
    assert fan(70.1, 70.0, 1000.0, 31).longer_by < 3.175
    with pytest.raises(JobFaults, match=r"die\.measured.*31 scallops"):
        fan(70.1, 70.0, 1000.0, 32)


def test_curl_over_ten_scallops_is_the_circle_through_three_points() -> None:
    """Chord and rise of a known circle."""
    half = math.asin(375 / 2000)
    assert curl_radius(750.0, 2000 * (1 - math.cos(half))) == pytest.approx(2000)
    assert curl_radius(750.0, 0.0) == math.inf
