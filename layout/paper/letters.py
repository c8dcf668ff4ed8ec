"""How much paper a text takes, from the font that is drawn with.

The font is DejaVu Sans, found by path beside matplotlib without importing it: a search through a
machine's fonts is slow the first time, and might find another version.
"""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from fontTools.ttLib import TTFont

PT: Final = 25.4 / 72
"""mm; exact, 72 points an inch"""

FAMILY: Final = "DejaVu Sans"
_FILES: Final = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}

_MISSING: Final = ".notdef"
"""glyph 0, the empty box, drawn for what the font lacks (ISO/IEC 14496-22)"""
_LAST_DRAWN: Final = 0xFFFF
"""code of the last character drawn: the PDF writer names no character beyond the basic plane rightly"""


def font_file(bold: bool = False) -> Path:
    """Return where the regular or the bold font lies.

    Raises
    ------
    FileNotFoundError
        Where matplotlib is not installed.
    """
    found = find_spec("matplotlib")
    if found is None or found.origin is None:
        raise FileNotFoundError("matplotlib, which brings the drawing font, is not installed")
    return Path(found.origin).parent / "mpl-data" / "fonts" / "ttf" / _FILES[bold]


@cache
def _font(bold: bool) -> TTFont:
    from fontTools.ttLib import TTFont  # noqa: PLC0415 - 0.1 s that only a drawing needs

    return TTFont(BytesIO(font_file(bold).read_bytes()), lazy=True)  # no file left open


@cache
def _letter(char: str, bold: bool) -> tuple[float, float, float, float, float]:
    """Return advance, left, bottom, right, top of a character, as shares of the size."""
    font = _font(bold)
    glyph = font.getBestCmap().get(ord(char), _MISSING) if ord(char) <= _LAST_DRAWN else _MISSING
    advance, _ = font["hmtx"][glyph]
    outline = font["glyf"][glyph]
    box = (outline.xMin, outline.yMin, outline.xMax, outline.yMax) if outline.numberOfContours else (0,) * 4
    em = font["head"].unitsPerEm
    left, bottom, right, top = (side / em for side in box)
    return advance / em, left, bottom, right, top


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Return the length of a text's base line, mm; `size` in pt.

    Examples
    --------
    >>> text_width("", 9)
    0.0
    >>> round(text_width("24 ft 3 1/2 in", 9), 2)
    20.46
    """
    return sum(_letter(char, bold)[0] for char in text) * size * PT


def ink_box(text: str, size: float, *, bold: bool = False) -> tuple[float, float, float, float]:
    """Return left, bottom, right, top of a text's ink, mm from the left end of its base line."""
    x, low, high, first, last = 0.0, 0.0, 0.0, None, 0.0
    for char in text:
        advance, left, bottom, right, top = _letter(char, bold)
        if right > left:
            first = x + left if first is None else first
            last, low, high = x + right, min(low, bottom), max(high, top)
        x += advance
    scale = size * PT
    return (first or 0.0) * scale, low * scale, last * scale, high * scale


def fitted(text: str, width: float, size: float, *, bold: bool = False) -> str:
    """Shorten a text with … where it is longer than the width.

    Examples
    --------
    >>> fitted("Ticket counter, east hall", 25, 9)
    'Ticket counte…'
    >>> fitted("Bar", 25, 9)
    'Bar'
    """
    if text_width(text, size, bold=bold) <= width:
        return text
    kept = text
    while kept and text_width(kept.rstrip() + "…", size, bold=bold) > width:
        kept = kept[:-1]
    return kept.rstrip() + "…"


def wrapped(text: str, width: float, size: float, *, bold: bool = False) -> list[str]:
    """Break a text into lines no longer than the width; a single longer word is shortened.

    Examples
    --------
    >>> wrapped("sheared edges cut: wear gloves", 32, 9)
    ['sheared edges cut:', 'wear gloves']
    """
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width(longer, size, bold=bold) > width:
            lines.append(word)
        else:
            lines[-1] = longer
    return [fitted(one, width, size, bold=bold) for one in lines]
