"""Every refusal of a drawing, with its key and what it must name."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from drawing_files import CASES, Case, L, R, new, plain, stadium

from layout.errors import Fault, JobFaults
from layout.job.model import OutlineSpec
from layout.job.plain_file import LARGEST_DRAWING
from layout.outline.drawing import read_drawing
from layout.outline.drawing_file import MOST_ENTITIES
from layout.outline.drawing_pieces import MOST_SEGMENTS
from layout.outline.walk import walk


def spec_of(folder: Path, name: str = "hall.dxf", **says: Any) -> OutlineSpec:
    """Return an outline that asks for a drawing."""
    return OutlineSpec("", "dxf", file=name, folder=str(folder), **says)


def saved(document: Any, folder: Path, **says: Any) -> OutlineSpec:
    """Save a document, and return the outline that asks for it."""
    document.saveas(folder / "hall.dxf")
    return spec_of(folder, **says)


def faults_of(spec: OutlineSpec, units: str = "mm") -> tuple[Fault, ...]:
    """Return the faults of a drawing that must be refused."""
    with pytest.raises(JobFaults, match="outline") as caught:
        walk(spec, units)
    return caught.value.faults


def the_fault(spec: OutlineSpec, units: str = "mm") -> Fault:
    """Return the one fault of a drawing."""
    (fault,) = faults_of(spec, units)
    return fault


# The file.


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "this file is empty"),
        (b" \n", "this file is empty"),
        (b"AC1027\x00\x00", "DWG"),
        (b"once upon a time", "not a DXF drawing"),
        (bytes(range(256)) * 40, "not a DXF drawing"),
        (b"  0\nSECTION\n  2\nENTITIES\n  0\nLINE\n  8\nx\nnonsense", "corrupt"),
        (b"SECTION\x00\xff\xfe" + b"\x01" * 300, "corrupt"),
    ],
)
def test_what_is_no_drawing_is_told_apart(data: bytes, words: str, tmp_path: Path) -> None:
    """Empty, another format, prose, binary garbage, and a drawing cut short."""
    (tmp_path / "hall.dxf").write_bytes(data)
    fault = the_fault(spec_of(tmp_path))
    assert (fault.key, fault.value) == ("outline.file", "hall.dxf")
    assert words in fault.rule


def test_a_file_that_is_not_there_and_a_folder_are_told(tmp_path: Path) -> None:
    """A wrong name and a folder are faults of outline.file."""
    assert "no such file" in the_fault(spec_of(tmp_path, "gone.dxf")).rule
    assert "folder" in the_fault(spec_of(tmp_path, ".")).rule
    assert "not a plain file" in the_fault(spec_of(tmp_path, "/dev/zero")).rule


def test_the_size_of_a_file_has_its_limit(tmp_path: Path) -> None:
    """The last byte that is read, and the first that is not."""
    Case("", plain(), 0.0).write(tmp_path)
    file = tmp_path / "hall.dxf"
    data = file.read_bytes()
    file.write_bytes(data + b"\n" * (LARGEST_DRAWING - len(data)))
    assert read_drawing(spec_of(tmp_path)).closed
    file.write_bytes(data + b"\n" * (LARGEST_DRAWING - len(data) + 1))
    assert f"at most {LARGEST_DRAWING} bytes" in the_fault(spec_of(tmp_path)).rule


# Too much.


def test_the_number_of_pieces_has_its_limit(tmp_path: Path) -> None:
    """Blocks count by what they show, texts too: 4 pieces 5000 times are just enough."""
    document = new()
    block = document.blocks.new("BAR")
    for k in range(4):
        block.add_text("bar", dxfattribs={"insert": (0, 400 * k)})
    columns = {"column_count": MOST_ENTITIES // 4, "column_spacing": 5000.0}
    insert = document.modelspace().add_blockref("BAR", (0, 0), dxfattribs=columns)
    assert "no lines in its plan, but texts" in the_fault(saved(document, tmp_path)).rule
    insert.dxf.column_count += 1
    assert f"at most {MOST_ENTITIES} pieces" in the_fault(saved(document, tmp_path)).rule


@pytest.mark.parametrize(
    ("count", "words"), [(MOST_SEGMENTS, "must be smooth"), (MOST_SEGMENTS + 1, "of over 5000 segments")]
)
def test_the_number_of_segments_of_a_layer_has_its_limit(count: int, words: str, tmp_path: Path) -> None:
    """A ring of 5000 chords is looked at, one of 5001 is not."""
    turns = [math.tau * k / count for k in range(count)]
    document = new()
    flat = [(5000 * math.cos(turn), 300 * math.sin(turn)) for turn in turns]
    document.modelspace().add_lwpolyline(flat, close=True)
    assert words in faults_of(saved(document, tmp_path))[0].rule


def test_blocks_that_hold_each_other_show_nothing(tmp_path: Path) -> None:
    """A block that holds itself, over another or at once, is left aside, and so is one that is not there."""
    document = new()
    one, other = document.blocks.new("ONE"), document.blocks.new("OTHER")
    one.add_circle((0, 0), 900)
    one.add_blockref("OTHER", (0, 0))
    other.add_blockref("ONE", (0, 0))
    for name in ("ONE", "OTHER", "NONE"):
        document.modelspace().add_blockref(name, (0, 0))
    stadium(document.modelspace())
    aside = read_drawing(saved(document, tmp_path)).source.left_aside
    assert sum(a.count for a in aside if a.what == "block reference that shows nothing") >= 2


def test_blocks_that_multiply_are_counted_before_they_are_taken_apart(tmp_path: Path) -> None:
    """Ten times ten times … over twelve levels would be 10¹² pieces."""
    document = new()
    document.blocks.new("B0").add_circle((0, 0), 900)
    for level in range(1, 13):
        block = document.blocks.new(f"B{level}")
        for _ in range(10):
            block.add_blockref(f"B{level - 1}", (0, 0))
    document.modelspace().add_blockref("B12", (0, 0))
    assert f"at most {MOST_ENTITIES} pieces" in the_fault(saved(document, tmp_path)).rule


# Units and layers.


def test_units_that_nobody_states_are_asked_for(tmp_path: Path) -> None:
    """A drawing without units in a job without them."""
    fault = the_fault(Case("", plain(), 0.0, "R12", 0).write(tmp_path))
    assert fault.key == "outline.units"
    assert "does not state its units" in fault.rule


def test_units_that_disagree_are_refused(tmp_path: Path) -> None:
    """The drawing says inches, the job feet: the fault names what the drawing states."""
    fault = the_fault(Case("", plain(25.4), 0.0, stated=1, says={"drawing_units": "ft"}).write(tmp_path))
    assert (fault.key, fault.value) == ("outline.units", "ft")
    assert "inches" in fault.rule


def test_a_layer_must_be_named_where_several_hold_lines(tmp_path: Path) -> None:
    """All of them are named with what they hold; hidden ones are not."""
    case = next(case for case in CASES if case.name.startswith("layer by name"))
    fault = the_fault(replace(case.write(tmp_path), layer=None))
    assert fault.key == "outline.layer"
    assert "Counter (4 pieces); WALLS (1 piece)" in fault.rule


def test_a_layer_that_is_not_there_is_told_with_those_that_are(tmp_path: Path) -> None:
    """So is one that holds texts alone."""
    document = new()
    stadium(document.modelspace(), layer="BAR")
    document.modelspace().add_text("Bar", dxfattribs={"layer": "NOTES"})
    for name in ("bär", "NOTES"):
        fault = the_fault(saved(document, tmp_path, layer=name))
        assert (fault.key, fault.value) == ("outline.layer", name)
        assert fault.rule.endswith("these do: BAR (4 pieces)")


def test_faults_of_units_and_layer_are_told_together(tmp_path: Path) -> None:
    """One reading tells both."""
    spec = Case("", plain(), 0.0, "R12", 0).write(tmp_path)
    assert [fault.key for fault in faults_of(replace(spec, layer="no"))] == ["outline.units", "outline.layer"]


def test_a_drawing_of_texts_alone_is_told(tmp_path: Path) -> None:
    """What it holds instead is named."""
    document = new()
    document.modelspace().add_text("Bar")
    assert "no lines in its plan, but texts" in the_fault(saved(document, tmp_path)).rule


def test_all_layers_hidden_is_told(tmp_path: Path) -> None:
    """A line on a layer that is off must be named."""
    document = new()
    document.layers.add("OLD").off()
    stadium(document.modelspace(), layer="OLD")
    fault = the_fault(saved(document, tmp_path))
    assert fault.key == "outline.layer"
    assert "hidden: OLD" in fault.rule


# The line.


@pytest.mark.parametrize("gap", [0.51, 2.0, 24.0])
def test_a_wider_gap_is_told_with_its_place(gap: float, tmp_path: Path) -> None:
    """Over 0.5 mm ends are not joined; the fault says how wide and where."""
    fault = the_fault(Case("", plain(gap=gap), 0.0).write(tmp_path))
    assert fault.key == "outline.file"
    width = f"{gap:.2f}".rstrip("0").rstrip(".")
    middle = f"{L - gap / 2:.1f}".removesuffix(".0")
    assert f"these are wider: {width} mm at x {middle} mm, y -700 mm" in fault.rule


def test_a_line_that_does_not_close_is_told_with_its_ends(tmp_path: Path) -> None:
    """Ends too far apart for a gap are both named."""
    document = new()
    document.modelspace().add_arc((0, 0), 1000, 0, 270)
    fault = the_fault(saved(document, tmp_path))
    assert "goes from x 0 mm, y -1000 mm to x 1000 mm, y 0 mm" in fault.rule
    assert "closed = false" in fault.remedy


def test_an_open_line_that_closes_is_told(tmp_path: Path) -> None:
    """With closed = false all that is there being loops."""
    fault = the_fault(replace(Case("", plain(), 0.0).write(tmp_path), closed=False, face="right"))
    assert "all lines of this layer close" in fault.rule


def test_several_loops_ask_for_near_and_are_listed(tmp_path: Path) -> None:
    """Each loop by its length and a place on it; what is too small for a counter is not among them."""
    case = next(case for case in CASES if case.name.startswith("the inner of several"))
    fault = the_fault(replace(case.write(tmp_path), near=None))
    assert fault.key == "outline.near"
    lengths = [f"{round(length, 1):g} mm long" for length in (math.tau * 1000, math.tau * 1600, 4 * L + math.tau * R)]
    assert all(length in fault.rule for length in lengths)
    assert fault.rule.count("long through") == 3


def test_near_must_be_nearer_to_one(tmp_path: Path) -> None:
    """The centre between two circles is as near to both."""
    document = new()
    for x in (-2000, 2000):
        document.modelspace().add_circle((x, 0), 900)
    fault = the_fault(saved(document, tmp_path, near=(0.0, 0.0)))
    assert (fault.key, fault.value) == ("outline.near", "x 0 mm, y 0 mm")


def test_a_line_that_branches_is_told_with_its_places(tmp_path: Path) -> None:
    """A stadium with a straight across it is three loops, and none is meant for certain."""
    document = new()
    space = document.modelspace()
    stadium(space)
    space.add_line((L, R), (L, -R))
    fault = the_fault(saved(document, tmp_path))
    assert "more than two pieces meet at x 1500 mm, y -700 mm; x 1500 mm, y 700 mm" in fault.rule


@pytest.mark.parametrize(("units", "least"), [("mm", 300.0), ("in", 304.8)])
def test_a_loop_must_be_of_a_counters_size(units: str, least: float, tmp_path: Path) -> None:
    """Just as wide as the least that a shape by key may be, and a little less."""
    for diameter, fits in ((least, True), (least - 0.1, False)):
        document = new()
        document.modelspace().add_circle((0, 0), diameter / 2)
        spec = saved(document, tmp_path)
        if fits:
            assert walk(spec, units).drawn.length == pytest.approx(math.pi * diameter)
        else:
            assert "what is drawn here is less" in the_fault(spec, units).rule


def test_corners_of_a_curve_in_chords_are_not_told_one_by_one(tmp_path: Path) -> None:
    """A circle of 60 chords has 60 corners of 6°; eight are told, and how many more there are."""
    document = new()
    places = [(1000 * math.cos(math.tau * k / 60), 1000 * math.sin(math.tau * k / 60)) for k in range(60)]
    document.modelspace().add_lwpolyline(places, close=True)
    faults = faults_of(saved(document, tmp_path))
    assert all(fault.key == "outline.file" for fault in faults)
    assert "52 more such places" in faults[-1].rule


def test_a_spline_with_a_cusp_is_left_aside_with_the_reason(tmp_path: Path) -> None:
    """Two control points in one place make a cubic stand still: it has no direction there."""
    document = new()
    line = document.modelspace().add_spline()
    line.control_points = [(0, 0, 0), (1000, 900, 0), (0, 900, 0), (1000, 0, 0)]
    line.knots = [0, 0, 0, 0, 1, 1, 1, 1]
    fault = the_fault(saved(document, tmp_path, closed=False, face="right"))
    assert "holds nothing that a line is made of, but 1 spline that is no smooth curve" in fault.rule


def test_coordinates_far_beyond_sense_are_left_aside(tmp_path: Path) -> None:
    """Past 100 km off the origin places are no longer sharp."""
    document = new()
    stadium(document.modelspace())
    document.modelspace().add_circle((2e8, 0), 900)
    aside = read_drawing(saved(document, tmp_path)).source.left_aside
    assert [a.what for a in aside] == ["circle over 100 km from the drawing's origin"]
