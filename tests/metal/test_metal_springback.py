"""Springback and bent lines."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.job.model import ScallopSpec
from layout.metal.bends import bent_line_of, bent_more, shape_of, sprung
from layout.metal.flex import natural_bend_radius
from layout.metal.forms import build_profile
from layout.metal.springback import (
    Spring,
    bend_allowance,
    loaded_radius,
    ratio,
    spring_of,
    sprung_curvatures,
    sprung_radius,
)
from tests.metal.metal_cases import DRAWN, SPECS, STEEL, T24, every_spec

stresses = st.floats(80, 500)
moduli = st.floats(6e4, 2.2e5)
thicknesses = st.floats(0.3, 3.0)


def test_kalpakjians_example_springs_to_its_published_radius() -> None:
    """T .0359 in, R0 0.5 in, Y 40 000 psi, E 29e6 psi: Rf 0.531 in.

    Source: Kalpakjian & Schmid, Manufacturing Engineering and Technology, worked example (from memory).
    """
    assert sprung_radius(0.5, Spring(40e3, 29e6, 0.0359)) == pytest.approx(0.531, abs=5e-4)


@pytest.mark.parametrize("x", [0.0, 1e-6, 0.01, 0.1, 0.3, 0.4999])
def test_the_cubic_is_its_factor_form(x: float) -> None:
    """4x³ − 3x + 1 = (x + 1)(2x − 1)² (Gardiner 1957, from memory; factor form read)."""
    assert ratio(x) == pytest.approx(4 * x**3 - 3 * x + 1, abs=1e-15)


def test_the_elastic_limit_is_tied_both_ways() -> None:
    """X = 1/2 returns flat, that radius is E·t/(2Y), and it is the natural bend of a flat strip."""
    spring = spring_of(STEEL, T24)
    limit = STEEL.modulus * T24 / (2 * STEEL.yield_)
    assert spring.elastic_radius == pytest.approx(limit)
    assert sprung_radius(limit * (1 - 1e-6), spring) < math.inf
    assert sprung_radius(limit, spring) == math.inf
    assert loaded_radius(math.inf, spring) == pytest.approx(limit)
    assert loaded_radius(1e12, spring) == pytest.approx(limit, rel=1e-4)
    flat = build_profile(ScallopSpec("sine", 76.0, 0.01), T24)
    assert natural_bend_radius(flat, STEEL) == pytest.approx(limit, rel=1e-6)


@settings(max_examples=200, deadline=None, derandomize=True)
@given(x=st.floats(1e-5, 0.499), y=stresses, e=moduli, t=thicknesses)
def test_overbending_undoes_springback(x: float, y: float, e: float, t: float) -> None:
    """Forward and inverse are a round trip over the whole range x < 1/2."""
    spring = Spring(y, e, t)
    loaded = x * spring.unit
    assert loaded_radius(sprung_radius(loaded, spring), spring) == pytest.approx(loaded, rel=1e-8)
    assert sprung_radius(loaded, spring) > loaded


@settings(max_examples=100, deadline=None, derandomize=True)
@given(radius=st.floats(5, 60), y=stresses, e=moduli, t=thicknesses, more=st.floats(1.05, 1.5))
def test_harder_thinner_and_larger_spring_more(radius: float, y: float, e: float, t: float, more: float) -> None:
    """More yield, thinner metal or a larger radius: a smaller R0/Rf; a stiffer metal: a larger one."""

    def share(spring: Spring, finished: float = radius) -> float:
        return loaded_radius(finished, spring) / finished

    plain = share(Spring(y, e, t))
    assert share(Spring(y * more, e, t)) < plain
    assert share(Spring(y, e, t / more)) < plain
    assert share(Spring(y, e, t), radius * more) < plain
    assert share(Spring(y, e * more, t)) > plain


def test_curvatures_spring_as_radii_do() -> None:
    """The array form is the scalar one, signed; nearly flat parts come back flat."""
    spring = spring_of(STEEL, T24)
    radii = np.array([20.0, -35.0, 100.0, -270.0, 1e4])
    free = sprung_curvatures(1 / radii, spring)
    for radius, bend in zip(radii, free, strict=True):
        assert abs(bend) == pytest.approx(1 / sprung_radius(abs(radius), spring), abs=1e-12)
        assert bend == 0 or math.copysign(1, bend) == math.copysign(1, radius)


def test_a_bend_allowance_is_groovers() -> None:
    """60°, R 4.75, t 3.2, Kba 0.33: 6.08 mm (Groover, from memory); at mid-metal the arc itself."""
    assert bend_allowance(math.radians(60), 4.75, 3.2, 0.33) == pytest.approx(6.08, abs=5e-3)
    profile = build_profile(SPECS["arc-tangent"], 2.64)
    arc = profile.pieces[0]
    assert bend_allowance(arc.steepest, 14.29, 2.64) == pytest.approx(arc.length)


def test_what_cannot_spring_is_refused() -> None:
    """No yield, no radius: no springback."""
    with pytest.raises(ValueError, match="above 0"):
        Spring(0.0, 1.0, 1.0)
    with pytest.raises(ValueError, match="finished radius"):
        loaded_radius(0.0, spring_of(STEEL, T24))


@every_spec
def test_an_unbent_line_measures_as_its_profile(spec: ScallopSpec) -> None:
    """Walked with a protractor, the bends of a profile give back its pitch and depth, and lie straight."""
    shape = shape_of(bent_line_of(build_profile(spec, T24)))
    assert shape.pitch == pytest.approx(spec.pitch, rel=2e-5)
    assert shape.depth == pytest.approx(spec.depth, rel=2e-5)  # a sine is walked in 512 arcs
    assert shape.turn == pytest.approx(0.0, abs=1e-9)
    assert shape.curl_radius == math.inf


def test_scallops_turned_alike_lie_on_a_circle() -> None:
    """Thirty scallops laid end to end, each turned by the same angle, keep the curl radius from one point."""
    line = sprung(bent_more(bent_line_of(build_profile(DRAWN, T24)), 1.2), spring_of(STEEL, T24))
    shape = shape_of(line)
    step = shape.pitch * np.exp(1j * shape.turn * np.arange(30))
    valleys = np.concatenate(([0], np.cumsum(step)))
    triangle = np.abs(valleys[[0, 7, 19]] - np.roll(valleys[[0, 7, 19]], 1))
    half = triangle.sum() / 2
    area = math.sqrt(half * np.prod(half - triangle))
    assert shape.curl_radius == pytest.approx(triangle.prod() / (4 * area), rel=1e-9)
