"""What an outline was read from, as plain values: a drawing or a survey."""

from __future__ import annotations

from collections.abc import Callable

from layout.face.plan import Lines
from layout.outline.drawing import Source
from layout.outline.survey_source import SurveySource
from layout.paper.forming_json import Value

Length = Callable[[float], float]
"""mm to the job's units, at the digits of the file"""


def source_object(lines: Lines, length: Length) -> Value:
    """Return what a line was read from; None where the job itself says what it is."""
    if lines.source is not None:
        return _drawing(lines.source, length)
    return None if lines.survey is None else _survey(lines.survey, length)


def _drawing(source: Source, length: Length) -> dict[str, Value]:
    return {
        "kind": "drawing",
        "file": source.file,
        "digest": source.digest,
        "layer": source.layer,
        "units": source.units,
        "read": dict(source.counts),
        "joined": [{"x": length(joint.x), "y": length(joint.y), "gap": length(joint.gap)} for joint in source.joined],
        "left_aside": [
            {
                "what": aside.what,
                "count": aside.count,
                "x": None if aside.x is None else length(aside.x),
                "y": None if aside.y is None else length(aside.y),
            }
            for aside in source.left_aside
        ],
        "notes": list(source.notes),
    }


def _survey(source: SurveySource, length: Length) -> dict[str, Value]:
    return {
        "kind": "survey",
        "file": source.file or None,
        "how": source.how,
        "marks": source.marks,
        "shape": source.shape,
        "pieces": [piece.kind for piece in source.pieces],
        "sigma": length(source.sigma),
        "rms": length(source.rms),
        "worst": {"mark": source.worst[0], "off": length(source.worst[1])},
        "suspects": [
            {"mark": suspect.mark, "off": length(suspect.off), "left_out": suspect.left_out}
            for suspect in source.suspects
        ],
        "explained": source.explained,
    }
