"""The die that a scallop asks for."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from layout.job.model import ScallopSpec
from layout.metal.bends import BentLine, shape_of, sprung
from layout.metal.die import BOTTOMED, FREE, die_for, misses
from layout.metal.forms import build_profile
from layout.metal.metals import METALS
from layout.metal.springback import (
    spring_of,
    sprung_radius,
)
from tests.metal.metal_cases import DRAWN, IN, SPECS, STEEL, T24, every_spec

FOYER = ScallopSpec("sine", 1.9884 * IN, 0.375 * IN)


@every_spec
def test_a_free_die_forms_the_drawn_crest_and_holds_the_developed_length(spec: ScallopSpec) -> None:
    """The loaded crest springs to the drawn radius; the feed is S; punch and groove lie t apart."""
    profile = build_profile(spec, T24)
    die = die_for(profile, STEEL)
    assert sprung_radius(die.crest_radius, spring_of(STEEL, T24)) == pytest.approx(profile.crest_radius)
    assert die.groove_radius - die.punch_radius == pytest.approx(T24)
    assert die.feed == profile.developed
    assert die.springback_ratio == pytest.approx(die.crest_radius / (profile.crest_radius or 0))
    assert die.loaded_pitch < profile.pitch
    assert die.loaded_depth > profile.depth


@pytest.mark.parametrize("metal", ["steel", "stainless", "aluminium-3003", "brass"])
@pytest.mark.parametrize(
    "spec", [SPECS["sine"], FOYER, SPECS["serpentine"]], ids=["sine", "shallow sine", "serpentine"]
)
def test_the_starting_die_makes_the_drawn_scallop_of_the_yield_planned_with(spec: ScallopSpec, metal: str) -> None:
    """Pitch within 0.1 % and depth within 0.5 % of the drawing, developed length held; nothing curls."""
    profile = build_profile(spec, T24)
    die = die_for(profile, METALS[metal])
    made = die.outcomes[1]
    assert made.pitch == pytest.approx(profile.pitch, rel=1e-3)
    assert made.depth == pytest.approx(profile.depth, rel=5e-3)
    assert not misses(profile, made.pitch, made.depth)
    assert die.curl is None
    assert die.loaded_depth > made.depth


def test_what_a_flat_die_cannot_bring_back_is_a_miss() -> None:
    """Crest and valley of other radii: depth is off by more than half a percent; sharp valleys miss nothing."""
    for name, missed in (("arc, rounded", True), ("arc-flat", True), ("arc", False), ("sine", False)):
        profile = build_profile(SPECS[name], T24)
        made = die_for(profile, STEEL).outcomes[1]
        assert misses(profile, made.pitch, made.depth) == missed
    assert misses(profile, profile.pitch * 1.0011, profile.depth)
    assert not misses(profile, profile.pitch * 1.0009, profile.depth * 1.0049)
    assert misses(profile, profile.pitch, profile.depth * 0.9949)


@pytest.mark.parametrize("form", ["serpentine", "arc-tangent"])
def test_where_crest_and_valley_are_alike_the_scallop_finishes_as_drawn(form: str) -> None:
    """One radius opens by one share: the finished pitch and depth are the drawing's, and nothing curls."""
    profile = build_profile(SPECS[form], T24)
    die = die_for(profile, STEEL)
    assert die.finished_pitch == pytest.approx(profile.pitch, rel=1e-9)
    assert die.outcomes[1].depth == pytest.approx(profile.depth, rel=1e-6)
    assert die.curl is None
    assert die.ridge_radius == pytest.approx(die.punch_radius)


def test_a_tight_valley_curls_the_sheet_hollow_until_it_is_as_round_as_the_crest() -> None:
    """A sharp valley keeps its bend while the crest opens; the named valley radius ends the curl."""
    curls = [
        die_for(build_profile(replace(DRAWN, valley_radius=radius), T24), STEEL).curl
        for radius in (None, 3.0, 10.0, 20.0)
    ]
    radii = [curl.radius for curl in curls if curl]
    assert len(radii) == 4
    assert radii == sorted(radii)
    assert all(curl.hollow for curl in curls if curl)
    flat = curls[0].flat_valley_radius if curls[0] else 0.0
    assert flat == pytest.approx(((1.5 * IN) ** 2 + (0.75 * IN) ** 2) / (2 * 0.75 * IN) / 2)
    assert die_for(build_profile(replace(DRAWN, valley_radius=flat), T24), STEEL).curl is None
    over = die_for(build_profile(replace(DRAWN, valley_radius=flat + 5), T24), STEEL).curl
    assert over is not None
    assert not over.hollow


def test_the_flattening_stroke_bends_the_crest_as_far_as_the_valley_keeps() -> None:
    """Wrapped further on the same punch by that stroke, crest and valley finish at one angle."""
    profile = build_profile(replace(DRAWN, valley_radius=12.0), T24)
    die, spring = die_for(profile, STEEL), spring_of(STEEL, T24)
    assert die.curl is not None
    assert die.curl.flat_stroke is not None
    flank = profile.steepest / die.springback_ratio
    deeper = math.acos(math.cos(flank) - die.curl.flat_stroke / die.crest_radius)
    valley = 12.0 * die.springback_ratio
    line = BentLine(
        np.array([valley * flank, 2 * die.crest_radius * deeper, valley * flank]),
        np.array([1 / valley, -1 / die.crest_radius, 1 / valley]),
        np.zeros(3),
    )
    assert shape_of(sprung(line, spring)).turn == pytest.approx(0.0, abs=1e-9)


@every_spec
def test_harder_metal_finishes_shallower_and_asks_for_a_tighter_punch(spec: ScallopSpec) -> None:
    """The band over the yields: one die, three outcomes in order."""
    low, planned, high = die_for(build_profile(spec, T24), STEEL).outcomes
    assert low.yield_ < planned.yield_ < high.yield_
    assert low.depth > planned.depth > high.depth
    assert low.pitch < planned.pitch < high.pitch
    assert low.crest_radius < planned.crest_radius < high.crest_radius
    assert low.punch_radius > planned.punch_radius > high.punch_radius


@every_spec
def test_a_bottomed_die_is_the_drawing_itself(spec: ScallopSpec) -> None:
    """Set by the tool: no springback, no curl, no nesting error, whatever the yield."""
    profile = build_profile(spec, T24)
    die = die_for(profile, STEEL, BOTTOMED)
    assert (die.springback_ratio, die.curl) == (1.0, None)
    assert die.punch_radius == pytest.approx((profile.crest_radius or 0) - T24 / 2)
    assert die.spacing == pytest.approx(profile.pitch, rel=1e-5)
    assert die.nesting == (0.0, 0.0)
    assert {outcome.depth for outcome in die.outcomes} == {profile.depth}


def test_nesting_errors_add_up_from_groove_to_groove() -> None:
    """Free scallops of the finished pitch over grooves at the loaded one: 1×, 2×, 3× the difference."""
    die = die_for(build_profile(SPECS["serpentine"], T24), STEEL, grooves=4)
    step = die.finished_pitch - die.spacing
    assert step > 0
    assert die.nesting == pytest.approx((step, 2 * step, 3 * step))
    assert die_for(build_profile(SPECS["serpentine"], T24), STEEL, grooves=1).nesting == ()


def test_a_flat_takes_no_part_in_the_grooves_opening() -> None:
    """The groove is as wide as the loaded pitch less the ridge's flat."""
    die = die_for(build_profile(SPECS["arc-flat"], T24), STEEL)
    assert die.opening == pytest.approx(die.spacing - 12.0)


def test_what_a_straight_stroke_cannot_form_is_said() -> None:
    """A half-round finished free would have to be bent past upright in the tool; bottomed it need not."""
    half_round = build_profile(ScallopSpec("arc", 76.0, 38.0), T24)
    assert any("past upright" in caution for caution in die_for(half_round, STEEL).cautions)
    assert not any("past upright" in caution for caution in die_for(half_round, STEEL, BOTTOMED).cautions)


def test_an_unknown_way_of_working_is_refused() -> None:
    """Two ways, named, and at least one groove."""
    profile = build_profile(DRAWN, T24)
    with pytest.raises(ValueError, match="rolled"):
        die_for(profile, STEEL, "rolled")
    with pytest.raises(ValueError, match="0 grooves"):
        die_for(profile, STEEL, FREE, grooves=0)
