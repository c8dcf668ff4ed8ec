"""Every malformed job file is refused with the dotted key, the rule and the remedy."""

from __future__ import annotations

import pytest

from layout.job.keys import LATER
from tests.job.job_texts import (
    BASE,
    PATH_OUTLINE,
    ROUND_OUTLINE,
    changed,
    faults_of,
    with_outline,
)

Change = tuple[str, str]

ONE_FAULT: list[tuple[Change, str, str]] = [
    # top
    (("format = 1", "format = 2"), "format", "Write format = 1"),
    (("format = 1", "format = true"), "format", "Write format = 1"),
    (("format = 1", "format = 1.0"), "format", "Write format = 1"),
    (('title = "Ring bar, east hall"', ""), "title", "Add it, as title ="),
    (('title = "Ring bar, east hall"', 'title = ""'), "title", "Write a few words"),
    (('title = "Ring bar, east hall"', 'title = "  "'), "title", "Write a few words"),
    (('title = "Ring bar, east hall"', "title = 12"), "title", "between quotes"),
    (('title = "Ring bar, east hall"', 'title = "two\\nlines"'), "title", "one line"),
    (('title = "Ring bar, east hall"', f'title = "{"x" * 201}"'), "title", "shorter"),
    (('title = "Ring bar, east hall"', 'titel = "x"\ntitle = "y"'), "titel", "Did you mean title"),
    (("format = 1", "format = 1\nheight = 42"), "height", "stands in [face]"),
    (("format = 1", "format = 1\nzzz = 1"), "zzz", "Leave it out"),
    # tables
    (("[order]", "[ordr]\n[order]"), "ordr", "Did you mean order"),
    (("[fixing]", "[[fixing]]"), "fixing", "Write [fixing]"),
    (("[[sheet]]", "[sheet]"), "sheet", "Write [[sheet]]"),
    # outline
    (('shape = "ellipse"', 'shape = "oval"'), "outline.shape", "Did you mean ellipse or stadium"),
    (
        ('shape = "ellipse"\nlength = "19 ft 6 in"\nwidth = "12 ft 4 in"', 'shape = "dxf"'),
        "outline.file",
        "Add file to [outline]",
    ),
    (('shape = "ellipse"', "shape = 3"), "outline.shape", "between quotes"),
    (('shape = "ellipse"', ""), "outline.shape", "Add it, as shape"),
    (('shape = "ellipse"', 'shape = "ellipse"\ndiameter = 90'), "outline.diameter", "length and width"),
    (('shape = "ellipse"', 'shape = "ellipse"\nclosed = true'), "outline.closed", "length and width"),
    (('shape = "ellipse"', 'shape = "ellipse"\nname = ""'), "outline.name", "Write a few words"),
    (('length = "19 ft 6 in"', ""), "outline.length", "Add length to [outline]"),
    (('length = "19 ft 6 in"', 'length = "19 ft 16 in"'), "outline.length", "Carry whole feet"),
    (('length = "19 ft 6 in"', 'length = "19 psi"'), "outline.length", "Use one of in"),
    (('length = "19 ft 6 in"', "length = 0"), "outline.length", "larger"),
    (('length = "19 ft 6 in"', "length = -3"), "outline.length", "larger"),
    (('length = "19 ft 6 in"', "length = nan"), "outline.length", "24 ft 3 1/2 in"),
    (('length = "19 ft 6 in"', "length = inf"), "outline.length", "24 ft 3 1/2 in"),
    (('length = "19 ft 6 in"', "length = 1e300"), "outline.length", "smaller"),
    (('length = "19 ft 6 in"', f"length = 0x{'F' * 5000}"), "outline.length", "digits"),
    (('length = "19 ft 6 in"', 'length = "1001 m"'), "outline.length", "smaller"),
    (('length = "19 ft 6 in"', "length = true"), "outline.length", "24 ft 3 1/2 in"),
    (('length = "19 ft 6 in"', "length = [3]"), "outline.length", "24 ft 3 1/2 in"),
    (('length = "19 ft 6 in"', "length = 1979-05-27"), "outline.length", "24 ft 3 1/2 in"),
    (("inset = 9.5", 'inset = "9.5 kg"'), "outline.inset", "Use one of in"),
    (("inset = 9.5", 'inset = "-1001 m"'), "outline.inset", "larger"),
    (('face = "outside"', 'face = "left"'), "outline.face", "Write outside"),
    (('face = "outside"', 'face = "front"'), "outline.face", "between quotes"),
    (("datum = [0, -74]", "datum = [0]"), "outline.datum", "[x, y]"),
    (("datum = [0, -74]", 'datum = "0, -74"'), "outline.datum", "[x, y]"),
    (("datum = [0, -74]", "datum = [0, true]"), "outline.datum", "24 ft 3 1/2 in"),
    (("datum = [0, -74]", "datam = [0, -74]"), "outline.datam", "Did you mean datum"),
    # scallop
    (('form = "arc"', 'form = "round"'), "scallop.form", "between quotes"),
    (('form = "arc"', 'form = "arc-tangent"'), "scallop.radius", "Add radius to [scallop]"),
    (('form = "arc"', 'form = "arc-flat"'), "scallop.flat", "Add flat to [scallop]"),
    (('form = "arc"', 'form = "sine"\nvalley_radius = 0.1'), "scallop.valley_radius", "Leave it out"),
    (('form = "arc"', 'form = "arc"\nflat = 0.1'), "scallop.flat", "Leave it out"),
    (('form = "arc"', 'form = "arc-flat"\nflat = 2.75'), "scallop.flat", "shorter flat"),
    (("pitch = 2.75", ""), "scallop.pitch", "Add it, as pitch = 2.75"),
    (("pitch = 2.75", "pitch = 0.1"), "scallop.pitch", "larger"),
    (("pitch = 2.75", 'pitch = "1.1 m"'), "scallop.pitch", "smaller"),
    (("pitch = 2.75", "pitch = 2.81"), "scallop.pitch_range", "Widen it"),
    (("depth = 0.625", "depth = 0"), "scallop.depth", "larger"),
    (("depth = 0.625", "depth = 1.38"), "scallop.depth", "at most 1.3750 in"),
    (("pitch_range = [2.70, 2.80]", "pitch_range = [2.80, 2.70]"), "scallop.pitch_range", "[least, most]"),
    (("pitch_range = [2.70, 2.80]", "pitch_range = 2.7"), "scallop.pitch_range", "[least, most]"),
    (
        ("pitch_range = [2.70, 2.80]", "pitch_range = [2.7, 2.75, 2.8]"),
        "scallop.pitch_range",
        "[least, most]",
    ),
    (('count_on = "neutral"', 'count_on = "middle"'), "scallop.count_on", '"neutral"'),
    (("most_take_up = 0.02", "most_take_up = 0.21"), "scallop.most_take_up", "in between"),
    (("most_take_up = 0.02", "most_take_up = -0.01"), "scallop.most_take_up", "in between"),
    (("most_take_up = 0.02", 'most_take_up = "2 %"'), "scallop.most_take_up", "without quotes"),
    (("most_take_up = 0.02", "most_take_up = nan"), "scallop.most_take_up", "from 0 to 0.2"),
    # metal
    (('kind = "steel"', 'kind = "tin"'), "metal.kind", "between quotes"),
    (('kind = "steel"', ""), "metal.kind", "Add it, as kind"),
    (("gauge = 24", ""), "metal.gauge", "Add gauge"),
    (("gauge = 24", "gauge = 24\nthickness = 0.0239"), "metal.gauge", "Leave one"),
    (("gauge = 24", "gauge = 24.0"), "metal.gauge", "without decimals"),
    (("gauge = 24", 'gauge = "24"'), "metal.gauge", "bare"),
    (("gauge = 24", "gauge = 41"), "metal.gauge", "in between"),
    (("gauge = 24", "gauge = 38"), "metal.gauge", "or give thickness instead"),
    (("gauge = 24", "thickness = 24"), "metal.thickness", "smaller"),
    (("gauge = 24", 'thickness = "0.04 mm"'), "metal.thickness", "larger"),
    (("gauge = 24", "gauge = 24\nmodulus = 29500"), "metal.modulus", "psi"),
    (("gauge = 24", 'gauge = 24\nyield = "36 in"'), "metal.yield", "psi, ksi"),
    (("gauge = 24", "gauge = 24\nyield = 36"), "metal.yield", "psi"),
    (("gauge = 24", 'gauge = 24\nyield = "60 ksi"\ntensile = "50 ksi"'), "metal.yield", "tensile"),
    (("gauge = 24", "gauge = 24\ndensity = 7850"), "metal.density", "lb/in³"),
    (("gauge = 24", "gauge = 24\ngage = 24"), "metal.gage", "Did you mean gauge"),
    # face
    (("height = 42", ""), "face.height", "Add it, as height = 40"),
    (("height = 42", "height = -42"), "face.height", "larger"),
    (("top_return = 0.75", "top_return = -0.75"), "face.top_return", "larger"),
    (('seam = "lap"', 'seam = "weld"'), "face.seam", '"lap"'),
    (('seam = "lap"', "seam = true"), "face.seam", '"lap"'),
    (('lap_goes = "under"', 'lap_goes = "below"'), "face.lap_goes", '"under"'),
    (('ends = "whole"', 'ends = "half"'), "face.ends", '"whole"'),
    (("smallest_panel = 6", "smallest_panel = 0"), "face.smallest_panel", "in between"),
    (("smallest_panel = 6", 'smallest_panel = "6"'), "face.smallest_panel", "bare"),
    (('largest_panel = "9 ft"', "largest_panel = 5"), "face.largest_panel", "smallest_panel"),
    (('largest_panel = "9 ft"', "largest_panel = 0"), "face.largest_panel", "in between"),
    (('largest_panel = "9 ft"', "largest_panel = -9.5"), "face.largest_panel", "larger"),
    (('largest_panel = "9 ft"', "largest_panel = false"), "face.largest_panel", "24 ft"),
    (("form_trim = 0.75", "form_trim = -1"), "face.form_trim", "larger"),
    (("form_trim = 0.75", "shear_length = 0"), "face.shear_length", "larger"),
    (("form_trim = 0.75", 'shear_length = "ten feet"'), "face.shear_length", "24 ft"),
    (("form_trim = 0.75", "pitch = 3"), "face.pitch", "stands in [scallop]"),
    # fixing
    (("edge = 0.5", "edge = -0.5"), "fixing.edge", "larger"),
    (("every = 1", "every = 0"), "fixing.every", "in between"),
    (("every = 1", "every = 1.5"), "fixing.every", "without decimals"),
    # seams
    (("tight_radius = 60", "tight_radius = 0"), "seams.tight_radius", "larger"),
    (('from = "3 ft", ', ""), "seams.avoid[1].from", "Add it, as from"),
    (('from = "3 ft"', "from = -1"), "seams.avoid[1].from", "larger"),
    (('from = "3 ft"', "from = true"), "seams.avoid[1].from", "24 ft"),
    (('from = "3 ft"', 'from = "7 ft"'), "seams.avoid[1].to", "another station"),
    (('why = "till"', 'wy = "till"'), "seams.avoid[1].wy", "Did you mean why"),
    (('why = "till"', 'why = ""'), "seams.avoid[1].why", "Write a few words"),
    (('goals = ["panels",', 'goals = ["price",'), "seams.goals", '["cost", "panels"]'),
    (('goals = ["panels",', 'goals = ["worst_seam",'), "seams.goals", "at most once"),
    (('goals = ["panels",', 'goals = [["panels"],'), "seams.goals", '["cost", "panels"]'),
    (('goals = ["panels",', "goals = [{ a = 1 },"), "seams.goals", '["cost", "panels"]'),
    (("tight_radius = 60", "panel_price = -1"), "seams.panel_price", "in between"),
    (("tight_radius = 60", 'panel_price = "90"'), "seams.panel_price", "without quotes"),
    (("tight_radius = 60", "even = 1"), "seams.even", "true or false"),
    (("tight_radius = 60", 'symmetric = "yes"'), "seams.symmetric", "true or false"),
    (("tight_radius = 60", "require = [{ why = 'jamb' }]"), "seams.require[1].at", "Add it, as at"),
    (("tight_radius = 60", "require = [{ at = -1 }]"), "seams.require[1].at", "larger"),
    (("tight_radius = 60", "require = [{ at = 9, why = 7 }]"), "seams.require[1].why", "between quotes"),
    (("tight_radius = 60", "require = [{ at = 9, form = 7 }]"), "seams.require[1].form", "stands in [scallop]"),
    (("tight_radius = 60", "require = [9]"), "seams.require[1]", "{ key"),
    (("tight_radius = 60", "require = { at = 9 }"), "seams.require", "[{"),
    (("tight_radius = 60", "tight_radios = 60"), "seams.tight_radios", "Did you mean tight_radius"),
    (('avoid = [{ from = "3 ft", to = "7 ft", why = "till" }]', "avoid = [12]"), "seams.avoid[1]", "{ key"),
    (('avoid = [{ from = "3 ft", to = "7 ft", why = "till" }]', "avoid = 12"), "seams.avoid", "[{"),
    (
        ('avoid = [{ from = "3 ft", to = "7 ft", why = "till" }]', "avoid = [{ from = 1, to = 2 }, 3]"),
        "seams.avoid[2]",
        "{ key",
    ),
    (("price = 71.50", "pryce = 71.50"), "sheet[1].pryce", "Did you mean price"),
    # sheet
    (("length = 120", ""), "sheet[1].length", "Add it, as length = 120"),
    (("width = 48", "width = 0"), "sheet[1].width", "larger"),
    (("trim = 0.25", "trim = 60"), "sheet[1].trim", "smaller trim"),
    (("price = 71.50", "count = -1"), "sheet[1].count", "in between"),
    (("price = 71.50", "count = 2.0"), "sheet[1].count", "without decimals"),
    (("price = 71.50", "remnant = 1"), "sheet[1].remnant", "true or false"),
    (("price = 71.50", 'scallops = "up"'), "sheet[1].scallops", '"across"'),
    (("price = 71.50", "remnent = true"), "sheet[1].remnent", "Did you mean remnant"),
    (
        ("[order]", "[[sheet]]\nlength = 96\nwidth = 48\ntrim = 50\n[order]"),
        "sheet[2].trim",
        "smaller trim",
    ),
    (("trim = 0.25", "edge_trim = 24"), "sheet[1].edge_trim", "smaller edge_trim"),
    (("trim = 0.25", "kerf = -0.1"), "sheet[1].kerf", "larger"),
    (("price = 71.50", "price = -1"), "sheet[1].price", "in between"),
    (("price = 71.50", "price = 71.33333"), "sheet[1].price", "Round it, as 71.3333"),
    (("price = 71.50", "price = inf"), "sheet[1].price", "from 0"),
    # zone
    (("[order]", "[zone]\nfrom = 3\nto = 9\nheight = 30\n[order]"), "zone", "Write [[zone]]"),
    (("[order]", "[[zone]]\nto = 9\nheight = 30\n[order]"), "zone[1].from", "Add it, as from"),
    (("[order]", "[[zone]]\nfrom = 3\nheight = 30\n[order]"), "zone[1].to", "Add it, as to"),
    (("[order]", "[[zone]]\nfrom = 3\nto = 9\n[order]"), "zone[1].height", "Add it, as height"),
    (("[order]", "[[zone]]\nfrom = 3\nto = 3\nheight = 30\n[order]"), "zone[1].to", "face.height"),
    (("[order]", "[[zone]]\nfrom = 3\nto = 9\nheight = 1\n[order]"), "zone[1].height", "unit"),
    (("[order]", "[[zone]]\nfrom = 3\nto = 9\nheight = 30\nwhy = 3\n[order]"), "zone[1].why", "stands in"),
    # order
    (("spare = 0.10", "spare = 1.01"), "order.spare", "in between"),
    (("spare = 0.10", "spare = -0.01"), "order.spare", "in between"),
    (("spare = 0.10", 'spare = "10 %"'), "order.spare", "without quotes"),
    (("prove_out = 1", "prove_out = -1"), "order.prove_out", "in between"),
    (("prove_out = 1", "prove_out = true"), "order.prove_out", "bare"),
]


@pytest.mark.parametrize(("change", "key", "remedy"), ONE_FAULT, ids=[f"{k}: {c[1][:40]}" for c, k, _ in ONE_FAULT])
def test_one_slip_is_one_fault_with_its_key_and_remedy(change: Change, key: str, remedy: str) -> None:
    """A file with one slip tells that one, where it is, and what to do."""
    faults = faults_of(changed(change))
    assert [fault.key for fault in faults] == [key]
    assert remedy in faults[0].remedy
    assert faults[0].rule


OUTLINES: list[tuple[str, Change, str, str]] = [
    (ROUND_OUTLINE, ('diameter = "9 ft"', 'length = "9 ft"\ndiameter = 108'), "outline.length", "diameter"),
    (ROUND_OUTLINE, ('diameter = "9 ft"', 'diameter = "9 ft"\nradius = 54'), "outline.radius", "diameter"),
    (ROUND_OUTLINE, ('diameter = "9 ft"', ""), "outline.diameter", "Add diameter"),
    (ROUND_OUTLINE, ("[outline]", "[[outline]]\nfoo = 1"), "outline[1].foo", "known here: name, shape"),
    (PATH_OUTLINE, ('{ straight = "6 ft" }, ', "3, "), "outline.steps[1]", "{ key"),
    (PATH_OUTLINE, ('{ straight = "6 ft" }, ', "{ }, "), "outline.steps[1]", "{ straight = 100 }"),
    (PATH_OUTLINE, ('"6 ft" }', '"6 ft", arc = 90 }'), "outline.steps[1]", "{ straight = 100 }"),
    (PATH_OUTLINE, ('"6 ft" }', '"6 ft", radius = 9 }'), "outline.steps[1].radius", "Leave it out"),
    (PATH_OUTLINE, (", radius = 30", ""), "outline.steps[2].radius", "Add radius"),
    (PATH_OUTLINE, (', turn = "left"', ""), "outline.steps[2].turn", "Add turn"),
    (PATH_OUTLINE, ('turn = "left"', 'turn = "up"'), "outline.steps[2].turn", '"left"'),
    (PATH_OUTLINE, ("arc = 90", "arc = 0"), "outline.steps[2].arc", "in between"),
    (PATH_OUTLINE, ("arc = 90", "arc = 361"), "outline.steps[2].arc", "in between"),
    (PATH_OUTLINE, ("radius = 30", 'radius = "r"'), "outline.steps[2].radius", "24 ft"),
    (PATH_OUTLINE, ("straight = 40", "straight = 0"), "outline.steps[3].straight", "larger"),
    (PATH_OUTLINE, ("straight = 40", "strait = 40, straight = 3"), "outline.steps[3].strait", "straight"),
    (
        PATH_OUTLINE,
        ('steps = [{ straight = "6 ft" }, ', "steps = []\nx = [{}, "),
        "outline.steps",
        "Add a straight",
    ),
    (PATH_OUTLINE, ("closed = false", 'closed = "no"'), "outline.closed", "true or false"),
    (PATH_OUTLINE, ("heading = 90", 'heading = "90 in"'), "outline.heading", "deg"),
    (PATH_OUTLINE, ('face = "right"', 'face = "outside"'), "outline.face", "Write right"),
    (PATH_OUTLINE, ('face = "right"', "datum = [0, 0]"), "outline.datum", "Leave datum out"),
]


@pytest.mark.parametrize(("outline", "change", "key", "remedy"), OUTLINES)
def test_every_shape_has_its_own_keys(outline: str, change: Change, key: str, remedy: str) -> None:
    """What a shape lacks, and what belongs to another shape, is told by the key of its outline."""
    faults = faults_of(with_outline(changed(change, text=outline)))
    told = {fault.key: fault.remedy for fault in faults if not fault.key.endswith(".x")}
    assert list(told) == [key]
    assert remedy in told[key]


def test_corners_may_be_rounded_up_to_half_the_shorter_side() -> None:
    """48 of 96 is a stadium's end; more cannot be."""
    shape = '[outline]\nshape = "rounded-rectangle"\nlength = 120\nwidth = 96\nradius = {}\n'
    assert not faults_of(with_outline(shape.format("48")))
    (fault,) = faults_of(with_outline(shape.format('"48 1/16"')))
    assert fault.key == "outline.radius"
    assert "smaller radius" in fault.remedy


def test_a_later_key_is_told_apart_from_an_unknown_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is planned but not read yet is refused with what it is for, never silently dropped."""
    monkeypatch.setitem(LATER[""], "lamp", "lights over the counter")
    (fault,) = faults_of(changed(("[order]", "[[lamp]]\n[order]")))
    assert fault.key == "lamp"
    assert fault.rule == "lamp (lights over the counter) is not yet known"
    assert fault.remedy == "Leave it out for now"


def test_a_later_key_is_never_offered_for_an_unknown_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Did you mean names only what would be read."""
    monkeypatch.setitem(LATER[""], "awning", "a roof over the counter")
    (fault,) = faults_of(changed(("[order]", "[awnings]\n[order]")))
    assert fault.key == "awnings"
    assert fault.rule == "this key is not known"
    assert "awning," not in fault.remedy
    assert "Did you mean" not in fault.remedy


def test_a_stretch_wraps_on_a_loop_only() -> None:
    """From > to passes the datum of a loop; an open path has none to pass."""
    back = ('from = "3 ft", to = "7 ft"', 'from = "7 ft", to = "3 ft"')
    assert not faults_of(changed(back))
    text = with_outline(PATH_OUTLINE).replace("[seams]", "[seams]\navoid = [{ from = 9, to = 3 }]")
    (fault,) = faults_of(text)
    assert (fault.key, fault.remedy) == ("seams.avoid[1].to", "Exchange from and to")
    assert not faults_of(text.replace("from = 9, to = 3", "from = 3, to = 9"))


@pytest.mark.parametrize("outline", [ROUND_OUTLINE, PATH_OUTLINE])
def test_a_stretch_does_not_end_where_it_begins(outline: str) -> None:
    """From = to is no stretch, on a loop (nothing, or all of it?) as on an open path; 36 in is 3 ft."""
    text = with_outline(outline).replace("[seams]", '[seams]\navoid = [{ from = 36, to = "3 ft" }]')
    (fault,) = faults_of(text)
    assert (fault.key, fault.remedy) == ("seams.avoid[1].to", "Give another station")
    assert not faults_of(text.replace('"3 ft"', '"3 ft 1/16 in"'))


def test_all_faults_of_a_file_are_told_at_once() -> None:
    """Six slips in six tables are six faults, each at its key."""
    text = changed(
        ('title = "Ring bar, east hall"', ""),
        ('length = "19 ft 6 in"', "length = -1"),
        ("depth = 0.625", 'depth = "deep"'),
        ('seam = "lap"', 'seem = "lap"'),
        ('from = "3 ft"', "from = nan"),
        ("trim = 0.25", "trim = 70"),
    )
    assert {fault.key for fault in faults_of(text)} == {
        "title",
        "outline.length",
        "scallop.depth",
        "face.seem",
        "seams.avoid[1].from",
        "sheet[1].trim",
    }
    assert len(faults_of(text)) == 6


def test_a_fault_shows_the_value_as_the_file_has_it() -> None:
    """Text in quotes, true as true, long text cut, control characters made visible."""
    assert faults_of(changed(('seam = "lap"', 'seam = "weld"')))[0].value == '"weld"'
    assert faults_of(changed(('seam = "lap"', "seam = true")))[0].value == "true"
    long = faults_of(changed(('seam = "lap"', f'seam = "{"w" * 500}"')))[0].value
    assert len(long) == 60
    assert long.endswith("…")
    sneaky = faults_of(changed(('seam = "lap"', 'seam = "\\u001b[2J\\u202e"')))[0].value
    assert sneaky.isprintable()


def test_with_unknown_units_sizes_are_not_judged() -> None:
    """2.75 of nobody knows what is no fault of its own: only units is."""
    assert [fault.key for fault in faults_of(changed(('units = "in"', 'units = "cm"')))] == ["units"]
    assert [fault.key for fault in faults_of(changed(('units = "in"', "")))] == ["units"]


@pytest.mark.parametrize("table", ["outline", "scallop", "metal", "face"])
def test_a_table_that_must_be_there_is_asked_for_once(table: str) -> None:
    """A missing table is one fault, not one for each of its keys; what depends on it stays silent."""
    head, rest = BASE.split(f"[{table}]", 1)
    after = rest[rest.index("\n[") + 1 :]
    (fault,) = faults_of(head + after)
    assert fault.key == table
    assert f"Add [{table}]" in fault.remedy


def test_a_job_has_at_least_one_sheet() -> None:
    """Without a stock size nothing can be cut."""
    head, rest = BASE.split("[[sheet]]", 1)
    (fault,) = faults_of(head + rest[rest.index("[order]") :])
    assert (fault.key, fault.remedy) == ("sheet", "Add [[sheet]] with length, width")


def test_the_second_stretch_is_told_as_the_second() -> None:
    """Lists count from 1."""
    (fault,) = faults_of(changed(('why = "till" }]', 'why = "till" }, { from = 9 }]')))
    assert fault.key == "seams.avoid[2].to"
