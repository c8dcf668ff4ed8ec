"""One pitch for several runs: the best for given counts, and the least change where there is none."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.errors import NoPlan
from layout.face.fit import Fit, fits
from layout.face.pitches import Pitches, least_giving, turning_point
from layout.face.runs import spans_of, walk_all
from layout.job.model import Job, OutlineSpec, Require, Straight
from layout.units import parse_length
from tests.jobs import INCH, job, kiosk, straight, with_face, with_scallop, with_seams

FAR_OFF = (0.0, 5000.0)
"""mm, where a second outline starts"""


def walls(*lengths: float, low: float = 2.9, high: float = 3.1, **scallop: float) -> Job:
    """Return straight walls, lengths in inches, each an outline of its own, with a range of pitches."""
    outlines = tuple(
        OutlineSpec(
            f"wall {k}", "path", closed=False, face="right", start=(0.0, 1e3 * k), steps=(Straight(length * INCH),)
        )
        for k, length in enumerate(lengths, 1)
    )
    made = replace(straight(100.0), outlines=outlines)
    return with_scallop(made, pitch=(low + high) / 2 * INCH, pitch_range=(low * INCH, high * INCH), **scallop)


def ways(made: Job) -> list[Fit]:
    return fits(made, spans_of(made, walk_all(made)))


def pitches(made: Job) -> Pitches:
    return Pitches(made, spans_of(made, walk_all(made)))


def refusal(made: Job) -> NoPlan:
    with pytest.raises(NoPlan) as refused:
        ways(made)
    return refused.value


# The best pitch for given counts.


@pytest.mark.parametrize("lengths", [(100.0, 61.0), (100.0, 61.0, 37.0), (60.0, 60.5, 61.0)])
def test_the_pitch_for_given_counts_makes_extremes_alike(lengths: tuple[float, ...]):
    """On straights L/n = q the shares are q/p − 1, so the best pitch is the middle of least and greatest q."""
    made = walls(*lengths)
    counts = [round(length / 3) for length in lengths]
    exact = [length / count for length, count in zip(lengths, counts, strict=True)]
    way = pitches(made).least_worst(counts, 2.9 * INCH, 3.1 * INCH)
    best = (min(exact) + max(exact)) / 2
    assert way.pitch / INCH == pytest.approx(best, rel=1e-12)
    assert way.worst == pytest.approx(max(exact) / best - 1, rel=1e-9)


@pytest.mark.parametrize("count_on", ["neutral", "crest"])
@pytest.mark.parametrize("counts", [(102, 40), (101, 41), (104, 38)])
def test_no_other_pitch_of_the_range_is_better(counts: tuple[int, int], count_on: str):
    """Tried at two thousand pitches, on a loop whose count line moves with the pitch, beside a straight."""
    outlines = (
        replace(kiosk().outlines[0], name="kiosk"),
        replace(straight(120.0).outlines[0], name="wall", start=FAR_OFF),
    )
    made = with_scallop(replace(kiosk(), outlines=outlines), pitch_range=(70.0, 82.0), count_on=count_on)
    found = pitches(made)
    way = found.least_worst(counts, 70.0, 82.0)
    for pitch in np.linspace(70.0, 82.0, 2001):
        worst = max(abs(found.held(k, float(pitch)) / count - 1) for k, count in enumerate(counts))
        assert way.worst <= worst + 1e-12


def test_outside_of_the_range_its_end_is_best():
    """100 in in 30 scallops wants 3.33 in: the range ends at 3.1; in 36 it wants 2.78: it begins at 2.9."""
    found = pitches(walls(100.0))
    assert found.least_worst([30], 2.9 * INCH, 3.1 * INCH).pitch == 3.1 * INCH
    assert found.least_worst([36], 2.9 * INCH, 3.1 * INCH).pitch == 2.9 * INCH


@pytest.mark.parametrize("count", [1, 2, 7, 40])
def test_counts_change_where_both_give_the_same(count: int):
    """At the turning point n and n + 1 give the same share, stretched and crowded."""
    held = turning_point(count)
    assert held / count - 1 == pytest.approx(1 - held / (count + 1))
    assert (least_giving(held - 1e-9), least_giving(held + 1e-9)) == (count, count + 1)


@given(lengths=st.lists(st.floats(20.0, 200.0), min_size=2, max_size=3), most=st.sampled_from([0.002, 0.01, 0.02]))
@settings(max_examples=25, deadline=None, derandomize=True)
def test_a_range_has_a_fit_just_where_some_counts_have_a_pitch(lengths: list[float], most: float):
    """All counts tried at all pitches of a fine net: none fits where none was found, and none is better."""
    made = walls(*lengths, most_take_up=most)
    net = np.linspace(2.9, 3.1, 1001)
    held = [length / net for length in lengths]
    choices = [range(math.floor(length / 3.1), math.ceil(length / 2.9) + 1) for length in lengths]
    least = min(
        np.max([np.abs(h / n - 1) for h, n in zip(held, counts, strict=True)], axis=0).min()
        for counts in product(*choices)
    )
    try:
        found = min(max(abs(e) for e in fit.take_ups) / fit.profile.pitch for fit in ways(made))
    except NoPlan:
        assert least > most
    else:
        assert found <= min(least, most) + 1e-9


# A range for several runs.


def test_one_pitch_serves_three_runs():
    """100, 61 and 37 in, 33 + 20 + 12: least L/n 3.0303, greatest 3.0833; the pitch is the middle of the two."""
    fit = ways(walls(100.0, 61.0, 37.0))[0]
    assert fit.counts == (33, 20, 12)
    best = (100 / 33 + 37 / 12) / 2
    assert fit.profile.pitch / INCH == pytest.approx(best, rel=1e-12)
    assert [e / INCH for e in fit.take_ups] == pytest.approx(
        [100 / 33 - best, 61 / 20 - best, 37 / 12 - best], abs=1e-9
    )


def test_runs_that_agree_need_no_take_up():
    """60, 90 and 120 in are 20, 30 and 40 of 3 in; the nearest fit to the drawn pitch of 3 in is just that."""
    fit = ways(walls(60.0, 90.0, 120.0))[0]
    assert fit.counts == (20, 30, 40)
    assert fit.profile.pitch == pytest.approx(3 * INCH)
    assert max(map(abs, fit.take_ups)) < 1e-9


def test_each_set_of_counts_is_a_fit_of_its_own():
    """Sets are told apart, each within the take-up, the nearest to the drawn pitch first."""
    found = ways(walls(100.0, 61.0))
    assert len({fit.counts for fit in found}) == len(found) > 2
    away = [abs(fit.profile.pitch - 3 * INCH) for fit in found]
    assert away == sorted(away)
    for fit in found:
        assert max(map(abs, fit.take_ups)) <= 0.02 * fit.profile.pitch + 1e-7


def test_runs_with_cut_ends_leave_the_pitch_to_those_that_give():
    """A loop takes its own exact pitch, and the wall beside it is cut at its end."""
    outlines = (
        replace(kiosk().outlines[0], name="kiosk"),
        replace(straight(100.0).outlines[0], name="wall", start=FAR_OFF),
    )
    made = with_scallop(replace(kiosk(), outlines=outlines), pitch_range=(2.9 * INCH, 3.1 * INCH))
    for fit in ways(with_face(made, ends="cut")):
        assert max(map(abs, fit.take_ups)) < 1e-7
        assert fit.last_parts[0] is None
        assert fit.last_parts[1] == pytest.approx(100 * INCH / fit.profile.pitch - fit.counts[1] + 1)


# Where there is none.

STUBBORN = walls(100.0, 61.0, 7.5, low=2.95, high=3.05, most_take_up=0.01)
"""The short run holds 2.46 to 2.54 scallops: no pitch of the range gives it whole ones."""
AT_ODDS = walls(60.0, 61.5, 90.0, low=2.98, high=3.02, most_take_up=0.01)
"""Of 3 in the second holds 20.5: 21 want 2.929 in, 20 want 3.075, and beside 20 of 3 in 1 % is too little."""
FAR = walls(30.0, 31.4, 300.0, low=2.98, high=3.16, most_take_up=0.005)
"""10 want 3 in, or 3.14 in: both are in the range, half a percent is too little between them."""
BESIDE = walls(60.0, 90.0, low=3.04, high=3.1, most_take_up=0.005)
"""Both take 3 in (20 and 30) and 3.33 in (18 and 27), and the range lies between."""


def test_a_run_that_no_pitch_fills_is_named_alone():
    """One run is the smallest conflict there is."""
    told = refusal(STUBBORN)
    assert "run wall 3 (7.5000 in) does not take" in told.reason
    assert "wall 1" not in told.reason


def test_two_runs_at_odds_are_named_and_no_third():
    """Each takes some pitch of the range, both together none; the one that agrees with both is not named."""
    made = FAR
    told = refusal(made)
    assert "run wall 1" in told.reason
    assert "run wall 2" in told.reason
    assert "wall 3" not in told.reason
    for k in (0, 1):
        assert ways(replace(made, outlines=(made.outlines[k], made.outlines[2])))


def remedy(told: NoPlan, start: str) -> str:
    (found,) = [words for words in told.remedies if words.startswith(start)]
    return found


@pytest.mark.parametrize("made", [STUBBORN, AT_ODDS, FAR])
def test_the_take_up_that_a_refusal_names_does_and_a_step_less_does_not(made: Job):
    """Read back from its words, in hundredths of a percent."""
    told = float(remedy(refusal(made), "Allow it").split(" = ")[1])
    assert ways(with_scallop(made, most_take_up=told))
    assert refusal(with_scallop(made, most_take_up=told - 1e-4))
    half = (made.scallop.most_take_up + told) / 2
    assert refusal(with_scallop(made, most_take_up=half))


@pytest.mark.parametrize("made", [STUBBORN, AT_ODDS, FAR])
def test_the_wall_that_a_refusal_moves_does_and_half_of_it_does_not(made: Job):
    """On a straight the count line is as long as the wall: made longer or shorter as told, all runs agree."""
    words = remedy(refusal(made), "Make run")
    found = re.fullmatch(
        r"Make run wall (\d) (longer|shorter) by at least ([\d.]+ in) at the count line, the other runs as they are",
        words,
    )
    assert found
    by = parse_length(found[3], "in") * (1 if found[2] == "longer" else -1)

    def moved(share: float) -> Job:
        outlines = list(made.outlines)
        k = int(found[1]) - 1
        step = outlines[k].steps[0]
        assert isinstance(step, Straight)
        outlines[k] = replace(outlines[k], steps=(Straight(step.length + share * by),))
        return replace(made, outlines=tuple(outlines))

    assert ways(moved(1.0))
    assert refusal(moved(0.5))
    assert refusal(moved(0.99))


def test_a_range_that_no_widening_near_it_mends_is_not_told_to_widen():
    """The short run wants 2.5 or 3.75 in: more than a tenth off the range."""
    assert not [words for words in refusal(STUBBORN).remedies if words.startswith("Widen")]


@pytest.mark.parametrize("made", [BESIDE, walls(60.0, 62.0, 121.0, low=3.1, high=3.15, most_take_up=0.009)])
def test_the_range_that_a_refusal_widens_does_and_half_of_it_does_not(made: Job):
    """Each of the pitches told, and nothing nearer."""
    words = remedy(refusal(made), "Widen")
    low, high = made.scallop.pitch_range or (0.0, 0.0)
    figures = re.findall(r"(down|up) to ([\d.]+ in)", words)
    assert figures
    for side, figure in figures:
        pitch = parse_length(figure, "in")
        near = low if side == "down" else high

        def widened(share: float, *, side: str = side, near: float = near, pitch: float = pitch) -> Job:
            end = near + share * (pitch - near)
            return with_scallop(made, pitch_range=(end, high) if side == "down" else (low, end))

        assert ways(widened(1.0))
        assert refusal(widened(0.5))


def test_a_fixed_pitch_names_all_runs_that_fail_and_what_each_must_do():
    """Moved as told both runs fit; with one moved the other still fails."""
    made = replace(walls(61.0, 100.4, 60.0, 90.3), scallop=replace(straight(1.0).scallop, most_take_up=0.005))
    told = refusal(made)
    assert "run wall 1 is" in told.reason
    assert "so must run wall 2" in told.reason
    found = re.findall(r"run wall (\d) (longer|shorter) by at least ([\d.]+ in)", told.remedies[0])
    assert [k for k, _, _ in found] == ["1", "2"]

    def moved(which: list[tuple[str, str, str]], share: float = 1.0) -> Job:
        outlines = list(made.outlines)
        for k, way, figure in which:
            by = parse_length(figure, "in") * (share if way == "longer" else -share)
            step = outlines[int(k) - 1].steps[0]
            assert isinstance(step, Straight)
            outlines[int(k) - 1] = replace(outlines[int(k) - 1], steps=(Straight(step.length + by),))
        return replace(made, outlines=tuple(outlines))

    assert ways(moved(found))
    assert refusal(moved(found, 0.5))
    assert "so must" not in refusal(moved(found[:1])).reason


def test_a_fixed_pitch_that_would_do_for_all_is_told():
    """Runs of 31 and 37.2 in are 10 and 12 of 3.1 in: drawn so, they need no take-up."""
    made = replace(walls(31.0, 37.2), scallop=straight(1.0).scallop)
    told = refusal(made)
    words = remedy(told, "Or draw a pitch")
    assert "3.1000 in (10 + 12 scallops)" in words
    best = parse_length(words.split(" (10 + 12")[0].split("best ")[-1], "in")
    (fit,) = ways(with_scallop(made, pitch=best))
    assert max(map(abs, fit.take_ups)) < 1e-6


def test_required_seams_on_a_loop_share_one_pitch():
    """Three runs of a kiosk 96 in across, a third of its count line each: as many scallops, no take-up."""
    made = with_scallop(kiosk(), pitch_range=(2.9 * INCH, 3.1 * INCH))
    third = math.pi * 96 * INCH / 3
    made = with_seams(made, require=tuple(Require(k * third) for k in range(3)))
    for fit in ways(made):
        assert len(set(fit.counts)) == 1
        assert max(map(abs, fit.take_ups)) < 1e-7


def test_a_run_of_a_loop_that_no_pitch_fills_is_named_with_its_length():
    """400 mm on a straight and the beginning of a curve hold 5.2 to 5.5 scallops of the range."""
    made = job(OutlineSpec("", "stadium", length=6000.0, width=2400.0), units="mm")
    made = with_seams(made, require=(Require(1800.0), Require(3800.0), Require(4200.0)))
    told = refusal(with_scallop(made, pitch_range=(74.0, 78.0)))
    assert "run face 2 (404.269 mm) does not take" in told.reason
