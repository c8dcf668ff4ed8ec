"""One palette and the line weights of every drawing.

It must live through a grey printer and colour-blind eyes: the two colours are a dark blue and an orange,
which stay apart for all three kinds of colour blindness and print as different greys, and nothing is told
by colour alone: weight, dash, hatch or shape says it too.
"""

from __future__ import annotations

from typing import Final

from layout.paper.primitives import Style

BLACK: Final = "#141414"
"""the face, tables, body text"""
SEAM: Final = "#0b3c6f"
"""seams and their numbers: dark blue"""
CARE: Final = "#b4540a"
"""what asks for care: seam-free stretches, cautions: orange"""
QUIET: Final = "#5c5c5c"
"""what may stand back: leaders, captions, scallops"""
RULE: Final = "#a6a6a6"
"""thin rules of tables and frames"""
TINT: Final = "#e9eef4"
"""behind headings and every other table row"""
BLANK: Final = "#f4efe6"
"""a blank on a sheet"""
WHITE: Final = "#ffffff"

FRAME: Final = Style(BLACK, 0.8)
RULED: Final = Style(RULE, 0.4)
SCALLOP: Final = Style(RULE, 0.25)
FACE_EDGE: Final = Style(BLACK, 0.9)
SEAM_TICK: Final = Style(SEAM, 1.5)
END_TICK: Final = Style(SEAM, 0.6)
"""an end of a run: on one side of the face alone, so that two close together are never one seam"""
LEADER: Final = Style(QUIET, 0.35)
HIDDEN: Final = Style(BLACK, 0.5, (2.5, 1.6))
SEAM_BOX: Final = Style(SEAM, 0.6, fill=SEAM)
PANEL_RING: Final = Style(BLACK, 1.0, fill=WHITE)
HATCH: Final = Style(CARE, 0.45)
STOCK_EDGE: Final = Style(BLACK, 1.2)
CUT_EDGE: Final = Style(BLACK, 0.8, fill=BLANK)
CUT_NUMBER: Final = Style(BLACK, 0.5, fill=WHITE)
MATCH_LINE: Final = Style(CARE, 0.8, (6.0, 2.0))
DROP_HATCH: Final = Style(RULE, 0.35)
EXTENSION: Final = Style(QUIET, 0.3)
DIMENSION: Final = Style(BLACK, 0.4)
