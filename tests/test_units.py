"""Lengths, stresses, forces and angles are read as people write them, and shown as the trade shows them."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.units import (
    MPA_PER_PSI,
    N_PER_LBF,
    UnitError,
    format_angle,
    format_area,
    format_density,
    format_fine,
    format_force,
    format_inches,
    format_length,
    format_stress,
    format_weight,
    parse_angle,
    parse_density,
    parse_force,
    parse_length,
    parse_stress,
    to_units,
)

INCH = 25.4
"""mm; exact, international yard and pound agreement, 1959"""

LONG = (12 * 24 + 3.5) * INCH

READ_IN_INCHES = [
    (2.75, 2.75 * INCH),
    (0, 0.0),
    (-9.5, -9.5 * INCH),
    ("24 ft 3 1/2 in", LONG),
    ("24' 3-1/2\"", LONG),
    ("24'-3 1/2\"", LONG),
    ("24' - 3 1/2\"", LONG),
    ("24'3 1/2\"", LONG),
    ("24′ 3½″", LONG),
    ("24’ 3½”", LONG),
    ("24' 3 1/2''", LONG),
    ("24\u00a0ft\u20093\u202f1\u20442 in", LONG),
    ("24 FT 3 1/2 IN", LONG),
    ("24 feet 3 1/2 inches", LONG),
    ("24 ft. 3 1/2 in.", LONG),
    ("-24'-3 1/2\"", -LONG),
    ("24 ft", 24 * 12 * INCH),
    ("2 1/2 ft", 30 * INCH),
    ("41 1/2", 41.5 * INCH),
    ("41-1/2", 41.5 * INCH),
    ("41½", 41.5 * INCH),
    ("¾ in", 0.75 * INCH),
    ("3 / 4 in", 0.75 * INCH),
    ("3/2 in", 1.5 * INCH),
    ("−1/2 in", -0.5 * INCH),
    ("1.5 in", 1.5 * INCH),
    (".5", 0.5 * INCH),
    ("11 15/16 in", (11 + 15 / 16) * INCH),
    ("12 ft 11 63/64 in", (144 + 11 + 63 / 64) * INCH),
    ("620 mm", 620.0),
    ("6.2 m", 6200.0),
    ("62 cm", 620.0),
    ("6.2 metres", 6200.0),
]


@pytest.mark.parametrize(("written", "mm"), READ_IN_INCHES)
def test_a_length_is_read_as_it_is_written_on_drawings(written: object, mm: float) -> None:
    """Feet, inches, fractions, primes and metric units all come to millimetres."""
    assert parse_length(written, "in") == pytest.approx(mm, rel=1e-15)


@pytest.mark.parametrize(("written", "mm"), [(620, 620.0), ("620", 620.0), ("41 1/2", 41.5), ("1 in", INCH)])
def test_a_bare_number_of_a_mm_job_is_millimetres(written: object, mm: float) -> None:
    """Only a unit that is written beats the job's."""
    assert parse_length(written, "mm") == mm


def test_bare_and_written_figures_are_the_same_number() -> None:
    """0.0239 bare and as text differ by no bit, though 0.0239·25.4 in floats might."""
    for figure in ("0.0239", "2.7", "0.1", "1e-3"):
        bare = parse_length(float(figure), "in")
        assert bare == float(Fraction(figure) * Fraction("25.4"))
    assert parse_length(0.0239, "in") == parse_length("0.0239 in", "mm")


REFUSED = [
    ("", "empty", "24 ft"),
    ("   ", "empty", "24 ft"),
    ("twelve", "cannot be read", "24 ft"),
    ("ft", "cannot be read", "24 ft"),
    ("nan", "cannot be read", "24 ft"),
    ("inf", "cannot be read", "24 ft"),
    ("12 ft 14 in", "under 12", "Carry"),
    ("12 ft 12 in", "under 12", "Carry"),
    ("2.5 ft 3 in", "whole", "whole feet"),
    ("3/0 in", "at least 1", "1/2"),
    ("2 1/0", "at least 1", "1/2"),
    ("41 3/2", "under 1", "3 1/2"),
    ("41 2/2", "under 1", "3 1/2"),
    ("3 -1/2", "two ways", "before all"),
    ("3 ft -2 in", "two ways", "before all"),
    ("3 ft + 2 in", "two ways", "before all"),
    ("--3", "two ways", "before all"),
    ("24' 3", "without units", "24 ft"),
    ("24 3 1/2", "without units", "24 ft"),
    ("3 in 2 ft", "without units", "24 ft"),
    ("6 m 20 cm", "without units", "6.2 m"),
    ("1.5 1/2", "without units", "24 ft"),
    ("1,5 in", "point", "1.5"),
    ("1,200 mm", "point", "1200"),
    ("12 yd", "yd", "ft"),
    ("12 psi", "psi", "mm"),
    ("9" * 65, "64 characters", "24 ft"),
    (True, "must be a length", "24 ft"),
    (None, "must be a length", "24 ft"),
    ([1], "must be a length", "24 ft"),
    (math.nan, "finite", "24 ft"),
    (math.inf, "finite", "24 ft"),
    (-math.inf, "finite", "24 ft"),
    (10**400, "size", "digits"),
    (1.7e308, "size", "digits"),
]


@pytest.mark.parametrize(("written", "rule", "remedy"), REFUSED)
def test_what_could_be_read_two_ways_is_refused(written: object, rule: str, remedy: str) -> None:
    """Every refusal says the rule and what to write instead."""
    with pytest.raises(UnitError) as caught:
        parse_length(written, "in")
    assert rule in caught.value.rule
    assert remedy in caught.value.remedy


def test_inches_beside_feet_may_reach_eleven_and_nearly_twelve() -> None:
    """The last that is read and the first that is not."""
    assert parse_length("1 ft 11 15/16 in", "in") == pytest.approx((12 + 11 + 15 / 16) * INCH)
    with pytest.raises(UnitError, match="under 12"):
        parse_length("1 ft 12 in", "in")


def test_units_are_inches_or_millimetres() -> None:
    """A third unit of a job is refused wherever it turns up."""
    with pytest.raises(UnitError, match="in or mm"):
        parse_length(3, "cm")
    with pytest.raises(UnitError, match="in or mm"):
        format_length(3.0, "cm")


SHOWN = [
    (LONG, "24 ft 3 1/2 in"),
    (0.0, "0 in"),
    (12 * INCH, "1 ft"),
    ((12 - 1 / 32) * INCH, "1 ft"),
    ((12 - 1 / 32) * INCH - 0.001, "11 15/16 in"),
    (INCH / 32, "1/16 in"),
    (INCH / 32 - 0.001, "0 in"),
    (-INCH / 32, "-1/16 in"),
    (-INCH / 32 + 0.001, "0 in"),
    (-30.5 * INCH, "-2 ft 6 1/2 in"),
    ((24 * 12 + 0.5) * INCH, "24 ft 1/2 in"),
    (3 * INCH / 8, "3/8 in"),
    (23.99 * INCH, "2 ft"),
]


@pytest.mark.parametrize(("mm", "text"), SHOWN)
def test_inches_are_shown_to_the_sixteenth_ties_away_from_zero(mm: float, text: str) -> None:
    """Sixteenths are reduced, carried into feet, and a tie leaves zero behind."""
    assert format_length(mm, "in") == text


def test_float_noise_does_not_turn_a_tie() -> None:
    """Three tenths of a tie in floats are the tie: 1/32 in summed from thirds rounds up all the same."""
    third = INCH / 32 / 3
    summed = third + third + third
    assert format_length(math.nextafter(summed, 0.0), "in") == "1/16 in"


@pytest.mark.parametrize(
    ("mm", "text"),
    [(620.0, "620 mm"), (6200.04, "6200 mm"), (6200.05, "6200.1 mm"), (-0.05, "-0.1 mm"), (-0.04, "0 mm")],
)
def test_millimetres_are_shown_to_the_tenth(mm: float, text: str) -> None:
    """A zero tenth is left out."""
    assert format_length(mm, "mm") == text


def test_precision_may_be_asked_for() -> None:
    """Thirty-seconds of an inch, or whole millimetres."""
    assert format_length(INCH / 32, "in", precision=32) == "1/32 in"
    assert format_length(620.5, "mm", precision=0) == "621 mm"


def test_inches_alone_are_shown_on_request() -> None:
    """Sheet sizes are told in inches however long."""
    assert format_inches(120 * INCH) == "120 in"
    assert format_inches(-41.5 * INCH) == "-41 1/2 in"


@settings(derandomize=True, deadline=None)
@given(st.floats(min_value=-1e6, max_value=1e6))
def test_inches_come_back_within_a_thirty_second(mm: float) -> None:
    """parse(format(x)) is x to half of what is shown."""
    assert abs(parse_length(format_length(mm, "in"), "in") - mm) <= INCH / 32 + 1e-6
    assert abs(parse_length(format_inches(mm), "mm") - mm) <= INCH / 32 + 1e-6


@settings(derandomize=True, deadline=None)
@given(st.floats(min_value=-1e6, max_value=1e6))
def test_millimetres_come_back_within_half_a_tenth(mm: float) -> None:
    """parse(format(x)) is x to half of what is shown."""
    assert abs(parse_length(format_length(mm, "mm"), "mm") - mm) <= 0.05 + 1e-9


@settings(derandomize=True, deadline=None)
@given(st.integers(-(10**6), 10**6), st.sampled_from(["in", "mm"]))
def test_what_is_shown_is_shown_again(sixteenths: int, units: str) -> None:
    """A length that is shown, read and shown again stays the same text."""
    text = format_length(sixteenths * INCH / 16, units)
    assert format_length(parse_length(text, units), units) == text


@settings(derandomize=True, deadline=None, max_examples=400)
@given(st.text(alphabet="0123456789 /.-+'\"ftinm½′,e", max_size=12))
def test_any_text_is_a_finite_length_or_a_unit_error(text: str) -> None:
    """No text raises anything else."""
    try:
        found = parse_length(text, "in")
    except UnitError:
        return
    assert math.isfinite(found)


def test_a_psi_is_its_published_size() -> None:
    """1 psi = 6.894757 kPa, 1 lbf = 4.4482216152605 N: NIST SP 811 appendix B.8 (from memory)."""
    assert float(MPA_PER_PSI) == pytest.approx(6.894757e-3, rel=1e-7)
    assert float(N_PER_LBF) == 4.4482216152605


@pytest.mark.parametrize(
    ("written", "units", "mpa"),
    [
        (36000, "in", 36000 * 4.4482216152605 / INCH**2),
        ("36 ksi", "mm", 36000 * 4.4482216152605 / INCH**2),
        (250, "mm", 250.0),
        ("203 GPa", "in", 203000.0),
        ("250 MPa", "in", 250.0),
    ],
)
def test_stress_is_psi_or_mpa_unless_it_says(written: object, units: str, mpa: float) -> None:
    """Bare psi in an inch job, MPa in a mm job."""
    assert parse_stress(written, units) == pytest.approx(mpa, rel=1e-14)


@pytest.mark.parametrize(
    ("written", "units", "newtons"),
    [
        (2000, "in", 2000 * 4.4482216152605),
        ("1 ton", "mm", 2000 * 4.4482216152605),
        (18, "mm", 18000.0),
        ("18 kN", "in", 18000.0),
        ("500 N", "in", 500.0),
    ],
)
def test_force_is_lbf_or_kn_unless_it_says(written: object, units: str, newtons: float) -> None:
    """A ton is 2 000 lbf."""
    assert parse_force(written, units) == pytest.approx(newtons, rel=1e-14)


def test_a_length_is_no_stress() -> None:
    """Units of one measure are unknown to the other, and the known ones are told."""
    with pytest.raises(UnitError, match=r"mm is no known unit of stress\. Use one of psi, ksi, mpa, gpa"):
        parse_stress("3 mm", "in")


def test_angles_are_degrees() -> None:
    """Bare or with their sign."""
    assert parse_angle(90) == math.pi / 2
    assert parse_angle("22.5°") == math.pi / 8
    assert parse_angle("-45 deg") == -math.pi / 4
    assert format_angle(-math.pi / 4) == "-45.0°"


def test_density_reads_pounds_per_cubic_inch_and_foot() -> None:
    """0.2836 lb/in³ is 490 lb/ft³ (1 ft³ = 1728 in³), and 7850 kg/m³ of steel."""
    assert parse_density("490 lb/ft3", "mm") == pytest.approx(parse_density(490 / 1728, "in"))
    assert parse_density(0.2836, "in") == pytest.approx(7850, rel=1e-3)
    assert parse_density("2.7 g/cm³", "in") == 2700.0


def test_weights_areas_and_stresses_are_shown_in_the_jobs_units() -> None:
    """1 lb = 0.45359237 kg; 1 ft² = 304.8² mm²; each to its usual decimals."""
    assert format_weight(0.45359237 * 100, "in") == "100.0 lb"
    assert format_weight(12.34, "mm") == "12.3 kg"
    assert format_area(304.8**2 * 32, "in") == "32.0 ft²"
    assert format_area(2.5e6, "mm", places=2) == "2.50 m²"
    assert format_density(7850, "mm") == "7850 kg/m³"
    assert format_density(7850, "in") == "0.284 lb/in³"
    assert format_stress(250, "mm") == "250 MPa"
    assert format_stress(float(36000 * MPA_PER_PSI), "in") == "36.0 ksi"
    assert format_force(1000 * 4.4482216152605, "in") == "1000 lbf"
    assert format_force(18000, "mm") == "18.000 kN"


def test_thickness_is_shown_in_decimals() -> None:
    """A gauge is told to .0001 in, 0.001 mm, ties away from zero."""
    assert format_fine(0.0239 * INCH, "in") == "0.0239 in"
    assert format_fine(0.6, "mm") == "0.600 mm"
    assert format_fine(-0.0005, "mm") == "-0.001 mm"


def test_files_get_lengths_in_the_jobs_units() -> None:
    """plan.json has inches in an inch job."""
    assert to_units(2.75 * INCH, "in") == 2.75
    assert to_units(620.0, "mm") == 620.0
