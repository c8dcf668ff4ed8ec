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
    r"the seam-free stretch of (?P<why>\w+) (?P<verb>begin|end) at station (?P<new>.+?) instead of (?P<old>.+?), "
    r"(?P<less>.+?) less \(seams\.avoid\[(?P<number>\d)\]\.(?P<key>from|to) = \"(?P<same>[^\"]+)\"\)"
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


SEVERAL = {
    "two apart": free(straight(600), Avoid(36 * INCH, 200 * INCH, "till"), Avoid(300 * INCH, 480 * INCH, "hatch")),
    "two that overlap": free(
        straight(600), Avoid(60 * INCH, 240 * INCH, "till"), Avoid(90 * INCH, 300 * INCH, "hatch")
    ),
    "three, one harmless": free(
        straight(700),
        Avoid(36 * INCH, 200 * INCH, "till"),
        Avoid(230 * INCH, 240 * INCH, "post"),
        Avoid(300 * INCH, 480 * INCH, "hatch"),
    ),
}


def changed(made: Job, all_told: list[re.Match[str]], shares: list[float]) -> Job:
    """Return the job with each stretch that is told of narrowed by a share of what is told."""
    stretches = list(made.seams.avoid)
    for told, share in zip(all_told, shares, strict=True):
        k, key = int(told["number"]) - 1, {"from": "start", "to": "end"}[told["key"]]
        before, after = getattr(stretches[k], key), parse_length(told["same"], made.units)
        stretches[k] = replace(stretches[k], **{key: before + share * (after - before)})
    return with_seams(made, avoid=tuple(stretches))


@pytest.mark.parametrize("name", SEVERAL)
def test_several_stretches_are_narrowed_together_where_none_alone_does(name: str) -> None:
    """All as told and there is a plan; any one of them by half and there is none."""
    made = SEVERAL[name]
    with pytest.raises(NoPlan, match="cannot") as refused:
        make_plan(made)
    all_told = [told for words in refused.value.remedies for told in TOLD.finditer(words)]
    assert [told["why"] for told in all_told] == ["till", "hatch"]
    assert make_plan(changed(made, all_told, [1.0, 1.0])).panels
    for shares in ([0.5, 1.0], [1.0, 0.5]):
        with pytest.raises(NoPlan, match="cannot"):
            make_plan(changed(made, all_told, shares))


@pytest.mark.parametrize(
    ("made", "named"),
    [
        (
            free(straight(400), Avoid(50.3 * INCH, 260 * INCH, "hatch")),
            "of hatch, from station 4 ft 2 5/16 in to 21 ft 8 in",
        ),
        (free(kiosk(), Avoid(220 * INCH, 100 * INCH, "hatch")), "of hatch, from station 18 ft 4 in to 8 ft 4 in"),
        (
            free(straight(400), Avoid(36 * INCH, 84 * INCH, "till"), Avoid(48 * INCH, 260 * INCH, "hatch")),
            "of till, from station 3 ft to 7 ft and of hatch, from station 4 ft to 21 ft 8 in",
        ),
    ],
    ids=["line", "past the datum", "two"],
)
def test_a_stretch_is_named_as_the_job_gives_it(made: Job, named: str) -> None:
    """From where to where the job says, not from boundary to boundary of the scallops in it."""
    with pytest.raises(NoPlan, match=f"cannot cross the stretch {named}") as refused:
        make_plan(made)
    assert refused.value.reason.count("station") == named.count("station")


def test_a_curve_that_is_too_tight_is_named_by_its_boundaries() -> None:
    """The job gives no stretch: from the first boundary without a seam to the last, and why."""
    made = with_seams(kiosk(), tight_radius=10000.0, goals=("panels",))
    with pytest.raises(NoPlan, match=r"stretch from station .* to .* \(tight curve\)"):
        make_plan(made)
