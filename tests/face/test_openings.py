"""Gates and gaps: jambs, leaves, and what would do where whole scallops don't fit."""

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
    jamb_move,
    jambs_of,
    leaf_of,
    opening_faults,
    remedies,
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


def test_remedies_by_hand() -> None:
    """736 mm of 70 mm scallops with 2 %: ten hold 714, eleven need 754.6; it lacks 18.6 or has 22 too many."""
    found = remedies(736.0, 70.0, 0.02)
    assert found is not None
    assert (found.move, found.move_scallops) == (pytest.approx(11 * 70 * 0.98 - 736), 11)
    assert found.pitches == pytest.approx((736 / 11, 736 / 10))
    assert (found.fewer, found.cut_width, found.filler) == (10, pytest.approx(36.0), pytest.approx(36.0))
    assert found.least_filler == pytest.approx(736 - 10 * 70 * 1.02)


def test_remedy_shrinks_where_that_is_less() -> None:
    """720 mm: 6 mm too many for ten, 34.6 short of eleven."""
    found = remedies(720.0, 70.0, 0.02)
    assert found is not None
    assert (found.move, found.move_scallops) == (pytest.approx(10 * 70 * 1.02 - 720), 10)
    assert found.pitches == pytest.approx((72.0, 720 / 11))


def test_run_of_less_than_a_scallop_can_only_grow() -> None:
    """40 mm holds none: grow to 68.6, one scallop of 40, a cut of 40 or all of it plain."""
    found = remedies(40.0, 70.0, 0.02)
    assert found is not None
    assert (found.move, found.move_scallops, found.fewer) == (pytest.approx(28.6), 1, 0)
    assert found.pitches == (40.0,)
    assert found.filler == found.least_filler == 40.0


@pytest.mark.parametrize("length", [75.0, 113.3, 257.0, 397.0, 533.0, 736.0, 1150.0])
def test_every_remedy_is_enough_by_itself(length: float) -> None:
    """The run moved so much holds whole scallops, and a hair less does not; so do the pitches and the rest."""
    found = remedies(length, 70.0, 0.02)
    assert found is not None
    moved = length + found.move
    assert found.move_scallops in whole_counts(moved, 70.0, 0.02)
    assert not whole_counts(moved - math.copysign(0.01, found.move), 70.0, 0.02)
    assert all(abs(length - round(length / pitch) * pitch) < 1e-9 for pitch in found.pitches)
    assert found.fewer * 70.0 + found.filler == pytest.approx(length)
    assert found.fewer * 70.0 * 1.02 + found.least_filler == pytest.approx(length)
    assert 0 <= found.cut_width < 70.0


# Which jamb.


def test_jamb_on_the_convex_stretch_moves_least() -> None:
    """Straight at the left end, radius R at the right: 10 mm at c come to 10·R/(R + c) there, 10 at the left."""
    back = Chain((Line(0.0, 0.0, 0.0, 1000.0), Arc(1000.0, 400.0, 400.0, -math.pi / 2, 1.5)), closed=False)
    count = back.parallel(12.0)
    move = jamb_move(back, count, (300.0, 1300.0), 10.0, ["left", "right"])
    assert (move.side, move.by) == ("right", pytest.approx(10 * 400 / 412, abs=1e-9))
    move = jamb_move(back, count, (300.0, 1300.0), 10.0, ["left"])
    assert (move.side, move.by) == ("left", pytest.approx(-10.0, abs=1e-9))


def test_jamb_off_the_concave_stretch_moves_least() -> None:
    """Radius R to the other side at the right end: 10·R/(R − c) there is more than 10 at the left."""
    back = Chain((Line(0.0, 0.0, 0.0, 1000.0), Arc(1000.0, -400.0, 400.0, math.pi / 2, -1.5)), closed=False)
    move = jamb_move(back, back.parallel(12.0), (300.0, 1300.0), -10.0, ["left", "right"])
    assert (move.side, move.by) == ("left", pytest.approx(10.0, abs=1e-9))
    move = jamb_move(back, back.parallel(12.0), (300.0, 1300.0), -10.0, ["right"])
    assert (move.side, move.by) == ("right", pytest.approx(-10 * 400 / 388, abs=1e-9))


def test_moved_jamb_gives_the_run_its_length() -> None:
    """On a loop, past the datum too, the run at the count line is longer by just that."""
    count = RING.parallel(15.0)
    move = jamb_move(RING, count, (5200.0, 6350.0), 8.5, ["right"])
    was = count.length / RING.length * (6350.0 - 5200.0)
    assert count.length / RING.length * (6350.0 + move.by - 5200.0) == pytest.approx(was + 8.5, abs=1e-9)


def test_jamb_cannot_move_past_the_end_of_its_line() -> None:
    """An open line is as long as it is; the other jamb moves, or none."""
    move = jamb_move(WALL, WALL.parallel(12.0), (1000.0, 4995.0), 10.0, ["left", "right"])
    assert (move.side, move.by) == ("left", -10.0)
    with pytest.raises(ValueError, match="no jamb"):
        jamb_move(WALL, WALL.parallel(12.0), (1000.0, 4995.0), 10.0, ["right"])
