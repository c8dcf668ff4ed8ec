"""The five scallop forms against dense sums, published widths and their own limits."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from layout.errors import JobFaults
from layout.job.model import ScallopSpec
from layout.metal.form_serpentine import deepest_serpentine
from layout.metal.forms import FORMS, build_profile
from layout.metal.profile import Profile

IN = 25.4
T24 = 0.0239 * IN

SPECS = {
    "arc": ScallopSpec("arc", 2.75 * IN, 0.625 * IN),
    "half-round": ScallopSpec("arc", 100.0, 50.0),
    "arc, rounded": ScallopSpec("arc", 2.75 * IN, 0.625 * IN, valley_radius=6.0),
    "arc-flat": ScallopSpec("arc-flat", 76.0, 15.0, flat=12.0),
    "arc-flat, rounded": ScallopSpec("arc-flat", 76.0, 15.0, flat=12.0, valley_radius=4.0),
    "sine": ScallopSpec("sine", 76.0, 18.0),
    "serpentine": ScallopSpec("serpentine", 76.0, 18.0),
    "serpentine, overhanging": ScallopSpec("serpentine", 40.0, 30.0),
    "arc-tangent": ScallopSpec("arc-tangent", 76.2, 25.4, radius=14.29),
    "arc-tangent, overhanging": ScallopSpec("arc-tangent", 40.0, 40.0, radius=11.0),
}
every_spec = pytest.mark.parametrize("spec", SPECS.values(), ids=SPECS)


def dense(profile: Profile, n: int = 40_001) -> tuple[float, float, float, float, float]:
    """Return S, c, J, reach and leaving angle as sums over a polyline, knowing nothing of the pieces."""
    x, y = profile.points(n).T
    ds = np.hypot(np.diff(x), np.diff(y))
    a, b = y[:-1], y[1:]
    length = ds.sum()
    c = (ds * (a + b) / 2).sum() / length
    second = (ds * ((a - c) ** 2 + (a - c) * (b - c) + (b - c) ** 2) / 3).sum()
    angle = math.pi / 2 - np.arctan2(y[1:], x[1:]).max()
    return length, c, second, np.abs(y - c).max(), angle


@every_spec
def test_closed_forms_agree_with_sums_over_a_dense_polyline(spec: ScallopSpec) -> None:
    """S, c, J and y_max of every form are those of its drawn line."""
    profile = build_profile(spec, T24)
    length, c, second, reach, angle = dense(profile)
    assert profile.developed == pytest.approx(length, rel=1e-7)
    assert profile.neutral_height == pytest.approx(c, rel=1e-7)
    assert profile.second_moment == pytest.approx(second, rel=1e-7)
    assert profile.reach == pytest.approx(reach, rel=1e-7)
    assert profile.leaving_angle == pytest.approx(angle, abs=1e-3)
    assert profile.leaving_angle <= angle + 1e-9


@every_spec
def test_a_profile_runs_from_valley_to_valley_and_is_as_deep_as_drawn(spec: ScallopSpec) -> None:
    """Pitch and depth are held by every form, rounded or not."""
    points = build_profile(spec, T24).points(2001)
    assert points.shape == (2001, 2)
    assert points[0] == pytest.approx([0.0, 0.0], abs=1e-9)
    assert points[-1] == pytest.approx([spec.pitch, 0.0], abs=1e-9)
    assert points[:, 1].max() == pytest.approx(spec.depth, rel=1e-5)
    assert points[:, 1].min() == pytest.approx(0.0, abs=1e-9)


@every_spec
def test_a_scallop_is_the_same_from_either_side(spec: ScallopSpec) -> None:
    """Mirrored about the crest, the drawn line falls on itself."""
    points = build_profile(spec, T24).points(801)
    assert points[::-1] * [-1, 1] + [spec.pitch, 0] == pytest.approx(points, abs=1e-6)


@every_spec
def test_slopes_and_radii_are_those_of_the_drawn_line(spec: ScallopSpec) -> None:
    """The steepest flank and the radius at the crest, measured on the polyline."""
    profile = build_profile(spec, T24)
    points = profile.points(40_001)
    steps = np.diff(points, axis=0)
    heading = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    assert profile.steepest == pytest.approx(np.abs(heading).max(), abs=2e-3)
    middle = len(heading) // 2
    bent = (heading[middle - 40] - heading[middle + 40]) / (80 * np.hypot(*steps[middle]))
    assert 1 / bent == pytest.approx(profile.crest_radius, rel=1e-3)


@pytest.mark.parametrize(
    "name", ["arc, rounded", "arc-flat, rounded", "serpentine", "arc-tangent", "arc-tangent, overhanging"]
)
def test_rounded_forms_turn_without_a_corner(name: str) -> None:
    """Every piece leaves in the direction in which the last one arrived: tangent all along."""
    pieces = build_profile(SPECS[name], T24).pieces
    assert len(pieces) >= 3
    for left, right in pairwise(pieces):
        assert left.headings[1] == pytest.approx(right.headings[0], abs=1e-9)
    assert pieces[0].headings[0] == pytest.approx(0.0, abs=1e-12)


def test_crest_and_rounded_valley_share_the_radius_of_the_sharp_arc() -> None:
    """R + v = ((p/2)² + d²)/(2d): a rounded valley takes its radius from the crest."""
    sharp = build_profile(SPECS["arc"], T24)
    rounded = build_profile(SPECS["arc, rounded"], T24)
    assert sharp.crest_radius == pytest.approx(((2.75 * IN / 2) ** 2 + (0.625 * IN) ** 2) / (2 * 0.625 * IN))
    assert rounded.crest_radius == pytest.approx(sharp.crest_radius - 6.0)
    assert rounded.steepest == pytest.approx(sharp.steepest)


@pytest.mark.parametrize(
    ("chord", "rise", "radius"), [(96, 12, 102), (6, 2, 3.25), (20, 5, 12.5)], ids=["96/12", "6/2", "20/5"]
)
def test_arc_radii_are_the_carpenters(chord: float, rise: float, radius: float) -> None:
    """Chord and rise to radius. Source: carpenters' tables."""
    assert build_profile(ScallopSpec("arc", chord, rise), 0.5).crest_radius == pytest.approx(radius, rel=1e-12)


def test_corrugated_drainage_sheet_has_its_published_width_and_area() -> None:
    """3 × 1 in corrugation: developed width factor 1.243, area 3.281 mm²/mm.

    Source: CSPI Handbook of Steel Drainage & Highway Construction Products, ch. 2 Table 2.4 (second hand).
    """
    profile = build_profile(ScallopSpec("arc-tangent", 76.2, 25.4, radius=14.29), 2.64)
    assert profile.developed / profile.pitch == pytest.approx(1.243, abs=5e-4)
    assert 2.64 * profile.developed / profile.pitch == pytest.approx(3.281, abs=2e-3)


def test_small_corrugation_has_its_published_width() -> None:
    """2-2/3 × 1/2 in, inside radius 11/16: 1.080. Source: AISI / NCSPA handbooks (from memory)."""
    profile = build_profile(ScallopSpec("arc-tangent", 8 / 3 * IN, 0.5 * IN, radius=11 / 16 * IN), 0.064 * IN)
    assert profile.developed / profile.pitch == pytest.approx(1.080, abs=5e-4)


@pytest.mark.parametrize("ratio", [0.001, 0.1, 0.237, 0.5, 2.0])
def test_a_sine_is_as_long_as_its_integral(ratio: float) -> None:
    """S = ∫√(1 + k² sin²) dx and J by quadrature: the closed form with E(k²/(1+k²)) is the same number."""
    p, d = 100.0, 100.0 * ratio
    k = math.pi * ratio
    profile = build_profile(ScallopSpec("sine", p, d), 0.5)

    def stretch(x: float) -> float:
        return math.sqrt(1 + (k * math.sin(2 * math.pi * x / p)) ** 2)

    def spread(x: float) -> float:
        return (d / 2 * math.cos(2 * math.pi * x / p)) ** 2 * stretch(x)

    length = 4 * quad(stretch, 0, p / 4, epsabs=1e-12, epsrel=1e-12)[0]
    assert profile.developed == pytest.approx(length, rel=1e-11)
    assert profile.neutral_height == pytest.approx(d / 2, rel=1e-12)
    assert profile.second_moment == pytest.approx(4 * quad(spread, 0, p / 4, epsrel=1e-12)[0], rel=1e-9)


def test_half_round_sums_are_those_of_a_half_circle() -> None:
    """S = πR, c = 2R/π, J = R³(π/2 − 4/π), and the valley is seen under no angle but straight on."""
    r = 50.0
    profile = build_profile(SPECS["half-round"], T24)
    assert profile.developed == pytest.approx(math.pi * r)
    assert profile.neutral_height == pytest.approx(2 * r / math.pi)
    assert profile.second_moment == pytest.approx(r**3 * (math.pi / 2 - 4 / math.pi))
    assert profile.reach == pytest.approx(2 * r / math.pi)
    assert profile.leaving_angle == pytest.approx(0.0, abs=1e-9)


def test_an_arcs_valley_is_seen_under_ninety_degrees_less_its_leaving_slope() -> None:
    """An arc leaves its chord at φ = 2·atan(2d/p); its valley is seen within 90° − φ of the normal."""
    profile = build_profile(SPECS["arc"], T24)
    slope = 2 * math.atan(2 * 0.625 / 2.75)
    assert profile.leaving_angle == pytest.approx(math.pi / 2 - slope, abs=1e-9)
    assert profile.steepest == pytest.approx(slope)


def test_a_flat_opens_the_view_into_the_valley() -> None:
    """From the middle of the flat the same arc hides less."""
    arc = build_profile(ScallopSpec("arc", 64.0, 15.0), T24)
    flat = build_profile(SPECS["arc-flat"], T24)
    assert flat.leaving_angle > arc.leaving_angle + 0.05
    assert flat.developed == pytest.approx(arc.developed + 12.0)


def test_forms_meet_where_they_become_one_another() -> None:
    """No flat is an arc; no straight is a serpentine; an arc with r = v is a serpentine."""
    serpentine = build_profile(SPECS["serpentine"], T24)
    half = serpentine.crest_radius
    assert half is not None
    rounded = build_profile(ScallopSpec("arc", 76.0, 18.0, valley_radius=half), T24)
    tangent = build_profile(ScallopSpec("arc-tangent", 76.0, 18.0, radius=half - T24 / 2), T24)
    flatless = build_profile(ScallopSpec("arc-flat", 2.75 * IN, 0.625 * IN, flat=0.0), T24)
    for same in (rounded, tangent):
        assert same.developed == pytest.approx(serpentine.developed, rel=1e-9)
        assert same.second_moment == pytest.approx(serpentine.second_moment, rel=1e-9)
    assert flatless.second_moment == build_profile(SPECS["arc"], T24).second_moment


@every_spec
@pytest.mark.parametrize("scale", [0.01, 30.0])
def test_sums_scale_with_size(spec: ScallopSpec, scale: float) -> None:
    """Twice the size: S, c, y_max twice, J eight times, angles the same."""
    own = [("pitch", "depth", "flat", "radius", "valley_radius")]
    scaled = replace(spec, **{k: v * scale for k in own[0] if (v := getattr(spec, k)) is not None})
    a, b = build_profile(spec, T24), build_profile(scaled, T24 * scale)
    for name, power in {"developed": 1, "neutral_height": 1, "reach": 1, "second_moment": 3}.items():
        assert getattr(b, name) == pytest.approx(getattr(a, name) * scale**power, rel=1e-9)
    assert b.steepest == pytest.approx(a.steepest)
    assert b.leaving_angle == pytest.approx(a.leaving_angle, abs=1e-7)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(pitch=st.floats(10, 200), share=st.floats(0.02, 0.5), valley=st.floats(0.05, 0.9))
def test_every_possible_arc_has_sound_sums(pitch: float, share: float, valley: float) -> None:
    """P < S ≤ p + 2d, 0 < c < d, J within the spread of the heights: for sharp and rounded valleys."""
    depth = pitch * share
    whole = ((pitch / 2) ** 2 + depth**2) / (2 * depth)
    for radius in (None, valley * whole):
        profile = build_profile(ScallopSpec("arc", pitch, depth, valley_radius=radius), 0.01)
        assert pitch < profile.developed <= pitch + 2 * depth
        assert 0 < profile.neutral_height < depth
        assert 0 < profile.second_moment <= profile.developed * profile.reach**2
        assert depth / 2 <= profile.reach < depth


def fault_of(spec: ScallopSpec, thickness: float = T24, pitch: float | None = None) -> tuple[str, str]:
    """Return key and remedy of the one fault."""
    with pytest.raises(JobFaults, match="scallop") as caught:
        build_profile(spec, thickness, pitch)
    (fault,) = caught.value.faults
    assert fault.rule
    return fault.key, fault.remedy


def up(value: float) -> float:
    return value * (1 + 1e-6)


LIMITS = {
    "arc depth": (ScallopSpec("arc", 76.0, 38.0), {"depth": up(38.0)}, "scallop.depth", "38 mm"),
    "arc-flat depth": (
        ScallopSpec("arc-flat", 76.0, 30.0, flat=16.0),
        {"depth": up(30.0)},
        "scallop.depth",
        "30 mm",
    ),
    "arc-flat flat": (
        ScallopSpec("arc-flat", 76.0, 1e-4, flat=75.999),
        {"flat": 76.0},
        "scallop.flat",
        "76 mm",
    ),
    "serpentine depth": (
        ScallopSpec("serpentine", 76.0, deepest_serpentine(76.0, T24)),
        {"depth": up(deepest_serpentine(76.0, T24))},
        "scallop.depth",
        "140.5 mm",
    ),
    "arc-tangent radius": (
        ScallopSpec("arc-tangent", 80.0, 20.0, radius=25.0 - T24 / 2),
        {"radius": up(25.0 - T24 / 2)},
        "scallop.radius",
        "24.7 mm",
    ),
    "arc valley radius": (
        ScallopSpec("arc", 80.0, 20.0, valley_radius=(50.0 - T24 / 2) / (1 + 1e-6)),
        {"valley_radius": 50.0 - T24 / 2},
        "scallop.valley_radius",
        "49.7 mm",
    ),
}


@pytest.mark.parametrize(("valid", "change", "key", "figure"), LIMITS.values(), ids=LIMITS)
def test_each_limit_holds_on_its_last_valid_and_first_invalid_figure(
    valid: ScallopSpec, change: dict[str, float], key: str, figure: str
) -> None:
    """The limiting scallop builds; a hair past it is a fault that names the limiting figure."""
    assert build_profile(valid, T24).developed > valid.pitch
    found, remedy = fault_of(replace(valid, **change))
    assert found == key
    assert figure in remedy


def test_at_their_limit_serpentine_arcs_of_one_side_touch() -> None:
    """At the deepest serpentine the metal of neighbouring crests meets: radius + t/2 = p/2."""
    deepest = build_profile(ScallopSpec("serpentine", 76.0, deepest_serpentine(76.0, T24)), T24)
    assert deepest.crest_radius == pytest.approx((76.0 - T24) / 2)
    assert deepest.steepest > math.pi / 2


@pytest.mark.parametrize(
    ("spec", "key"),
    [
        (ScallopSpec("arc-flat", 76.0, 10.0), "scallop.flat"),
        (ScallopSpec("arc-flat", 76.0, 10.0, flat=-1.0), "scallop.flat"),
        (ScallopSpec("arc-flat", 76.0, 10.0, flat=math.nan), "scallop.flat"),
        (ScallopSpec("arc-tangent", 76.0, 10.0), "scallop.radius"),
        (ScallopSpec("arc-tangent", 76.0, 10.0, radius=-0.1), "scallop.radius"),
        (ScallopSpec("arc", 76.0, 10.0, valley_radius=0.0), "scallop.valley_radius"),
        (ScallopSpec("arc", 76.0, 10.0, valley_radius=math.nan), "scallop.valley_radius"),
        (ScallopSpec("arc", 0.0, 10.0), "scallop.pitch"),
        (ScallopSpec("arc", 76.0, math.nan), "scallop.depth"),
        (ScallopSpec("sine", 76.0, -1.0), "scallop.depth"),
        (ScallopSpec("zigzag", 76.0, 10.0), "scallop.form"),
    ],
)
def test_what_cannot_be_drawn_is_a_fault_with_its_key(spec: ScallopSpec, key: str) -> None:
    """Missing, negative and meaningless figures are refused by name."""
    assert fault_of(spec)[0] == key


def test_a_pitch_of_the_range_takes_the_drawn_ones_place() -> None:
    """Depth and flat are held; the radius follows."""
    spec = replace(SPECS["arc-flat"], pitch_range=(74.0, 78.0))
    moved = build_profile(spec, T24, pitch=78.0)
    assert moved == build_profile(replace(spec, pitch=78.0), T24)
    assert (moved.pitch, moved.depth, moved.flat) == (78.0, 15.0, 12.0)


def test_a_pitch_of_the_range_that_cannot_be_is_a_fault_of_the_range() -> None:
    """Where only the chosen pitch is at fault the range is named; where the drawing is, the drawing."""
    spec = ScallopSpec("arc", 76.0, 37.0)
    assert build_profile(spec, T24, pitch=74.0).pitch == 74.0
    key, remedy = fault_of(spec, pitch=73.99)
    assert key == "scallop.pitch_range"
    assert "74 mm" in remedy
    assert fault_of(replace(spec, depth=39.0), pitch=73.0)[0] == "scallop.depth"
    assert fault_of(spec, pitch=-1.0)[0] == "scallop.pitch_range"


def test_steep_flanks_earn_a_caution_past_seventy_five_degrees() -> None:
    """An arc stands at 2·atan(2d/p): 75° at d = p/2·tan(37.5°)."""
    depth = 50 * math.tan(math.radians(37.5))
    at = build_profile(ScallopSpec("arc", 100.0, depth * (1 - 1e-9), valley_radius=5.0), T24)
    past = build_profile(ScallopSpec("arc", 100.0, depth * 1.001, valley_radius=5.0), T24)
    assert at.cautions == ()
    assert [caution for caution in past.cautions if "75°" in caution]


@pytest.mark.parametrize("form", ["valleys", "crests"])
def test_radii_tighter_than_the_metal_is_thick_earn_a_caution(form: str) -> None:
    """Inside radius v − t/2 against t, on each side of the limit, in valley and in crest."""
    whole, t = 50.0, 0.6
    for inside, warned in ((t * 1.001, False), (t * 0.999, True)):
        tight = inside + t / 2
        radius = tight if form == "valleys" else whole - tight
        cautions = build_profile(ScallopSpec("arc", 80.0, 20.0, valley_radius=radius), t).cautions
        assert any(form in caution for caution in cautions) is warned


def test_a_sharp_valley_says_so() -> None:
    """A valley drawn sharp has no radius at all, and the plan says what the metal will do there."""
    assert any("sharp" in caution for caution in build_profile(SPECS["arc"], T24).cautions)
    assert build_profile(SPECS["arc"], T24).valley_radius is None
    assert build_profile(SPECS["sine"], T24).cautions == ()


@every_spec
def test_bends_of_the_pieces_add_up_to_the_developed_length(spec: ScallopSpec) -> None:
    """Constant-curvature parts walked with a protractor end where the scallop ends."""
    profile = build_profile(spec, T24)
    total = 0.0
    for piece in profile.pieces:
        lengths, curvatures = piece.bends()
        total += lengths.sum()
        turned = piece.headings[1] - piece.headings[0]
        assert (lengths * curvatures).sum() == pytest.approx(turned, abs=1e-9)
    assert total == pytest.approx(profile.developed)


def test_points_keep_every_corner_and_need_enough_of_them() -> None:
    """Six pieces' ends are among the points however few are asked for; fewer cannot draw it."""
    profile = build_profile(SPECS["arc-flat"], T24)
    few = profile.points(4)
    assert few[1] == pytest.approx([6.0, 0.0])
    assert few[2] == pytest.approx([70.0, 0.0])
    with pytest.raises(ValueError, match="at least 4 points"):
        profile.points(3)


def test_profiles_are_values() -> None:
    """Equal drawings give equal, hashable profiles; a profile cannot be born impossible."""
    a, b = (build_profile(SPECS["arc-tangent"], T24) for _ in range(2))
    assert a == b
    assert hash(a) == hash(b)
    with pytest.raises(ValueError, match="must exceed the pitch"):
        replace(a, developed=a.pitch)


def test_the_table_holds_the_five_forms() -> None:
    """The job file's words."""
    assert set(FORMS) == {"arc", "arc-flat", "sine", "serpentine", "arc-tangent"}
