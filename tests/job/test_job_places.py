"""Places that a job names: which outline each is on, required seams, and zones."""

from __future__ import annotations

import pytest

from layout.job.model import Avoid, Job, Require, Zone
from layout.job.reading import parse_job
from tests.job.job_texts import BASE, PATH_OUTLINE, changed, faults_of, with_outline

INCH = 25.4

TWO = """\
[[outline]]
name = "bar"
shape = "circle"
diameter = 90

[[outline]]
name = "shelf"
shape = "path"
closed = false
steps = [{ straight = "12 ft" }]
"""
"""A loop and an open line."""


def two(seams: str = "", zone: str = "") -> str:
    """Return the text of a job of two outlines with these lines in its tables."""
    text = with_outline(TWO).replace("[seams]", f"[seams]\n{seams}")
    return text.replace("[order]", f"{zone}\n[order]")


def read(text: str) -> Job:
    return parse_job(text.encode())


def test_several_outlines_are_read_in_the_order_of_the_file() -> None:
    """Each has its name and the key under which messages find it."""
    assert [(o.name, o.key) for o in read(with_outline(TWO)).outlines] == [
        ("bar", "outline[1]"),
        ("shelf", "outline[2]"),
    ]


def test_each_of_several_outlines_must_have_its_name() -> None:
    """One alone needs none; the second of two without a name is told, once."""
    alone = TWO.partition("\n\n")[0]
    assert not faults_of(with_outline(alone.replace('name = "bar"\n', "")))
    (fault,) = faults_of(with_outline(TWO.replace('name = "shelf"\n', "")))
    assert (fault.key, fault.remedy) == ("outline[2].name", 'Add name = "counter" to [[outline]]')


def test_no_two_outlines_have_one_name() -> None:
    """The second of the name is told."""
    (fault,) = faults_of(with_outline(TWO.replace('"shelf"', '"bar"')))
    assert (fault.key, fault.value, fault.remedy) == ("outline[2].name", '"bar"', "Give another name")


@pytest.mark.parametrize(
    ("seams", "zone", "key"),
    [
        ("avoid = [{ from = 1, to = 2 }]", "", "seams.avoid[1].outline"),
        ("require = [{ at = 9 }]", "", "seams.require[1].outline"),
        ("", "[[zone]]\nfrom = 1\nto = 20\nheight = 30", "zone[1].outline"),
    ],
)
def test_with_several_outlines_a_place_says_which_one_it_is_on(seams: str, zone: str, key: str) -> None:
    """Without it there is one fault, whose remedy names an outline that there is."""
    (fault,) = faults_of(two(seams, zone))
    assert (fault.key, fault.value, fault.remedy) == (key, "", 'Add outline = "bar"')


@pytest.mark.parametrize(
    ("named", "remedy"), [("baar", "Did you mean bar"), ("kitchen", "Name one of bar · shelf"), ("Bar", "mean bar")]
)
def test_an_outline_that_is_not_there_is_told(named: str, remedy: str) -> None:
    """A slip gets the nearest name, anything else all of them."""
    (fault,) = faults_of(two(f'require = [{{ at = 9, outline = "{named}" }}]'))
    assert fault.key == "seams.require[1].outline"
    assert remedy in fault.remedy


def test_a_lone_outline_may_be_named_by_its_places() -> None:
    """Its own name is right; where it has none there is nothing to name."""
    place = ('why = "till"', 'why = "till", outline = "ring"')
    named = ('shape = "ellipse"', 'shape = "ellipse"\nname = "ring"')
    assert read(changed(place, named)).seams.avoid == (Avoid(36 * INCH, 84 * INCH, "till", "ring"),)
    (fault,) = faults_of(changed(place))
    assert (fault.key, fault.remedy) == ("seams.avoid[1].outline", 'Leave it out, or give [outline] name = "ring"')


def test_required_seams_are_read() -> None:
    """In mm, with their reasons; a reason left out is a word all the same."""
    text = changed(("tight_radius = 60", 'require = [{ at = "12 ft 3 in", why = "gate jamb" }, { at = 9 }]'))
    first, second = read(text).seams.require
    assert (first.at, first.why, first.outline) == (pytest.approx(147 * INCH), "gate jamb", "")
    assert second == Require(9 * INCH, "required")


def test_zones_are_read() -> None:
    """A zone without a name has its number in the file."""
    zones = '[[zone]]\nfrom = 9\nto = 30\nheight = 36\n[[zone]]\nname = "low"\nfrom = "9 ft"\nto = 1\nheight = 20\n'
    assert read(changed(("[order]", f"{zones}[order]"))).zones == (
        Zone("zone 1", 9 * INCH, 30 * INCH, 36 * INCH),
        Zone("low", 108 * INCH, INCH, 20 * INCH),
    )
    assert read(BASE).zones == ()


def test_no_two_zones_have_one_name() -> None:
    """Nor has one the name that another has by its number."""
    zone = "[[zone]]\n{}from = 9\nto = 30\nheight = 36\n"
    named = zone.format('name = "zone 1"\n')
    (fault,) = faults_of(changed(("[order]", f"{zone.format('')}{named}[order]")))
    assert (fault.key, fault.value) == ("zone[2].name", '"zone 1"')
    assert not faults_of(changed(("[order]", f"{named}{zone.format('')}[order]")))


def test_a_zone_wraps_on_a_loop_only() -> None:
    """Its own outline decides, not the first of the file."""
    zone = '[[zone]]\nfrom = 30\nto = 9\nheight = 36\noutline = "{}"'
    assert not faults_of(two(zone=zone.format("bar")))
    (fault,) = faults_of(two(zone=zone.format("shelf")))
    assert (fault.key, fault.remedy) == ("zone[1].to", "Exchange from and to")


def test_a_stretch_wraps_by_its_own_outline() -> None:
    """As a zone does: the loop's may, the open line's may not."""
    avoid = 'avoid = [{{ from = 30, to = 9, outline = "{}" }}]'
    assert not faults_of(two(avoid.format("bar")))
    (fault,) = faults_of(two(avoid.format("shelf")))
    assert (fault.key, fault.remedy) == ("seams.avoid[1].to", "Exchange from and to")


def test_several_sheets_are_read_with_what_is_on_hand() -> None:
    """Count, remnant and the way of the scallops come to each; left out they are the model's."""
    more = '[[sheet]]\nlength = 96\nwidth = 48\ncount = 0\nremnant = true\nscallops = "either"\n'
    first, second = read(changed(("[order]", f"{more}[order]"))).sheets
    assert (first.count, first.remnant, first.scallops) == (None, False, "across")
    assert second.length == pytest.approx(96 * INCH)
    assert (second.count, second.remnant, second.scallops) == (0, True, "either")


def test_wishes_for_all_seams_are_read() -> None:
    """Labour a panel, even panels, mirrored seams, the shop's shear."""
    text = changed(
        ("tight_radius = 60", "panel_price = 90\neven = true\nsymmetric = true"),
        ("form_trim = 0.75", 'shear_length = "10 ft"'),
    )
    seams, face = read(text).seams, read(text).face
    assert (seams.panel_price, seams.even, seams.symmetric, face.shear_length) == (90.0, True, True, 120 * INCH)
    plain = read(BASE)
    assert (plain.seams.panel_price, plain.seams.even, plain.seams.symmetric) == (0.0, False, False)
    assert plain.face.shear_length is None


def test_cost_is_a_goal_like_any_other() -> None:
    """First where goals are left out, and where they are told it stands where they say."""
    assert read(changed(('goals = ["panels", "worst_seam", "different_lengths", "seam_cost"]', ""))).seams.goals == (
        "cost",
        "panels",
        "worst_seam",
        "different_lengths",
        "seam_cost",
    )
    assert read(changed(('goals = ["panels",', 'goals = ["panels", "cost",'))).seams.goals[:2] == ("panels", "cost")


def test_an_open_line_alone_still_cannot_wrap() -> None:
    """A required seam on it is read; whether it lies on the line is for the walk to say."""
    text = with_outline(PATH_OUTLINE).replace("[seams]", '[seams]\nrequire = [{ at = "9 ft" }]')
    assert read(text).seams.require == (Require(108 * INCH),)
