"""How much paper a text takes, from the font that is drawn with.

The font is DejaVu Sans, found by path beside matplotlib without importing it: a search through a
machine's fonts is slow the first time, and might find another version.
"""

from __future__ import annotations

import re
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


def size_to_fit(text: str, width: float, largest: float, smallest: float, *, bold: bool = False) -> float:
    """Return the size, pt, at which a text is no longer than the width, between two bounds.

    Examples
    --------
    >>> size_to_fit("Bar", 50, 10, 7), size_to_fit("Ticket counter, east hall, level 2", 50, 10, 7)
    (10, 8.5)
    """
    size = largest
    while size > smallest and text_width(text, size, bold=bold) > width:
        size = max(size - 0.5, smallest)
    return size


def wrapped(text: str, width: float, size: float, *, bold: bool = False) -> list[str]:
    """Break a text into lines no longer than the width, losing nothing.

    A figure stays on one line with its unit, as long as that fits; a word longer than the width is broken, at a sign
    of its own where it has one.

    Examples
    --------
    >>> wrapped("sheared edges cut: wear gloves", 32, 9)
    ['sheared edges cut:', 'wear gloves']
    >>> wrapped("the tape must read 41 ft 10 5/16 in back here", 38, 9)
    ['the tape must read', '41 ft 10 5/16 in back', 'here']
    >>> wrapped("E·t·p/(2·Y·S)", 15, 9)
    ['E·t·p/(2·', 'Y·S)']
    """
    if text_width(text, size, bold=bold) <= width:
        return [text]
    lines = [""]
    for phrase in phrases(text):
        longer = f"{lines[-1]} {phrase}".strip()
        if not lines[-1] or text_width(longer, size, bold=bold) <= width:
            lines[-1] = longer
        else:
            lines.append(phrase)
        if text_width(lines[-1], size, bold=bold) > width:
            lines[-1:] = _broken(lines[-1], width, size, bold=bold)
    return lines


def phrases(text: str) -> list[str]:
    """Split a text where a line may end: between words, but not within a figure or before its unit.

    Examples
    --------
    >>> phrases("shear 3 ft 4 1/2 in off 10 ft × 4 ft")
    ['shear', '3 ft 4 1/2 in', 'off', '10 ft ×', '4 ft']
    >>> phrases("Y 33000, J 0.09: ± 1/64 in on panel 4")
    ['Y 33000,', 'J 0.09:', '± 1/64 in', 'on', 'panel 4']
    """
    found: list[str] = []
    before = ""
    for word in text.split():
        if found and _held(before, word):
            found[-1] = f"{found[-1]} {word}"
        else:
            found.append(word)
        before = word
    return found


_FIGURE: Final = re.compile(r"[(+−-]?\d[\d.,/-]*")
_UNIT: Final = re.compile(
    r"(ft|in|mm|m|lb|lbf|kg|kN|N|ton|tons|psi|ksi|MPa|GPa|ft²|in²|m²|mm²|lb/in³|kg/m³|mil|µm|h|%|×)[).,;:]*"
)
_LETTER: Final = re.compile(r"[A-Za-zΑ-ω]\d*")


_COUNTED: Final = {"ft", "±", "panel", "panels", "seam", "seams", "sheet", "sheets", "groove", "page", "row"}
"""words that stay with the number behind them"""


def _held(before: str, word: str) -> bool:
    """Tell whether two words stay on one line: figure and unit, feet and inches, letter and its value."""
    if word == "×":
        return True
    if _FIGURE.fullmatch(before):
        return bool(_UNIT.fullmatch(word)) or (before[-1].isdigit() and bool(re.fullmatch(r"\d+/\d+[).,;:]*", word)))
    starts = word[:1].isdigit()
    return starts and (before.lower() in _COUNTED or bool(_LETTER.fullmatch(before)))


_ENDS: Final = "·/,;:)=+×-_"
"""signs after which a long word is broken first"""


def _broken(phrase: str, width: float, size: float, *, bold: bool) -> list[str]:
    """Break a phrase that is too long: between its words, else behind a sign, else where the room ends."""
    lines, rest = [], phrase
    while text_width(rest, size, bold=bold) > width and len(rest) > 1:
        fits = next(
            (end for end in range(len(rest) - 1, 1, -1) if text_width(rest[:end].rstrip(), size, bold=bold) <= width), 1
        )
        space = rest.rfind(" ", 1, fits + 1)
        sign = max((k + 1 for k in range(1, fits) if rest[k] in _ENDS), default=0)
        end = space if space > 0 else sign or fits
        lines.append(rest[:end].rstrip())
        rest = rest[end:].lstrip()
    return [*lines, rest]
