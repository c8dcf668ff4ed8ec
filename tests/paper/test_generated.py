"""Sixty generated jobs: no label over another, none off the paper, nothing too small, every number there."""

from __future__ import annotations

import math
from collections import Counter

import pytest
from generated_plans import COUNT, generated
from shapely.geometry import Polygon
from shapely.geometry import box as rectangle
from shapely.strtree import STRtree

from layout.face.revisions import Revision
from layout.face.set_out import set_out
from layout.paper.cutting import draw_cutting
from layout.paper.elevation import draw_elevation
from layout.paper.forming_table import draw_forming
from layout.paper.frame import finish, frame_box, paper_of
from layout.paper.hanging_order import draw_hanging
from layout.paper.letters import ink_box
from layout.paper.primitives import Area, Text
from layout.paper.quote import draw_quote
from layout.paper.seam_map import draw_seam_map
from layout.paper.set_out import draw_set_out
from layout.paper.tickets import draw_tickets

LABELS = {"seam-box", "panel-ring", "seam-free-box"}


def drawings_of(plan):
    """Return every drawing that places something by the plan's shape."""
    found = set_out(plan)
    return [
        *draw_quote(plan, Revision()),
        *draw_cutting(plan),
        *draw_forming(plan),
        *draw_tickets(plan),
        *draw_seam_map(plan, found),
        *draw_set_out(plan, found),
        *draw_hanging(plan, found),
        *draw_elevation(plan),
    ]


def ink_of(text):
    """Return the turned rectangle round a text's ink."""
    x0, y0 = text.start
    left, bottom, right, top = ink_box(text.text, text.size, bold=text.bold)
    cos, sin = math.cos(math.radians(text.angle)), math.sin(math.radians(text.angle))
    corners = [(left, bottom), (right, bottom), (right, top), (left, top)]
    return Polygon([(x0 + x * cos - y * sin, y0 + x * sin + y * cos) for x, y in corners])


def overlapping(shapes, least):
    """Return pairs of shapes that share more than an area, mm²."""
    pairs = zip(*STRtree(shapes).query(shapes, predicate="intersects"), strict=True)
    return [(i, j) for i, j in pairs if i < j and shapes[i].intersection(shapes[j]).area > least]


@pytest.mark.parametrize("seed", range(COUNT))
def test_labels_of_a_generated_job_stand_apart_and_on_the_paper(seed):
    """On every paper: texts apart, badges of a map apart, all of them inside the frame, no text under 7 pt."""
    plan = generated(seed)
    papers = finish(drawings_of(plan), plan.job)
    for paper in papers:
        frame = frame_box(paper_of(plan.job), portrait=paper.height > paper.width)
        inside = rectangle(frame.left, frame.bottom, frame.right, frame.top)
        texts = [item for item in paper.items if isinstance(item, Text) and item.text]
        shapes = [ink_of(text) for text in texts]
        clash = [(texts[i].text, texts[j].text) for i, j in overlapping(shapes, 0.01)]
        assert clash == [], paper.name
        assert [text.text for text, ink in zip(texts, shapes, strict=True) if not inside.contains(ink)] == [], (
            paper.name
        )
        assert min(text.size for text in texts) >= 7.0
        badges = [Polygon(item.points) for item in paper.items if isinstance(item, Area) and item.kind in LABELS]
        if paper.name.startswith(("Seam map", "Ties")):
            assert overlapping(badges, 0.01) == [], paper.name
            assert all(inside.contains(badge) for badge in badges)


@pytest.mark.parametrize("seed", range(0, COUNT, 6))
def test_every_seam_and_panel_of_a_generated_job_is_on_its_map(seed):
    """Each panel stands once on the map or its parts, each seam once or on the two parts that it ends."""
    plan = generated(seed)
    keys = Counter(
        item.key
        for drawing in draw_seam_map(plan)
        if not drawing.name.endswith("key")
        for item in drawing.items
        if isinstance(item, Text) and item.key
    )
    assert all(keys[f"panel-{panel.number}"] == 1 for panel in plan.panels)
    assert all(1 <= keys[f"seam-{seam.number}"] <= 2 for seam in plan.seams)


def test_generated_jobs_run_from_few_seams_to_many():
    """The sixty reach from at most 6 panels to at least 100, and from under 5 m of face to over 100 m."""
    plans = [generated(seed) for seed in range(COUNT)]
    panels = [len(plan.panels) for plan in plans]
    lengths = [plan.lines[0].back.length for plan in plans]
    assert min(panels) <= 6
    assert max(panels) >= 100
    assert min(lengths) < 5000.0
    assert max(lengths) > 100000.0
    assert {plan.job.units for plan in plans} == {"in", "mm"}


def test_two_texts_on_one_place_are_seen_as_a_clash():
    """The measure that the sixty are held to sees a text 1 mm beside another, and not one 40 mm off."""
    near, far = (ink_of(Text((x, 0.0), "24 ft 3 1/2 in", 9.0)) for x in (1.0, 40.0))
    first = ink_of(Text((0.0, 0.0), "24 ft 3 1/2 in", 9.0))
    assert overlapping([first, near, far], 0.01) == [(0, 1)]
