"""Text metrics, held against an independent reader of the same font files."""

from __future__ import annotations

from itertools import pairwise

import pytest
from matplotlib.ft2font import FT2Font, LoadFlags

from layout.paper.letters import PT, fitted, font_file, ink_box, text_width, wrapped

SAMPLE = "24 ft 3 1/2 in × ½ “Žižek” −0.0239 µm Жаба fi AV"


@pytest.fixture(params=[False, True], ids=["regular", "bold"])
def reader(request):
    """Return the bold or regular font, opened by FreeType."""
    return request.param, FT2Font(str(font_file(request.param)))


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


def test_character_that_the_font_lacks_is_the_empty_box(reader):
    """A letter beyond the font, or beyond the basic plane, is as wide as glyph 0, never as another letter."""
    bold, opened = reader
    box = opened.load_glyph(0, LoadFlags.NO_SCALE).horiAdvance / opened.units_per_EM * 9.0 * PT
    for char in "中\uffff\U0001f600":
        assert text_width(char, 9.0, bold=bold) == pytest.approx(box)
    assert text_width("i", 9.0, bold=bold) < box


def test_space_has_width_and_no_ink():
    """Spaces around a letter move its ink and leave its height."""
    left, bottom, right, top = ink_box("H", 9.0)
    step = text_width(" ", 9.0)
    assert ink_box(" ", 9.0) == (0.0, 0.0, 0.0, 0.0)
    assert ink_box(" H ", 9.0) == pytest.approx((left + step, bottom, right + step, top))


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
