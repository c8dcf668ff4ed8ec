"""The developed elevation: a lowered part stands as low as it is, and each row names all of its runs."""

from __future__ import annotations

from pathlib import Path

import pytest

from layout.face.planning import make_plan
from layout.job.reading import read_job
from layout.paper.elevation import draw_elevation
from layout.paper.making import face_height
from layout.paper.primitives import Area, Text

GARDEN_BAR = Path(__file__).parents[2] / "demo_jobs" / "garden_bar.toml"


@pytest.fixture(scope="module")
def bar():
    """Return the garden bar: 40 in high, 32 in where guests sit."""
    return make_plan(read_job(GARDEN_BAR))


def test_every_panel_is_drawn_as_high_as_its_run(bar):
    """To one scale: heights on paper are as the runs' heights, 32 to 40."""
    boxes = [
        item for one in draw_elevation(bar) for item in one.items if isinstance(item, Area) and item.kind == "panel"
    ]
    highs = [max(y for _, y in box.points) - min(y for _, y in box.points) for box in boxes]
    wanted = [face_height(bar, bar.runs[panel.run - 1]) for panel in bar.panels]
    assert [high / highs[-1] for high in highs] == pytest.approx([height / wanted[-1] for height in wanted])
    assert min(wanted) / max(wanted) == pytest.approx(32 / 40)


def test_a_lowered_parts_height_and_every_runs_name_are_written(bar):
    """2 ft 8 in over the low counter; low counter, face 1, leaf and face 2 as titles of their rows."""
    texts = [item for one in draw_elevation(bar) for item in one.items if isinstance(item, Text)]
    assert [text.text for text in texts if text.text.endswith(" high") and text.kind == "dimension"] == [
        "2 ft 8 in high"
    ]
    titles = ", ".join(text.text for text in texts if text.kind == "run-name")
    assert {run.name for run in bar.runs} <= set(titles.split(", "))
