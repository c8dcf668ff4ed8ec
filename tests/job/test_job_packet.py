"""Keys of the paper and of the site: what they may say, and what a job without them has."""

from __future__ import annotations

import pytest

from layout.job.model_packet import PAPER_SIZES, PaperSpec, SiteSpec
from layout.job.reading import parse_job
from tests.job.job_texts import BASE, faults_of


def read(text: str) -> tuple[PaperSpec, SiteSpec]:
    """Read the base job with more tables behind it."""
    job = parse_job((BASE + text).encode(), "counter.toml")
    return job.paper, job.site


def test_a_job_without_them_leaves_all_to_the_usual() -> None:
    """No size, no date, chosen control points, the usual tape."""
    assert read("") == (PaperSpec(), SiteSpec())


@pytest.mark.parametrize("size", PAPER_SIZES)
def test_four_papers_may_be_asked_for(size: str) -> None:
    """Letter, tabloid, A4, A3, as they are written."""
    assert read(f'[paper]\nsize = "{size}"\n')[0] == PaperSpec(size)


@pytest.mark.parametrize(
    ("written", "date"),
    [("2024-03-09", "2024-03-09"), ('"9 March 2024"', "9 March 2024"), ('"14 characters."', "14 characters.")],
)
def test_a_date_is_printed_as_it_is(written: str, date: str) -> None:
    """TOML's own dates and text alike, up to 14 characters."""
    assert read(f"[paper]\ndate = {written}\n")[0].date == date


def test_control_points_and_tape_are_read_in_the_jobs_units() -> None:
    """Inches here; the error of a reading and the tape's length may be text."""
    _, site = read('[site]\ncontrol = [[0, 0], ["10 ft", -24]]\ntape_sigma = "1/32 in"\ntape = "50 ft"\n')
    assert site.control == ((0.0, 0.0), pytest.approx((10 * 304.8, -24 * 25.4)))
    assert site.tape_sigma == pytest.approx(25.4 / 32)
    assert site.tape == 50 * 304.8


@pytest.mark.parametrize(
    ("text", "key", "told"),
    [
        ('[paper]\nsize = "legal"\n', "paper.size", "letter"),
        ('[paper]\ndate = "15 characters.."\n', "paper.date", "14 characters"),
        ("[site]\ncontrol = [[0, 0]]\n", "site.control", "2 to 26"),
        ("[site]\ncontrol = [[0, 0], [0, 0]]\n", "site.control", "one place"),
        ("[site]\ncontrol = 7\n", "site.control", "2 to 26"),
        (f"[site]\ncontrol = {[[k, 0] for k in range(27)]}\n", "site.control", "2 to 26"),
        ("[site]\ntape_sigma = 0\n", "site.tape_sigma", "at least"),
        ("[site]\ntape = 0\n", "site.tape", "more than 0"),
    ],
)
def test_what_is_wrong_is_told_with_its_key(text: str, key: str, told: str) -> None:
    """One fault each, that names the key and what would be right."""
    (fault,) = faults_of(BASE + text)
    assert fault.key == key
    assert told in f"{fault.rule} {fault.remedy}"
