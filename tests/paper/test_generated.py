"""Sixty generated jobs, page by page: no label over another, none off the paper, nothing too small, none missing."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import pytest
from generated_plans import COUNT, EXTREMES, PAPERS, extreme, generated
from shapely.geometry import LineString, Polygon
from shapely.geometry import box as rectangle
from shapely.strtree import STRtree

from layout.face.set_out import set_out
from layout.paper.frame import TITLE_HEIGHT, finish, frame_box, paper_of
from layout.paper.letters import ink_box
from layout.paper.packet import draw_packet
from layout.paper.primitives import Area, Lines, Text
from layout.paper.seam_map import draw_seam_map

LABELS = {"seam-box", "panel-ring", "seam-free-box"}


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


def faults_of(plan, papers):
    """Return what is wrong with papers: texts or badges on one another or past the frame, leaders across them."""
    return [(paper.name, *fault) for paper in papers for fault in faults_on(plan, paper)]


def faults_on(plan, paper):
    """Run through what is wrong with one paper, as (what, which)."""
    frame = frame_box(paper_of(plan.job), portrait=paper.height > paper.width)
    inside = rectangle(frame.left, frame.bottom, frame.right, frame.top)
    texts = [item for item in paper.items if isinstance(item, Text) and item.text]
    shapes = [ink_of(text) for text in texts]
    yield from (("on one another", texts[i].text, texts[j].text) for i, j in overlapping(shapes, 0.01))
    yield from (("past the frame", t.text) for t, ink in zip(texts, shapes, strict=True) if not inside.contains(ink))
    yield from (("under 7 pt", text.text) for text in texts if text.size < 7.0)
    if not texts:
        yield ("no text",)
    if paper.name.startswith(("Seam map", "Ties")):
        badges = [Polygon(item.points) for item in paper.items if isinstance(item, Area) and item.kind in LABELS]
        yield from (("badges on one another", *pair) for pair in overlapping(badges, 0.01))
        yield from (("badge past the frame", badge.wkt) for badge in badges if not inside.contains(badge))
        yield from (("leader across", *pair) for pair in crossed([*shapes, *badges], leaders_of(paper)))


def leaders_of(paper):
    """Return the leaders of a map."""
    paths = (path for item in paper.items if isinstance(item, Lines) and item.kind == "leader" for path in item.paths)
    return [LineString(path) for path in paths]


def crossed(shapes, leaders):
    """Return (leader, shape) of every leader that goes through a shape by more than 0.05 mm."""
    if not leaders:
        return []
    pairs = zip(*STRtree(shapes).query(leaders, predicate="intersects"), strict=True)
    return [(i, j) for i, j in pairs if leaders[i].intersection(shapes[j]).length > 0.05]


@pytest.mark.parametrize("seed", range(COUNT))
def test_labels_of_a_generated_job_stand_apart_and_on_the_paper(seed):
    """On every page: texts apart, badges of a map apart, all in the frame, no leader across them, none under 7 pt."""
    plan = generated(seed)
    assert faults_of(plan, draw_packet(plan)) == []


def test_a_text_on_another_and_a_small_one_are_found():
    """Every text of a map written twice, and one at 6 pt: both are told, so the tests beside this can fail."""
    plan = generated(0)
    (paper, *_) = finish(draw_seam_map(plan, set_out(plan)), plan.job)
    small = next(replace(item, size=6.0) for item in paper.items if isinstance(item, Text) and item.text)
    told = {what for _, what, *_ in faults_of(plan, [replace(paper, items=(*paper.items, *paper.items, small))])}
    assert {"on one another", "under 7 pt"} <= told


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", EXTREMES)
def test_labels_of_tiny_and_long_outlines_stand_apart_on_every_paper(name, paper):
    """From 300 mm to 60 m, on letter, A4, tabloid and A3: as the generated ones; match lines name their parts."""
    plan = extreme(name, paper)
    maps = draw_seam_map(plan, set_out(plan))
    assert faults_of(plan, finish(maps, plan.job)) == []
    parts = [drawing for drawing in maps if ", part " in drawing.name and drawing.name.startswith("Seam map")]
    for k, part in enumerate(parts, 1):
        words = {item.text for item in part.items if isinstance(item, Text)}
        lines = [item for item in part.items if isinstance(item, Lines) and item.kind == "match-line"]
        loop = plan.lines[0].closed
        around = [n for n in (k - 1, k + 1) if loop or 1 <= n <= len(parts)]
        assert len(lines) == len(around)
        assert {f"goes on in part {(n - 1) % len(parts) + 1}" for n in around} <= words


def test_the_generated_jobs_are_on_all_four_papers():
    """Five or more each of letter, A4, tabloid and A3."""
    counts = Counter(generated(seed).job.paper.size for seed in range(COUNT))
    assert min(counts[size] for size in PAPERS) >= 5, counts


def test_a_leader_through_a_text_is_seen():
    """The measure sees a line through a text, and not one that ends at its edge."""
    text = ink_of(Text((0.0, 0.0), "24 ft", 9.0))
    left, bottom, right, top = text.bounds
    middle = (bottom + top) / 2
    lines = [LineString([(left - 5, middle), (right, middle)]), LineString([(left - 5, middle), (left, middle)])]
    assert crossed([text], lines) == [(0, 0)]


def used(paper, frame):
    """Return the share of a page's height, above its title block, down to its lowest text."""
    low = frame.bottom + TITLE_HEIGHT
    lowest = min(item.at[1] for item in paper.items if isinstance(item, Text) and item.text and item.at[1] > low)
    return (frame.top - lowest) / (frame.top - low)


@pytest.mark.parametrize("seed", range(0, COUNT, 6))
def test_no_page_holds_cautions_alone(seed):
    """Under every heading "Cautions" that begins a page there is more than a third of a page."""
    plan = generated(seed)
    for paper in draw_packet(plan):
        frame = frame_box(paper_of(plan.job))
        top = [item.text for item in paper.items if isinstance(item, Text) and item.at[1] > frame.top - 12.0]
        if any(words.startswith("Cautions") for words in top):
            assert used(paper, frame) > 1 / 3, paper.name


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
