"""Paper arithmetic: sizes, margins, the frame with its title block, and the scales of drawings."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from layout.face.revisions import FIRST
from layout.job.model import Job
from layout.paper.ink import BLACK, FRAME, QUIET, RULED
from layout.paper.letters import fitted, size_to_fit, text_width, wrapped
from layout.paper.primitives import Box, Primitive, Text, line, rectangle

SIZES: Final = {
    "letter": (279.4, 215.9),
    "tabloid": (431.8, 279.4),
    "A4": (297.0, 210.0),
    "A3": (420.0, 297.0),
    "in": (279.4, 215.9),
    "mm": (297.0, 210.0),
}
"""mm, landscape: ANSI Y14.1 sizes A and B, ISO 216; letter is usual for inch jobs, A4 for mm jobs"""
QUOTE, SHOP, SITE, DIE = "quote", "shop", "site", "die"
READERS: Final = (QUOTE, SHOP, SITE, DIE)
"""for whom a page is, in the order in which the packet is bound"""
MARGIN: Final = 10.0
"""mm from the paper's edge to the frame: office printers leave up to 6.35 mm bare (assumed)"""
TITLE_HEIGHT: Final = 11.0
"""mm, of the title block along the lower edge of the frame"""
PADDING: Final = 4.0
"""mm from the frame to what is drawn in it"""
SMALLEST: Final = 7.0
"""pt, of any text on paper"""

_ARCHITECTS: Final = {
    1: "full size",
    2: '6" = 1\'-0"',
    4: '3" = 1\'-0"',
    8: '1 1/2" = 1\'-0"',
    12: '1" = 1\'-0"',
    16: '3/4" = 1\'-0"',
    24: '1/2" = 1\'-0"',
    32: '3/8" = 1\'-0"',
    48: '1/4" = 1\'-0"',
    64: '3/16" = 1\'-0"',
    96: '1/8" = 1\'-0"',
    128: '3/32" = 1\'-0"',
    192: '1/16" = 1\'-0"',
}
"""the architect's scale, common practice"""
_METRIC: Final = (1, 2, 5, 10, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200)
"""ISO 5455, with the steps between as builders use them"""


@dataclass(frozen=True)
class Scale:
    """One scale of drawing."""

    ratio: float
    """mm in the world for one mm on paper"""
    words: str


@dataclass(frozen=True, eq=False)
class Drawing:
    """What fills one paper inside its frame."""

    name: str
    items: tuple[Primitive, ...]
    scale: str = "none"
    """in words, for the title block"""
    portrait: bool = False
    """on a paper stood on its short side"""
    reader: str = ""
    """quote · shop · site · die; empty outside a packet"""


@dataclass(frozen=True, eq=False)
class Paper:
    """One finished paper."""

    name: str
    width: float
    """mm"""
    height: float
    """mm"""
    items: tuple[Primitive, ...]
    reader: str = ""
    """as its drawing's"""


def paper_of(job: Job) -> str:
    """Return the name of a job's paper size, or its units where it asks for none.

    The functions here take it as `paper`.
    """
    return job.paper.size or job.units


def paper_size(paper: str, times: float = 1.0, *, portrait: bool = False) -> tuple[float, float]:
    """Return width and height of a paper `times` as large as the one named, mm.

    Examples
    --------
    >>> paper_size("mm"), paper_size("mm", portrait=True)
    ((297.0, 210.0), (210.0, 297.0))
    """
    long, short = (side * times for side in SIZES[paper])
    return (short, long) if portrait else (long, short)


def frame_box(paper: str, times: float = 1.0, *, portrait: bool = False) -> Box:
    """Return the frame on a paper `times` as wide and high as the one named, mm."""
    width, height = paper_size(paper, times, portrait=portrait)
    return Box(MARGIN, MARGIN, width - MARGIN, height - MARGIN)


def room_box(paper: str, times: float = 1.0, *, portrait: bool = False) -> Box:
    """Return what a drawing may fill: the frame less title block and padding, mm."""
    frame = frame_box(paper, times, portrait=portrait)
    return Box(
        frame.left + PADDING,
        frame.bottom + TITLE_HEIGHT + PADDING,
        frame.right - PADDING,
        frame.top - PADDING,
    )


def scales(units: str) -> Iterable[Scale]:
    """Run through the standard scales from full size down, without end.

    Examples
    --------
    >>> from itertools import islice
    >>> [scale.words for scale in islice(scales("mm"), 4)]
    ['1 : 1', '1 : 2', '1 : 5', '1 : 10']
    """
    if units == "in":
        yield from (Scale(ratio, words) for ratio, words in _ARCHITECTS.items())
        feet = 20
        while True:  # the engineer's scale, past the architect's
            yield Scale(12 * feet, f"1\" = {feet}'")
            feet += 10 if feet < 60 else feet
    yield from (Scale(ratio, f"1 : {ratio}") for ratio in _METRIC)
    ratio = 2 * _METRIC[-1]
    while True:
        yield Scale(ratio, f"1 : {ratio}")
        ratio *= 2


def choose_scale(extent: tuple[float, float], room: tuple[float, float], units: str) -> Scale:
    r"""Return the largest standard scale at which an extent fits the room, both (across, up) in mm.

    Examples
    --------
    >>> choose_scale((6000, 4000), (250, 170), "mm").words
    '1 : 25'
    >>> choose_scale((6096, 3048), (254, 127), "in").words
    '1/2" = 1\'-0"'
    """
    least = max(extent[0] / room[0], extent[1] / room[1])
    if not (math.isfinite(least) and least >= 0):
        raise ValueError(f"extent {extent} in room {room} has no scale")
    return next(scale for scale in scales(units) if scale.ratio >= least * (1 - 1e-9))


def finish(drawings: Sequence[Drawing], job: Job, times: float = 1.0, revision: str = FIRST) -> tuple[Paper, ...]:
    """Put each drawing into its frame, with a title block that counts the papers."""
    counts = (f"{i} of {len(drawings)}" for i in range(1, len(drawings) + 1))
    return tuple(
        _framed(drawing, job, times, (count, revision)) for drawing, count in zip(drawings, counts, strict=True)
    )


def _framed(drawing: Drawing, job: Job, times: float, told: tuple[str, str]) -> Paper:
    width, height = paper_size(paper_of(job), times, portrait=drawing.portrait)
    frame = frame_box(paper_of(job), times, portrait=drawing.portrait)
    around = (rectangle(frame, FRAME, kind="frame"), *_title_block(job, drawing, frame, told))
    return Paper(drawing.name, width, height, (*around, *drawing.items), drawing.reader)


_SHARES: Final = {
    False: (0.25, 0.215, 0.075, 0.105, 0.105, 0.085, 0.08, 0.085),
    True: (0.18, 0.175, 0.085, 0.115, 0.12, 0.10, 0.105, 0.12),
}
"""of the frame's width, of each cell of a title block; on a paper stood on its short side: True"""


def _title_block(job: Job, drawing: Drawing, frame: Box, told: tuple[str, str]) -> list[Primitive]:
    units = {"in": "feet, inches", "mm": "millimetres"}[job.units]
    count, revision = told
    cells = (
        ("job", job.title, 10.0, True),
        (f"for: {drawing.reader}" if drawing.reader else "drawing", drawing.name, 10.0, True),
        ("revision", revision, 10.0, True),
        ("date", job.paper.date or "", 7.5, False),
        ("scale", drawing.scale, 8.0, False),
        ("units", units, 7.5, False),
        ("page", count, 8.0, True),
        ("job file", job.digest[:12] or "none", SMALLEST, False),
    )
    top = frame.bottom + TITLE_HEIGHT
    items: list[Primitive] = [line((frame.left, top), (frame.right, top), style=FRAME, kind="frame")]
    left = frame.left
    for share, (caption, value, size, bold) in zip(_SHARES[drawing.portrait], cells, strict=True):
        width = share * frame.width
        if left > frame.left:
            items.append(line((left, frame.bottom), (left, top), style=RULED, kind="frame"))
        items.append(Text((left + 1.6, top - 3.2), caption, SMALLEST, ink=QUIET, kind="caption"))
        items += _value((left + 1.6, frame.bottom), value, width - 3.0, size, bold=bold)
        left += width
    return items


def _value(at: tuple[float, float], value: str, width: float, size: float, *, bold: bool) -> Iterator[Primitive]:
    """Write a cell's value above its lower left corner: whole as large as it fits, or small on two lines."""
    fits = size_to_fit(value, width, size, SMALLEST, bold=bold)
    if text_width(value, fits, bold=bold) <= width:
        yield Text((at[0], at[1] + 2.4), value, fits, bold=bold, ink=BLACK, kind="title")
        return
    first, *rest = wrapped(value, width, SMALLEST, bold=bold)
    for up, words in ((4.3, first), (1.3, fitted(" ".join(rest), width, SMALLEST, bold=bold))):
        yield Text((at[0], at[1] + up), words, SMALLEST, bold=bold, ink=BLACK, kind="title")
