"""The PDF file: readable by others, text as text, the same bytes every time."""

from __future__ import annotations

import io
import math
import subprocess

import pytest
from pypdf import PdfReader

from layout.paper.frame import Paper
from layout.paper.letters import PT
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


def test_fonts_are_embedded():
    """Every font carries its program, cut down to the glyphs in use."""
    file = read(paper(Text((5, 5), "abc", 9.0), Text((5, 15), "abc", 9.0, bold=True)))
    for font in file.pages[0]["/Resources"]["/Font"].values():
        descendant = font.get_object()["/DescendantFonts"][0].get_object()
        program = descendant["/FontDescriptor"].get_object()["/FontFile2"].get_object().get_data()
        assert program[:4] == b"\0\1\0\0"
        assert 500 < len(program) < 20000


def test_no_clock_and_no_name_inside():
    """The file says title and program, and no date."""
    file = read(paper(), title="Стойка, east")
    assert dict(file.metadata) == {"/Title": "Стойка, east", "/Producer": "seamwalk"}
    assert b"Date" not in write_pdf([paper()], "Bar")


def test_same_papers_give_the_same_bytes(ring):
    """A packet drawn and written twice is the same file."""
    first, second = (write_pdf(draw_packet(ring), "Bar") for _ in range(2))
    assert first == second


def test_other_papers_give_another_identity():
    """The file's identity follows its content."""
    ids = {write_pdf([paper(Text((5, 5), word, 9.0))], "Bar")[-400:] for word in ("one", "two")}
    assert len(ids) == 2


def test_drawings_are_listed_once_each():
    """Papers of one drawing share a bookmark that leads to the first of them."""
    file = read(paper(name="Map"), paper(name="Set-out"), paper(name="Set-out"))
    assert [mark.title for mark in file.outline] == ["Map", "Set-out"]
    assert [file.get_destination_page_number(mark) for mark in file.outline] == [0, 1]


def test_no_paper_is_refused():
    """A file without papers is no file."""
    with pytest.raises(ValueError, match="at least one paper"):
        write_pdf([], "Bar")


def test_circle_is_round():
    """The four curves leave the circle by less than 0.03 % of its radius."""
    stream = read(paper(Circle((50, 25), 20.0, INK))).pages[0].get_contents().get_data().decode()
    numbers = [float(word) for word in stream.split(" m ")[1].split(" h")[0].replace("c", "").split()]
    points = list(zip(numbers[::2], numbers[1::2], strict=True))
    start = (70 / PT, 25 / PT)
    for k in range(4):
        a, b, c = points[3 * k : 3 * k + 3]
        for t in (0.1, 0.25, 0.5, 0.75):
            x, y = (
                (1 - t) ** 3 * start[i]
                + 3 * t * (1 - t) ** 2 * a[i]
                + 3 * t**2 * (1 - t) * b[i]
                + t**3 * c[i]
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
    rows = read(paper(*items)).pages[0].get_contents().get_data().decode().split("\n")
    assert "[2 1]0 d" in rows
    assert "1 0 0 RG" in rows
    assert rows[-1].endswith(" h f")
    assert sum(row.endswith(" S") for row in rows) == 1


def test_poppler_reads_the_packet(ring, tmp_path):
    """An independent program opens the whole packet without complaint."""
    path = tmp_path / "packet.pdf"
    path.write_bytes(write_pdf(draw_packet(ring), "Bar"))
    done = subprocess.run(["pdftotext", str(path), "-"], capture_output=True, text=True, check=True)
    assert done.stderr == ""
    assert "Seam map" in done.stdout
