"""Revisions: which letter a packet bears, and what changed since the one before.

The earlier packet is known by its plan.json alone; it may come of an older version, or be damaged, so whatever
it lacks is told as unknown and never trusted.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from layout.face.folder import KEPT, MARK
from layout.face.plan import Plan
from layout.face.sheets import stock_name
from layout.units import MM_PER_INCH, format_fine, format_length

FIRST: Final = "A"
"""letter of a first packet"""
_SAME: Final = 1e-3
"""mm under which two figures of one plan are the same: far above rounding, far below a tape"""
_SHOWN: Final = 0.05
"""mm under which nobody is told that a seam moved (assumed)"""

Object = dict[str, Any]


@dataclass(frozen=True)
class Revision:
    """What a packet is told apart by."""

    letter: str = FIRST
    since: str | None = None
    """letter of the packet that it takes the place of; None: it is the first"""
    changes: tuple[str, ...] = ()
    """what differs from that one, in sentences"""
    keep: str | None = None
    """name of the folder in which the packet that stands there is to be kept; None: there is none to keep"""


def revision_of(plan: Plan, folder: Path) -> Revision:
    """Return the revision that a plan is when it is written into a folder.

    A packet of the same job file and the same figures is that packet again, and no new revision.
    """
    earlier = _read(folder / MARK)
    if earlier is None:
        return Revision()
    kept = sorted(_kept(folder), key=_rank)
    letter = _letter_of(earlier, kept)
    if earlier.get("job_file") != plan.job.digest or not _same_figures(earlier, plan):
        return Revision(next_letter(letter), letter, tuple(changes(earlier, plan)), f"rev {letter}")
    before = [(one, found) for one in kept if (found := _read(folder / f"rev {one}" / MARK)) is not None]
    if not before:
        return Revision(letter)
    since, plan_before = before[-1]
    return Revision(letter, since, tuple(changes(plan_before, plan)))


def next_letter(letter: str) -> str:
    """Return the revision after one: A, B, … Z, AA, AB and so on.

    Examples
    --------
    >>> [next_letter(letter) for letter in ("A", "Z", "AZ", "ZZ")]
    ['B', 'AA', 'BA', 'AAA']
    """
    head, last = letter[:-1], letter[-1]
    if last != "Z":
        return head + chr(ord(last) + 1)
    return (next_letter(head) if head else "A") + "A"


def _rank(letter: str) -> tuple[int, str]:
    return len(letter), letter


def _kept(folder: Path) -> Iterator[str]:
    """Return the letters of the packets kept in a folder."""
    for entry in folder.iterdir():
        found = KEPT.fullmatch(entry.name)
        if found and entry.is_dir() and not entry.is_symlink():
            yield found[1]


def _letter_of(earlier: Object, kept: Sequence[str]) -> str:
    """Return the letter of the packet that stands in a folder: after all that are kept, whatever it says."""
    said = earlier.get("revision")
    letter = said if isinstance(said, str) and re.fullmatch("[A-Z]{1,3}", said) else FIRST
    return next_letter(kept[-1]) if kept and _rank(letter) <= _rank(kept[-1]) else letter


def _read(path: Path) -> Object | None:
    try:
        found = json.loads(path.read_bytes())
    except (OSError, ValueError):
        return None
    return found if isinstance(found, dict) else None


def _unit(earlier: Object) -> float:
    """Return the mm of one unit of an earlier plan."""
    return float(MM_PER_INCH) if earlier["units"] == "in" else 1.0


def _same_figures(earlier: Object, plan: Plan) -> bool:
    """Tell whether seams, blanks and sheets are those of the earlier plan."""
    try:
        unit = _unit(earlier)
        old = [
            *(float(seam["station"]) * unit for seam in earlier["seams"]),
            *(float(panel[side]) * unit for panel in earlier["panels"] for side in ("blank_length", "blank_height")),
            *(float(panel["sheet"]) for panel in earlier["panels"]),
        ]
    except (KeyError, TypeError, ValueError):
        return False
    new = [
        *(seam.station for seam in plan.seams),
        *(side for panel in plan.panels for side in (panel.blank_length, panel.blank_height)),
        *(float(panel.sheet) for panel in plan.panels),
    ]
    return len(old) == len(new) and all(abs(a - b) < _SAME for a, b in zip(old, new, strict=True))


def changes(earlier: Object, plan: Plan) -> Iterator[str]:
    """Say what differs between an earlier plan, as its plan.json holds it, and this one."""
    told = 0
    for part in (_scallop, _lengths, _panels, _blanks, _sheets, _seams):
        try:
            for words in part(earlier, plan):
                told += 1
                yield words
        except (KeyError, TypeError, ValueError, AttributeError):
            told += 1
            yield f"{part.__name__[1:].capitalize()}: what the earlier packet had cannot be read."
    if not told:
        yield "Nothing that is cut, formed or marked: only other words or wishes in the job file."


def _scallop(earlier: Object, plan: Plan) -> Iterator[str]:
    unit, units, old = _unit(earlier), plan.job.units, earlier["scallop"]
    rows = (
        ("pitch", float(old["pitch"]) * unit, plan.scallop.pitch),
        ("depth", float(old["depth"]) * unit, plan.scallop.depth),
        ("developed length", float(old["developed"]) * unit, plan.scallop.profile.developed),
    )
    for name, was, now in rows:
        if abs(was - now) >= _SAME:
            yield f"Scallop: {name} {format_fine(now, units)}, was {format_fine(was, units)}."
    count = sum(run.scallops for run in plan.runs)
    if old["count"] != count:
        yield f"Scallops: {count}, were {int(old['count'])}."


def _lengths(earlier: Object, plan: Plan) -> Iterator[str]:
    was = float(earlier["outline"]["back_length"]) * _unit(earlier)
    now = sum(lines.back.length for lines in plan.lines)
    if abs(was - now) >= _SHOWN:
        units = plan.job.units
        yield f"Back line: {format_length(now, units)}, was {format_length(was, units)}."


def _panels(earlier: Object, plan: Plan) -> Iterator[str]:
    was = len(earlier["panels"])
    if was != len(plan.panels):
        yield f"Panels: {len(plan.panels)}, were {was}."


def _blanks(earlier: Object, plan: Plan) -> Iterator[str]:
    """Say which sizes of blanks are needed more or less often."""
    unit, units = _unit(earlier), plan.job.units

    def words(length: float, height: float) -> str:
        return f"{format_length(length, units)} × {format_length(height, units)}"

    old = Counter(
        words(float(panel["blank_length"]) * unit, float(panel["blank_height"]) * unit) for panel in earlier["panels"]
    )
    new = Counter(words(panel.blank_length, panel.blank_height) for panel in plan.panels)
    for name, more in (("more", new - old), ("fewer", old - new)):
        if more:
            yield f"Blanks, {name}: {'; '.join(f'{count} of {size}' for size, count in sorted(more.items()))}."


def _sheets(earlier: Object, plan: Plan) -> Iterator[str]:
    was, now = len(earlier["sheets"]), len(plan.sheets)
    if was != now:
        yield f"Sheets cut: {now}, were {was}."
    bought, buy = sum(int(row["buy"]) for row in earlier["order"]), sum(row.buy for row in plan.order)
    if bought != buy:
        rows = ", ".join(f"{row.buy} of {stock_name(plan.job, row.stock)}" for row in plan.order if row.buy)
        yield f"Sheets to buy: {buy} ({rows}), were {bought}."


def _seams(earlier: Object, plan: Plan) -> Iterator[str]:
    """Say run by run which seams moved, by how much, which are new and which are gone."""
    unit, units = _unit(earlier), plan.job.units
    moved, new = list[str](), list[str]()
    gone = [int(seam["number"]) for seam in earlier["seams"] if seam["run"] not in {run.name for run in plan.runs}]
    for run in plan.runs:
        old = [(int(s["number"]), float(s["station"]) * unit) for s in earlier["seams"] if s["run"] == run.name]
        now = [(seam.number, seam.station) for seam in plan.seams if seam.run == run.number]
        around = run.end - run.start if run.closed else None
        pairs = _pairs([station for _, station in old], [station for _, station in now], around)
        for i, j in pairs:
            by = _apart(old[i][1], now[j][1], around)
            if abs(by) >= _SHOWN:
                name = str(now[j][0]) if now[j][0] == old[i][0] else f"{now[j][0]} (was {old[i][0]})"
                moved.append(f"{name} by {'+' if by > 0 else '−'}{format_length(abs(by), units)}")
        new += [str(number) for j, (number, _) in enumerate(now) if j not in {b for _, b in pairs}]
        gone += [number for i, (number, _) in enumerate(old) if i not in {a for a, _ in pairs}]
    if moved:
        yield f"Seams moved (+ to the right): {', '.join(moved)}."
    if new:
        yield f"Seams, new: {', '.join(new)}."
    if gone:
        yield f"Seams, gone (earlier numbers): {', '.join(map(str, sorted(gone)))}."


def _apart(was: float, now: float, around: float | None) -> float:
    """Return how far to the right a station moved, mm; round a loop the shorter way."""
    by = now - was
    return by if around is None else (by + around / 2) % around - around / 2


def _pairs(old: Sequence[float], new: Sequence[float], around: float | None) -> list[tuple[int, int]]:
    """Pair stations in order where there are as many, else those that are nearest to each other."""
    if len(old) == len(new):
        return [(i, i) for i in range(len(old))]

    def nearest(station: float, among: Sequence[float]) -> int:
        return min(range(len(among)), key=lambda k: (abs(_apart(station, among[k], around)), k))

    if not old or not new:
        return []
    best = [(i, nearest(station, new)) for i, station in enumerate(old)]
    return [(i, j) for i, j in best if nearest(new[j], old) == i]
