"""Panels out of sheets: what the solver says is checked before it is believed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from layout.errors import CheckFailed
from layout.face.planning import make_plan
from solver import cutting
from tests.jobs import kiosk


def test_a_cutting_that_misses_a_panel_is_never_planned(monkeypatch: pytest.MonkeyPatch):
    """A sheet taken out of the solver's answer leaves a panel uncut: told as a defect, not as a plan."""
    assert make_plan(kiosk()).sheets
    cut = cutting.cut

    def short(*problem: object, **options: object) -> cutting.CutResult:
        result = cut(*problem, **options)  # type: ignore[arg-type]
        assert result.cuttings is not None
        return replace(result, cuttings=result.cuttings[1:])

    monkeypatch.setattr(cutting, "cut", short)
    with pytest.raises(CheckFailed):
        make_plan(kiosk())
