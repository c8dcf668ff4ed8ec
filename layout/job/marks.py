"""Marks of a survey: from the job file or a table of comma-separated values to places in plan."""

from __future__ import annotations

import csv
import hashlib
import io
import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from layout.errors import Fault, JobFaults
from layout.job.fields import point, shown
from layout.job.model import Job, OutlineSpec
from layout.job.model_survey import XY, Mark, MarksSpec, Survey
from layout.job.plain_file import UnreadableError, plain_file
from layout.units import UnitError, format_length, parse_length

LARGEST_TABLE = 1_000_000
"""Bytes; a thousand marks take some 30 000 (assumed)."""

MOST_FAULTS = 20
"""Faults of one table that are told; the rest are counted (assumed)."""

COLUMNS = {"points": ("x", "y"), "offsets": ("along", "offset"), "tapes": ("d1", "d2")}
"""Columns of a table of marks, by how they were measured; a further one, ``mark``, may name them, and
``corner`` says which stand at sharp corners."""

NO_CORNER = frozenset({"", "0", "no", "n", "none", "n/a", "false", "-"})
"""What a table writes under ``corner`` for a mark that stands at none; anything else is yes."""

FLATTEST = math.radians(10)
"""Angle at which two tapes must meet at least; there a mark is eight times as uncertain as a tape (assumed)."""

SHORTEST_BASE = 100.0
"""mm between the two points that marks are measured from (assumed)."""


def pairs(value: object, units: str | None) -> tuple[XY, ...]:
    """Read a list of pairs of lengths, mm.

    >>> pairs([[0, "1 in"], [25.4, 0]], "mm")
    ((0.0, 25.4), (25.4, 0.0))
    >>> pairs([[0, 1], [2]], "mm")
    Traceback (most recent call last):
    layout.units.UnitError: pair 2: this must be a pair of lengths. Write it as [x, y].
    """
    if not isinstance(value, list) or not value:
        raise UnitError("this must be a list of pairs of lengths", "Write it as [[0, 0], [100, 5], …]")
    found = []
    for number, item in enumerate(value, 1):
        try:
            found.append(point(item, units))
        except UnitError as error:
            raise UnitError(f"pair {number}: {error.rule}", error.remedy) from None
    return tuple(found)


def two_points(value: object, units: str | None) -> tuple[XY, XY]:
    """Read two different places in plan, mm: a base line or two control points.

    >>> two_points([[0, 0], ["3 m", 0]], "mm")
    ((0.0, 0.0), (3000.0, 0.0))
    """
    if not isinstance(value, list) or len(value) != 2:
        raise UnitError("this must be two places", "Write it as [[0, 0], [120, 0]]")
    first, second = pairs(value, units)
    if units and math.dist(first, second) < SHORTEST_BASE:
        raise UnitError(f"the two places are at least {format_length(SHORTEST_BASE, units)} apart", "Look at them")
    return first, second


def names(value: object, units: str | None) -> tuple[str, ...]:
    """Read a list of marks, by their numbers from 1 or by their names in a table.

    >>> names([4, "NE"], "mm")
    ('4', 'NE')
    >>> names([True], "mm")
    Traceback (most recent call last):
    layout.units.UnitError: this must be a list of marks, by number or name. Write it as [4, 9].
    """
    if not isinstance(value, list) or not value or any(type(item) not in {int, str} for item in value):
        raise UnitError("this must be a list of marks, by number or name", "Write it as [4, 9]")
    return tuple(str(item) for item in value)


def from_two_tapes(d1: float, d2: float, base: float) -> tuple[float, float]:
    """Return how far along the line from the first control point to the second a mark is, and how far off it.

    x = (d1² − d2² + B²)/(2B), y = √(d1² − x²), all of one unit.

    Raises
    ------
    ValueError
        Where the tapes do not reach each other.

    Examples
    --------
    >>> from_two_tapes(3.0, 4.0, 5.0)
    (1.8, 2.4)
    >>> from_two_tapes(1.0, 1.0, 3.0)
    Traceback (most recent call last):
    ValueError: tapes of 1.0 and 1.0 do not meet 3.0 apart
    """
    # Heron's product, so that a mark near the line between keeps its last digits.
    product = (d1 + d2 + base) * (d1 + d2 - base) * (base + d1 - d2) * (base - d1 + d2)
    if product < 0 or min(d1, d2) < 0:
        raise ValueError(f"tapes of {d1} and {d2} do not meet {base} apart")
    return ((d1 - d2) * (d1 + d2) + base * base) / (2 * base), math.sqrt(product) / (2 * base)


def survey_of(asked: MarksSpec, key: str, units: str) -> Survey:
    """Return the survey whose figures stand in the job file, under a key as ``outline.points``.

    Raises
    ------
    JobFaults
        With every mark that cannot be placed.
    """
    told = [(str(number), pair, f"{key}[{number}]") for number, pair in enumerate(asked.pairs, 1)]
    marks = _cornered(_placed(asked, told, units), asked.corners, f"{key.rpartition('.')[0]}.corners")
    return Survey(marks, asked.sigma, asked.how)


def survey_in(data: bytes, asked: MarksSpec, name: str, units: str, key: str = "outline") -> Survey:
    r"""Return the survey that the bytes of a table hold; `name` stands for its file, `key` for its outline.

    The first line names the columns, in any order; commas, semicolons or tabs part them.

    Raises
    ------
    JobFaults
        With every line that cannot be read or placed.

    Examples
    --------
    >>> table = b"mark,d1,d2\nA,3 m,4 m\n"
    >>> asked = MarksSpec("tapes", line=((0.0, 0.0), (5000.0, 0.0)))
    >>> survey_in(table, asked, "hall.csv", "mm").marks[0]
    Mark(name='A', x=1800.0, y=2400.0, sigma=1.5, key='hall.csv line 2', corner=False)
    """
    rows = _rows(data, name)
    wanted = COLUMNS[asked.how]
    header = [cell.strip().casefold() for cell in rows[0][1]]
    missing = [column for column in wanted if column not in header]
    if missing:
        rule = f"the first line names the columns {', '.join(wanted)}, and {' and '.join(missing)} is not there"
        seen = ", ".join(cell for cell in header if cell)
        raise JobFaults([Fault(f"{name} line {rows[0][0]}", shown(seen), rule, "Name the columns in the first line")])
    faults: list[Fault] = []
    told: list[tuple[str, XY, str]] = []
    corners = list(asked.corners)
    for number, (line, cells) in enumerate(rows[1:], 1):
        row = dict(zip(header, cells, strict=False))
        where = f"{name} line {line}"
        pair = tuple(_cell(row, column, where, units, faults) for column in wanted)
        called = row.get("mark", "").strip()[:40] or str(number)
        told.append((called if called.isprintable() else str(number), (pair[0], pair[1]), where))
        if row.get("corner", "").strip().casefold() not in NO_CORNER:
            corners.append(told[-1][0])
    if faults:
        raise JobFaults(_at_most(faults, name))
    marks = _cornered(_placed(asked, told, units), corners, f"{key}.corners")
    return Survey(marks, asked.sigma, asked.how, name)


def with_surveys(job: Job, folder: Path | None = None) -> Job:
    """Return the job with the marks of its surveyed outlines placed in plan.

    Parameters
    ----------
    job
        The job as read.
    folder
        The job file's, in which tables of marks are looked for; without it these are left for later.

    Raises
    ------
    JobFaults
        With every table that cannot be read, and every mark that cannot be placed.
    """
    faults: list[Fault] = []
    outlines = []
    for outline in job.outlines:
        try:
            outlines.append(_with_survey(outline, folder, job.units))
        except JobFaults as refused:
            faults += refused.faults
    if faults:
        raise JobFaults(faults)
    digests = [found.source_digest for found in outlines if found.marks is not None and found.source_digest]
    whole = hashlib.sha256("\n".join([job.digest, *digests]).encode()).hexdigest() if digests else job.digest
    return replace(job, outlines=tuple(outlines), digest=whole)


def _with_survey(outline: OutlineSpec, folder: Path | None, units: str) -> OutlineSpec:
    if outline.marks is None:
        return outline
    if not outline.file:
        return replace(outline, survey=survey_of(outline.marks, f"{outline.key}.{outline.marks.how}", units))
    if folder is None:
        return outline
    try:
        data = plain_file(folder / outline.file, "table of marks", LARGEST_TABLE)
    except UnreadableError as error:
        raise JobFaults([Fault(f"{outline.key}.file", shown(outline.file), error.rule, error.remedy)]) from None
    survey, digest = survey_in(data, outline.marks, outline.file, units, outline.key), hashlib.sha256(data).hexdigest()
    return replace(outline, survey=survey, folder=str(folder), source_digest=digest)


def _rows(data: bytes, name: str) -> list[tuple[int, list[str]]]:
    """Lines that hold something, with their numbers; the first one names the columns."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise JobFaults(
            [Fault(f"{name} line {line}", "", "this is not UTF-8 text", "Save it as CSV in UTF-8")]
        ) from None
    first = next((line for line in text.splitlines() if line.strip()), "")
    parts = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=parts)
    rows = []
    try:
        rows = [(reader.line_num, cells) for cells in reader if any(cell.strip() for cell in cells)]
    except csv.Error as error:
        rule = f"this is no table of comma-separated values ({error})"
        raise JobFaults([Fault(f"{name} line {reader.line_num}", "", rule, "Save it as CSV")]) from None
    if not rows:
        raise JobFaults([Fault(name, "", "this table is empty", "Write the columns' names, then a line a mark")])
    return rows


def _cell(row: dict[str, str], column: str, where: str, units: str, faults: list[Fault]) -> float:
    """Return a length of a row, mm; where it is none a fault is added."""
    written = row.get(column, "").strip()
    try:
        return parse_length(written, units)
    except UnitError as error:
        faults.append(Fault(where, shown(written), f"{column}: {error.rule}", error.remedy))
        return math.nan


def _at_most(faults: list[Fault], name: str) -> list[Fault]:
    if len(faults) <= MOST_FAULTS:
        return faults
    more = Fault(name, "", f"{len(faults) - MOST_FAULTS} more lines have faults", "Mend these first")
    return [*faults[:MOST_FAULTS], more]


def _placed(asked: MarksSpec, told: list[tuple[str, XY, str]], units: str) -> tuple[Mark, ...]:
    """Return marks in plan of what was measured, or all that cannot be placed."""
    faults: list[Fault] = []
    marks: list[Mark] = []
    seen: set[str] = set()
    for name, pair, key in told:
        if name in seen:
            faults.append(Fault(key, shown(name), "each mark has a name of its own", "Give another name"))
        seen.add(name)
        try:
            x, y, sigma = _place(asked, pair, units)
        except UnitError as error:
            value = " and ".join(format_length(length, units) for length in pair)
            faults.append(Fault(key, value, f"mark {name}: {error.rule}", error.remedy))
            continue
        marks.append(Mark(name, x, y, sigma, key))
    if faults:
        raise JobFaults(_at_most(faults, told[0][2]))
    return tuple(marks)


def _counted(name: str, marks: Sequence[Mark]) -> str:
    """Return the name of the mark that a number from 1 counts to; what counts to none is returned as it is."""
    return marks[int(name) - 1].name if name.isdecimal() and 1 <= int(name) <= len(marks) else name


def _cornered(marks: tuple[Mark, ...], corners: Sequence[str], key: str) -> tuple[Mark, ...]:
    """Return marks with those at corners told apart, or refuse names that are no mark's."""
    known = {mark.name for mark in marks}
    # A number that is no mark's name counts the marks in their order.
    corners = [_counted(name, marks) if name not in known else name for name in corners]
    unknown = [name for name in corners if name not in known]
    if unknown:
        remedy = "Give the marks' numbers in their order from 1, or their names"
        raise JobFaults([Fault(key, shown(unknown[0]), "corners are marks of the survey, and this is none", remedy)])
    return tuple(replace(mark, corner=mark.name in corners) for mark in marks)


def _place(asked: MarksSpec, pair: XY, units: str) -> tuple[float, float, float]:
    """Return x, y and the measuring error of one mark, mm."""
    if asked.line is None:
        return pair[0], pair[1], asked.sigma
    (x0, y0), (x1, y1) = asked.line
    base = math.hypot(x1 - x0, y1 - y0)
    u, v = (x1 - x0) / base, (y1 - y0) / base
    side = 1.0 if asked.side == "left" else -1.0
    along, off, sigma = (*pair, asked.sigma) if asked.how == "offsets" else _by_tapes(pair, base, asked.sigma, units)
    return x0 + along * u - side * off * v, y0 + along * v + side * off * u, sigma


def _by_tapes(pair: XY, base: float, sigma: float, units: str) -> tuple[float, float, float]:
    d1, d2 = pair
    apart = f"the control points are {format_length(base, units)} apart"
    if min(d1, d2) <= 0:
        raise UnitError("a tape's length is more than 0", "Measure from the control point to the mark")
    try:
        along, off = from_two_tapes(d1, d2, base)
    except ValueError:
        raise UnitError(f"two tapes must reach each other, and {apart}", "Measure this mark again") from None
    # The angle γ at the mark (law of cosines); the worst error of the place is σ/√(1 − |cos γ|).
    level = abs(d1 * d1 + d2 * d2 - base * base) / (2 * d1 * d2)
    if level > math.cos(FLATTEST):
        rule = f"two tapes must meet at {math.degrees(FLATTEST):g}° or more, and {apart}"
        raise UnitError(rule, "Measure this mark from other control points, or as an offset")
    return along, off, sigma / math.sqrt(1 - level)
