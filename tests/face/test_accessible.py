"""The note on lowered zones, at both sides of each figure of the 2010 ADA Standards (904.4, 902.3)."""

from __future__ import annotations

import pytest
from check_cases import a_job

from layout.face.planning import compared_plan
from layout.job.model import FaceSpec, Job, OutlineSpec, SeamsSpec, SheetSpec, Straight, Zone

INCH = 25.4
STEP = INCH / 16


def bar(height: float, length: float = 60 * INCH) -> Job:
    """Return a wall 42 in high with a zone of a height and length, cut ends, so that any length is filled."""
    spec = OutlineSpec("", "path", closed=False, face="right", steps=(Straight(200 * INCH),))
    return a_job(
        spec,
        FaceSpec(height=42 * INCH, ends="cut", form_trim=20.0),
        units="in",
        zones=(Zone("low", 40 * INCH, 40 * INCH + length, height),),
        seams=SeamsSpec(goals=("panels",)),
        sheets=(SheetSpec(3000.0, 1250.0),),
    )


def notes(job: Job) -> list[str]:
    return [caution for caution in compared_plan(job).cautions if "ADA" in caution]


@pytest.mark.parametrize(
    ("height", "told"),
    [
        (28 * INCH, ""),
        (28 * INCH - STEP, "under the 2 ft 4 in of a dining or work surface"),
        (34 * INCH, ""),
        (34 * INCH + STEP, "over the 2 ft 10 in of a dining or work surface"),
        (36 * INCH, "over the 2 ft 10 in of a dining or work surface"),
        (36 * INCH + STEP, "over the 3 ft of a sales or service counter"),
    ],
)
def test_height_of_a_lowered_zone_is_judged_by_the_figures(height: float, told: str) -> None:
    """28 to 34 in (902.3), at most 36 in (904.4)."""
    found = notes(bar(height))
    assert bool(found) == bool(told)
    assert not told or told in found[0]
    assert all("the local code decides" in note for note in found)


@pytest.mark.parametrize(
    ("length", "told"),
    [
        (36 * INCH, ""),
        (36 * INCH - STEP, "under the 3 ft of an approach alongside"),
        (30 * INCH, "under the 3 ft of an approach alongside"),
        (30 * INCH - STEP, "under the 2 ft 6 in that even an approach head on asks"),
    ],
)
def test_length_of_a_lowered_zone_is_judged_by_the_figures(length: float, told: str) -> None:
    """At least 36 in alongside (904.4.1), 30 in head on (904.4.2)."""
    found = notes(bar(32 * INCH, length))
    assert bool(found) == bool(told)
    assert not told or told in found[0]


def test_zone_that_is_not_lowered_has_no_note() -> None:
    """A part as high as the face is meant for nobody in particular."""
    assert not notes(bar(42 * INCH, 20 * INCH))
