"""Keys of forming and buying: what they read, and what they refuse."""

from __future__ import annotations

import pytest

from layout.errors import JobFaults
from layout.job.model import Job
from layout.job.reading import parse_job
from layout.units import KG_PER_POUND, N_PER_LBF

BASE = """
title = "Bar"
units = "{units}"
[outline]
shape = "circle"
diameter = "9 ft"
[scallop]
form = "arc"
pitch = "2.75 in"
depth = "0.625 in"
{scallop}
[metal]
kind = "steel"
gauge = 24
{metal}
[face]
height = "40 in"
[fixing]
{fixing}
[[sheet]]
length = "120 in"
width = "48 in"
trim = "1/4 in"
{more}
"""


def job(more: str = "", units: str = "in", *, scallop: str = "", metal: str = "", fixing: str = "") -> Job:
    text = BASE.format(units=units, scallop=scallop, metal=metal, fixing=fixing, more=more)
    return parse_job(text.encode(), "bar.toml")


def faults(more: str = "", units: str = "in", **parts: str) -> dict[str, str]:
    with pytest.raises(JobFaults) as caught:
        job(more, units, **parts)
    return {fault.key: f"{fault.rule}. {fault.remedy}" for fault in caught.value.faults}


def test_left_out_nothing_is_assumed_but_what_says_so() -> None:
    """No tool, no press, no limits, no coating, no prices; three grooves, three rows, three strokes a minute."""
    plain = job()
    assert (plain.die.tool, plain.die.way, plain.die.measured) == (None, "free", None)
    assert (plain.press.capacity, plain.press.grooves, plain.press.speed) == (None, 3, 3.0)
    assert (plain.limits.openings, plain.coating, plain.costs.hour) == ((), None, None)
    assert (plain.fixing.rows, plain.fixing.pull, plain.limits.lift) == (3, None, 23.0)


def test_bare_forces_are_lbf_in_an_inch_job_and_kn_in_a_mm_job() -> None:
    """60 000 lbf is 30 tons; 300 kN is bare 300."""
    assert job("[press]\ncapacity = 60000").press.capacity == pytest.approx(60000 * float(N_PER_LBF))
    assert job('[press]\ncapacity = "30 ton"').press == job("[press]\ncapacity = 60000").press
    assert job("[press]\ncapacity = 300", "mm").press.capacity == 300e3
    assert job(fixing="pull = 60").fixing.pull == pytest.approx(60 * float(N_PER_LBF))


def test_a_fixing_that_holds_tons_is_a_slip_of_the_unit() -> None:
    """Bare 250 in a mm job is 250 kN; the last that is believed is 20 kN."""
    assert job(units="mm", fixing="pull = 20").fixing.pull == 20e3
    told = faults(units="mm", fixing="pull = 20.1")
    assert "bare numbers are lbf in an inch job, kN in a mm job" in told["fixing.pull"]


def test_tools_are_known_by_their_own_names() -> None:
    """However it is spaced or spelt, the name is that of the table; what is no tool is told what one is."""
    assert job('[die]\ntool = "3 IN  bar"').die.tool == "3 in bar"
    assert job('[die]\ntool = "2-1/2 in pipe"').die.tool == "NPS 2-1/2 pipe"
    assert "3 in bar" in faults('[die]\ntool = "3 in rail"')["die.tool"]


MEASURED = "scallops = 10, length = 27.5, depth = 0.625, flat = 31.2"


def test_what_is_measured_is_one_table() -> None:
    """All four are needed; top and bottom may be left out; a list is none."""
    found = job(f"[die]\nmeasured = {{ {MEASURED} }}").die.measured
    assert found is not None
    assert (found.scallops, found.length, found.length_top) == (10, 27.5 * 25.4, None)
    edges = job(f"[die]\nmeasured = {{ {MEASURED}, length_top = 27.6, length_bottom = 27.4 }}").die.measured
    assert edges is not None
    assert edges.length_top == pytest.approx(27.6 * 25.4)
    told = faults("[die]\nmeasured = { scallops = 10 }")
    assert set(told) == {"die.measured.length", "die.measured.depth", "die.measured.flat"}
    assert "table" in faults(f"[die]\nmeasured = [{{ {MEASURED} }}]")["die.measured"]
    assert "die.measured.curl" in faults(f"[die]\nmeasured = {{ {MEASURED}, curl = 1 }}")


@pytest.mark.parametrize("die", ['tool = "3 in bar"', f"measured = {{ {MEASURED} }}"])
def test_a_die_that_is_made_leaves_no_pitch_to_choose(die: str) -> None:
    """Beside a tool or a first-off a pitch range is a fault."""
    told = faults(f"[die]\n{die}", scallop='pitch_range = ["2.7 in", "2.8 in"]')
    assert "Leave pitch_range out" in told["scallop.pitch_range"]


def test_openings_are_lengths_or_pairs() -> None:
    """An oven by its length, a door by length and height, in the order of the table."""
    limits = job('[limits]\ndoor = ["9 ft", 80]\noven = "8 ft"\nlift = 40').limits
    assert [(one.name, one.length, one.height) for one in limits.openings] == [
        ("oven", 2438.4, None),
        ("door", 2743.2, 80 * 25.4),
    ]
    assert limits.lift == pytest.approx(40 * float(KG_PER_POUND))
    assert "[length, height]" in faults("[limits]\noven = [1, 2, 3]")["limits.oven"]
    assert "limits.oven" in faults("[limits]\noven = 0")


def test_a_coating_says_how_many_faces() -> None:
    """Film is mils in an inch job, µm in a mm job, each with its own default."""
    assert job("[coating]\nfaces = 2").coating.film == pytest.approx(2.5 * 0.0254)  # type: ignore[union-attr]
    assert job("[coating]\nfaces = 1", "mm").coating.film == pytest.approx(0.06)  # type: ignore[union-attr]
    assert job("[coating]\nfaces = 1\nfilm = 2", "in").coating.film == pytest.approx(0.0508)  # type: ignore[union-attr]
    assert "Add faces = 1" in faults("[coating]\ntransfer = 0.7")["coating.faces"]
    assert "coating.faces" in faults("[coating]\nfaces = 3")


def test_powder_is_priced_by_the_pound_or_the_kilogram() -> None:
    """6.50 a pound is 14.33 a kilogram."""
    assert job("[costs]\npowder = 6.5").costs.powder == pytest.approx(6.5 / float(KG_PER_POUND))
    assert job("[costs]\npowder = 14", "mm").costs.powder == 14.0


def test_sizes_to_compare_lose_what_the_first_sheet_loses() -> None:
    """Trims and kerf are the shop's, not the size's."""
    (size,) = job("[order]\ncompare = [{ length = 144, width = 48, price = 92 }]").order.compare
    assert (size.length, size.price, size.trim) == (144 * 25.4, 92.0, 6.35)
    assert "order.compare[1].width" in faults("[order]\ncompare = [{ length = 144 }]")


@pytest.mark.parametrize(
    ("metal", "key"),
    [
        ('yield_low = "34 ksi"\nyield = "33 ksi"', "metal.yield_low"),
        ('yield = "41 ksi"\nyield_high = "40 ksi"', "metal.yield"),
        ('yield_low = "41 ksi"\nyield_high = "40 ksi"', "metal.yield_low"),
        ('yield_high = "60 ksi"\ntensile = "50 ksi"', "metal.yield_high"),
    ],
)
def test_the_band_of_yields_holds_the_yield_planned_with(metal: str, key: str) -> None:
    """Low, planned, high, and tensile over them; a band of one yield is a band."""
    assert key in faults(metal=metal)
    one = job(metal='yield_low = "33 ksi"\nyield = "33 ksi"\nyield_high = "33 ksi"').metal
    assert one.yield_low == one.yield_ == one.yield_high


@pytest.mark.parametrize("key", ["bed", "between_uprights", "daylight", "speed", "grooves", "capacity"])
def test_figures_of_a_press_are_above_nothing(key: str) -> None:
    """Nought is refused by its own key."""
    assert list(faults(f"[press]\n{key} = 0")) == [f"press.{key}"]
