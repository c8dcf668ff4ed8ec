"""Writes the drawing that a demo job reads: a garden bar as a designer's office hands it over.

    python -m tests.demo_drawing demo_jobs/garden_bar.dxf

Pieces stand in no order and some run backwards; words, a dimension, stools and a planter stand on layers of their own.
"""

from __future__ import annotations

import sys
from pathlib import Path

import ezdxf
from ezdxf import units
from ezdxf.document import Drawing

LENGTH, WIDTH, RADIUS = 168.0, 108.0, 36.0
"""inches, over all: a rectangle 14 ft by 9 ft with round corners of 3 ft"""


def drawing() -> Drawing:
    """Return the drawing."""
    document = ezdxf.new("R2010", setup=True)
    document.units = units.IN
    for layer in ("COUNTER", "NOTES", "STOOLS", "PLANTER"):
        document.layers.add(layer)
    space = document.modelspace()
    x, y, r = LENGTH / 2, WIDTH / 2, RADIUS
    counter = {"layer": "COUNTER"}
    space.add_arc((-x + r, y - r), r, 90, 180, dxfattribs=counter)
    space.add_line((-x + r, -y), (x - r, -y), dxfattribs=counter)
    space.add_arc((x - r, -y + r), r, 270, 360, dxfattribs=counter)
    space.add_line((x - r, y), (-x + r, y), dxfattribs=counter)
    space.add_line((x, y - r), (x, -y + r), dxfattribs=counter)
    space.add_arc((x - r, y - r), r, 0, 90, dxfattribs=counter)
    space.add_line((-x, -y + r), (-x, y - r), dxfattribs=counter)
    space.add_arc((-x + r, -y + r), r, 180, 270, dxfattribs=counter)
    for k in range(5):
        space.add_circle((-60 + 30 * k, -y - 20), 8, dxfattribs={"layer": "STOOLS"})
    space.add_lwpolyline([(-20, -10), (20, -10), (20, 10), (-20, 10)], close=True, dxfattribs={"layer": "PLANTER"})
    space.add_text("GARDEN BAR", dxfattribs={"layer": "NOTES", "height": 6}).set_placement((-24, 20))
    space.add_linear_dim((0, -y - 40), (-x, -y), (x, -y), dxfattribs={"layer": "NOTES"}).render()
    return document


if __name__ == "__main__":
    drawing().saveas(Path(sys.argv[1]))
