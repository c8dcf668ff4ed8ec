"""Where runs must end by the job: required seams and zones, worked out from the job and a line's length alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from layout.job.model import Job, Opening, Zone

SHOWN = {"in": 25.4 / 16, "mm": 0.1}
"""mm, the last figure of a length as people read it; half of it off a line's end is the end"""

SAME = 1e-6
"""mm: stations asked for that are nearer than this are one"""


@dataclass(frozen=True)
class Part:
    """What a run must be."""

    start: float
    """mm, station"""
    end: float
    """mm, past the line's length where it goes on past the datum"""
    closed: bool
    name: str
    zone: str
    height: float
    """mm, of its blanks"""
    start_why: frozenset[str]
    end_why: frozenset[str]
    cut: str
    """left · right: at which end its last scallop is cut; empty where all are whole"""
    start_turn: float = 0.0
    """radians that the line turns at the corner where another run ends, left positive; 0 where there is none"""
    end_turn: float = 0.0


def parts_of(job: Job, outline: int, length: float, corners: Sequence[tuple[float, float]] = ()) -> list[Part]:
    """Return what the runs of an outline must be, in the order of their stations.

    Parameters
    ----------
    job
        The job.
    outline
        Index of the outline.
    length
        mm, of its back line.
    corners
        Station and turn of each of its sharp corners, mm and radians.
    """
    closed = job.outlines[outline].closed
    meets = _meeting_places(job, outline, length, [at for at, _ in corners])
    stations = sorted(meets)
    if closed and stations:
        ends = [*stations, stations[0] + length]
        meets[ends[-1]] = meets[stations[0]]
    else:
        ends = [0.0, *stations, length]
        meets |= {0.0: {"end"}, length: {"end"}}
    faced = [(a, b) for a, b in pairwise(ends) if not _bare(job, outline, length, (a + b) / 2)]
    found = [_part(job, outline, length, each, meets) for each in faced]
    return _cornered(list(_numbered(found)), closed, length, corners)


def _cornered(parts: list[Part], closed: bool, length: float, corners: Sequence[tuple[float, float]]) -> list[Part]:
    """Return the parts with the turn of each corner in which two of them meet."""
    found = list(parts)
    for k, before in enumerate(parts):
        j = (k + 1) % len(parts)
        if k + 1 == len(parts) and not closed:
            break
        for at, turn in corners:
            if all(_apart(place, at, length, closed) <= SAME for place in (before.end, parts[j].start)):
                found[k] = replace(found[k], end_turn=turn)
                found[j] = replace(found[j], start_turn=turn)
    return found


def _apart(a: float, b: float, length: float, closed: bool) -> float:
    gap = abs(a - b)
    return min(gap % length, -gap % length) if closed else gap


def _jambs(job: Job, opening: Opening, length: float, closed: bool) -> tuple[float, float]:
    """Return an opening's left jamb, and its right one, past the length where it goes on past the datum."""
    left, right = (_meant(at, length, job.units, closed=closed) for at in (opening.start, opening.end))
    return left, right + length if closed and right <= left + SAME else right


def _opening_round(job: Job, outline: int, length: float, station: float) -> tuple[Opening, float, float] | None:
    """Return the opening that a station is in, and how far it is from both jambs, mm."""
    closed = job.outlines[outline].closed
    for opening in job.openings:
        if _here(job, outline, opening.outline):
            left, right = _jambs(job, opening, length, closed)
            gone = (station - left) % length if closed else station - left
            if 0 < gone < right - left:
                return opening, gone, right - left - gone
    return None


def _bare(job: Job, outline: int, length: float, station: float) -> bool:
    """Tell whether there is no face at a station: in an opening without a leaf, or in its clearance."""
    found = _opening_round(job, outline, length, station)
    return found is not None and (not found[0].leaf or min(found[1:]) < found[0].clearance)


def _cut_at(job: Job, outline: int, length: float, ends: tuple[float, float], meets: dict[float, set[str]]) -> str:
    """Return at which end of a part its last scallop is cut: the right one where either may be, none at a corner."""
    closed = job.outlines[outline].closed
    within = _opening_round(job, outline, length, sum(ends) / 2)
    ways = []
    for jamb, end in ((1, ends[0]), (0, ends[1])):
        at = [
            opening
            for opening in job.openings
            if _here(job, outline, opening.outline)
            and _apart(_jambs(job, opening, length, closed)[jamb], end, length, closed) <= SAME
        ]
        beside = within[0] if within else at[-1] if at else None
        ways.append("whole" if "corner" in meets[end] else (beside.ends if beside else None) or job.face.ends)
    return "right" if ways[1] == "cut" else "left" if ways[0] == "cut" else ""


def _here(job: Job, outline: int, name: str) -> bool:
    return name in ("", job.outlines[outline].name)


def _meant(station: float, length: float, units: str, *, closed: bool) -> float:
    """Return a station with what is as good as the end of its line brought there; a loop's end is 0."""
    if station >= length - SHOWN[units] / 2:
        return 0.0 if closed else length
    return 0.0 if not closed and station <= SHOWN[units] / 2 else station


def _meeting_places(job: Job, outline: int, length: float, corners: Sequence[float]) -> dict[float, set[str]]:
    """Return the stations inside a line where runs meet, each with its reasons."""
    closed = job.outlines[outline].closed
    asked = [(need.at, need.why) for need in job.seams.require if _here(job, outline, need.outline)]
    for zone in job.zones:
        if _here(job, outline, zone.outline):
            asked += [(zone.start, f"{zone.name} begins"), (zone.end, f"{zone.name} ends")]
    asked += [(at, "corner") for at in corners]
    asked += _opening_places(job, outline, length)
    found: dict[float, set[str]] = {}
    for at, why in asked:
        station = _meant(at, length, job.units, closed=closed)
        if closed or SAME < station < length - SAME:
            near = next((other for other in found if abs(other - station) <= SAME), station)
            found.setdefault(near, set()).update(why.split("; "))
    return found


def _opening_places(job: Job, outline: int, length: float) -> Iterator[tuple[float, str]]:
    """Yield the jambs of an outline's openings and the ends of their leaves."""
    closed = job.outlines[outline].closed
    for opening in job.openings:
        if not _here(job, outline, opening.outline):
            continue
        left, right = _jambs(job, opening, length, closed)
        places = [(left, "left jamb"), (right, "right jamb")]
        if opening.leaf and opening.clearance > 0:
            places += [(left + opening.clearance, "leaf"), (right - opening.clearance, "leaf")]
        for at, what in places:
            yield at % length if closed else at, f"{opening.name}, {what}"


def _part(job: Job, outline: int, length: float, ends: tuple[float, float], meets: dict[float, set[str]]) -> Part:
    spec, face = job.outlines[outline], job.face
    middle = sum(ends) / 2
    zone, round_ = _zone_at(job, outline, length, middle), _opening_round(job, outline, length, middle)
    closed = spec.closed and meets[ends[0]] == {"end"}
    return Part(
        start=ends[0],
        end=ends[1],
        closed=closed,
        name=f"{round_[0].name} leaf" if round_ else zone.name if zone else spec.name or "face",
        zone=zone.name if zone else "",
        height=(zone or face).height + face.top_return + face.bottom_return + face.scribe,
        start_why=frozenset(meets[ends[0]]),
        end_why=frozenset(meets[ends[1]]),
        cut="" if closed else _cut_at(job, outline, length, ends, meets),
    )


def _zone_at(job: Job, outline: int, length: float, station: float) -> Zone | None:
    """Return the zone round a station: where it comes from `from` before it comes from `to`."""
    for zone in job.zones:
        if not _here(job, outline, zone.outline):
            continue
        if not job.outlines[outline].closed:
            if zone.start < station < zone.end:
                return zone
        elif (station - zone.start) % length < (zone.end - zone.start) % length:
            return zone
    return None


def _numbered(parts: list[Part]) -> Iterator[Part]:
    """Yield the parts, those of one name numbered."""
    often, seen = Counter(part.name for part in parts), Counter[str]()
    for part in parts:
        seen[part.name] += 1
        name = part.name if often[part.name] == 1 else f"{part.name} {seen[part.name]}"
        yield replace(part, name=name)
