"""The SVG map: well-formed, text as text, ids and classes for whoever works on with it."""

from __future__ import annotations

from collections import Counter
from xml.etree import ElementTree as ET

from layout.paper.frame import Paper, finish
from layout.paper.primitives import Text
from layout.paper.seam_map import draw_seam_map
from layout.paper.svg import write_svg

SVG = "{http://www.w3.org/2000/svg}"


def parsed(text):
    """Parse a file that we wrote ourselves."""
    return ET.fromstring(text)  # noqa: S314 - our own file


def test_map_is_well_formed_and_ids_are_single(plan):
    """The file parses, and no id is used twice."""
    root = parsed(write_svg(finish(draw_seam_map(plan), plan.job)[0], "map"))
    ids = Counter(element.get("id") for element in root.iter() if element.get("id"))
    assert max(ids.values()) == 1
    assert {f"seam-{seam.number}" for seam in plan.seams} <= set(ids)


def test_map_has_every_number_as_text(ring):
    """The seam with id seam-n reads n, and is of its class."""
    root = parsed(write_svg(finish(draw_seam_map(ring), ring.job)[0], "map"))
    texts = {element.get("id"): element for element in root.iter(f"{SVG}text")}
    for seam in ring.seams:
        assert texts[f"seam-{seam.number}"].text == str(seam.number)
        assert texts[f"seam-{seam.number}"].get("class") == "seam-number"


def test_drawing_is_in_millimetres(hollow):
    """One unit of the file is a millimetre, the file as large as its paper."""
    root = parsed(write_svg(finish(draw_seam_map(hollow), hollow.job)[0], "map"))
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("297mm", "210mm", "0 0 297 210")


def test_markup_in_a_title_is_escaped():
    """Signs that XML keeps for itself, and control characters, do not break the file."""
    text = 'Bar <2> & "co"\x00\x1b'
    root = parsed(write_svg(Paper("x", 10, 10, (Text((1, 1), text, 9.0),)), text))
    assert root.find(f"{SVG}title").text == 'Bar <2> & "co"'
    assert root.find(f"{SVG}text").text == 'Bar <2> & "co"'


def test_up_on_paper_is_down_in_the_file():
    """Paper runs upwards, SVG downwards; a left turn on paper is a right turn there."""
    root = parsed(write_svg(Paper("x", 10, 10, (Text((1, 2), "a", 9.0, angle=30.0),)), "x"))
    text = root.find(f"{SVG}text")
    assert (text.get("x"), text.get("y")) == ("1", "8")
    assert text.get("transform") == "rotate(-30 1 8)"
