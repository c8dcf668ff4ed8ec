"""Whole scallops on the count line, take-up, and pitches chosen in a range."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from layout.errors import NoPlan
from layout.face.fit import Fit, count_height, fits
from layout.face.runs import spans_of, walk_all
from layout.job.model import Job
from tests.jobs import INCH, kiosk, straight, with_face, with_scallop


def fits_of(job: Job) -> list[Fit]:
    return fits(job, spans_of(job, walk_all(job)))


def arc_sums(pitch: float, depth: float) -> tuple[float, float]:
    """Return developed length and neutral height of one arc a pitch, by the segment formulas."""
    radius = (pitch**2 / 4 + depth**2) / (2 * depth)
    half = math.asin(pitch / 2 / radius)
    developed = 2 * radius * half
    return developed, radius * math.sin(half) / half - (radius - depth)


def test_kiosk_96_in_across_takes_102_scallops():
    """Common practice, no source: a round kiosk 96 in across in 3 × 3/4 in takes 102 scallops."""
    (fit,) = fits_of(kiosk())
    _, neutral = arc_sums(3.0, 0.75)
    length = math.pi * 96 + 2 * math.pi * (neutral + 0.0239 / 2)
    assert fit.counts == (102,)
    assert fit.take_ups[0] / INCH == pytest.approx(length / 102 - 3.0, abs=1e-9)


@pytest.mark.parametrize(
    ("count_on", "height"),
    [("neutral", arc_sums(3.0, 0.75)[1] + 0.0239 / 2), ("back", 0.0), ("crest", 0.75 + 0.0239)],
)
def test_count_line_stands_off_the_back_line(count_on: str, height: float):
    """Count line: neutral height + t/2, or the back line itself, or the outermost metal (depth + t)."""
    job = with_scallop(kiosk(), count_on=count_on)
    (fit,) = fits_of(job)
    assert count_height(job, fit.profile) / INCH == pytest.approx(height, abs=1e-12)
    assert fit.counts[0] == round(math.pi * (96 + 2 * height) / 3)


def test_counting_on_the_back_line_is_wrong_by_two_pi_c_on_a_loop():
    """The two ways differ by 2π·(c + t/2) on a loop: here more than one whole scallop's worth."""
    neutral, back = fits_of(kiosk())[0], fits_of(with_scallop(kiosk(), count_on="back"))[0]
    lengths = [fit.counts[0] * (3 * INCH + fit.take_ups[0]) for fit in (neutral, back)]
    assert lengths[0] - lengths[1] == pytest.approx(2 * math.pi * count_height(kiosk(), neutral.profile), rel=1e-12)


def test_take_up_up_to_the_limit_is_allowed_and_past_it_refused():
    """A straight of 20 pitches and 2 % more just fits with 20 stretched scallops; a hair more does not."""
    limit = 20 * 3 * 1.02
    (fit,) = fits_of(straight(limit - 1e-9))
    assert fit.counts == (20,)
    assert fit.take_ups[0] / (3 * INCH) == pytest.approx(0.02)
    with pytest.raises(NoPlan, match=r"most_take_up allows 2\.00%"):
        fits_of(straight(limit + 1e-4))


def test_a_shorter_wall_heals_a_refused_take_up():
    """The change that the refusal names is enough, and half of it is not."""
    long = 20 * 3 * 1.02 + 0.2
    with pytest.raises(NoPlan, match="stretched") as refusal:
        fits_of(straight(long))
    told = refusal.value.remedies[0].split("at least ")[1].removesuffix(" in at the count line")
    assert float(told) == pytest.approx(0.2, abs=2e-4)
    assert fits_of(straight(long - float(told)))
    with pytest.raises(NoPlan, match="stretched"):
        fits_of(straight(long - 0.1))


def test_pitch_range_gives_every_count_without_take_up():
    """On a straight of 100 in, pitches 2.70…2.80 hold 36 (2.7778) and 37 (2.7027) scallops; nearest first."""
    job = with_scallop(straight(100.0), pitch=2.75 * INCH, depth=0.6 * INCH, pitch_range=(2.70 * INCH, 2.80 * INCH))
    found = fits_of(job)
    assert [fit.counts for fit in found] == [(36,), (37,)]
    assert [fit.profile.pitch / INCH for fit in found] == pytest.approx([100 / 36, 100 / 37], rel=1e-9)
    assert all(abs(fit.take_ups[0]) < 1e-6 for fit in found)


def test_pitch_range_moves_the_count_line_with_the_pitch():
    """On a loop the chosen pitch fits the count line of that very pitch."""
    job = with_scallop(kiosk(), pitch_range=(2.9 * INCH, 3.1 * INCH))
    for fit in fits_of(job):
        pitch = fit.profile.pitch / INCH
        height = arc_sums(pitch, 0.75)[1] + 0.0239 / 2
        assert math.pi * (96 + 2 * height) / fit.counts[0] == pytest.approx(pitch, rel=1e-9)
    assert {fit.counts[0] for fit in fits_of(job)} == set(range(99, 106))


def test_a_range_too_narrow_names_the_pitches_beside_it():
    """100 in hold no whole number of pitches from 2.72 to 2.76; 2.7027 and 2.7778 would do."""
    job = with_scallop(straight(100.0), pitch=2.74 * INCH, depth=0.6 * INCH, pitch_range=(2.72 * INCH, 2.76 * INCH))
    with pytest.raises(NoPlan, match="no whole number") as refusal:
        fits_of(job)
    assert "2.7027 in (37 scallops)" in refusal.value.remedies[0]
    assert "2.7778 in (36 scallops)" in refusal.value.remedies[0]


def test_cut_ends_leave_the_scallop_as_drawn():
    """100 in at 3 in: 33 whole scallops and a third of the 34th, with no take-up."""
    (fit,) = fits_of(with_face(straight(100.0), ends="cut"))
    assert fit.counts == (34,)
    assert fit.take_ups == (0.0,)
    assert fit.last_parts[0] == pytest.approx(1 / 3)


def test_scaling_the_job_scales_the_fit():
    """A job twice as large in everything holds as many scallops, each giving twice as much."""
    job = kiosk()
    double = replace(
        job,
        outlines=(replace(job.outlines[0], diameter=2 * 96 * INCH),),
        scallop=replace(job.scallop, pitch=6 * INCH, depth=1.5 * INCH),
        metal=replace(job.metal, thickness=2 * job.metal.thickness),
    )
    (one,), (two,) = fits_of(job), fits_of(double)
    assert two.counts == one.counts
    assert two.take_ups[0] == pytest.approx(2 * one.take_ups[0], rel=1e-9)


def test_cut_ends_keep_the_drawn_pitch_of_a_range():
    """No whole number of pitches from 2.72 to 2.76 fills 100 in; with cut ends the drawn 2.74 needs none."""
    job = with_scallop(straight(100.0), pitch=2.74 * INCH, depth=0.6 * INCH, pitch_range=(2.72 * INCH, 2.76 * INCH))
    first = fits_of(with_face(job, ends="cut"))[0]
    assert first.profile.pitch == 2.74 * INCH
    assert (first.counts, first.last_parts) == ((37,), (pytest.approx(100 / 2.74 - 36),))
