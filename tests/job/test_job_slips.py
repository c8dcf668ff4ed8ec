"""The slips that people often make are refused with the remedy that mends them.

Limits of size: assumed, as the tables of keys say.
"""

from __future__ import annotations

import pytest

from layout.errors import Fault
from layout.job.keys import SECTIONS
from layout.job.keys_drawn import FORM_KEYS, LEAST_OUTLINE, OTHER_SHAPES, SHAPE_KEYS
from layout.job.keys_made import LEAST_HEIGHT, LEAST_SHEET, METALS
from layout.job.slips import line_remedy
from layout.job.starter import starter_text
from tests.job.job_texts import BASE, ROUND_OUTLINE, changed, faults_of, with_outline

INCH = 25.4

Change = tuple[str, str]


def the_fault(*changes: Change, text: str = BASE) -> Fault:
    (fault,) = faults_of(changed(*changes, text=text))
    return fault


@pytest.mark.parametrize(
    ("written", "remedy"),
    [
        ("23.5", "Write 23 or 24, or give thickness = …"),
        ("10.5", "Write 10 or 11, or give thickness = …"),
        ("9.5", "Write a whole gauge as 24, or give thickness = …"),
        ("0.024", "Write a whole gauge as 24, or give thickness = 0.024"),
        ("0.001", "Write a whole gauge as 24, or give thickness = …"),  # thinner than any sheet
        ("22.0", "Write it bare and without decimals, as 22"),
        ('"22"', "Write it bare and without decimals, as 22"),
        ('"22 ga"', "Write it bare and without decimals, as 22"),
        ('"thin"', "Write it bare and without decimals, as 24"),
        ("true", "Write it bare and without decimals, as 24"),
        ("nan", "Write it bare and without decimals, as 24"),
    ],
)
def test_a_gauge_that_is_not_whole_is_told_its_neighbours_or_the_thickness(written: str, remedy: str) -> None:
    """No remedy names a gauge that no table has."""
    fault = the_fault(("gauge = 24", f"gauge = {written}"))
    assert (fault.key, fault.remedy) == ("metal.gauge", remedy)


def test_the_thickness_offered_for_a_gauge_is_one_that_is_read() -> None:
    """0.024 is no gauge, and thickness = 0.024 is sound."""
    assert "give thickness = 0.024" in the_fault(("gauge = 24", "gauge = 0.024")).remedy
    assert not faults_of(changed(("gauge = 24", "thickness = 0.024")))


METAL = ('kind = "steel"', 'kind = "{}"', "metal.kind", METALS)
FORM = ('form = "arc"', 'form = "{}"', "scallop.form", tuple(FORM_KEYS))
SHAPE = ('shape = "ellipse"', 'shape = "{}"', "outline.shape", tuple(SHAPE_KEYS))


@pytest.mark.parametrize(
    ("place", "word", "meant"),
    [
        (METAL, "aluminum", "aluminium-3003 or aluminium-5052"),
        (METAL, "Aluminium", "aluminium-3003 or aluminium-5052"),
        (METAL, "aluminium-3103", "aluminium-3003"),
        (METAL, "galv", "galvanised"),
        (METAL, "Galvanized", "galvanised"),
        (METAL, "Steel", "steel"),
        (METAL, "stainless steel", "stainless"),
        (FORM, "arcs", "arc"),
        (FORM, "arc-flats", "arc-flat"),
        (FORM, "SINE", "sine"),
        (SHAPE, "oval", "ellipse or stadium"),
        (SHAPE, "Round", "circle"),
        (SHAPE, "rectangle", "rounded-rectangle"),
    ],
)
def test_a_word_that_is_nearly_one_known_is_told_the_nearest(
    place: tuple[str, str, str, tuple[str, ...]], word: str, meant: str
) -> None:
    """The nearest words first, then all."""
    old, new, key, options = place
    fault = the_fault((old, new.format(word)))
    assert (fault.key, fault.remedy) == (key, f"Did you mean {meant}; known are {' · '.join(options)}")


@pytest.mark.parametrize("word", ["tin", "", "x", "s", "w" * 5000])
def test_a_word_that_is_near_none_is_told_all(word: str) -> None:
    """Nothing is offered by guess."""
    fault = the_fault(('kind = "steel"', f'kind = "{word}"'))
    assert fault.rule == f"this must be one of {' · '.join(METALS)}"
    assert "Did you mean" not in fault.remedy


def test_other_words_for_shapes_stand_for_shapes_that_are_read() -> None:
    """An offer that would be refused in its turn is none."""
    assert {shape for meant in OTHER_SHAPES.values() for shape in meant} <= SHAPE_KEYS.keys()
    assert not OTHER_SHAPES.keys() & SHAPE_KEYS.keys()


def test_the_least_sizes_are_a_foot_and_two_inches() -> None:
    """12 in or 300 mm of sheets and outlines, 2 in or 50 mm of a face's height (assumed)."""
    assert pytest.approx((12 * INCH, 300)) == LEAST_SHEET == LEAST_OUTLINE
    assert pytest.approx((2 * INCH, 50)) == LEAST_HEIGHT


SIZES = [
    ("sheet[1].length", "length = 120", "length = {}", "12", "11.9", "1 ft"),
    ("sheet[1].width", "width = 48", "width = {}", "12", "11.9", "1 ft"),
    ("outline.length", 'length = "19 ft 6 in"', "length = {}", '"1 ft"', "11.9", "1 ft"),
    ("outline.width", 'width = "12 ft 4 in"', "width = {}", '"304.8 mm"', '"304.7 mm"', "1 ft"),
    ("face.height", "height = 42", "height = {}", "2", "1.9", "2 in"),
]


@pytest.mark.parametrize(("key", "old", "new", "least", "less", "told"), SIZES)
def test_a_size_too_small_for_its_unit_is_refused(
    key: str, old: str, new: str, least: str, less: str, told: str
) -> None:
    """A pair at each limit of an inch job."""
    assert key not in {fault.key for fault in faults_of(changed((old, new.format(least))))}
    fault = the_fault((old, new.format(less)))
    assert (fault.key, fault.rule) == (key, f"this length must be at least {told}")
    assert fault.remedy == 'Look at its unit: 24 ft is written "24 ft", a bare number is inches'


def test_a_circle_too_small_for_its_unit_is_refused() -> None:
    """Nine feet typed bare are nine inches."""
    assert not faults_of(with_outline(ROUND_OUTLINE.replace('"9 ft"', "12")))
    (fault,) = faults_of(with_outline(ROUND_OUTLINE.replace('"9 ft"', "9")))
    assert fault.key == "outline.diameter"
    assert 'Look at its unit: 24 ft is written "24 ft"' in fault.remedy


@pytest.mark.parametrize(
    ("old", "name", "least"),
    [
        ("length = 3000", "length", 300),
        ("width = 1250", "width", 300),
        ("length = 5000", "length", 300),
        ("width = 2440", "width", 300),
        ("height = 1000", "height", 50),
    ],
)
def test_a_size_too_small_for_millimetres_is_refused(old: str, name: str, least: int) -> None:
    """A pair at each limit of a mm job."""
    text = starter_text("mm")
    assert not faults_of(text)
    at_limit = [fault.rule for fault in faults_of(changed((old, f"{name} = {least}"), text=text))]
    assert not any("this length must be at least" in rule for rule in at_limit)
    fault = the_fault((old, f"{name} = {least - 0.1}"), text=text)
    assert fault.rule == f"this length must be at least {least} mm"
    assert fault.remedy.endswith("a bare number is millimetres")


def test_an_inch_job_set_to_mm_is_told_its_units() -> None:
    """Sheet and height are refused by the unit: 120 x 48, 42 high."""
    found = {fault.key: fault.remedy for fault in faults_of(changed(('units = "in"', 'units = "mm"')))}
    for key in ("sheet[1].length", "sheet[1].width", "face.height"):
        assert "a bare number is millimetres" in found[key]


def test_every_size_of_an_outline_has_its_least() -> None:
    """Diameter, length and width, and no other key of an outline."""
    needed = {name for must, _ in SHAPE_KEYS.values() for name in must} - {"radius", "steps", "file", "survey"}
    refused = set()
    for key in SECTIONS["outline"].keys:
        if key.name in needed:
            with pytest.raises(ValueError, match="Look at its unit"):
                key.read(9, "in")
            refused.add(key.name)
    assert refused == {"diameter", "length", "width"}


@pytest.mark.parametrize(
    "line",
    [
        "height = 36,5",
        "height = 36, 5",
        "height = -36,5 # of the face",
        "height = 3 ft",
        "height = 3ft",
        "height = 3' 6\"",
        "height = 3 1/2 in",
        "height = 900 mm",
        "height = 0.9 m",
    ],
)
def test_a_decimal_comma_or_a_bare_unit_is_told_how_to_write_it(line: str) -> None:
    """The two slips that are no TOML: the line is shown, and how its value is written."""
    fault = the_fault(("height = 42", line))
    assert fault.key == "counter.toml"
    assert fault.rule.startswith("this is not TOML at line 26")
    told = 'Write decimals with a point (36.5), and put a length with a unit in quotes ("3 ft")'
    assert fault.remedy.startswith(f"{told}: ")


@pytest.mark.parametrize(
    "line", ["height = = 42", "height = 42 # was 3 ft\x01", 'why = "at = 3 ft" x', "height", "m = 42 metals"]
)
def test_another_slip_is_not_taken_for_a_comma_or_a_unit(line: str) -> None:
    """Comments and text do not count, nor words that only begin as a unit."""
    assert line_remedy(line) is None
    assert the_fault(("height = 42", line)).remedy.startswith("Correct that line")


def test_a_very_long_line_is_judged_in_time() -> None:
    """Work grows with the length of the line, not with its square."""
    assert line_remedy("x = " + "9" * 500_000 + "x") is None
    assert line_remedy("x = " + "9" * 500_000 + " ft") is not None
