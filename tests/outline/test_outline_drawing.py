"""Lines out of drawings: their lengths, what was joined, and what was left aside."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from drawing_files import CASES, ROUND, Case, L, R, bulged, new, plain, stadium

from layout.errors import JobFaults
from layout.face.check_line import sampled, walked_parts
from layout.job.model import OutlineSpec
from layout.outline.curves import Arc, EllipseArc, Line
from layout.outline.drawing import read_drawing
from layout.outline.spline import SplineArc
from layout.outline.tolerances import DRAWING_GAP
from layout.outline.walk import walk

EXACT = 1e-12
"""share of a length; splines are summed to that too"""


def outline(document: object, folder: Path, **says: object) -> OutlineSpec:
    """Save a document, and return the outline that asks for it."""
    document.saveas(folder / "hall.dxf")  # type: ignore[attr-defined]
    return OutlineSpec("", "dxf", file="hall.dxf", folder=str(folder), **says)  # type: ignore[arg-type]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_drawing_gives_its_length(case: Case, tmp_path: Path) -> None:
    """Whatever it is drawn with, the line is as long as the sum done by hand."""
    walked = walk(case.write(tmp_path))
    assert walked.drawn.length == pytest.approx(
        case.length, rel=EXACT if case.name != "40 km off the origin" else 1e-11
    )


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_drawing_tells_what_was_joined_and_left_aside(case: Case, tmp_path: Path) -> None:
    """Every joint over a gap and everything that the line does not hold is in the source."""
    source = walk(case.write(tmp_path)).source
    assert source is not None
    assert len(source.joined) == case.joined
    assert sorted(aside.what for aside in source.left_aside) == sorted(case.aside)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_the_check_traces_the_same_line_for_itself(case: Case, tmp_path: Path) -> None:
    """By other tools and other chaining, the independent check finds the same length and places."""
    spec = case.write(tmp_path)
    own = sampled(walked_parts(spec), closed=spec.closed)
    assert own.length == pytest.approx(case.length, rel=1e-9)
    walked = walk(spec)
    if not spec.closed:  # a loop starts at its datum, the check's parts where the ring does
        stations = np.linspace(0.0, case.length, 50)
        assert walked.drawn.point(stations) == pytest.approx(own.point(stations), abs=1e-6)


def test_joints_are_told_with_place_and_gap(tmp_path: Path) -> None:
    """The gap of 0.4 mm lies half way between both ends."""
    source = walk(Case("", plain(gap=0.4), ROUND - 0.4).write(tmp_path)).source
    assert source is not None
    (joint,) = source.joined
    assert (joint.x, joint.y, joint.gap) == pytest.approx((L - 0.2, -R, 0.4))
    assert joint.gap <= DRAWING_GAP


def test_strays_and_doubles_are_told_with_their_places(tmp_path: Path) -> None:
    """A stray by its middle, a double by the middle of what was left out."""
    document = new()
    stadium(document.modelspace())
    document.modelspace().add_line((-400, 200), (600, -300))
    document.modelspace().add_line((L, -R), (-L, -R))
    source = read_drawing(outline(document, tmp_path)).source
    places = {aside.what: (aside.x, aside.y) for aside in source.left_aside}
    assert places == {"stray line": pytest.approx((100, -50)), "line drawn twice": pytest.approx((0, -R))}


def test_the_source_says_file_layer_units_and_kinds(tmp_path: Path) -> None:
    """What was read stands in the source, units in words and whether the drawing states them."""
    source = read_drawing(Case("", plain(25.4), ROUND, stated=1).write(tmp_path)).source
    assert (source.file, source.layer, source.units, source.stated) == ("hall.dxf", "0", "inches", True)
    assert source.counts == (("arc", 2), ("line", 2))
    said = read_drawing(Case("", plain(25.4), ROUND, stated=0, says={"drawing_units": "in"}).write(tmp_path)).source
    assert (said.units, said.stated) == ("inches", False)


def test_curves_stay_what_they_are(tmp_path: Path) -> None:
    """Lines, arcs and ellipses are kept in closed form, a spline as its own polynomials."""
    document = new()
    space = document.modelspace()
    space.add_line((-L, -R), (L, -R))
    space.add_ellipse((L, 0), (0, -R), 0.5, 0, math.pi)
    space.add_spline().apply_construction_tool(_straight_spline())
    space.add_arc((-L, 0), R, 90, 270)
    kinds = {type(segment) for segment in read_drawing(outline(document, tmp_path)).segments}
    assert kinds == {Line, Arc, EllipseArc, SplineArc}


def _straight_spline() -> object:
    from ezdxf.math import BSpline  # noqa: PLC0415

    return BSpline([(L, R), (500, R), (-500, R), (-L, R)])


@pytest.mark.parametrize("seed", range(6))
def test_order_and_direction_of_pieces_change_nothing(seed: int, tmp_path: Path) -> None:
    """The same pieces in any order and direction give the same points at the same stations."""
    rng = np.random.default_rng(seed)
    ends = [((-L, -R), (0, -R)), ((0, -R), (L, -R)), ((L, R), (200, R)), ((200, R), (-L, R))]
    document = new()
    space = document.modelspace()
    for k in rng.permutation(6):
        if k < 4:
            start, end = ends[k] if rng.random() < 0.5 else ends[k][::-1]
            space.add_line(start, end)
        elif rng.random() < 0.5:
            space.add_arc((L if k == 4 else -L, 0), R, *((270, 90) if k == 4 else (90, 270)))
        else:
            below = {"extrusion": (0, 0, -1)}
            space.add_arc((-L if k == 4 else L, 0), R, *((90, 270) if k == 4 else (270, 90)), dxfattribs=below)
    walked = walk(outline(document, tmp_path))
    plain_one = walk(Case("", plain(), ROUND).write(tmp_path))
    stations = np.linspace(0.0, ROUND, 64)
    assert walked.back.point(stations) == pytest.approx(plain_one.back.point(stations), abs=1e-8)


def test_an_open_line_runs_from_its_left_end(tmp_path: Path) -> None:
    """However it is drawn, the end with the smaller x is its start."""
    document = new()
    document.modelspace().add_line((900, 300), (-800, 100))
    drawn = walk(outline(document, tmp_path, closed=False, face="right")).drawn
    assert drawn.point([0.0, drawn.length]) == pytest.approx(np.array([[-800, 100], [900, 300]]))


def test_frame_points_of_a_spline_polyline_are_no_points_of_the_line(tmp_path: Path) -> None:
    """A heavy polyline fitted to a curve keeps its frame's corners, which are passed over."""
    document = new("R2000")
    line = document.modelspace().add_polyline2d(bulged(), format="xyb")
    line.close()
    frame = line.append_vertices
    frame([(9000, 9000)], dxfattribs={"flags": 16})
    assert read_drawing(outline(document, tmp_path)).segments[0].length == pytest.approx(2 * L)


def test_heights_that_differ_are_told(tmp_path: Path) -> None:
    """A line that climbs is laid flat, and the note says between what heights."""
    document = new()
    document.modelspace().add_line((0, 0, 0), (3000, 0, 4000))
    drawn = read_drawing(outline(document, tmp_path, closed=False))
    assert drawn.segments[0].length == pytest.approx(3000)
    assert "heights from 0 mm to 4000 mm were laid flat" in drawn.source.notes[0]


def test_arcs_at_a_slant_are_left_aside_with_the_reason(tmp_path: Path) -> None:
    """An arc whose plane leans is no arc in plan, and is told."""
    document = new()
    stadium(document.modelspace())
    document.modelspace().add_circle((0, 0), 900, dxfattribs={"extrusion": (0, 1, 1)})
    aside = read_drawing(outline(document, tmp_path)).source.left_aside
    assert [a.what for a in aside] == ["circle that stands at a slant to the plan"]


def test_the_digest_guards_the_drawing(tmp_path: Path) -> None:
    """The digest told is that of the bytes; a drawing that was changed since the job was read is refused."""
    spec = Case("", plain(), ROUND).write(tmp_path)
    digest = read_drawing(spec).source.digest
    assert read_drawing(replace(spec, source_digest=digest)).source.digest == digest
    with pytest.raises(JobFaults, match="changed while"):
        read_drawing(replace(spec, source_digest="0" * 64))
