"""What a refusal says of seam-free stretches: narrowed as told the job plans, narrowed by half it does not."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from layout.errors import NoPlan
from layout.face.planning import make_plan
from layout.job.model import Avoid, Job, OutlineSpec, Require, SeamsSpec
from layout.units import parse_length
from tests.jobs import INCH, job, kiosk, straight, with_seams

TOLD = re.compile(
    r"Let the seam-free stretch of (?P<why>\w+) (?P<verb>begin|end) at station (?P<new>.+) instead of (?P<old>.+), "
    r"(?P<less>.+) less"
)


def free(made: Job, *stretches: Avoid) -> Job:
    """Return a job with seam-free stretches and few goals."""
    return with_seams(made, avoid=stretches, goals=("panels",))


def oval_bar() -> Job:
    """Return a stadium bar."""
    return job(OutlineSpec("", "stadium", length=240 * INCH, width=96 * INCH), seams=SeamsSpec(goals=("panels",)))


CASES = {
    "line": free(straight(400), Avoid(50 * INCH, 260 * INCH, "hatch")),
    "loop": free(kiosk(), Avoid(40 * INCH, 200 * INCH, "hatch")),
    "past the datum": free(kiosk(), Avoid(220 * INCH, 100 * INCH, "hatch")),
    "part of a loop": replace(
        free(oval_bar(), Avoid(120 * INCH, 300 * INCH, "hatch")),
        seams=SeamsSpec(
            goals=("panels",),
            avoid=(Avoid(120 * INCH, 300 * INCH, "hatch"),),
            require=(Require(60 * INCH, "post"), Require(420 * INCH, "post")),
        ),
    ),
}


def narrowed(made: Job, told: re.Match[str], share: float) -> Job:
    """Return the job with its stretch narrowed by a share of what is told."""
    (stretch,) = made.seams.avoid
    less = share * parse_length(told["less"], made.units)
    start, end = stretch.start, stretch.end
    if told["verb"] == "end":
        end = end - less if share < 1 else parse_length(told["new"], made.units)
    else:
        start = start + less if share < 1 else parse_length(told["new"], made.units)
    return with_seams(made, avoid=(replace(stretch, start=start, end=end),))


@pytest.mark.parametrize("name", CASES)
def test_the_narrowing_told_is_enough_and_half_of_it_is_not(name: str) -> None:
    """The new end is read back from the words and used as told."""
    made = CASES[name]
    with pytest.raises(NoPlan, match="cannot") as refused:
        make_plan(made)
    told = next(found for words in refused.value.remedies if (found := TOLD.search(words)))
    assert told["why"] == "hatch"
    assert make_plan(narrowed(made, told, 1.0)).panels
    with pytest.raises(NoPlan, match="cannot"):
        make_plan(narrowed(made, told, 0.5))
