"""The palette: readable on white paper, apart in grey and for colour-blind eyes.

Relative luminance and contrast ratio: W3C, Web Content Accessibility Guidelines 2.1, definitions; text at
least 4.5 : 1 (success criterion 1.4.3). Simulation of colour blindness: Viénot, Brettel & Mollon, Color Res.
Appl. 24 (1999), for linear RGB (matrices from memory).
"""

from __future__ import annotations

import numpy as np
import pytest

from layout.paper.ink import BLACK, CARE, QUIET, SEAM, TINT, WHITE

PROTAN = np.array([[0.11238, 0.88762, 0.0], [0.11238, 0.88762, 0.0], [0.00401, -0.00401, 1.0]])
DEUTAN = np.array([[0.29275, 0.70725, 0.0], [0.29275, 0.70725, 0.0], [-0.02234, 0.02234, 1.0]])


def linear(ink):
    """Return linear red, green, blue of an ink."""
    values = np.array([int(ink[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    return np.where(values <= 0.03928, values / 12.92, ((values + 0.055) / 1.055) ** 2.4)


def contrast(a, b):
    """Return the contrast ratio of two inks."""
    light = sorted(float(linear(ink) @ [0.2126, 0.7152, 0.0722]) for ink in (a, b))
    return (light[1] + 0.05) / (light[0] + 0.05)


def test_contrast_of_black_on_white_is_21():
    """The definition's own extreme: black on white is 21 : 1."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize(
    ("ink", "ground"), [(BLACK, WHITE), (BLACK, TINT), (QUIET, WHITE), (CARE, WHITE), (WHITE, SEAM)]
)
def test_text_can_be_read_on_its_ground(ink, ground):
    """Every pair of text and ground has at least 4.5 : 1."""
    assert contrast(ink, ground) >= 4.5


def test_colours_are_different_greys():
    """On a grey printer seams and what asks for care differ by at least 2 : 1."""
    assert contrast(SEAM, CARE) >= 2.0


@pytest.mark.parametrize("eyes", [np.eye(3), PROTAN, DEUTAN], ids=["full", "no red", "no green"])
def test_colours_stay_apart_for_every_eye(eyes):
    """Blue of seams and orange of care stay far apart in what each eye is left with."""
    seen = [eyes @ linear(ink) for ink in (SEAM, CARE)]
    assert np.abs(seen[0] - seen[1]).max() > 0.1
