"""Text metrics and the cut-down font, held against an independent reader of the same font files."""

from __future__ import annotations

from itertools import pairwise

import pytest
from matplotlib.ft2font import FT2Font, LoadFlags

from layout.paper.letters import PT, fitted, font, ink_box, text_width, wrapped

SAMPLE = "24 ft 3 1/2 in × ½ “Žižek” −0.0239 µm Жаба fi AV"


@pytest.fixture(params=[False, True], ids=["regular", "bold"])
def reader(request, tmp_path):
    """Return the bold or regular font, opened by FreeType."""
    path = tmp_path / "font.ttf"
    path.write_bytes(font(request.param).data)
    return request.param, FT2Font(str(path))


def test_widths_agree_with_freetype(reader):
    """A text is as wide as the sum of the advances that FreeType reads from the same file."""
    bold, opened = reader
    units = sum(opened.load_char(ord(char), LoadFlags.NO_SCALE).horiAdvance for char in SAMPLE)
    assert text_width(SAMPLE, 9.0, bold=bold) == pytest.approx(units / opened.units_per_EM * 9.0 * PT)


def test_ink_agrees_with_freetype(reader):
    """The ink of a single letter is the box that FreeType reads."""
    bold, opened = reader
    for char in "gQ|½":
        left, bottom, right, top = opened.load_char(ord(char), LoadFlags.NO_SCALE).bbox
        scale = 10.0 * PT / opened.units_per_EM
        expected = (left * scale, min(bottom, 0) * scale, right * scale, max(top, 0) * scale)
        assert ink_box(char, 10.0, bold=bold) == pytest.approx(expected)


def test_cut_down_font_keeps_its_glyphs(reader, tmp_path):
    """FreeType opens the cut-down font, every kept glyph has its advance and box, accents included."""
    bold, opened = reader
    face = font(bold)
    data, numbers = face.subset(face.glyph(char) for char in SAMPLE)
    path = tmp_path / "cut.ttf"
    path.write_bytes(data)
    small = FT2Font(str(path))
    assert small.num_glyphs == len(numbers) < 70
    assert len(data) < len(face.data) / 20
    for char in SAMPLE:
        old = opened.load_char(ord(char), LoadFlags.NO_SCALE)
        new = small.load_glyph(numbers[face.glyph(char)], LoadFlags.NO_SCALE)
        assert (new.horiAdvance, new.bbox) == (old.horiAdvance, old.bbox)


def test_character_that_the_font_lacks_is_the_empty_box():
    """A letter beyond the font is drawn as glyph 0, never as another letter."""
    assert font().glyph("中") == 0
    assert font().glyph("\U0001f600") == 0
    assert font().glyph("A") > 0


def test_fitted_text_fits_by_a_hair():
    """A text stays whole at its own width, and is shortened just below it."""
    width = text_width("closing panel", 8.0)
    assert fitted("closing panel", width, 8.0) == "closing panel"
    short = fitted("closing panel", width - 0.01, 8.0)
    assert short.endswith("…")
    assert text_width(short, 8.0) <= width - 0.01


def test_wrapped_lines_fit_and_lose_nothing():
    """Every line is within the width, all words come back in order, and no word would have fitted before."""
    text = "Sheared edges and corners cut: wear gloves and eye protection, break every edge."
    lines = wrapped(text, 40.0, 9.0)
    assert " ".join(lines) == text
    assert all(text_width(line, 9.0) <= 40.0 for line in lines)
    assert all(text_width(f"{a} {b.split()[0]}", 9.0) > 40.0 for a, b in pairwise(lines))
