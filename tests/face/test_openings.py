"""Gates and gaps: jambs, leaves, and what fits whole scallops."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from site_cases import site_job

from layout.face.openings import (
    Gap,
    Jamb,
    cut_end,
    extent_of,
    gaps_of,
    in_gap,
    jambs_of,
    leaf_of,
    opening_faults,
    whole_counts,
)
from layout.job.model import FaceSpec, Opening, OutlineSpec
from layout.outline.chain import Chain
from layout.outline.curves import Arc, Line

WALL = Chain((Line(0.0, 0.0, 0.0, 5000.0),), closed=False)
RING = Chain((Arc(0.0, 0.0, 6000 / math.tau, -math.pi / 2, math.tau),), closed=True)
GATE = Opening("gate", 2000.0, 2900.0)
LEAF = replace(GATE, leaf=True, clearance=12.0)
JOB = site_job(OutlineSpec("", "circle", diameter=5000.0))


# Where the face stops.


def test_gap_without_leaf_is_the_whole_opening() -> None:
    """The face stops at one jamb and goes on at the other."""
    assert gaps_of([GATE], WALL) == [Gap(2000.0, 2900.0, "gate")]
    assert jambs_of([GATE], WALL) == [Jamb(2000.0, "gate, left jamb"), Jamb(2900.0, "gate, right jamb")]
    assert leaf_of(GATE, WALL) is None


def test_leaf_is_shorter_by_its_clearance_at_both_ends() -> None:
    """A leaf of 900 mm with 12 mm to each jamb has a face of 876 mm; only the clearances are bare."""
    assert leaf_of(LEAF, WALL) == (2012.0, 2888.0)
    assert gaps_of([LEAF], WALL) == [Gap(2000.0, 2012.0, "gate"), Gap(2888.0, 2900.0, "gate")]
    assert [jamb.station for jamb in jambs_of([LEAF], WALL)] == [2000.0, 2012.0, 2888.0, 2900.0]


def test_leaf_without_clearance_leaves_no_gap() -> None:
    """Where nothing is bare the jambs are two ends of runs, as required seams are."""
    tight = replace(LEAF, clearance=0.0)
    assert gaps_of([tight], WALL) == []
    assert [jamb.station for jamb in jambs_of([tight], WALL)] == [2000.0, 2900.0]


def test_stretches_between_jambs_are_face_or_gap() -> None:
    """Of the five stretches that a leaf makes of a wall, the two clearances are bare."""
    ends = [0.0, *(jamb.station for jamb in jambs_of([LEAF], WALL)), 5000.0]
    gaps = gaps_of([LEAF], WALL)
    bare = [in_gap(a, b, gaps, WALL) for a, b in pairwise(ends)]
    assert bare == [False, True, False, True, False]


def test_opening_past_the_datum_of_a_loop() -> None:
    """From 5700 to 300 on a loop of 6000 is 600 wide, and stretches are told in either lap."""
    gate = replace(LEAF, start=5700.0, end=300.0)
    assert extent_of(gate, RING) == pytest.approx((5700.0, 6300.0))
    assert leaf_of(gate, RING) == pytest.approx((5712.0, 6288.0))
    assert [jamb.station for jamb in jambs_of([gate], RING)] == pytest.approx([288.0, 300.0, 5700.0, 5712.0])
    gaps = gaps_of([replace(gate, leaf=False)], RING)
    assert in_gap(5700.0, 6300.0, gaps, RING)
    assert in_gap(0.0, 300.0, gaps, RING)
    assert not in_gap(300.0, 5700.0, gaps, RING)


def test_jamb_at_the_end_of_an_open_line_ends_nothing() -> None:
    """An opening up to the line's end has one jamb within it."""
    assert [jamb.station for jamb in jambs_of([replace(GATE, end=5000.0)], WALL)] == [2000.0]


def test_jambs_of_openings_side_by_side_are_one() -> None:
    """Two openings that share a jamb end a run there once."""
    found = jambs_of([GATE, Opening("hatch", 2900.0, 3300.0)], WALL)
    assert [jamb.station for jamb in found] == [2000.0, 2900.0, 3300.0]


@pytest.mark.parametrize(
    ("left", "right", "face", "end"),
    [
        ("whole", "whole", "cut", None),
        ("whole", "cut", "whole", "right"),
        ("cut", "whole", "whole", "left"),
        ("cut", "cut", "whole", "right"),
        (None, None, "cut", "right"),
        (None, None, "whole", None),
        (None, "whole", "cut", "left"),
    ],
)
def test_scallop_is_cut_at_the_jamb_that_takes_it(
    left: str | None, right: str | None, face: str, end: str | None
) -> None:
    """Each opening's own ends, else the face's; one cut is enough, at the right where both may be."""
    job = replace(JOB, face=FaceSpec(590.0, ends=face))
    assert cut_end(job, replace(GATE, ends=left), replace(GATE, ends=right)) == end


def test_ends_of_the_line_go_by_the_face() -> None:
    """No opening at an end of the line: the face's own word holds."""
    assert cut_end(replace(JOB, face=FaceSpec(590.0, ends="cut")), None, replace(GATE, ends="whole")) == "left"
    assert cut_end(JOB, None, None) is None


# Faults.


def keys(*openings: Opening, back: Chain = WALL) -> list[str]:
    return [fault.key for fault in opening_faults(JOB, list(enumerate(openings, 1)), back)]


@pytest.mark.parametrize(
    ("opening", "back", "key"),
    [
        (replace(GATE, end=5000.1), WALL, "opening[1].to"),
        (replace(GATE, start=6000.1), RING, "opening[1].from"),
        (replace(GATE, end=2000.0), WALL, "opening[1].to"),
        (replace(GATE, end=2000.0), RING, "opening[1].to"),
        (replace(GATE, end=1900.0), WALL, "opening[1].to"),
        (replace(GATE, start=0.0, end=5000.0), WALL, "opening[1].to"),
        (replace(LEAF, clearance=440.0), WALL, "opening[1].clearance"),
    ],
)
def test_opening_that_cannot_be_is_a_fault(opening: Opening, back: Chain, key: str) -> None:
    """Off the line, no width, backwards on an open line, all of the line, no room for its leaf."""
    assert keys(opening, back=back) == [key]


def test_good_openings_have_no_faults() -> None:
    """Backwards on a loop goes past the datum; up to the last station is on the line."""
    apart = replace(LEAF, start=3500.0, end=4400.0)
    assert keys(GATE, apart) == []
    assert keys(replace(GATE, start=5800.0, end=300.0), apart, back=RING) == []
    assert keys(replace(GATE, end=5000.0)) == []


@pytest.mark.parametrize(("start", "faults"), [(2900.0, []), (2899.9, ["opening[2].from"])])
def test_openings_may_touch_and_not_overlap(start: float, faults: list[str]) -> None:
    """Sharing a jamb is one thing, sharing a tenth another."""
    assert keys(GATE, replace(GATE, name="hatch", start=start, end=3500.0)) == faults


def test_openings_overlap_across_the_datum_too() -> None:
    """On a loop a stretch past the datum is the same place again."""
    assert keys(Opening("a", 5700.0, 400.0), Opening("b", 300.0, 900.0), back=RING) == ["opening[2].from"]


# What fits.


@pytest.mark.parametrize(
    ("length", "counts"),
    [
        (10 * 70 * 1.02, [10]),
        (10 * 70 * 1.02 + 0.001, []),
        (11 * 70 * 0.98, [11]),
        (11 * 70 * 0.98 - 0.001, []),
        (30 * 70.0, [30]),
        (50.5 * 70.0, [50, 51]),
        (40.0, []),
        (70 * 0.98, [1]),
    ],
)
def test_whole_scallops_fill_up_to_the_most_take_up(length: float, counts: list[int]) -> None:
    """From n·p·(1 − m) to n·p·(1 + m), both included; long runs have several counts."""
    assert list(whole_counts(length, 70.0, 0.02)) == counts
