"""The check's own sums of a scallop against closed forms."""

from __future__ import annotations

import math

import pytest
from scipy.special import ellipe

from layout.face.check_scallop import Sums, scallop_sums
from layout.job.model import ScallopSpec


def sums(form: str, pitch: float, depth: float, **more: float) -> Sums:
    return scallop_sums(ScallopSpec(form, pitch=pitch, depth=depth, **more), 0.6, pitch)  # type: ignore[arg-type]


def test_a_half_round_scallop_is_half_a_circle():
    """S = πr and c = 2r/π, the centroid of a semicircular arc."""
    found = sums("arc", 100.0, 50.0)
    assert found.developed == pytest.approx(50 * math.pi, rel=1e-12)
    assert found.neutral == pytest.approx(100 / math.pi, rel=1e-12)
    assert (found.pitch, found.depth) == pytest.approx((100.0, 50.0), abs=1e-9)
    assert found.second == pytest.approx(50**3 * (math.pi / 2 - 4 / math.pi), rel=1e-9)
    assert found.reach == pytest.approx(100 / math.pi, rel=1e-12)


def test_a_shallow_arc_is_radius_times_angle():
    """Chord 96 and rise 12 have the radius 102; the arc's centroid stands R·sin φ/φ off its centre."""
    radius, half = 102.0, math.asin(48 / 102)
    found = sums("arc", 96.0, 12.0)
    assert found.developed == pytest.approx(2 * radius * half, rel=1e-12)
    assert found.neutral == pytest.approx(radius * math.sin(half) / half - (radius - 12), rel=1e-10)


def test_a_flat_adds_its_length_at_valley_height():
    bare, flat = sums("arc", 96.0, 12.0), sums("arc-flat", 106.0, 12.0, flat=10.0)
    assert flat.developed == pytest.approx(bare.developed + 10, rel=1e-12)
    assert flat.neutral * flat.developed == pytest.approx(bare.neutral * bare.developed, rel=1e-12)


def test_a_sine_is_an_elliptic_integral():
    """S = p·(2/π)·√(1+k²)·E(k²/(1+k²)), k = πd/p (DLMF §19.30); by symmetry c = d/2."""
    pitch, depth = 70.0, 20.0
    k2 = (math.pi * depth / pitch) ** 2
    found = sums("sine", pitch, depth)
    assert found.developed == pytest.approx(pitch * 2 / math.pi * math.sqrt(1 + k2) * ellipe(k2 / (1 + k2)), rel=1e-12)
    assert found.neutral == pytest.approx(depth / 2, rel=1e-12)


@pytest.mark.parametrize(
    ("form", "more"), [("serpentine", {}), ("arc-tangent", {"radius": 6.0}), ("arc", {"valley_radius": 3.0})]
)
def test_rounded_forms_keep_pitch_and_depth(form: str, more: dict[str, float]):
    found = sums(form, 70.0, 18.0, **more)
    assert (found.pitch, found.depth) == pytest.approx((70.0, 18.0), abs=1e-9)


@pytest.mark.parametrize(("form", "more"), [("serpentine", {}), ("arc-tangent", {"radius": 6.0})])
def test_forms_alike_above_and_below_are_neutral_half_way_up(form: str, more: dict[str, float]):
    assert sums(form, 70.0, 18.0, **more).neutral == pytest.approx(9.0, rel=1e-10)


def test_arc_and_tangent_is_as_long_as_published():
    """Developed width factor 1.243: 76.2 × 25.4 mm, inside radius 14.29, t 2.64.

    CSPI Handbook of Steel Drainage & Highway Construction Products, ch. 2 Table 2.4 (second hand).
    """
    spec = ScallopSpec("arc-tangent", pitch=76.2, depth=25.4, radius=14.29)
    assert scallop_sums(spec, 2.64, 76.2).developed / 76.2 == pytest.approx(1.243, abs=5e-3)
