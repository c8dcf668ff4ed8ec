"""The packet's tables as one spreadsheet: order, cut list, panels, set-out, control points, closing sums.

Every length stands twice: as a number in the job's units, to reckon with, and as text as it is read off a
tape. Totals are formulas, with their values beside them for programs that only show (ECMA-376, part 1,
§18.3.1.40 f, §18.3.1.96 v). Fixed dates, so that files repeat.
"""

from __future__ import annotations

import datetime
import io
import math
import re
from collections.abc import Callable, Sequence
from types import ModuleType
from typing import Any, Final

from layout.face.plan import Plan
from layout.face.revisions import FIRST
from layout.face.set_out import SetOut, set_out
from layout.paper.plan_json import NOUGHT, digits
from layout.paper.xlsx_table import Cell, Column, Formula, Table
from layout.paper.xlsx_tables import tables_of
from layout.units import format_fine, format_length, to_units

_CREATED: Final = datetime.datetime(2000, 1, 1)
"""no clock in a file: the same plan gives the same bytes"""
HEAD_ROW: Final = 4
"""row, from 0, of the column heads; above it title, job file and what the lengths are in"""
_FORMATS: Final = {
    "in": {"length": "0.0000", "fine": "0.0000"},
    "mm": {"length": "0.0", "fine": "0.000"},
}
_WIDEST: Final = 46
"""characters, of a column; longer texts wrap (assumed)"""
_PRINTED: Final = 230
"""characters across a page at most: 11 pt at some 60 %, so no smaller than 6.6 pt (assumed)"""
_LONGEST: Final = 32767
"""characters in a cell (ECMA-376 leaves it open; common programs hold no more)"""


def packet_xlsx(plan: Plan, found: SetOut | None = None, revision: str = FIRST) -> bytes:
    """Return the tables of a plan as a spreadsheet: the same plan, the same bytes.

    Parameters
    ----------
    found
        The set-out; worked out from the plan where it is not given.
    revision
        Letter of the revision; every leaf says it.
    """
    return write_xlsx(tables_of(plan, set_out(plan) if found is None else found), plan, revision)


def write_xlsx(tables: Sequence[Table], plan: Plan, revision: str = FIRST) -> bytes:
    """Return tables as a spreadsheet with the plan's title, revision and units."""
    out = io.BytesIO()
    with _library().Workbook(out, {"in_memory": True}) as book:
        book.set_properties({"title": _text(plan.job.title), "created": _CREATED})
        book.set_calc_mode("auto")
        styles = _Styles(book, plan.job.units)
        for table in tables:
            _Leaf(book.add_worksheet(table.name), table, plan, revision, styles).write()
    return out.getvalue()


class _Styles:
    """How cells look, made once a file."""

    def __init__(self, book: Any, units: str) -> None:
        self._book = book
        kinds: dict[str, dict[str, object]] = {
            "text": {"text_wrap": True},
            "whole": {"num_format": "0"},
            "plain": {"num_format": "General"},
            "weight": {"num_format": "0.0"},
            "angle": {"num_format": "0.0"},
            "money": {"num_format": "#,##0.00"},
            "share": {"num_format": "0%"},
            "read": {"align": "right"},
            **{kind: {"num_format": form} for kind, form in _FORMATS[units].items()},
        }
        self.plain = {kind: book.add_format({"valign": "top", **look}) for kind, look in kinds.items()}
        self.total = {kind: book.add_format({"bold": True, "top": 1, **look}) for kind, look in kinds.items()}
        self.title = book.add_format({"bold": True, "font_size": 14})
        self.note = book.add_format({"font_color": "#5c5c5c"})
        self.head = book.add_format(
            {"bold": True, "text_wrap": True, "valign": "top", "bottom": 1, "bg_color": "#e9eef4"}
        )


class _Leaf:
    """One table being written to its leaf."""

    def __init__(self, leaf: Any, table: Table, plan: Plan, revision: str, styles: _Styles) -> None:
        self._leaf, self._table, self._plan, self._revision, self._styles = leaf, table, plan, revision, styles
        self._units = plan.job.units
        self._places: dict[str, int] = {}
        at = 0
        for column in table.columns:
            self._places[column.head] = at
            at += 2 if column.kind in _FORMATS["mm"] else 1
        self._width = at

    def write(self) -> None:
        """Write everything and set up the page."""
        self._above()
        for i, row in enumerate(self._table.rows):
            for column, cell in zip(self._table.columns, row, strict=True):
                self._cell(HEAD_ROW + 1 + i, column, cell, self._styles.plain)
        last = HEAD_ROW + len(self._table.rows)
        if any(column.total for column in self._table.columns) and self._table.rows:
            last += 1
            self._totals(last)
        self._page(last, sum(self._widths()))

    def _above(self) -> None:
        digest = self._plan.job.digest[:12] or "not from a file"
        units = {"in": "inches", "mm": "millimetres"}[self._units]
        self._leaf.write_string(0, 0, _text(f"{self._plan.job.title}: {self._table.name}"), self._styles.title)
        date = f", {self._plan.job.paper.date}" if self._plan.job.paper.date else ""
        made = f"Revision {self._revision}{date}. Lengths in {units}; angles in degrees. Job file {digest}."
        self._leaf.write_string(1, 0, _text(made), self._styles.note)
        for i, note in enumerate(self._table.notes):
            self._leaf.write_string(2 + i, 0, note, self._styles.note)
        for column in self._table.columns:
            at = self._places[column.head]
            unit = f" ({self._units})" if column.kind in _FORMATS["mm"] else ""
            self._leaf.write_string(HEAD_ROW, at, column.head + unit, self._styles.head)
            if unit:
                self._leaf.write_string(HEAD_ROW, at + 1, f"{column.head}, read", self._styles.head)

    def _cell(self, row: int, column: Column, cell: Cell, styles: dict[str, Any]) -> None:
        at, style = self._places[column.head], styles[column.kind]
        match cell:
            case None:
                self._leaf.write_blank(row, at, None, style)
            case str():
                self._leaf.write_string(row, at, _text(cell), style)
            case Formula(text, value):
                self._leaf.write_formula(row, at, self._filled(text, row), style, value)
            case _:
                self._leaf.write_number(row, at, self._number(column, cell), style)
                if column.kind in _FORMATS["mm"]:
                    self._leaf.write_string(row, at + 1, self._read(column, cell), styles["read"])

    def _filled(self, text: str, row: int) -> str:
        cell_of = _library().utility.xl_rowcol_to_cell
        heads = [column.head for column in self._table.columns]

        def place(found: re.Match[str]) -> str:
            name = heads[int(found[1])] if found[1].isdecimal() else found[1]
            return str(cell_of(row, self._places[name]))

        return re.sub(r"\{([^}]*)\}", place, text)

    def _number(self, column: Column, value: float) -> float:
        """Return what a cell holds, at the 12 digits of plan.json: machines agree on these."""
        if column.kind in _FORMATS["mm"]:
            return digits(to_units(value, self._units))
        if column.kind == "angle":
            return digits(math.degrees(value))
        return digits(value) if column.kind == "weight" else value

    def _read(self, column: Column, mm: float) -> str:
        show: Callable[[float, str], str] = format_fine if column.kind == "fine" else format_length
        return show(mm, self._units)

    def _totals(self, row: int) -> None:
        styles = self._styles.total
        for column in self._table.columns:
            at, cells = self._places[column.head], [r[self._table.columns.index(column)] for r in self._table.rows]
            if not column.total:
                self._leaf.write_blank(row, at, None, styles["text"])
            else:
                whole = _sum([cell.value if isinstance(cell, Formula) else cell for cell in cells])
                summed = f"SUM({_library().utility.xl_range(HEAD_ROW + 1, at, row - 1, at)})"
                self._leaf.write_formula(row, at, f"={summed}", styles[column.kind], self._number(column, whole))
                if column.kind in _FORMATS["mm"]:
                    self._leaf.write_string(row, at + 1, self._read(column, whole), styles["read"])
        self._leaf.write_string(row, 0, "total", styles["text"])

    def _widths(self) -> list[float]:
        """Set how wide each column is, and return it, in characters."""
        found: list[float] = []
        for k, column in enumerate(self._table.columns):
            cells = [row[k] for row in self._table.rows]
            if column.kind in _FORMATS["mm"]:
                read = [len(self._read(column, cell)) for cell in cells if isinstance(cell, int | float)]
                found += [11, max([12, *(n + 1 for n in read)])]
            else:
                words = [len(cell) for cell in cells if isinstance(cell, str)]
                found.append(min(max([8, len(column.head), *words]) + 1, _WIDEST))
        for at, width in enumerate(found):
            self._leaf.set_column(at, at, width)
        return found

    def _page(self, last: int, wide: float) -> None:
        leaf = self._leaf
        leaf.freeze_panes(HEAD_ROW + 1, 1)
        leaf.print_area(0, 0, last, self._width - 1)
        leaf.repeat_rows(HEAD_ROW)
        leaf.repeat_columns(0)
        leaf.set_landscape()
        leaf.set_paper(1 if self._units == "in" else 9)  # letter, A4
        leaf.fit_to_pages(math.ceil(wide / _PRINTED), 0)
        leaf.set_margins(left=0.4, right=0.4, top=0.6, bottom=0.6)
        title = _text(self._plan.job.title).replace("&", "&&")[:120]
        leaf.set_footer(f"&L{title}, rev {self._revision}&C&A&R&P of &N")


def _text(text: str) -> str:
    """Return text as a cell holds it."""
    return text[:_LONGEST]


def _sum(cells: Sequence[Cell]) -> float:
    """Add the numbers of a column; what is left of them by rounding alone is 0."""
    numbers = [cell for cell in cells if isinstance(cell, int | float)]
    whole = math.fsum(numbers)
    return 0.0 if abs(whole) < NOUGHT * max(map(abs, numbers), default=0.0) else whole


def _library() -> ModuleType:
    """Return the writer, loaded late: only this file needs it."""
    import xlsxwriter  # type: ignore[import-untyped]  # noqa: PLC0415 - it has no types

    return xlsxwriter  # type: ignore[no-any-return]  # a module
