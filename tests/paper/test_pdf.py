"""The PDF file: readable by others, text as text, the same bytes every time."""

from __future__ import annotations

import io
import math
import os
import re
import subprocess
import sys

import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream

from layout.paper.frame import Paper
from layout.paper.letters import PT, text_width
from layout.paper.packet import draw_packet
from layout.paper.pdf import write_pdf
from layout.paper.primitives import Area, Circle, Lines, Style, Text

INK = Style("#141414", 1.0)


def paper(*items, name="Drawing"):
    """Return a small paper, 100 × 50 mm."""
    return Paper(name, 100.0, 50.0, items)


def read(*papers, title="Bar"):
    """Write papers and open them with an independent reader."""
    return PdfReader(io.BytesIO(write_pdf(papers, title)), strict=True)


def test_paper_has_its_size():
    """100 × 50 mm is 100/25.4·72 by 50/25.4·72 points."""
    box = read(paper()).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx((100 / 25.4 * 72, 50 / 25.4 * 72), abs=1e-3)


def test_text_comes_back_as_text():
    """Fractions, feet and letters of other scripts can be searched and copied."""
    words = ["24 ft 3 1/2 in × ½", "−0.0239 “first yield”", "Жаба è ≤ 9"]
    found = read(paper(*(Text((5, 40 - 10 * i), line, 9.0) for i, line in enumerate(words)))).pages[0]
    assert found.extract_text().split("\n") == words


def test_bold_and_turned_text_come_back():
    """Turned and bold texts are texts as well."""
    text = read(paper(Text((50, 5), "upright", 9.0, angle=90.0), Text((5, 5), "bold", 9.0, bold=True)))
    assert "bold" in text.pages[0].extract_text()
    assert "upright" in text.pages[0].extract_text()


def fonts_of(page):
    """Return the fonts of a page by name."""
    fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]
    return {font["/BaseFont"].split("+")[-1]: font for font in fonts}


def test_fonts_are_embedded():
    """Every font carries its program, cut down to the glyphs in use."""
    file = read(paper(Text((5, 5), "abc", 9.0), Text((5, 15), "abc", 9.0, bold=True)))
    fonts = fonts_of(file.pages[0])
    assert set(fonts) == {"DejaVuSans", "DejaVuSans-Bold"}
    for font in fonts.values():
        program = font["/FontDescriptor"]["/FontFile2"].get_data()
        assert program[:4] == b"\0\1\0\0"
        assert 500 < len(program) < 20000


@pytest.mark.parametrize("char", ["中", "\uffff", "\U0001f600", "\n", "\0"])
def test_character_that_the_font_lacks_is_an_empty_box(char, tmp_path):
    """It takes the width that was measured for it, the text around it comes back, nobody complains."""
    path = tmp_path / "strange.pdf"
    path.write_bytes(write_pdf([paper(Text((5, 5), f"Bar {char} east", 9.0), name=f"Map {char}")], char))
    done = subprocess.run(["pdftotext", "-bbox", str(path), "-"], capture_output=True, check=True)
    assert done.stderr == b""
    lefts = [float(x) for x in re.findall(rb'xMin="([0-9.]+)".*>(?:Bar|east)<', done.stdout)]
    assert lefts[1] - lefts[0] == pytest.approx(text_width(f"Bar {char} ", 9.0) / PT, abs=0.05)


def test_more_letters_than_one_byte_counts_come_back():
    """Three hundred different letters, more than one cut-down font can number, are all text."""
    letters = [chr(code) for code in (*range(0x100, 0x180), *range(0x400, 0x4AC))]
    assert len(letters) == 300
    lines = ["".join(letters[i : i + 30]) for i in range(0, 300, 30)]
    found = read(paper(*(Text((5, 46 - 4 * i), line, 7.0) for i, line in enumerate(lines)))).pages[0]
    assert found.extract_text().split("\n") == lines


def test_no_clock_and_no_name_inside():
    """The file says title and program, and no date."""
    file = read(paper(), title="Стойка, east")
    assert dict(file.metadata) == {"/Title": "Стойка, east", "/Producer": "seamwalk"}
    assert b"Date" not in write_pdf([paper()], "Bar")


def test_same_papers_give_the_same_bytes(ring):
    """A packet drawn and written twice is the same file."""
    first, second = (write_pdf(draw_packet(ring), "Bar") for _ in range(2))
    assert first == second


def test_another_file_between_changes_nothing(ring):
    """What was written before in the same process leaves no trace."""
    packet = draw_packet(ring)
    first = write_pdf(packet, "Bar")
    write_pdf([paper(Text((5, 5), "Жаба zyx", 9.0, bold=True))], "Other")
    assert write_pdf(packet, "Bar") == first


def test_another_process_gives_the_same_bytes():
    """Neither the process nor its hash seed nor its idea of a date shows in the file."""
    code = (
        "from layout.paper.frame import Paper; from layout.paper.pdf import write_pdf;"
        "from layout.paper.primitives import Text; from sys import stdout;"
        "items = (Text((5, 5), 'east ½', 9.0), Text((5, 15), 'bold', 9.0, bold=True));"
        "stdout.buffer.write(write_pdf([Paper('Map', 100.0, 50.0, items)], 'Bar'))"
    )
    here = write_pdf([paper(Text((5, 5), "east ½", 9.0), Text((5, 15), "bold", 9.0, bold=True), name="Map")], "Bar")
    for seed in ("1", "2"):
        env = os.environ | {"PYTHONHASHSEED": seed, "SOURCE_DATE_EPOCH": f"{seed}00000000"}
        done = subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, check=True)
        assert done.stdout == here


def test_other_papers_give_another_identity():
    """The file's identity follows its content: words, title and places."""

    def identity(word, title="Bar", x=5):
        return read(paper(Text((x, 5), word, 9.0)), title=title).trailer["/ID"]

    assert identity("ab") == identity("ab")
    assert len({str(identity(*of)) for of in (("ab",), ("ba",), ("ab", "Desk"), ("ab", "Bar", 6))}) == 4


def test_drawings_are_listed_once_each():
    """Papers of one drawing share a bookmark that leads to the first of them."""
    file = read(paper(name="Map"), paper(name="Set-out"), paper(name="Set-out"))
    assert [mark.title for mark in file.outline] == ["Map", "Set-out"]
    assert [file.get_destination_page_number(mark) for mark in file.outline] == [0, 1]


def test_no_paper_is_refused():
    """A file without papers is no file."""
    with pytest.raises(ValueError, match="at least one paper"):
        write_pdf([], "Bar")


PAINTS = {"S", "s", "f", "F", "f*", "B", "B*", "b", "b*"}
"""operators that ink a path: ISO 32000-1, table 60"""


def operations(*papers, page=0):
    """Return the operators of a page with their numbers."""
    file = read(*papers)
    steps = ContentStream(file.pages[page].get_contents(), file).operations
    return [(name.decode(), [plain(value) for value in numbers]) for numbers, name in steps]


def plain(value):
    """Return a number of the file, or a list of them."""
    return [float(one) for one in value] if isinstance(value, list) else value


def test_circle_is_round():
    """The four curves leave the circle by less than 0.03 % of its radius."""
    steps = operations(paper(Circle((50, 25), 20.0, INK)))
    (start,) = (numbers for name, numbers in steps if name == "m")
    curves = [numbers for name, numbers in steps if name == "c"]
    assert len(curves) == 4
    assert start == curves[-1][4:] == pytest.approx([70 / PT, 25 / PT], abs=1e-3)
    for curve in curves:
        a, b, c = curve[:2], curve[2:4], curve[4:]
        for t in (0.1, 0.25, 0.5, 0.75):
            x, y = (
                (1 - t) ** 3 * start[i] + 3 * t * (1 - t) ** 2 * a[i] + 3 * t**2 * (1 - t) * b[i] + t**3 * c[i]
                for i in (0, 1)
            )
            assert math.hypot(x * PT - 50, y * PT - 25) == pytest.approx(20.0, rel=3e-4)
        start = c


def test_lines_fills_and_dashes_are_written():
    """A dashed line is stroked, a filled area without weight is only filled."""
    items = (
        Lines((((0, 0), (10, 0)), ((0, 5), (10, 5))), Style("#ff0000", 0.5, (2.0, 1.0))),
        Area(((0, 0), (5, 0), (5, 5)), Style("#000000", 0.0, fill="#00ff00")),
    )
    steps = operations(paper(*items))
    names = [name for name, _ in steps]
    assert ("d", [[2, 1], 0]) in steps
    assert ("RG", [1, 0, 0]) in steps
    assert ("rg", [0, 1, 0]) in steps
    assert [name for name in names if name in PAINTS] == ["S", "f"]
    assert names.count("m") == 3


def test_caps_and_joins_are_round_on_every_paper():
    """The state of the pen starts anew with each page."""
    dot = Lines((((5, 5), (5, 5)),), INK)
    for page in range(2):
        steps = operations(paper(dot), paper(dot), page=page)
        assert steps.index(("J", [1])) < steps.index(("j", [1])) < [name for name, _ in steps].index("S")


def test_poppler_reads_the_packet(ring, tmp_path):
    """An independent program opens the whole packet without complaint."""
    path = tmp_path / "packet.pdf"
    path.write_bytes(write_pdf(draw_packet(ring), "Bar"))
    done = subprocess.run(["pdftotext", str(path), "-"], capture_output=True, text=True, check=True)
    assert done.stderr == ""
    assert "Seam map" in done.stdout
