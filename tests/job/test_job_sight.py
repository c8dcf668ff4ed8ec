"""Cut-outs, viewpoints and walls as the job file gives them."""

from __future__ import annotations

import pytest

from layout.job.model import Cutout, Viewpoint, Wall
from layout.job.reading import parse_job
from tests.job.job_texts import changed, faults_of

SITE = """\
[[cutout]]
name = "socket"
at = "5 ft 2 in"
up = 12
width = "3 3/8 in"
height = 5.75
[[cutout]]
name = "hatch"
at = 200
up = 0
width = 14
height = 20
clearance = 6
[[viewpoint]]
name = "street door"
at = ["18 ft", "-12 ft"]
weight = 2.5
[[viewpoint]]
name = "stairs"
at = [-120, 96]
[[wall]]
points = [["10 ft", "-8 ft"], ["14 ft", "-8 ft"], [168, 0]]
"""


def site(*changes: tuple[str, str]) -> str:
    text = SITE
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return changed(("[order]", f"{text}[order]"))


def test_what_is_on_the_site_is_read_in_millimetres() -> None:
    """Lengths in inches or as text come as mm; what is left out has its default."""
    job = parse_job(site().encode())
    assert [(c.name, c.up, c.clearance, c.outline) for c in job.cutouts] == [
        ("socket", 304.8, None, ""),
        ("hatch", 0.0, 152.4, ""),
    ]
    assert isinstance(job.cutouts[0], Cutout)
    assert (job.cutouts[0].width, job.cutouts[0].height) == (85.725, 146.05)
    assert job.viewpoints == (
        Viewpoint("street door", (5486.4, -3657.6), 2.5),
        Viewpoint("stairs", (-3048.0, 2438.4), 1.0),
    )
    assert job.walls == (Wall(((3048.0, -2438.4), (4267.2, -2438.4), (4267.2, 0.0))),)


def test_a_job_may_leave_the_hand_of_laps_open() -> None:
    """Either is a word of its own; under is the default."""
    assert parse_job(changed(('lap_goes = "under"', 'lap_goes = "either"')).encode()).face.lap_goes == "either"
    assert parse_job(changed(('lap_goes = "under"', "")).encode()).face.lap_goes == "under"


@pytest.mark.parametrize(
    ("change", "key", "word"),
    [
        (('name = "hatch"', 'name = "socket"'), "cutout[2].name", "no two cut-outs"),
        (('name = "stairs"', 'name = "street door"'), "viewpoint[2].name", "no two viewpoints"),
        (('name = "stairs"\n', ""), "viewpoint[2].name", "must be there"),
        (("width = 14", "width = 0"), "cutout[2].width", "more than 0"),
        (("up = 0", "up = -1"), "cutout[2].up", "at least 0"),
        (("weight = 2.5", "weight = 0"), "viewpoint[1].weight", "0.001"),
        (("at = [-120, 96]", "at = 30"), "viewpoint[2].at", "[x, y]"),
        ((', ["14 ft", "-8 ft"], [168, 0]', ""), "wall[1].points", "two or more points"),
        (("clearance = 6", 'clearance = 6\noutline = "bar"'), "cutout[2].outline", "no outline has this name"),
        (("[[wall]]\npoints", "[wall]\npoints"), "wall", "[[wall]]"),
    ],
)
def test_what_cannot_be_is_told_with_its_key(change: tuple[str, str], key: str, word: str) -> None:
    """Each fault names its key, and rule or remedy says what is wanted."""
    (fault,) = faults_of(site(change))
    assert fault.key == key
    assert word in f"{fault.rule} {fault.remedy}"
