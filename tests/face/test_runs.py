"""Required seams and zones part a line into runs, each with its own exact length, height and reasons."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.errors import JobFaults
from layout.face.blanks import blanks_of, longest_blank, panel_limits
from layout.face.fit import Span, count_height, fits
from layout.face.parting import turned
from layout.face.plan import Lines, Run
from layout.face.runs import lines_of, runs_of, spans_of, walk_all
from layout.job.model import FaceSpec, Job, OutlineSpec, Require, SheetSpec, Straight, Turn, Zone
from tests.jobs import INCH, bent, job, kiosk, oval, straight, with_face, with_scallop, with_seams

LENGTH, WIDTH = 6000.0, 2400.0
STRAIGHT, ARC = LENGTH - WIDTH, math.pi * WIDTH / 2
CORNER = STRAIGHT / 2
"""mm, station of the first end of a straight of the stadium: its datum is the middle of the lower one"""
ROUND = 2 * STRAIGHT + 2 * ARC


def stadium(*stations: float, zones: tuple[Zone, ...] = (), **parts: Any) -> Job:
    """Return a stadium of 6 × 2.4 m with required seams at these stations."""
    made = job(OutlineSpec("", "stadium", length=LENGTH, width=WIDTH), units="mm", zones=zones, **parts)
    return with_seams(made, require=tuple(Require(at, f"post {k}") for k, at in enumerate(stations, 1)))


def spans(made: Job) -> list[Span]:
    return spans_of(made, walk_all(made))


def laid_out(made: Job) -> tuple[tuple[Run, ...], tuple[Lines, ...], float]:
    """Return the runs and lines of a job's first fit, and the height of its count line."""
    walked = walk_all(made)
    found = spans_of(made, walked)
    fit = fits(made, found)[0]
    lines = lines_of(made, walked, fit)
    blanks = blanks_of(made, fit.profile.developed)
    return runs_of(made, found, lines, fit, blanks), lines, count_height(made, fit.profile)


def faults(made: Job) -> list[tuple[str, str]]:
    with pytest.raises(JobFaults) as refused:
        walk_all(made)
    return [(fault.key, f"{fault.rule}. {fault.remedy}") for fault in refused.value.faults]


# Lengths.


def test_two_required_seams_at_the_ends_of_an_arc_leave_arc_and_rest_exactly():
    """On the count line at h the half circle is π(1200 + h), the rest two straights and the other: no other sums."""
    runs, _, h = laid_out(stadium(CORNER, CORNER + ARC))
    assert [run.count_length for run in runs] == pytest.approx(
        [math.pi * (WIDTH / 2 + h), 2 * STRAIGHT + math.pi * (WIDTH / 2 + h)], rel=1e-13
    )


def test_four_required_seams_leave_straights_and_arcs_exactly():
    """A straight is as long on the count line as on the back line, an arc longer by π·h."""
    runs, _, h = laid_out(stadium(CORNER, CORNER + ARC, CORNER + ARC + STRAIGHT, CORNER + 2 * ARC + STRAIGHT))
    arc = ARC + math.pi * h
    assert [run.count_length for run in runs] == pytest.approx([arc, STRAIGHT, arc, STRAIGHT], rel=1e-12)
    assert [run.scallops for run in runs] == [round(arc / 76.2), 47, round(arc / 76.2), 47]


def test_the_last_run_of_a_loop_goes_on_past_the_datum():
    """As many open runs as required seams; the first starts at the lowest, the last ends there one lap on."""
    runs, lines, _ = laid_out(stadium(9000.0, 1500.0, 5000.0))
    back = lines[0].back.length
    assert back == pytest.approx(ROUND, rel=1e-13)
    assert [(run.start, run.closed) for run in runs] == [(1500.0, False), (5000.0, False), (9000.0, False)]
    assert [run.end for run in runs] == pytest.approx([5000.0, 9000.0, 1500.0 + back])
    for run in runs:
        assert (np.diff(run.stations) > 0).all()
        assert (run.stations[0], run.stations[-1]) == (run.start, run.end)


def test_one_required_seam_opens_a_loop():
    """Its one run goes once round and is not closed: its two ends are seams that do not lap."""
    (run,), lines, _ = laid_out(stadium(4000.0))
    assert not run.closed
    assert (run.start, run.end) == (4000.0, pytest.approx(4000.0 + lines[0].back.length))
    assert run.count_length == pytest.approx(lines[0].count.length, rel=1e-13)


@pytest.mark.parametrize(
    "made",
    [oval(240.0, 150.0), bent(), job(OutlineSpec("", "ellipse", length=5000.0, width=3000.0, face="inside"))],
    ids=["oval", "open", "inside"],
)
@given(shares=st.lists(st.floats(0.02, 0.97), min_size=1, max_size=5))
@settings(max_examples=25, deadline=None, derandomize=True)
def test_runs_are_together_as_long_as_their_line(made: Job, shares: list[float]):
    """However it is parted: on the back line, and on every parallel, the parts sum to the whole."""
    (walked,) = walk_all(made)
    length = walked.back.length
    stations = sorted({round(share * 50) / 50 for share in shares} - {0.0, 1.0})
    parted = spans(with_seams(made, require=tuple(Require(share * length) for share in stations)))
    assert len(parted) == len(stations) + (not walked.back.closed)
    for offset in (0.0, 13.0, -7.0):
        whole = walked.back.parallel(offset).length
        assert math.fsum(span.length_at(offset) for span in parted) == pytest.approx(whole, rel=1e-12)


def test_turning_between_stations_is_that_of_the_curve():
    """A quarter turn of 40 in: its θ is π/2, on the straights beside it nothing is added."""
    back = walk_all(bent())[0].back
    first, last = 60 * INCH, 60 * INCH + math.pi / 2 * 40 * INCH
    assert turned(back, first) == 0
    assert turned(back, (first + last) / 2) == pytest.approx(math.pi / 4, rel=1e-12)
    assert turned(back, last + 20 * INCH) == pytest.approx(math.pi / 2, rel=1e-12)
    loop = walk_all(kiosk())[0].back
    assert turned(loop, loop.length * 2.25) == pytest.approx(2.25 * math.tau, rel=1e-12)


def test_boundaries_of_a_run_stand_on_the_normals_of_equal_steps_on_the_count_line():
    """Boundary j is j·Lc/N on from the run's start, measured on the count line."""
    runs, lines, _ = laid_out(with_seams(oval(240.0, 150.0), require=(Require(900.0), Require(5000.0))))
    for run in runs:
        along = lines[0].back.carry(run.stations, lines[0].count)
        assert np.diff(along) == pytest.approx(np.full(run.scallops, run.count_length / run.scallops), rel=1e-9)


def test_a_mirrored_loop_has_mirrored_runs():
    """Seams at s on a stadium mirrored about its datum stand at L − s: the same runs in the other order."""
    here = [run.scallops for run in laid_out(stadium(1500.0, 5000.0, 9000.0))[0]]
    mirrored = [run.scallops for run in laid_out(stadium(*(ROUND - at for at in (1500.0, 5000.0, 9000.0))))[0]]
    # 1500→5000, 5000→9000, 9000→1500 become L−9000→L−5000, L−5000→L−1500, L−1500→L−9000.
    assert mirrored == [here[1], here[0], here[2]]


def test_cut_ends_cut_the_last_scallop_of_every_open_run():
    """Each run keeps the drawn pitch and has a share of its last scallop left."""
    runs, _, _ = laid_out(with_face(stadium(1500.0, 5000.0), ends="cut"))
    for run in runs:
        assert run.take_up == 0
        assert run.last_part == pytest.approx(run.count_length / 76.2 - (run.scallops - 1))


# What the runs are called, why they end, and how high they are.


def test_parts_of_a_line_are_numbered_and_say_why_they_end():
    """An open line's ends say end; where runs meet both say the job's reason."""
    wall = with_seams(straight(300.0), require=(Require(120 * INCH, "gate jamb"),))
    assert [(s.name, s.start_why, s.end_why) for s in spans(wall)] == [
        ("face 1", "end", "gate jamb"),
        ("face 2", "gate jamb", "end"),
    ]
    assert [s.name for s in spans(straight(300.0))] == ["face"]


def test_two_required_seams_at_one_place_are_one_that_says_both_reasons():
    """The same reason is said once; a micrometre apart they are two, and no scallop fits between."""
    one, other = Require(3000.0, "jamb"), Require(3000.0, "post")
    wall = with_seams(straight(300.0), require=(other, one, other))
    assert [(s.start_why, s.end_why) for s in spans(wall)] == [("end", "post; jamb"), ("post; jamb", "end")]
    apart = with_seams(wall, require=(one, replace(other, at=3000.001)))
    assert [key for key, _ in faults(apart)] == ["seams.require[2].at"]


@pytest.mark.parametrize("at", [0.0, 300 * INCH, 300 * INCH - 0.7, 300 * INCH + 0.7, 0.7])
def test_a_required_seam_at_an_end_of_an_open_line_changes_nothing(at: float):
    """Half of a sixteenth (0.79 mm) off it is the end as people read it; a sixteenth past it is off the line."""
    wall = straight(300.0)
    assert spans(with_seams(wall, require=(Require(at),))) == spans(wall)
    past = with_seams(wall, require=(Require(300 * INCH + 0.9),))
    assert faults(past) == [
        ("seams.require[1].at", "the back line ends at station 25 ft. Give a station on the line"),
    ]


def test_the_end_of_a_loop_is_its_datum():
    """Station 0 and the length are one place, and a seam required at both is one."""
    both = spans(stadium(0.0, round(ROUND, 1)))
    assert [(s.start, s.end) for s in both] == [(0.0, pytest.approx(ROUND))]
    assert both[0].start_why == "post 1; post 2"


def test_a_zone_has_its_own_run_and_height():
    """Its blanks are its own height with the face's returns and scribe; the rest keeps the face's."""
    face = FaceSpec(height=1000.0, top_return=20.0, bottom_return=15.0, scribe=10.0)
    runs, _, _ = laid_out(stadium(zones=(Zone("low bar", 2000.0, 6000.0, 700.0),), face=face))
    assert [(run.name, run.zone, run.height) for run in runs] == [("low bar", "low bar", 745.0), ("face", "", 1045.0)]
    assert [(run.start_why, run.end_why) for run in runs] == [
        ("low bar begins", "low bar ends"),
        ("low bar ends", "low bar begins"),
    ]


def test_a_zone_that_wraps_past_the_datum_is_the_last_run():
    """From > to on a loop: its run ends past the length of the line."""
    first, last = spans(stadium(zones=(Zone("low", 12000.0, 1000.0, 700.0),)))
    assert (first.zone, first.start, first.end) == ("", 1000.0, 12000.0)
    assert (last.zone, last.start, last.end) == ("low", 12000.0, pytest.approx(1000.0 + ROUND))


def test_zones_may_touch_and_be_parted_by_required_seams():
    """At one station both zones and the seam say their reasons; parts of one zone are numbered."""
    zones = (Zone("low", 1000.0, 3000.0, 700.0), Zone("high", 3000.0, 7000.0, 1100.0))
    parted = spans(stadium(3000.0, 5000.0, zones=zones))
    assert [(s.name, s.zone, s.height) for s in parted] == [
        ("low", "low", 700.0),
        ("high 1", "high", 1100.0),
        ("high 2", "high", 1100.0),
        ("face", "", 40 * INCH),
    ]
    assert parted[0].end_why == parted[1].start_why == "post 1; low ends; high begins"


def test_a_zone_may_reach_to_the_ends_of_an_open_line():
    """Written to the figure that the take-off shows, it ends at the end; the whole line may be one zone."""
    wall = replace(straight(300.0), zones=(Zone("low", 0.0, 300 * INCH - 0.7, 900.0),))
    (only,) = spans(wall)
    assert (only.start, only.end, only.zone, only.end_why) == (0.0, 300 * INCH, "low", "end")


def test_zones_and_seams_are_on_the_outline_that_they_name():
    """The other outline is not parted, and keeps the face's height."""
    shelf = OutlineSpec("shelf", "path", closed=False, face="right", start=(0.0, 2e3), steps=(Straight(4000.0),))
    bar = OutlineSpec("bar", "circle", diameter=2500.0)
    made = replace(stadium(), outlines=(bar, shelf), zones=(Zone("low", 1000.0, 2000.0, 700.0, "shelf"),))
    made = with_seams(made, require=(Require(3000.0, "jamb", "bar"),))
    assert [(s.outline, s.name, s.zone) for s in spans(made)] == [
        (0, "bar", ""),
        (1, "shelf 1", ""),
        (1, "low", "low"),
        (1, "shelf 2", ""),
    ]


# Faults.


@pytest.mark.parametrize(
    ("zones", "key", "told"),
    [
        ((Zone("a", 0.0, 4000.0, 700.0), Zone("b", 3999.0, 5000.0, 700.0)), "zone[2].from", "overlaps a"),
        ((Zone("a", 0.0, 4000.0, 700.0), Zone("b", 12000.0, 1.0, 700.0)), "zone[2].from", "overlaps a"),
        ((Zone("a", 12000.0, 4000.0, 700.0), Zone("b", 0.0, 100.0, 700.0)), "zone[2].from", "overlaps a"),
        ((Zone("a", 0.0, 4000.0, 700.0), Zone("b", 1000.0, 2000.0, 700.0)), "zone[2].from", "overlaps a"),
        ((Zone("a", 0.0, ROUND, 700.0),), "zone[1]", "Set face.height instead"),
        ((Zone("a", 0.0, ROUND + 0.2, 700.0),), "zone[1].to", "the back line ends at station"),
        ((Zone("a", ROUND + 0.2, 400.0, 700.0),), "zone[1].from", "has from > to"),
        ((Zone("a", 100.0, 120.0, 700.0),), "zone[1].to", "no whole scallop fits"),
    ],
)
def test_a_zone_that_cannot_be_is_a_fault(zones: tuple[Zone, ...], key: str, told: str):
    """Overlapping, all round, off the line, or too short for a scallop: each by its key."""
    assert [(at, told in words) for at, words in faults(stadium(zones=zones))] == [(key, True)]


def test_zones_that_just_touch_are_none():
    """To = from is no overlap, a tenth of a millimetre is."""
    first = Zone("a", 0.0, 4000.0, 700.0)
    assert len(spans(stadium(zones=(first, Zone("b", 4000.0, 6000.0, 800.0))))) == 3
    assert faults(stadium(zones=(first, Zone("b", 3999.9, 6000.0, 800.0))))


def test_ends_of_runs_nearer_than_half_a_scallop_are_a_fault():
    """Half of 76.2 mm: 38.2 is read (and fails by its take-up later), 38.0 is a slip of the file."""
    assert len(spans(stadium(1000.0, 1038.2))) == 2
    assert [key for key, _ in faults(stadium(1000.0, 1038.0))] == ["seams.require[2].at"]
    wall = with_seams(straight(300.0), require=(Require(300 * INCH - 20.0),))
    assert [key for key, _ in faults(wall)] == ["seams.require[1].at"]


def test_all_stations_off_their_lines_are_told_at_once():
    """A stretch, a seam and a zone, each with its key."""
    wall = replace(straight(300.0), zones=(Zone("a", 0.0, 8000.0, 700.0),))
    wall = with_seams(wall, require=(Require(9000.0),))
    assert [key for key, _ in faults(wall)] == ["seams.require[1].at", "zone[1].to"]


# Sheets for each height, and the shop's shear.


def limits_of(made: Job) -> list[tuple[int, int]]:
    runs, _, _ = laid_out(made)
    walked = walk_all(made)
    fit = fits(made, spans_of(made, walked))[0]
    blanks = blanks_of(made, fit.profile.developed)
    found = [panel_limits(made, blanks.of_run(run), fit.profile.pitch) for run in runs]
    return [(limit.largest, limit.largest_last) for limit in found]


def test_each_height_has_the_longest_panel_of_the_sheets_that_it_fits():
    """The low zone comes out of a narrow long sheet, the face only out of the wide short one."""
    sheets = (SheetSpec(4000.0, 800.0), SheetSpec(2500.0, 1250.0))
    made = stadium(zones=(Zone("low", 2000.0, 6000.0, 700.0),), face=FaceSpec(height=1000.0), sheets=sheets)
    fit = fits(made, spans(made))[0]
    most = [math.floor((length - 2 * 19.05) / fit.profile.developed) for length in (4000.0, 2500.0)]
    assert limits_of(made) == [(n - 1, n) for n in most]


def test_a_height_that_fits_no_sheet_names_its_zone():
    """The fault's key is the zone's, not the face's."""
    made = stadium(zones=(Zone("a", 0.0, 900.0, 700.0), Zone("tall", 2000.0, 6000.0, 1230.0)))
    made = with_scallop(made, most_take_up=0.2)
    with pytest.raises(JobFaults, match="fits no sheet") as refused:
        limits_of(made)
    assert [fault.key for fault in refused.value.faults] == ["zone[2].height"]


def reach(shear: float | None, *sheets: SheetSpec, height: float = 1000.0) -> float:
    made = with_face(stadium(sheets=sheets), height=height, shear_length=shear)
    return longest_blank(made, blanks_of(made, 85.0))


def test_a_strip_needs_a_cut_along_the_sheet():
    """A 3 m sheet between its trims is 2.99 m: a shear of as much parts it, one a millimetre shorter does not."""
    sheet = SheetSpec(3000.0, 1250.0, trim=5.0)
    assert reach(None, sheet) == reach(2990.0, sheet) == 2990.0
    with pytest.raises(JobFaults, match="by cuts that short") as refused:
        reach(2989.0, sheet)
    assert refused.value.faults[0].key == "face.shear_length"
    assert "a shear of at least 2990 mm" in refused.value.faults[0].remedy


def test_a_strip_of_the_whole_width_needs_no_cut_along_the_sheet():
    """A blank as high as the sheet is wide is cut across only; not so where its edges must be trimmed."""
    assert reach(1500.0, SheetSpec(3000.0, 1000.0)) == 3000.0
    assert reach(1500.0, SheetSpec(3000.0, 1010.0, edge_trim=5.0)) == 1500.0
    with pytest.raises(JobFaults, match="by cuts that short"):
        reach(999.0, SheetSpec(3000.0, 1000.0))


def test_a_long_sheet_is_passed_over_while_a_short_one_can_be_cut():
    """Of two sizes the shear parts the one that is no longer than it cuts."""
    assert reach(2500.0, SheetSpec(3000.0, 1250.0), SheetSpec(2400.0, 1250.0)) == 2400.0
    assert reach(None, SheetSpec(3000.0, 1250.0), SheetSpec(2400.0, 1250.0)) == 3000.0


def test_scallops_along_turn_the_blank_and_its_cuts():
    """Along, the blank's length is the sheet's width: strips are cut across the sheet, which the shear reaches."""
    assert reach(1250.0, SheetSpec(3000.0, 1250.0, scallops="along")) == 1250.0
    assert reach(None, SheetSpec(3000.0, 1250.0, scallops="either")) == 3000.0
    assert reach(1250.0, SheetSpec(3000.0, 1250.0, scallops="either")) == 1250.0


def test_a_run_of_its_own_keeps_the_sum_of_scallops_of_both_parts():
    """A wall of 300 in parted at 120 in: 40 and 60 scallops of 3 in, no take-up in either."""
    runs, _, _ = laid_out(with_seams(straight(300.0), require=(Require(120 * INCH),)))
    assert [(run.scallops, round(run.take_up, 9) + 0.0) for run in runs] == [(40, 0.0), (60, 0.0)]


def test_a_concave_part_is_shorter_on_the_count_line():
    """Turn −θ: the part between is θ·h shorter, the straights beside it are not."""
    steps = (Straight(1524.0), Turn(-0.5, 3048.0), Straight(1524.0))
    wall = job(OutlineSpec("", "path", closed=False, face="right", steps=steps))
    wall = with_seams(wall, require=(Require(1524.0), Require(1524.0 + 1524.0)))
    runs, _, h = laid_out(with_scallop(wall, most_take_up=0.2))
    assert [run.count_length for run in runs] == pytest.approx([1524.0, 1524.0 - 0.5 * h, 1524.0], rel=1e-12)
