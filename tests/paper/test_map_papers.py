"""The seam map on its paper: its scale, the stations on it, and lengths that are rounding in plan.json."""

from __future__ import annotations

import pytest
from paper_plans import circle, make_job, make_plan, wander
from shapely.geometry import box

from layout.face.plan import Stretch
from layout.job.model import OutlineSpec
from layout.paper.frame import frame_box
from layout.paper.plan_json import NOUGHT, digits
from layout.paper.primitives import Text
from layout.paper.seam_map import draw_seam_map
from layout.units import format_length

TILL = Stretch(0, 600.0, 1500.0, "till")


def map_of(spec, panels, units="in", stretches=()):
    """Return the one paper of a map."""
    (drawing,) = draw_seam_map(make_plan(make_job(spec, units), panels, stretches=stretches))
    return drawing


def words_of(drawing, kind):
    """Return the texts of one kind."""
    return [item.text for item in drawing.items if isinstance(item, Text) and item.kind == kind]


def test_wide_map_has_its_legend_below_and_a_larger_scale():
    """4300 mm at 1 : 20 are 215 mm: more than fits beside a legend, less than the paper's 269 mm."""
    drawing = map_of(OutlineSpec("", "stadium", length=4300.0, width=1600.0), 4, "mm")
    assert drawing.scale == "1 : 20"
    assert not drawing.portrait


@pytest.mark.parametrize(("length", "width", "portrait"), [(3000.0, 7000.0, True), (7000.0, 3000.0, False)])
def test_outline_that_stands_tall_is_drawn_on_an_upright_paper(length, width, portrait):
    """Taller than wide: portrait; the same one lying: landscape. All stays inside the frame."""
    drawing = map_of(OutlineSpec("", "ellipse", length=length, width=width), 6)
    assert drawing.portrait == portrait
    frame = frame_box("in", portrait=portrait)
    inside = box(frame.left, frame.bottom, frame.right, frame.top)
    for item in drawing.items:
        if isinstance(item, Text):
            ink = item.box()
            assert inside.contains(box(ink.left, ink.bottom, ink.right, ink.top)), item.text


@pytest.mark.parametrize("spec", [circle(2400.0), wander()])
def test_every_seam_has_its_station_on_the_map(spec):
    """With few seams every one has its running station, at 7 pt or more."""
    plan = make_plan(make_job(spec), 7)
    (drawing,) = draw_seam_map(plan)
    wanted = sorted(format_length(seam.station, "in") for seam in plan.seams)
    assert sorted(words_of(drawing, "station")) == wanted
    assert min(i.size for i in drawing.items if isinstance(i, Text) and i.kind == "station") >= 7.0


def test_crowded_map_has_no_stations():
    """120 seams have their numbers only: the set-out has the stations."""
    assert words_of(map_of(circle(45000.0), 120), "station") == []


def test_ends_of_a_seam_free_stretch_have_their_stations():
    """Where there is room, both ends of the hatch are given."""
    drawing = map_of(circle(2400.0), 4, stretches=(TILL,))
    assert words_of(drawing, "stretch-station") == [format_length(s, "in") for s in (TILL.start, TILL.end)]


@pytest.mark.parametrize(("value", "written"), [(NOUGHT, NOUGHT), (NOUGHT * 0.99, 0.0), (-1.9e-14, 0.0)])
def test_rounding_is_written_as_nought(value, written):
    """Under 1e-9 of a unit a length is rounding and becomes 0; from there on it is kept."""
    assert digits(value) == written
