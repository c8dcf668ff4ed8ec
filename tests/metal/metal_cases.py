"""The metal and the scallops that several tests form."""

from __future__ import annotations

from dataclasses import replace

import pytest

from layout.job.model import ScallopSpec
from layout.metal.metals import METALS

IN = 25.4
T24 = 0.0239 * IN
STEEL = METALS["steel"]
DRAWN = ScallopSpec("arc", 3 * IN, 0.75 * IN)
SPECS = {
    "arc": DRAWN,
    "arc, rounded": replace(DRAWN, valley_radius=6.0),
    "arc-flat": ScallopSpec("arc-flat", 76.0, 12.0, flat=12.0, valley_radius=4.0),
    "sine": ScallopSpec("sine", 76.0, 18.0),
    "serpentine": ScallopSpec("serpentine", 76.0, 18.0),
    "arc-tangent": ScallopSpec("arc-tangent", 76.2, 25.4, radius=14.29),
}
every_spec = pytest.mark.parametrize("spec", SPECS.values(), ids=SPECS)
