"""Papers as a PDF file: text as text in embedded fonts, no clock inside, the same bytes for the same.

Sections are those of ISO 32000-1 (PDF 1.7).
"""

from __future__ import annotations

import hashlib
import io
import math
from collections.abc import Sequence
from functools import cache
from typing import Final

from reportlab import rl_config
from reportlab.pdfbase import pdfdoc, pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import FILL_NON_ZERO, Canvas  # type: ignore[attr-defined]  # its stubs lack it

from layout.paper.frame import Paper
from layout.paper.letters import FAMILY, PT, font_file
from layout.paper.primitives import Area, Circle, Lines, Points, Primitive, Style, Text

_ROUND: Final = 1
"""line caps and joins (8.4.3.3, 8.4.3.4)"""
_BUTT: Final = 0
"""line cap (8.4.3.3)"""
_UNKNOWN: Final = "\uffff"
"""never a character, so in no font: the writer draws the font's empty box for it"""


def write_pdf(papers: Sequence[Paper], title: str) -> bytes:
    """Return the papers as the bytes of a PDF file.

    Raises
    ------
    ValueError
        Without any paper.
    """
    if not papers:
        raise ValueError("a file needs at least one paper")
    out = io.BytesIO()
    canvas = _canvas(out, title)
    for i, paper in enumerate(papers):
        canvas.setPageSize((_pt(paper.width), _pt(paper.height)))
        before = papers[i - 1] if i else None
        _mark(canvas, paper, before, str(i))
        _draw(canvas, paper)
        _identify(canvas, paper)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _mark(canvas: Canvas, paper: Paper, before: Paper | None, key: str) -> None:
    """Mark where a reader's papers and a drawing begin; papers of one drawing share one mark."""
    inner = 1 if paper.reader else 0
    begins = before is None or before.reader != paper.reader
    if begins or (before is not None and before.name != paper.name):
        canvas.bookmarkPage(key)
        if inner and begins:
            canvas.addOutlineEntry(f"for: {paper.reader}", key, 0)
        canvas.addOutlineEntry(paper.name, key, inner)


class _Info(pdfdoc.PDFInfo):
    """Title and producer alone: the writer's own would add dates and unknown authors."""

    def format(self, document: pdfdoc.PDFDocument) -> bytes:
        entries = {"Title": pdfdoc.PDFString(self.title), "Producer": pdfdoc.PDFString(self.producer)}
        return bytes(pdfdoc.PDFDictionary(entries).format(document))


def _canvas(out: io.BytesIO, title: str) -> Canvas:
    """Open a file; what a user's own settings of the writer would change is said here."""
    rl_config.useA85 = 0  # no switch elsewhere; plain bytes are a fifth shorter than their ASCII form
    canvas = Canvas(
        out,
        pageCompression=1,
        invariant=1,
        pdfVersion=(1, 7),
        initialFontName=_font_name(False),  # type: ignore[arg-type]  # a name; its stubs say float
        lang="en",
    )
    _document(canvas).info = _Info()
    canvas.setTitle(title)
    canvas.setProducer("seamwalk")
    # The writer's own identity starts from SOURCE_DATE_EPOCH, where a machine sets it.
    _document(canvas).signature = hashlib.sha256(title.encode())  # type: ignore[attr-defined]  # nor this
    return canvas


def _document(canvas: Canvas) -> pdfdoc.PDFDocument:
    """Return the file under the canvas, for the little that has no public way."""
    document: pdfdoc.PDFDocument = canvas._doc  # type: ignore[attr-defined]  # its stubs lack it
    return document


@cache
def _font_name(bold: bool) -> str:
    """Make a font known to the writer, once a process, and return its name there."""
    name = f"{FAMILY} {'Bold' if bold else 'Book'}"
    pdfmetrics.registerFont(TTFont(name, str(font_file(bold)), asciiReadable=False))
    return name


def _draw(canvas: Canvas, paper: Paper) -> None:
    canvas.setLineCap(_ROUND)
    canvas.setLineJoin(_ROUND)
    for item in paper.items:
        if isinstance(item, Text):
            _draw_text(canvas, item)
        else:
            _set_style(canvas, item.style)
            if item.style.flat:
                canvas.setLineCap(_BUTT)
            _draw_path(canvas, item)
            if item.style.flat:
                canvas.setLineCap(_ROUND)


def _identify(canvas: Canvas, paper: Paper) -> None:
    """Let the file's identity follow a paper (14.4 file identifiers)."""
    # Letters are numbered by first use, so the operators alone do not tell "ab" from "ba".
    words = [paper.name, *(item.text for item in paper.items if isinstance(item, Text))]
    for part in (*words, canvas.getCurrentPageContent()):
        _document(canvas).updateSignature(f"{part}\n")


def _draw_text(canvas: Canvas, item: Text) -> None:
    turn = math.radians(item.angle)
    cos, sin = _thousandth(math.cos(turn)), _thousandth(math.sin(turn))
    x, y = item.start
    text = canvas.beginText()
    text.setFillColorRGB(*_colour(item.ink))
    text.setFont(_font_name(item.bold), item.size)
    text.setTextTransform(cos, sin, -sin, cos, _pt(x), _pt(y))
    # Beyond the basic plane the writer's way back to characters is broken: four digits take no more.
    text.textOut("".join(char if char < _UNKNOWN else _UNKNOWN for char in item.text))
    canvas.drawText(text)


def _set_style(canvas: Canvas, style: Style) -> None:
    canvas.setStrokeColorRGB(*_colour(style.ink))
    canvas.setLineWidth(style.weight)
    canvas.setDash(list(style.dash))
    if style.fill:
        canvas.setFillColorRGB(*_colour(style.fill))


def _draw_path(canvas: Canvas, item: Primitive) -> None:
    path = canvas.beginPath()

    def follow(points: Points) -> None:
        (x0, y0), *rest = points
        path.moveTo(_pt(x0), _pt(y0))
        for x, y in rest:
            path.lineTo(_pt(x), _pt(y))

    match item:
        case Lines(paths):
            for points in paths:
                follow(points)
            canvas.drawPath(path)
            return
        case Area(points):
            follow(points)
            path.close()
        case Circle((x, y), radius):
            path.circle(_pt(x), _pt(y), _pt(radius))
            path.close()
        case _:
            raise TypeError(f"{type(item).__name__} has no path")
    stroke, fill = item.style.weight > 0, item.style.fill is not None
    canvas.drawPath(path, stroke=int(stroke), fill=int(fill), fillMode=FILL_NON_ZERO)


def _pt(length: float) -> float:
    """Return mm in points."""
    return _thousandth(length / PT)


def _thousandth(value: float) -> float:
    """Round to what is written: 1/72000 in, and far above what machines may differ by."""
    return round(value, 3) + 0.0  # + 0.0: no minus before a zero


def _colour(ink: str) -> tuple[float, float, float]:
    red, green, blue = (int(ink[i : i + 2], 16) / 255 for i in (1, 3, 5))
    return red, green, blue
