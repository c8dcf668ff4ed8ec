"""The full-size gauge: 100 mm is 100 mm in the file, the scallop is itself, large ones come in parts."""

from __future__ import annotations

import io
import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from paper_plans import circle, make_job, make_plan
from pypdf import PdfReader
from pypdf.generic import ContentStream

from layout.job.model import ScallopSpec
from layout.paper.frame import finish, frame_box, room_box
from layout.paper.gauge import Round, draw_gauge, metal_rings, mid_metal, rounds_of
from layout.paper.pdf import write_pdf
from layout.paper.primitives import Box, Lines, Text

MM = 72 / 25.4
"""PDF units in a millimetre (ISO 32000-1, 8.3.2.3: 72 an inch)"""

SCALLOPS = {
    "arc": ScallopSpec("arc", pitch=69.85, depth=15.875),
    "half round": ScallopSpec("arc", pitch=80.0, depth=40.0),
    "arc-flat": ScallopSpec("arc-flat", pitch=90.0, depth=30.0, valley_radius=6.0, flat=8.0),
    "sine": ScallopSpec("sine", pitch=50.0, depth=10.0),
    "serpentine": ScallopSpec("serpentine", pitch=60.0, depth=20.0),
    "arc-tangent": ScallopSpec("arc-tangent", pitch=58.0, depth=13.0, radius=11.0),
    "shallow": ScallopSpec("arc", pitch=120.0, depth=6.0),
}
LARGE = ScallopSpec("serpentine", pitch=420.0, depth=180.0)


def planned(scallop, units="mm"):
    """Return a plan with a scallop."""
    return make_plan(make_job(circle(6000.0), units=units, scallop=scallop), 4)


def lines_of(drawing, kind):
    """Return all paths of a kind."""
    return [path for item in drawing.items if isinstance(item, Lines) and item.kind == kind for path in item.paths]


def strokes_in(content):
    """Return the lengths of all single straight strokes of a page, in PDF units, with their directions."""
    found, at = [], None
    for operands, operator in content.operations:
        if operator == b"m":
            at = [float(v) for v in operands]
        elif operator == b"l" and at is not None:
            to = [float(v) for v in operands]
            found.append((to[0] - at[0], to[1] - at[1]))
            at = to
    return found


@pytest.mark.parametrize("units", ["in", "mm"])
def test_a_hundred_millimetres_are_283_4646_points(units):
    """In the PDF both bars are 100 mm = 283.4646 and 4 in = 288 units long, level and upright."""
    plan = planned(SCALLOPS["arc"], units)
    reader = PdfReader(io.BytesIO(write_pdf(finish(draw_gauge(plan), plan.job), "gauge")))
    (page,) = reader.pages
    assert float(page.get("/UserUnit", 1.0)) == 1.0
    strokes = strokes_in(ContentStream(page.get_contents(), reader))
    for length in (100 * MM, 288.0):
        assert any(dx == pytest.approx(length, abs=1.5e-3) and abs(dy) < 1e-9 for dx, dy in strokes)
        assert any(dy == pytest.approx(length, abs=1.5e-3) and abs(dx) < 1e-9 for dx, dy in strokes)
    assert pytest.approx(283.4646, abs=5e-5) == 100 * MM


@pytest.mark.parametrize("name", SCALLOPS)
def test_scallop_is_drawn_at_full_size(name):
    """Mid-metal on paper is the profile itself: pitch by pitch, as deep, as long, at one millimetre a millimetre."""
    plan = planned(SCALLOPS[name])
    profile = plan.scallop.profile
    (drawing,) = draw_gauge(plan)
    (path,) = lines_of(drawing, "mid-metal")
    points = np.array(path)
    scallops = round(float(np.ptp(points[:, 0])) / profile.pitch)
    assert np.ptp(points, axis=0) == pytest.approx([scallops * profile.pitch, profile.depth], abs=1e-3)
    length = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
    assert length == pytest.approx(scallops * profile.developed, rel=1e-4)
    assert drawing.scale == "full size"


@pytest.mark.parametrize("name", SCALLOPS)
def test_metal_has_its_thickness(name):
    """The edge keeps half the thickness from mid-metal; its area is thickness by developed length."""
    profile = planned(SCALLOPS[name]).scallop.profile
    outer, *holes = metal_rings(profile, 2)
    middle = shapely.linestrings(mid_metal(profile, 2))
    away = shapely.distance(middle, shapely.points(outer))
    assert float(away.min()) == pytest.approx(profile.thickness / 2, rel=1e-2)
    area = shapely.area(shapely.polygons(outer, holes or None))
    assert area == pytest.approx(2 * profile.developed * profile.thickness, rel=0.02)


@pytest.mark.parametrize("name", ["half round", "arc-flat", "serpentine", "arc-tangent", "shallow"])
def test_circles_touch_the_metal_and_do_not_cut_it(name):
    """A circle in the crest or in the valley lies against mid-metal at half the thickness, along an arc."""
    plan = planned(SCALLOPS[name])
    profile = plan.scallop.profile
    found = rounds_of(profile, "mm")
    assert len(found) == 1 + (profile.valley_radius is not None)
    middle = np.array(mid_metal(profile, 1))
    for one in found:
        away = np.hypot(middle[:, 0] - one.x, middle[:, 1] - one.y) - one.radius
        assert float(away.min()) == pytest.approx(profile.thickness / 2, abs=2e-3)
        assert np.count_nonzero(away < profile.thickness / 2 + 2e-3) > 20


def test_tool_circles_may_be_given():
    """A bar of the die is drawn in place of the usual circles, with its words."""
    plan = planned(SCALLOPS["arc"])
    (drawing,) = draw_gauge(plan, [Round(34.925, -10.0, 25.0, "50 mm bar")])
    (path,) = lines_of(drawing, "tool")
    assert np.ptp(np.array(path), axis=0) == pytest.approx([50.0, 50.0], abs=1e-6)
    assert any("50 mm bar" in item.text for item in drawing.items if isinstance(item, Text))


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("name", [*SCALLOPS, "large"])
def test_gauge_stays_on_its_paper(name, units):
    """Everything lies inside the frame; nothing that is read is under 7 pt."""
    plan = planned({**SCALLOPS, "large": LARGE}[name], units)
    frame = frame_box(units)
    for drawing in draw_gauge(plan):
        for item in drawing.items:
            if isinstance(item, Text):
                assert frame.holds(item.box())
                assert item.size >= 7.0
            else:
                assert all(frame.holds(Box(x, y, x, y)) for path in item.paths for x, y in path)


def test_words_do_not_overlap():
    """No text lies on another."""
    for scallop in SCALLOPS.values():
        (drawing,) = draw_gauge(planned(scallop))
        boxes = [item.box() for item in drawing.items if isinstance(item, Text)]
        assert not any(a.overlaps(b) for i, a in enumerate(boxes) for b in boxes[:i])


def test_fits_or_is_parted_at_the_papers_width():
    """The widest scallop that fits stays on one paper, one a little wider comes in two parts."""
    room = room_box("mm").width - 30.0
    for pitch, papers in ((room - 12.0, 1), (room - 10.0, 2)):
        assert len(draw_gauge(planned(ScallopSpec("sine", pitch=pitch, depth=20.0)))) == papers


def test_parts_fit_together_along_their_match_lines():
    """Put side by side by their match lines the parts make the scallop, each piece where it belongs."""
    plan = planned(LARGE)
    profile = plan.scallop.profile
    drawings = draw_gauge(plan)
    assert [drawing.name[-2:] for drawing in drawings] == ["A1", "A2", "B1", "B2"]
    whole = shapely.linestrings(mid_metal(profile, 1))
    frames = []
    for drawing in drawings:
        corners = np.array([point for path in lines_of(drawing, "match-line") for point in path])
        frames.append((corners.min(axis=0), corners.max(axis=0)))
    wide, high = frames[0][1] - frames[0][0]
    left, low = -(2 * wide - profile.pitch) / 2, -profile.thickness / 2 - 6.0
    covered = []
    for i, (drawing, (corner, _)) in enumerate(zip(drawings, frames, strict=True)):
        row, column = divmod(i, 2)
        shift = np.array([left + column * wide, low + row * high]) - corner
        covered += [shapely.linestrings(np.array(path) + shift) for path in lines_of(drawing, "mid-metal")]
    assert (
        max(
            float(shapely.hausdorff_distance(part, shapely.intersection(whole, shapely.envelope(part).buffer(1e-6))))
            for part in covered
        )
        < 0.01
    )
    left_over = shapely.difference(whole, shapely.buffer(shapely.multilinestrings(covered), 0.01))
    assert shapely.length(left_over) == pytest.approx(0.0, abs=1e-6)


def test_every_part_has_its_check_bars():
    """Each part is printed by itself, so each can be measured by itself."""
    for drawing in draw_gauge(planned(LARGE)):
        lengths = sorted(round(math.dist(*path), 6) for path in lines_of(drawing, "check-bar"))
        assert lengths == [100.0, 100.0, 101.6, 101.6]


def test_gauge_is_of_the_pitch_as_formed():
    """Where the pitch is chosen in a range, the gauge shows the chosen one."""
    plan = planned(SCALLOPS["arc"])
    profile = plan.scallop.profile
    other = replace(plan, scallop=replace(plan.scallop, drawn_pitch=70.5))
    (path,) = lines_of(draw_gauge(other)[0], "mid-metal")
    pitches = float(np.ptp(np.array(path)[:, 0])) / profile.pitch
    assert pitches == pytest.approx(round(pitches), abs=1e-9)
