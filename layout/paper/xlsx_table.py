"""A table of the spreadsheet as values: its columns, its rows, the cells that are worked out."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Formula:
    """A cell that is worked out: `{head}`, or `{number}` from 0, stands for the cell of that column in its row."""

    text: str
    value: float


Cell = str | int | float | None | Formula


@dataclass(frozen=True)
class Column:
    """One column of figures; a length takes two, the number and how it is read."""

    head: str
    kind: str = "text"
    """text · whole · plain · length · fine · angle · money · weight · share"""
    total: bool = False


@dataclass(frozen=True)
class Table:
    """One leaf of the spreadsheet."""

    name: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    """lengths in mm, angles in radians"""
    notes: tuple[str, ...] = ()
