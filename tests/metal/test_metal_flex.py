"""Take-up, pull, natural bend and edge lift against published rings, an elastica and a beam on supports."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from layout.errors import JobFaults
from layout.job.model import ScallopSpec
from layout.metal.flex import (
    can_lap,
    edge_lift,
    lap_caution,
    lap_rise,
    natural_bend_radius,
    pull,
    take_up_left,
    take_up_limit,
)
from layout.metal.forms import build_profile
from layout.metal.metals import METALS
from layout.metal.profile import Profile

T = 0.0239 * 25.4
STEEL = METALS["steel"]
SPECS = {
    "arc": ScallopSpec("arc", 69.85, 15.875),
    "arc-flat": ScallopSpec("arc-flat", 76.0, 15.0, flat=12.0),
    "rounded": ScallopSpec("arc", 76.0, 19.0, valley_radius=8.0),
    "serpentine": ScallopSpec("serpentine", 76.0, 18.0),
    "arc-tangent": ScallopSpec("arc-tangent", 76.2, 25.4, radius=14.29),
}


def test_a_half_round_scallop_is_half_of_roarks_ring() -> None:
    """Two loads W on a ring pull W/2 through each half: (WR³/EI)(π/4 − 2/π), greatest moment WR/π.

    Source: Roark's Formulas for Stress and Strain, circular rings case 1 (from memory).
    """
    r, w = 40.0, 3.0
    profile = build_profile(ScallopSpec("arc", 2 * r, r), T)
    stiffness = STEEL.modulus * T**3 / 12
    opened = w * r**3 / stiffness * (math.pi / 4 - 2 / math.pi)
    assert pull(profile, STEEL, opened) == pytest.approx(w / 2)
    assert w / 2 * profile.reach == pytest.approx(w * r / math.pi)


def test_first_yield_is_where_the_bending_stress_reaches_yield() -> None:
    """At e_max the pull times its reach gives 6M/t² = σy."""
    for spec in SPECS.values():
        profile = build_profile(spec, T)
        moment = pull(profile, STEEL, take_up_limit(profile, STEEL)) * profile.reach
        assert 6 * moment / T**2 == pytest.approx(STEEL.yield_)


def curvature_at(profile: Profile) -> tuple[Callable[[float], float], list[float]]:
    """Return the unloaded curvature along the scallop, and where it jumps."""
    edges = np.cumsum([0.0, *(piece.length for piece in profile.pieces)])
    bent = [piece.bends()[1][0] for piece in profile.pieces]

    def curvature(s: float) -> float:
        return float(bent[min(int(np.searchsorted(edges, s, side="right")) - 1, len(bent) - 1)])

    return curvature, list(edges)


def stretched(profile: Profile, pull_per_ei: float, moment_per_ei: float) -> tuple[float, float, float, float]:
    """Integrate the elastica over half a scallop; return the crest x, y and heading, and the greatest bend.

    The line starts at the valley in its own heading and bends by m + f·y where it comes to lie; corners of
    arc-flat keep their angle. Nothing here knows c or J.
    """
    curvature, edges = curvature_at(profile)
    half = profile.developed / 2
    x = y = most = 0.0
    heading = profile.pieces[0].headings[0]
    for piece, a, b in zip(profile.pieces, edges, edges[1:], strict=False):
        if a >= half - 1e-9:
            break
        end = min(b, half)
        own = curvature((a + end) / 2)

        def slope(_s: float, state: np.ndarray, own: float = own) -> list[float]:
            bend = own + moment_per_ei + pull_per_ei * state[1]
            return [math.cos(state[2]), math.sin(state[2]), bend]

        path = solve_ivp(slope, (a, end), [x, y, heading], rtol=1e-10, atol=1e-10, max_step=(end - a) / 20)
        x, y, heading = path.y[:, -1]
        most = max(most, float(np.abs(moment_per_ei + pull_per_ei * path.y[1]).max()))
        if b < half:
            following = profile.pieces[profile.pieces.index(piece) + 1]
            heading += following.headings[0] - piece.headings[1]
    return x, y, heading, most


@pytest.mark.parametrize("spec", SPECS.values(), ids=SPECS)
@pytest.mark.parametrize("sign", [1, -1], ids=["stretched", "crowded"])
def test_the_closed_forms_agree_with_an_elastica(spec: ScallopSpec, sign: int) -> None:
    """A line bent by its own pull, integrated, gives the take-up and first yield within 2 %.

    At a tenth of the first-yield take-up: past that the change of shape tells (2.4 % at a quarter).
    """
    profile = build_profile(spec, T)
    share = 0.1
    wanted = sign * share * take_up_limit(profile, STEEL)
    ei = STEEL.modulus * T**3 / 12
    force = pull(profile, STEEL, wanted) / ei

    def crest_heading(moment: float) -> float:
        return stretched(profile, force, moment)[2]

    guess = -force * profile.neutral_height
    moment = brentq(crest_heading, guess - abs(guess) / 2, guess + abs(guess) / 2, xtol=1e-14)
    x, _, _, bend = stretched(profile, force, moment)
    assert 2 * x - profile.pitch == pytest.approx(wanted, rel=0.02)
    assert bend * STEEL.modulus * T / 2 == pytest.approx(share * STEEL.yield_, rel=0.02)


@pytest.mark.parametrize("spec", SPECS.values(), ids=SPECS)
def test_a_pure_bend_neither_stretches_nor_crowds_the_neutral_height(spec: ScallopSpec) -> None:
    """Bent by one moment all along, the circle through the neutral height keeps the pitch: R·turn = p.

    The centre is where the normals of the bent valley and the bent crest meet.
    """
    profile = build_profile(spec, T)
    moment = 1e-7
    x, y, heading, _ = stretched(profile, 0.0, moment)
    turn = 2 * heading  # half a scallop turns by half of it
    assert turn == pytest.approx(moment * profile.developed, rel=1e-6)
    centre = y + x / math.tan(heading)  # above the valley: a left turn bends towards the viewer
    assert (centre - profile.neutral_height) * turn == pytest.approx(profile.pitch, rel=2e-5)


def test_wrapped_on_the_natural_radius_the_metal_just_yields() -> None:
    """Change of curvature p/(R·S); stress E·t/2 times it."""
    for spec in SPECS.values():
        profile = build_profile(spec, T)
        change = profile.pitch / (natural_bend_radius(profile, STEEL) * profile.developed)
        assert STEEL.modulus * T / 2 * change == pytest.approx(STEEL.yield_)


def test_flat_strip_is_the_limit_of_a_shallow_scallop() -> None:
    """A scallop with no depth yields at the strip's own E·t/(2σy)."""
    shallow = build_profile(ScallopSpec("sine", 76.0, 0.01), T)
    assert natural_bend_radius(shallow, STEEL) == pytest.approx(STEEL.modulus * T / (2 * STEEL.yield_), rel=1e-6)


@pytest.mark.parametrize("spec", SPECS.values(), ids=SPECS)
def test_flex_scales_as_its_formula_says(spec: ScallopSpec) -> None:
    """More yield, more take-up; stiffer metal, less; pull as E and e."""
    profile = build_profile(spec, T)
    hard = replace(STEEL, yield_=2 * STEEL.yield_, yield_high=2 * STEEL.yield_high)
    stiff = replace(STEEL, modulus=2 * STEEL.modulus)
    assert take_up_limit(profile, hard) == pytest.approx(2 * take_up_limit(profile, STEEL))
    assert take_up_limit(profile, stiff) == pytest.approx(take_up_limit(profile, STEEL) / 2)
    assert pull(profile, stiff, 0.3) == pytest.approx(0.6 * pull(profile, STEEL))
    assert pull(profile, STEEL, -0.3) == -pull(profile, STEEL, 0.3)
    assert natural_bend_radius(profile, hard) == pytest.approx(natural_bend_radius(profile, STEEL) / 2)


def test_thicker_metal_pulls_as_the_cube_of_its_thickness() -> None:
    """On the same mid-metal line: F ∝ t³, e_max ∝ 1/t, R_el ∝ t."""
    thin, thick = (build_profile(SPECS["arc"], t) for t in (T, 2 * T))
    assert pull(thick, STEEL) == pytest.approx(8 * pull(thin, STEEL))
    assert take_up_limit(thick, STEEL) == pytest.approx(take_up_limit(thin, STEEL) / 2)
    assert natural_bend_radius(thick, STEEL) == pytest.approx(2 * natural_bend_radius(thin, STEEL))


def test_a_curve_uses_up_the_take_up_as_it_tightens() -> None:
    """e_max·(1 − R_el/R): all of it on a straight, none at R_el and tighter."""
    assert take_up_left(3.0, 600.0, 1200.0) == pytest.approx(1.5)
    assert take_up_left(3.0, 600.0, -1200.0) == take_up_left(3.0, 600.0, 1200.0)
    assert take_up_left(3.0, 600.0, 600.0001) > 0
    assert take_up_left(3.0, 600.0, 600.0) == 0
    assert take_up_left(3.0, 600.0, 1.0) == 0


def lift_on_supports(curvature: float, edge: float, every: float, supports: int = 60) -> float:
    """Return the lift of a strip over point supports on a wall, by the three-moment equation.

    Supports at x = i·b on the wall y = −κx²/2; EI = 1, no load; free ends carry no moment.
    """
    x = every * np.arange(supports)
    wall = -curvature * x**2 / 2
    matrix = 4 * np.eye(supports - 2) + np.eye(supports - 2, k=1) + np.eye(supports - 2, k=-1)
    inner = np.linalg.solve(matrix, 6 / every**2 * np.diff(wall, 2))
    slope = (wall[-1] - wall[-2]) / every + every / 6 * inner[-1]
    tip = wall[-1] + edge * slope
    return float(tip + curvature * (x[-1] + edge) ** 2 / 2)


@pytest.mark.parametrize(("edge", "every"), [(12.7, 69.85), (0.0, 50.0), (60.0, 30.0), (25.0, 300.0)])
def test_edge_lift_is_that_of_a_beam_on_many_supports(edge: float, every: float) -> None:
    """κ·a·(a/2 + b/(2√3)) against the three-moment equation solved numerically."""
    k = 1 / 1500
    assert edge_lift(k, edge, every) == pytest.approx(lift_on_supports(k, edge, every), rel=1e-9, abs=1e-12)


def test_edge_lift_takes_arrays_and_counts_concave_walls_at_a_quarter() -> None:
    """Convex positive; concave a quarter, still a cost; straight none."""
    k = np.array([[1 / 800, 0.0], [-1 / 800, -1e-9]])
    lift = edge_lift(k, 12.7, 70.0)
    assert lift.shape == (2, 2)
    assert lift[0, 0] == edge_lift(1 / 800, 12.7, 70.0)
    assert lift[0, 1] == 0
    assert lift[1, 0] == pytest.approx(lift[0, 0] / 4)
    assert (lift >= 0).all()
    assert isinstance(edge_lift(1 / 800, 12.7, 70.0), float)


def test_a_lap_rises_by_thickness_over_the_cosine_of_its_slope() -> None:
    """t/cos φ at the steepest flank of the form, φ = 2·atan(2d/p)."""
    profile = build_profile(SPECS["arc"], T)
    slope = 2 * math.atan(2 * 15.875 / 69.85)
    assert lap_rise(profile) == pytest.approx(T / math.cos(slope))
    assert lap_caution(profile) is None


def test_a_lap_over_a_sixteenth_earns_a_caution() -> None:
    """At 60° the rise is twice the thickness: 1/16 in from metal 1/32 in thick."""
    spec = ScallopSpec("arc", 100.0, 50 * math.tan(math.radians(30)), valley_radius=5.0)
    at, past = (build_profile(spec, 25.4 / 32 * share) for share in (1 - 1e-6, 1 + 1e-6))
    assert lap_caution(at) is None
    assert "1/16 in" in str(lap_caution(past))


def test_no_lap_past_seventy_five_degrees() -> None:
    """An arc stands at 75° where d = p/2·tan(37.5°); steeper is refused with a remedy."""
    depth = 50 * math.tan(math.radians(37.5))
    at = build_profile(ScallopSpec("arc", 100.0, depth * (1 - 1e-9)), T)
    past = build_profile(ScallopSpec("arc", 100.0, depth * (1 + 1e-9)), T)
    assert can_lap(at)
    assert lap_rise(at) == pytest.approx(T / math.cos(math.radians(75)), rel=1e-6)
    assert not can_lap(past)
    with pytest.raises(JobFaults, match=r"face\.seam.*butt"):
        lap_rise(past)
