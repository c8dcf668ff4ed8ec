"""The DXF files: positions, curves as they are, layers, units, and that they repeat."""

from __future__ import annotations

import io
import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from ezdxf import options
from paper_plans import circle, make_job, make_plan, wander

from layout.face.planning import make_plan as make_real_plan
from layout.face.set_out import set_out
from layout.job.model import OutlineSpec, Straight, Turn
from layout.job.model_packet import PaperSpec
from layout.job.reading import read_job
from layout.outline.chain import Chain
from layout.outline.curves import EllipseArc
from layout.paper.dxf import curve_template_dxf, seam_map_dxf
from layout.paper.dxf_file import APPLICATION, CHORD_ERROR, plain
from layout.paper.dxf_layers import LAYERS
from layout.paper.dxf_places import stretch_of

DEMOS = Path(__file__).parents[2] / "demo_jobs"


@cache
def read(content):
    """Return a file as its own library reads it."""
    return ezdxf.read(io.StringIO(content.decode("utf-8")))


def on(document, layer, kind="*"):
    """Return the entities of a kind on a layer."""
    return list(document.modelspace().query(f'{kind}[layer=="{layer}"]'))


def size_of(plan):
    """Return the millimetres of the job's unit."""
    return 25.4 if plan.job.units == "in" else 1.0


def seams_in(document):
    """Return (number, station, x, y) of the point of every seam and every end of a run."""
    found = []
    for point in [*on(document, "SEAMS", "POINT"), *on(document, "RUN_ENDS", "POINT")]:
        number, station = (tag.value for tag in point.get_xdata(APPLICATION))
        found.append((number, station, point.dxf.location.x, point.dxf.location.y))
    return sorted(found)


@pytest.mark.parametrize("write", [seam_map_dxf, curve_template_dxf])
def test_seams_read_back_where_they_are(plan, write):
    """Number, station, x and y of every seam come back to 1e-6 of the job's unit."""
    found = seams_in(read(write(plan)))
    size = size_of(plan)
    assert len(found) == len(plan.seams)
    for seam, (number, *figures) in zip(plan.seams, found, strict=True):
        assert number == seam.number
        assert figures == pytest.approx([seam.station / size, seam.x / size, seam.y / size], abs=1e-6)


@pytest.mark.parametrize("write", [seam_map_dxf, curve_template_dxf])
def test_files_open_clean(plan, write):
    """The reader's own auditor finds no error and mends nothing."""
    auditor = read(write(plan)).audit()
    assert auditor.errors == []
    assert auditor.fixes == []


@pytest.mark.parametrize("write", [seam_map_dxf, curve_template_dxf])
def test_files_repeat(plan, write):
    """Written twice, the bytes are the same, and the writer's own switch is as before."""
    before = options.write_fixed_meta_data_for_testing
    assert write(plan) == write(plan)
    assert options.write_fixed_meta_data_for_testing == before


@pytest.mark.parametrize(("name", "code"), [("ring", 1), ("hollow", 4)])
def test_units_are_said(name, code, request):
    """$INSUNITS is 1 for inches, 4 for millimetres (DXF reference)."""
    document = read(seam_map_dxf(request.getfixturevalue(name)))
    assert document.header["$INSUNITS"] == code


def test_layers_are_named_by_what_they_hold(pair):
    """Every layer has its words, and nothing lies on another."""
    document = read(seam_map_dxf(pair))
    assert {layer.name for layer in LAYERS} <= {layer.dxf.name for layer in document.layers}
    assert {entity.dxf.layer for entity in document.modelspace()} <= {layer.name for layer in LAYERS}
    assert all(document.layers.get(layer.name).description == layer.holds for layer in LAYERS)


def test_curves_stay_what_they_are():
    """A circle is a circle, a path its straights and arcs, an ellipse an ellipse, in the job's units."""
    (ring,) = on(read(seam_map_dxf(make_plan(make_job(circle(2540.0)), 4))), "BACK_LINE")
    assert (ring.dxftype(), ring.dxf.radius) == ("CIRCLE", pytest.approx(50.0))
    path = on(read(seam_map_dxf(make_plan(make_job(wander()), 4))), "BACK_LINE")
    assert [entity.dxftype() for entity in path] == ["LINE", "ARC", "LINE", "ARC", "LINE"]
    assert sorted(e.dxf.radius for e in path if e.dxftype() == "ARC") == pytest.approx([900 / 25.4, 1200 / 25.4])
    oval = OutlineSpec("", "ellipse", length=2540.0, width=5080.0, inset=100.0)
    document = read(seam_map_dxf(make_plan(make_job(oval), 4)))
    drawn = on(document, "OUTLINE", "ELLIPSE")
    assert {round(entity.dxf.ratio, 12) for entity in drawn} == {0.5}
    assert drawn[0].dxf.major_axis.magnitude == pytest.approx(100.0)
    assert {entity.dxftype() for entity in on(document, "BACK_LINE")} == {"LWPOLYLINE"}


def along(entity):
    """Return dense points of an entity, every one of them on it."""
    match entity.dxftype():
        case "LINE":
            vertices = [entity.dxf.start.lerp(entity.dxf.end, share) for share in np.linspace(0.0, 1.0, 9)]
            return np.array([(v.x, v.y) for v in vertices])
        case "LWPOLYLINE":
            return np.array(entity.get_points("xy"))
    return np.array([(v.x, v.y) for v in entity.flattening(0.0005)])


@pytest.mark.parametrize("name", ["ring", "open_plan", "hollow", "pair"])
def test_back_line_is_drawn_where_it_is(name, request):
    """Every point of the drawn back line lies on the back line, to the stated error; its length agrees."""
    plan = request.getfixturevalue(name)
    document, size = read(seam_map_dxf(plan)), size_of(plan)
    points = [along(entity) * size for entity in on(document, "BACK_LINE")]
    for part in points:
        for point in part[:: max(1, len(part) // 60)]:
            off = min(float(lines.back.nearest(tuple(point))[1][0]) for lines in plan.lines)
            assert off <= CHORD_ERROR + 1e-6
    drawn = sum(float(np.linalg.norm(np.diff(part, axis=0), axis=1).sum()) for part in points)
    assert drawn == pytest.approx(sum(lines.back.length for lines in plan.lines), rel=1e-5)


@pytest.mark.parametrize(("a", "b"), [(3000.0, 1700.0), (1700.0, 3000.0)])
@pytest.mark.parametrize("sweep", [math.tau, -math.tau, 2.0, -2.0])
def test_ellipse_arcs_keep_their_ends(a, b, sweep):
    """Walked either way, the longer axis along x or y, turned: both ends and the middle are in place."""
    arc = EllipseArc(200.0, -100.0, a, b, rotation=0.4, start=0.7, sweep=sweep)
    plan = make_plan(make_job(circle(3000.0), units="mm"), 4)
    line = Chain((arc,), closed=False)
    lines = replace(plan.lines[0], drawn=line)
    (entity,) = on(read(seam_map_dxf(replace(plan, lines=(lines,)))), "OUTLINE")
    points = along(entity)
    for share in (0.0, 0.25, 0.5, 1.0):
        at = line.point(share * line.length)
        assert float(np.linalg.norm(points - at, axis=1).min()) < 2.0
    if abs(sweep) < math.tau:
        ends = sorted([points[0].tolist(), points[-1].tolist()])
        assert np.array(ends) == pytest.approx(np.array(sorted(line.point([0.0, line.length]).tolist())), abs=1e-6)


def test_panels_lie_end_to_end(open_plan):
    """Each panel is a stretch of the crest line under its number; together they are the whole of it."""
    document = read(seam_map_dxf(open_plan))
    parts = [entity for entity in on(document, "PANELS") if entity.dxftype() != "TEXT"]
    numbers = {entity.get_xdata(APPLICATION)[0].value for entity in parts}
    assert numbers == {panel.number for panel in open_plan.panels}
    drawn = sum(float(np.linalg.norm(np.diff(along(part), axis=0), axis=1).sum()) for part in parts)
    assert drawn * 25.4 == pytest.approx(open_plan.lines[0].crest.length, rel=1e-5)


def test_stretch_past_the_datum_runs_on(ring):
    """From near the end of a loop over station 0 the parts add up to the stretch."""
    back = ring.lines[0].back
    parts = stretch_of(back, back.length - 300.0, back.length + 500.0)
    assert math.fsum(part.length for part in parts) == pytest.approx(800.0)
    assert parts[1].point(np.array(500.0)) == pytest.approx(back.point(500.0))


def test_numbers_stretches_controls_and_ties_are_there(ring):
    """All seam and panel numbers, the words of both stretches, control points, and two ties a seam."""
    document, found = read(seam_map_dxf(ring)), set_out(ring)

    def words(layer):
        return [text.dxf.text for text in on(document, layer, "TEXT")]

    assert words("SEAM_NUMBERS") == [str(seam.number) for seam in ring.seams]
    assert words("PANELS") == [str(panel.number) for panel in ring.panels]
    assert words("SEAM_FREE") == ["till", "gate, kept free for the leaf"]
    assert words("CONTROLS") == [control.name for control in found.controls]
    assert words("DATUM") == ["datum"]
    ties = [math.dist(line.dxf.start, line.dxf.end) for line in on(document, "TIES", "LINE")]
    assert ties == pytest.approx([d / 25.4 for mark in found.marks for d in mark.ties.distances])


# Places that the job names.


@pytest.fixture(scope="module")
def bar():
    """Return the garden bar: a gate with a leaf, a lowered part, a socket, a viewpoint."""
    return make_real_plan(read_job(DEMOS / "garden_bar.toml"))


def stations_on(document, layer):
    """Return (station, x, y) of the points of a layer."""
    points = on(document, layer, "POINT")
    return [(point.get_xdata(APPLICATION)[0].value, point.dxf.location.x, point.dxf.location.y) for point in points]


def texts_on(document, layer):
    """Return the words of a layer."""
    return [text.dxf.text for text in on(document, layer, "TEXT")]


def length_on(document, layer):
    """Return the length of all curves and straights of a layer that are no ticks."""
    kinds = [entity for entity in on(document, layer) if entity.dxftype() in {"ARC", "LWPOLYLINE", "LINE"}]
    return [float(np.linalg.norm(np.diff(along(entity), axis=0), axis=1).sum()) for entity in kinds]


def test_opening_has_its_jambs_and_its_leaf(bar):
    """Both jambs stand at the job's stations on the back line to 1e-6; the leaf is short of them by its clearances."""
    document, (gate,) = read(seam_map_dxf(bar)), bar.job.openings
    back = bar.lines[0].back
    jambs = stations_on(document, "OPENINGS")
    for (station, x, y), asked in zip(jambs, (gate.start, gate.end), strict=True):
        assert station == pytest.approx(asked / 25.4, abs=1e-6)
        assert (x, y) == pytest.approx(tuple(back.point(asked) / 25.4), abs=1e-6)
    leaf = math.fsum(length_on(document, "LEAVES"))
    assert leaf == pytest.approx((gate.end - gate.start - 2 * gate.clearance) / 25.4, rel=1e-6)
    assert texts_on(document, "OPENINGS") == ["staff gate, leaf"]


def test_zone_and_cut_out_are_where_they_are(bar):
    """The low counter runs from 3 ft to 6 ft 4 in; the socket's middle is at 11 ft, 3 in wide."""
    document, back = read(seam_map_dxf(bar)), bar.lines[0].back
    zone = stations_on(document, "ZONES")
    assert [station for station, _, _ in zone] == pytest.approx([36.0, 76.0], abs=1e-6)
    for station, x, y in [*zone, *stations_on(document, "CUTOUTS")]:
        assert (x, y) == pytest.approx(tuple(back.point(station * 25.4) / 25.4), abs=1e-6)
    assert texts_on(document, "ZONES") == ["low counter, 2 ft 8 in high"]
    (socket,) = stations_on(document, "CUTOUTS")
    assert socket[0] == pytest.approx(132.0, abs=1e-6)
    assert any(length == pytest.approx(3.0, rel=1e-6) for length in length_on(document, "CUTOUTS"))
    assert texts_on(document, "CUTOUTS") == ["socket, 3 in × 4 1/2 in, 1 ft up"]


def test_viewpoints_and_walls_are_drawn(looked):
    """Each viewpoint is a point with what it sees; each wall a polyline through its points."""
    document = read(seam_map_dxf(looked))
    places = [(p.dxf.location.x, p.dxf.location.y) for p in on(document, "VIEWPOINTS", "POINT")]
    assert places == [pytest.approx((x / 25.4, y / 25.4), abs=1e-6) for x, y in (v.at for v in looked.job.viewpoints)]
    words = texts_on(document, "VIEWPOINTS")
    assert all(text.startswith(f"{v.name}: ") for text, v in zip(words, looked.job.viewpoints, strict=True))
    walls = [np.array(wall.get_points("xy")) for wall in on(document, "WALLS", "LWPOLYLINE")]
    for drawn, wall in zip(walls, looked.job.walls, strict=True):
        assert drawn * 25.4 == pytest.approx(np.array(wall.points), abs=1e-5)


@pytest.mark.parametrize("degrees", [90.0, -60.0])
def test_sharp_corners_are_ringed(degrees):
    """A counter that turns on the spot: the ring stands where it turns, with its angle and how it is built."""
    steps = (Straight(2000.0), Turn(math.radians(degrees), 0.0), Straight(1500.0))
    spec = OutlineSpec("", "path", closed=False, steps=steps, face="right", corner="mitre")
    document = read(seam_map_dxf(make_real_plan(make_job(spec, units="mm"))))
    (ring,) = on(document, "CORNERS", "CIRCLE")
    assert (ring.dxf.center.x, ring.dxf.center.y) == pytest.approx((2000.0, 0.0), abs=1e-6)
    assert texts_on(document, "CORNERS") == [f"corner {abs(degrees):.1f}°, mitre"]


@pytest.mark.parametrize("write", [seam_map_dxf, curve_template_dxf])
def test_title_block_says_what_the_drawing_is(write, ring):
    """Job, drawing, revision, date as the job gives it, units hash; without a date its room is left."""
    dated = replace(ring, job=replace(ring.job, paper=PaperSpec(date="3 March")))
    words = texts_on(read(write(dated, revision="C")), "TITLE")
    said = dict(zip(words[::2], words[1::2], strict=True))
    assert said["job"] == ring.job.title
    assert (said["revision"], said["date"], said["job file"]) == ("C", "3 March", ring.job.digest[:12])
    assert said["units"] == "inches, full size"
    bare = texts_on(read(write(ring)), "TITLE")
    assert bare[bare.index("date") + 1] == "units"


@pytest.mark.parametrize("job", sorted(path.name for path in DEMOS.glob("*.toml")))
def test_every_demo_opens_clean(job):
    """Both files of every demo have no error and nothing to mend, and hold every seam to 1e-6 of the unit."""
    plan = make_real_plan(read_job(DEMOS / job))
    for write in (seam_map_dxf, curve_template_dxf):
        document = read(write(plan))
        auditor = document.audit()
        assert (auditor.errors, auditor.fixes) == ([], [])
        for seam, found in zip(plan.seams, seams_in(document), strict=True):
            size = size_of(plan)
            assert found == pytest.approx((seam.number, seam.station / size, seam.x / size, seam.y / size), abs=1e-6)


def test_panel_number_stands_clear_of_the_datum():
    """A panel whose middle is the datum has its number beside the datum's mark, not on it."""
    plan = make_plan(make_job(circle(3000.0)), 4)
    run = plan.runs[0]
    centred = replace(plan.panels[0], first_scallop=run.scallops - 8, scallops=16)
    document = read(seam_map_dxf(replace(plan, panels=(centred,))))
    (number,) = on(document, "PANELS", "TEXT")
    (mark,) = on(document, "DATUM", "LWPOLYLINE")
    right = max(x for x, _ in mark.get_points("xy"))
    assert number.dxf.align_point.x - number.dxf.height / 2 > right


def test_check_square_is_four_inches_or_a_hundred_millimetres(ring, hollow):
    """The template's square tells whether it was cut at full size."""
    for plan, side in ((ring, 4.0), (hollow, 100.0)):
        (square,) = on(read(curve_template_dxf(plan)), "NOTES", "LWPOLYLINE")
        corners = np.array(square.get_points("xy"))
        assert np.ptp(corners, axis=0) == pytest.approx([side, side], abs=1e-9)


@pytest.mark.parametrize("title", ["Bar\n0\nEOF", "10 %% off ^J", "Zażółć – 吧台 🍞", "\x07bell"])
def test_any_title_is_one_line_of_text(title, ring):
    """Line breaks, codes and any letters of a title leave the file whole."""
    plan = replace(ring, job=replace(ring.job, title=title))
    document = read(seam_map_dxf(plan))
    assert document.audit().errors == []
    assert any(text.dxf.text == plain(title) for text in on(document, "TITLE", "TEXT"))
    assert len(seams_in(document)) == 40
