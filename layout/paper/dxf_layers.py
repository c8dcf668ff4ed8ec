"""The layers of the DXF files, each by what it holds."""

from __future__ import annotations

from typing import Final

from layout.paper.dxf_file import Layer

OUTLINE: Final = Layer("OUTLINE", 8, 18, "the line as drawn", broken=True)
BACK_LINE: Final = Layer("BACK_LINE", 7, 50, "the line that the metal sits on; stations run along it")
CORNERS: Final = Layer("CORNERS", 7, 25, "a ring at each sharp corner of the back line, and how it is built")
PANELS: Final = Layer("PANELS", 5, 35, "each panel as one stretch of the crest line, with its number")
SEAMS: Final = Layer("SEAMS", 1, 35, "a point at each seam, and its tick across the face")
SEAM_NUMBERS: Final = Layer("SEAM_NUMBERS", 1, 18, "seam numbers")
RUN_ENDS: Final = Layer("RUN_ENDS", 5, 25, "a point at each end of a run, its tick towards the viewer, its number")
DATUM: Final = Layer("DATUM", 3, 50, "station 0")
OPENINGS: Final = Layer(
    "OPENINGS", 200, 35, "each opening: a point and a tick at both jambs, the gap on the back line, its name"
)
LEAVES: Final = Layer("LEAVES", 200, 50, "the leaf of each opening that has one, jamb to jamb less its clearances")
ZONES: Final = Layer("ZONES", 92, 25, "each stretch with a height of its own, its ends, its name and height")
CUTOUTS: Final = Layer(
    "CUTOUTS", 1, 25, "each cut-out: a point at its middle, its width on the back line, its name and size"
)
SEAM_FREE: Final = Layer("SEAM_FREE", 30, 70, "stretches of the back line kept free of seams")
CONTROLS: Final = Layer("CONTROLS", 6, 25, "control points to tape from")
TIES: Final = Layer("TIES", 9, 13, "straight distances from control points to seams", broken=True)
VIEWPOINTS: Final = Layer("VIEWPOINTS", 150, 25, "places from where people look, and which seams they see")
WALLS: Final = Layer("WALLS", 8, 70, "what hides seams from viewpoints")
TITLE: Final = Layer("TITLE", 7, 25, "title block: job, revision, date, units, job file")
NOTES: Final = Layer("NOTES", 8, 18, "what the drawing's figures mean and how exact its lines are")
LAYERS: Final = (
    OUTLINE,
    BACK_LINE,
    CORNERS,
    PANELS,
    SEAMS,
    SEAM_NUMBERS,
    RUN_ENDS,
    DATUM,
    OPENINGS,
    LEAVES,
    ZONES,
    CUTOUTS,
    SEAM_FREE,
    CONTROLS,
    TIES,
    VIEWPOINTS,
    WALLS,
    TITLE,
    NOTES,
)
