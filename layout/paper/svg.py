"""One paper as an SVG file: text as text, with classes by what is shown and ids by number.

Source: SVG 1.1 (W3C Recommendation, second edition).
"""

from __future__ import annotations

import re
from html import escape as escape_markup
from typing import Final

from layout.paper.frame import Paper
from layout.paper.letters import FAMILY, PT, text_width
from layout.paper.primitives import Area, Circle, Lines, Points, Primitive, Style, Text

_ANCHORS: Final = {"start": "start", "middle": "middle", "end": "end"}


_NOT_XML: Final = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""characters that no XML file may hold (XML 1.0, section 2.2)"""


def escape(text: str) -> str:
    r"""Return text as it may stand in an XML file.

    Examples
    --------
    >>> escape("bar <2>\x00 & co")
    'bar &lt;2&gt; &amp; co'
    """
    return escape_markup(_NOT_XML.sub("", text))


def write_svg(paper: Paper, title: str) -> str:
    """Return the paper as the text of an SVG file, one user unit a millimetre.

    Texts carry their length, so that another font on another machine cannot make them run into one another.

    Examples
    --------
    >>> from layout.paper.primitives import line
    >>> dash = line((0, 0), (10, 5), style=Style("#141414", 1.0), kind="seam")
    >>> print(write_svg(Paper("map", 20, 10, (dash,)), "Bar <2>"))  # doctest: +ELLIPSIS
    <svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="10mm" viewBox="0 0 20 10" ...>
    <title>Bar &lt;2&gt;</title>
    <rect width="20" height="10" fill="#ffffff"/>
    <path class="seam" d="M0 10L10 5" fill="none" stroke="#141414" stroke-width="0.353"/>
    </svg>
    <BLANKLINE>
    """
    size = f'width="{_n(paper.width)}mm" height="{_n(paper.height)}mm"'
    view = f'viewBox="0 0 {_n(paper.width)} {_n(paper.height)}"'
    rows = [
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} {view} font-family="{FAMILY}, sans-serif">',
        f"<title>{escape(title)}</title>",
        f'<rect width="{_n(paper.width)}" height="{_n(paper.height)}" fill="#ffffff"/>',
        *(_element(item, paper.height) for item in paper.items),
        "</svg>",
    ]
    return "\n".join(rows) + "\n"


def _element(item: Primitive, height: float) -> str:
    name = f'class="{escape(item.kind)}"' + (f' id="{escape(item.key)}"' if item.key else "")
    match item:
        case Lines(paths, style):
            d = "".join(_path(path, height) for path in paths)
            return f'<path {name} d="{d}" fill="none"{_stroke(style)}/>'
        case Area(points, style):
            return f'<path {name} d="{_path(points, height)}Z"{_fill(style)}{_stroke(style)}/>'
        case Circle((x, y), radius, style):
            place = f'cx="{_n(x)}" cy="{_n(height - y)}" r="{_n(radius)}"'
            return f"<circle {name} {place}{_fill(style)}{_stroke(style)}/>"
        case Text():
            return _text(item, name, height)


def _text(item: Text, name: str, height: float) -> str:
    x, y = item.at[0], height - item.at[1]
    turn = f' transform="rotate({_n(-item.angle)} {_n(x)} {_n(y)})"' if item.angle else ""
    bold = ' font-weight="bold"' if item.bold else ""
    long = f' textLength="{_n(text_width(item.text, item.size, bold=item.bold))}"' if item.text else ""
    return (
        f'<text {name} x="{_n(x)}" y="{_n(y)}" font-size="{_n(item.size * PT)}"{bold}{long}'
        f' text-anchor="{_ANCHORS[item.anchor]}" fill="{item.ink}"{turn}>{escape(item.text)}</text>'
    )


def _path(points: Points, height: float) -> str:
    return "M" + "L".join(f"{_n(x)} {_n(height - y)}" for x, y in points)


def _fill(style: Style) -> str:
    return f' fill="{style.fill or "none"}"'


def _stroke(style: Style) -> str:
    if not style.weight:
        return ""
    dash = ",".join(_n(part * PT) for part in style.dash)
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return f' stroke="{style.ink}" stroke-width="{_n(style.weight * PT)}"{dashed}'


def _n(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
