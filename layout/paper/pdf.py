"""Papers as a PDF file: text as text in embedded fonts, no clock inside, the same bytes for the same papers.

Written here and not through a plotting library: measured, that took 1.8 ms a text, some three seconds a
packet.
Source: ISO 32000-1 (PDF 1.7), sections named beside the code.
"""

from __future__ import annotations

import hashlib
import math
import zlib
from collections.abc import Sequence
from typing import Final

from layout.paper.frame import Paper
from layout.paper.letters import FAMILY, PT, font
from layout.paper.primitives import Area, Circle, Lines, Points, Primitive, Style, Text

_BEZIER: Final = 4 / 3 * (math.sqrt(2) - 1)
"""handle of a cubic that follows a quarter circle, in radii"""


def write_pdf(papers: Sequence[Paper], title: str) -> bytes:
    """Return the papers as the bytes of a PDF file.

    Raises
    ------
    ValueError
        Without any paper.
    """
    if not papers:
        raise ValueError("a file needs at least one paper")
    numbers = {bold: _glyph_numbers(papers, bold) for bold in (False, True)}
    book = _Book()
    fonts = {bold: _add_font(book, bold, used) for bold, used in numbers.items()}
    tree = book.reserve()
    pages = []
    for paper in papers:
        content = book.add_stream("", _content(paper, numbers))
        pages.append(
            book.add(
                f"<</Type/Page/Parent {tree} 0 R/MediaBox[0 0 {_n(paper.width / PT)} {_n(paper.height / PT)}]"
                f"/Resources<</Font<</F0 {fonts[False]} 0 R/F1 {fonts[True]} 0 R>>>>/Contents {content} 0 R>>"
            )
        )
    kids = " ".join(f"{page} 0 R" for page in pages)
    book.fill(tree, f"<</Type/Pages/Count {len(pages)}/Kids[{kids}]>>")
    outline = _add_bookmarks(book, [paper.name for paper in papers], pages)
    root = book.add(f"<</Type/Catalog/Pages {tree} 0 R/Outlines {outline} 0 R/Lang(en)>>")
    return book.finish(root, book.add(f"<</Title{_string(title)}/Producer(seamwalk)>>"))


class _Book:
    """Numbered objects of one file."""

    def __init__(self) -> None:
        self._objects: list[bytes] = []

    def reserve(self) -> int:
        self._objects.append(b"")
        return len(self._objects)

    def fill(self, number: int, body: str | bytes) -> None:
        self._objects[number - 1] = body if isinstance(body, bytes) else body.encode("latin-1")

    def add(self, body: str | bytes) -> int:
        number = self.reserve()
        self.fill(number, body)
        return number

    def add_stream(self, keys: str, data: bytes) -> int:
        packed = zlib.compress(data, 6)
        head = f"<<{keys}/Filter/FlateDecode/Length {len(packed)}>>stream\n".encode("ascii")
        return self.add(head + packed + b"\nendstream")

    def finish(self, root: int, info: int) -> bytes:
        """Return the file (7.5.4 cross-reference, 7.5.5 trailer), named by a digest of its content."""
        out = bytearray(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
        places = []
        for number, body in enumerate(self._objects, 1):
            places.append(len(out))
            out += b"%d 0 obj\n%b\nendobj\n" % (number, body)
        start, size = len(out), len(places) + 1
        identity = hashlib.sha256(out).hexdigest()[:32]
        out += b"xref\n0 %d\n0000000000 65535 f \n" % size
        out += b"".join(b"%010d 00000 n \n" % place for place in places)
        trailer = f"/Size {size}/Root {root} 0 R/Info {info} 0 R/ID[<{identity}><{identity}>]"
        return bytes(out) + f"trailer\n<<{trailer}>>\nstartxref\n{start}\n%%EOF\n".encode("ascii")


def _glyph_numbers(papers: Sequence[Paper], bold: bool) -> dict[str, int]:
    """Return each drawn character's glyph in the cut-down font."""
    chars = sorted(
        {
            char
            for paper in papers
            for item in paper.items
            if isinstance(item, Text) and item.bold == bold
            for char in item.text
        }
    )
    face = font(bold)
    _, numbers = face.subset(face.glyph(char) for char in chars)
    return {char: numbers[face.glyph(char)] for char in chars}


def _add_font(book: _Book, bold: bool, used: dict[str, int]) -> int:
    """Embed one font with the glyphs in use (9.7 composite fonts, 9.9 embedded font programs)."""
    face = font(bold)
    data, _ = face.subset(face.glyph(char) for char in used)
    program = book.add_stream(f"/Length1 {len(data)}", data)
    tag = "".join(chr(65 + byte % 26) for byte in hashlib.sha256(data).digest()[:6])
    name = f"{tag}+{FAMILY.replace(' ', '')}{'-Bold' if bold else ''}"
    thousandth = 1000 / face.em
    up, down = (round(height * thousandth) for height in face.heights)
    box = " ".join(str(round(side * thousandth)) for side in face.bounds)
    descriptor = book.add(
        f"<</Type/FontDescriptor/FontName/{name}/Flags 4/FontBBox[{box}]/ItalicAngle 0/Ascent {up}"
        f"/Descent {down}/CapHeight 729/StemV {140 if bold else 80}/FontFile2 {program} 0 R>>"
    )
    widths = " ".join(
        f"{number}[{_n(face.advance(face.glyph(char)) * thousandth)}]" for char, number in used.items()
    )
    descendant = book.add(
        f"<</Type/Font/Subtype/CIDFontType2/BaseFont/{name}/CIDSystemInfo<</Registry(Adobe)/Ordering(Identity)"
        f"/Supplement 0>>/FontDescriptor {descriptor} 0 R/W[{widths}]/CIDToGIDMap/Identity>>"
    )
    back = book.add_stream("", _to_unicode(used))
    return book.add(
        f"<</Type/Font/Subtype/Type0/BaseFont/{name}/Encoding/Identity-H"
        f"/DescendantFonts[{descendant} 0 R]/ToUnicode {back} 0 R>>"
    )


def _to_unicode(used: dict[str, int]) -> bytes:
    """Map glyphs back to characters, so that text can be searched and copied (9.10.3)."""
    rows = [f"<{number:04X}><{char.encode('utf-16-be').hex().upper()}>" for char, number in used.items()]
    blocks = [rows[i : i + 100] for i in range(0, len(rows), 100)]
    body = "\n".join(f"{len(block)} beginbfchar\n" + "\n".join(block) + "\nendbfchar" for block in blocks)
    return (
        "/CIDInit/ProcSet findresource begin\n12 dict begin\nbegincmap\n/CMapName/Plain def\n"
        "/CMapType 2 def\n"
        f"1 begincodespacerange\n<0000><FFFF>\nendcodespacerange\n{body}\nendcmap\nend\nend\n"
    ).encode("ascii")


def _add_bookmarks(book: _Book, names: Sequence[str], pages: Sequence[int]) -> int:
    """List the drawings beside the papers (12.3.3); papers of one drawing share one mark."""
    firsts = [i for i, name in enumerate(names) if i == 0 or names[i - 1] != name]
    root = book.reserve()
    marks = [book.reserve() for _ in firsts]
    for k, (mark, i) in enumerate(zip(marks, firsts, strict=True)):
        before = f"/Prev {marks[k - 1]} 0 R" if k else ""
        after = f"/Next {marks[k + 1]} 0 R" if k + 1 < len(marks) else ""
        book.fill(
            mark, f"<</Title{_string(names[i])}/Parent {root} 0 R{before}{after}/Dest[{pages[i]} 0 R/Fit]>>"
        )
    book.fill(root, f"<</Type/Outlines/First {marks[0]} 0 R/Last {marks[-1]} 0 R/Count {len(marks)}>>")
    return root


def _content(paper: Paper, numbers: dict[bool, dict[str, int]]) -> bytes:
    """Return the operators of one paper (8.5 paths, 9.4 text)."""
    pen = _Pen()
    ops = ["1 J 1 j"]
    for item in paper.items:
        if isinstance(item, Text):
            ops.append(pen.fill(item.ink) + _text(item, numbers[item.bold]))
        else:
            ops.append(pen.set(item.style) + _path(item) + _paint(item))
    return "\n".join(ops).encode("ascii")


class _Pen:
    """Remembers what is set, so that only changes are written."""

    def __init__(self) -> None:
        self._now: dict[str, str] = {}

    def _change(self, what: str, operator: str) -> str:
        if self._now.get(what) == operator:
            return ""
        self._now[what] = operator
        return operator + "\n"

    def fill(self, ink: str) -> str:
        return self._change("fill", f"{_colour(ink)} rg")

    def set(self, style: Style) -> str:
        dash = " ".join(_n(part) for part in style.dash)
        changes = self._change("ink", f"{_colour(style.ink)} RG")
        changes += self._change("weight", f"{_n(style.weight)} w") + self._change("dash", f"[{dash}]0 d")
        return changes + (self.fill(style.fill) if style.fill else "")


def _path(item: Primitive) -> str:
    match item:
        case Lines(paths):
            return " ".join(_polyline(path) for path in paths)
        case Area(points):
            return _polyline(points) + " h"
        case Circle((x, y), radius):
            return _circle(x, y, radius)
    raise TypeError(f"{type(item).__name__} has no path")


def _paint(item: Lines | Area | Circle) -> str:
    if isinstance(item, Lines):
        return " S"
    return {(True, True): " B", (True, False): " f", (False, True): " S", (False, False): " n"}[
        item.style.fill is not None, item.style.weight > 0
    ]


def _polyline(points: Points) -> str:
    first, *rest = points
    return f"{_xy(*first)} m " + " ".join(f"{_xy(*point)} l" for point in rest)


def _circle(x: float, y: float, r: float) -> str:
    k = _BEZIER * r
    quarters = (
        ((r, k), (k, r), (0, r)),
        ((-k, r), (-r, k), (-r, 0)),
        ((-r, -k), (-k, -r), (0, -r)),
        ((k, -r), (r, -k), (r, 0)),
    )
    curves = (" ".join(_xy(x + dx, y + dy) for dx, dy in quarter) + " c" for quarter in quarters)
    return f"{_xy(x + r, y)} m " + " ".join(curves) + " h"


def _text(item: Text, numbers: dict[str, int]) -> str:
    turn = math.radians(item.angle)
    cos, sin = _n(math.cos(turn)), math.sin(turn)
    glyphs = "".join(f"{numbers[char]:04X}" for char in item.text)
    matrix = f"{cos} {_n(sin)} {_n(-sin)} {cos} {_xy(*item.start)} Tm"
    return f"BT /F{int(item.bold)} {_n(item.size)} Tf {matrix} <{glyphs}> Tj ET"


def _xy(x: float, y: float) -> str:
    return f"{_n(x / PT)} {_n(y / PT)}"


def _n(value: float) -> str:
    """Write a number to a thousandth: 1/72000 in, and far above what machines may differ by."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _colour(ink: str) -> str:
    return " ".join(_n(int(ink[i : i + 2], 16) / 255) for i in (1, 3, 5))


def _string(text: str) -> str:
    return f"<FEFF{text.encode('utf-16-be').hex().upper()}>"
