"""What forming leaves in the metal, what holds a panel down, and what powder covers: by other means."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.metal.coat import coverage, powder
from layout.metal.forms import build_profile
from layout.metal.hold_down import END_PULL, end_pull, rows_needed, wrap_moment
from layout.metal.springback import Spring, opening_share
from tests.metal.metal_cases import DRAWN, STEEL, T24


def fibres_left(spring: Spring, loaded: float) -> float:
    """Return the share of first yield left for opening, by 20 001 elastic-plastic fibres bent and let go."""
    y = np.linspace(-spring.thickness / 2, spring.thickness / 2, 20001)
    held = np.clip(spring.modulus * y / loaded, -spring.yield_, spring.yield_)
    moment = np.trapezoid(held * y, y)
    freed = held - moment * 12 * y / spring.thickness**3  # let go elastically
    opening = -y / (spring.thickness / 2)  # stress of a unit moment the other way, ±1 at the surfaces
    return float(
        min((spring.yield_ - freed[k] * np.sign(opening[k])) / abs(opening[k]) for k in (0, -1)) / spring.yield_
    )


@pytest.mark.parametrize("share", [0.02, 0.1, 0.25, 0.45, 0.5])
def test_what_forming_leaves_for_opening_is_what_fibres_have_left(share: float) -> None:
    """(1 + ξ²)/2 agrees with a section summed fibre by fibre, from sharp bends to the elastic limit."""
    spring = Spring(228.0, 203400.0, 0.6)
    loaded = share * spring.unit
    assert opening_share(loaded, spring) == pytest.approx(fibres_left(spring, loaded), rel=2e-3)


def test_a_bend_at_the_elastic_limit_keeps_all_of_its_yield() -> None:
    """X = 1/2 leaves no residue; past it nothing was formed; sharper leaves half."""
    spring = Spring(228.0, 203400.0, 0.6)
    assert opening_share(spring.elastic_radius, spring) == 1.0
    assert opening_share(2 * spring.elastic_radius, spring) == 1.0
    assert opening_share(1e-9, spring) == pytest.approx(0.5)


def beam_reactions(supports: int, every: float) -> np.ndarray:
    """Return support reactions, N, of a beam of bending stiffness 1 held to a circle of curvature 1.

    The beam's deflection off the circle is solved as a natural cubic spline through zeros whose free curvature is
    −1: moments by the three-moment equations M(i−1) + 4M(i) + M(i+1) = 6, ends free.
    """
    n = supports
    matrix = np.eye(n)
    wanted = np.zeros(n)
    for i in range(1, n - 1):
        matrix[i, i - 1 : i + 2] = (1.0, 4.0, 1.0)
        wanted[i] = 6.0
    moments = np.linalg.solve(matrix, wanted)
    shear = np.diff(moments) / every
    return np.concatenate([[shear[0]], np.diff(shear), [-shear[-1]]])


@pytest.mark.parametrize("every", [25.0, 70.0, 140.0])
def test_a_panels_first_fixing_pulls_as_a_beam_on_many_supports(every: float) -> None:
    """(3 − √3)·M/b: the end reaction of a long beam held to a circle, solved support by support."""
    reactions = beam_reactions(41, every)
    assert reactions[0] == pytest.approx(END_PULL / every, rel=1e-9)
    assert reactions.sum() == pytest.approx(0.0, abs=1e-12)
    assert abs(reactions[20]) < 1e-6 * reactions[0]
    assert end_pull(2.0, 900.0, every) == pytest.approx(reactions[0] * 2.0 * 900.0)


def test_the_wrap_moment_is_elastic_until_all_the_metal_yields() -> None:
    """E·t³/12·p/(R·S) on a wide curve, σy·t²/4 and no more on a tight one; it does not mind the side."""
    profile = build_profile(DRAWN, T24)
    wide = STEEL.modulus * T24**3 / 12 * profile.pitch / (2000.0 * profile.developed)
    assert wrap_moment(profile, STEEL, 2000.0) == pytest.approx(wide)
    assert wrap_moment(profile, STEEL, -2000.0) == wrap_moment(profile, STEEL, 2000.0)
    assert wrap_moment(profile, STEEL, 1.0) == pytest.approx(STEEL.yield_ * T24**2 / 4)


def test_rows_of_fixings_bear_the_pull() -> None:
    """Last that does and first that does not: 3 × 25 N hold 75 N; a hair more asks for a fourth."""
    assert (rows_needed(75.0, 25.0), rows_needed(75.01, 25.0)) == (3, 4)


def test_powder_covers_as_the_trade_tables_say() -> None:
    """SG 1.6 at 2 mil: 60.1 ft²/lb, 192.3/(SG·mil) (coating trade tables, read); 1000/(SG·µm) m²/kg."""
    assert coverage(1.6, 2 * 0.0254) * 0.45359237 / 0.09290304 == pytest.approx(60.1, abs=0.05)
    assert coverage(1.5, 0.06) == pytest.approx(1000 / (1.5 * 60))


@settings(max_examples=40, deadline=None, derandomize=True)
@given(area=st.floats(0.1, 500), gravity=st.floats(1.0, 2.0), film=st.floats(0.03, 0.2), share=st.floats(0.2, 1.0))
def test_powder_is_what_covers_the_area_over_what_stays_on(
    area: float, gravity: float, film: float, share: float
) -> None:
    """What stays on is area × film × density of the powder."""
    assert powder(area, gravity, film, share) * share == pytest.approx(area * film * gravity)
    assert math.isclose(powder(2 * area, gravity, film, share), 2 * powder(area, gravity, film, share))
