"""What was read of a survey in words: the line that the marks make, how far off it they are, and which are suspect."""

from __future__ import annotations

import math
from itertools import groupby

from layout.outline.survey_source import SurveyedPiece, SurveySource, Suspect
from layout.outline.tolerances import SMOOTH
from layout.units import format_angle, format_length

MOST_PIECES = 12
"""Pieces that are listed one by one (assumed)."""


def survey_words(source: SurveySource, units: str) -> list[str]:
    """Return lines of text: what the marks make, its pieces, what is left over, and each suspect mark.

    >>> circle = SurveyedPiece("arc", 900.0, 0.0, 1.57, 5654.9, 1 / 900)
    >>> off = (("1", 0.4), ("2", -0.4))
    >>> source = SurveySource("points", "", 2, False, "circle", (circle,), 1.5, off, 0.4, off[0], (), True)
    >>> survey_words(source, "mm")[0]
    '2 marks (x and y) make a circle: arc of radius 900 mm'
    """
    measured = {"points": "x and y", "offsets": "off a base line", "tapes": "two tapes"}[source.how]
    where = f" of {source.file}" if source.file else ""
    article = "" if source.shape.startswith("straights") else "an " if source.shape[0] in "aeiou" else "a "
    listed = f": {_pieces(source, units)}" if len(source.pieces) <= MOST_PIECES else ""
    if source.shape == "fair curve":
        listed = f" {_bends(source.pieces, units)}"
    rows = [f"{source.marks} marks{where} ({measured}) make {article}{source.shape}{listed}"]
    if source.closing_mark:
        rows.append("the last mark is the first one taken again, and is left aside")
    name, off = source.worst
    rows.append(
        f"marks are {_fine(source.rms, units)} off it (rms), at most {_fine(abs(off), units)} (mark {name}); "
        f"measuring error stated {_fine(source.sigma, units)}"
    )
    if not source.explained:
        rows.append(
            "that is more than the stated measuring error explains: look at the marks, take more of them where the "
            "wall bends, or state survey.sigma"
        )
    if source.length_error:
        rows.append(
            f"by that error its length is right to some {_fine(2 * source.length_error, units)} (two deviations)"
        )
    if source.unseen is not None:
        first, second, turn = source.unseen
        rows.append(f"from mark {first} to mark {second} it turns {format_angle(turn)} unseen: take marks between them")
    return rows + [_suspect(suspect, units) for suspect in source.suspects]


def _suspect(suspect: Suspect, units: str) -> str:
    side = "right" if suspect.off > 0 else "left"
    told = f"mark {suspect.mark} is {_fine(abs(suspect.off), units)} to the {side} of it, {suspect.errors:.1f} errors"
    return f"{told}: clearly a blunder, left out" if suspect.left_out else f"{told}: suspect, kept"


def _bends(pieces: tuple[SurveyedPiece, ...], units: str) -> str:
    """Tell a line of many short arcs by its length and its tightest bend."""
    length = format_length(sum(piece.length for piece in pieces), units)
    bend = max(abs(piece.bend) for piece in pieces)
    return f"of {length}, " + (f"its tightest radius {format_length(1 / bend, units)}" if bend else "straight")


def _pieces(source: SurveySource, units: str) -> str:
    words = []
    for before, piece in zip((None, *source.pieces), source.pieces, strict=False):
        turn = _corner(before, piece)
        words += [f"corner of {format_angle(abs(turn))} to the {'left' if turn > 0 else 'right'}"] if turn else []
        words.append(_piece(piece, units))
    return ", ".join(f"{n} × {word}" if (n := len(list(same))) > 1 else word for word, same in groupby(words))


def _corner(before: SurveyedPiece | None, piece: SurveyedPiece) -> float:
    """Return the radians turned on the spot between two pieces, left positive; 0 where they are tangent."""
    if before is None or before.semi_axes is not None:
        return 0.0
    turn = math.remainder(piece.heading - before.heading - before.length * before.bend, math.tau)
    return turn if abs(turn) > SMOOTH else 0.0


def _piece(piece: SurveyedPiece, units: str) -> str:
    if piece.semi_axes is not None:
        long, short = (format_length(2 * axis, units) for axis in piece.semi_axes)
        return f"{long} by {short}"
    if piece.bend:
        return f"arc of radius {format_length(1 / abs(piece.bend), units)}"
    return f"straight of {format_length(piece.length, units)}"


def _fine(mm: float, units: str) -> str:
    return format_length(mm, units, precision=64 if units == "in" else 2)
