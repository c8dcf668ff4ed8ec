"""From places that a job names by a point or an angle to stations, once its outlines are walked."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from layout.errors import Fault, JobFaults
from layout.job.model import Avoid, Job, Opening, Zone
from layout.outline.places import station_of
from layout.outline.tolerances import SAME_STATION
from layout.outline.walk import Walked
from layout.units import format_length

_KEY = re.compile(r"(seams\.avoid|seams\.require|zone|opening|cutout)\[(\d+)\]\.(from|to|at)")
_FIELD = {"from": "start", "to": "end", "at": "at"}


def placed(job: Job, walked: Sequence[Walked]) -> Job:
    """Return a job whose places all have their stations; `Job.places` still says how they were told.

    Parameters
    ----------
    job
        As read, or placed before.
    walked
        Its outlines.

    Raises
    ------
    JobFaults
        All places that are on no line or are several, or else stretches of an open line that end before they begin.
    """
    faults: list[Fault] = []
    for asked in job.places:
        k = next((k for k, spec in enumerate(job.outlines) if asked.outline in ("", spec.name)), 0)
        try:
            station = station_of(asked.place, walked[k], job.outlines[k], asked.key, job.units)
        except JobFaults as refused:
            faults.extend(refused.faults)
            continue
        job = _with_station(job, asked.key, station)
    faults = faults or list(_backwards(job, walked))
    if faults:
        raise JobFaults(faults)
    return job


def _with_station(job: Job, key: str, station: float) -> Job:
    """Return the job with one station told."""
    named = _KEY.fullmatch(key)
    if named is None:
        raise ValueError(f"{key} is no place of a job")
    path, index, told = named[1], int(named[2]) - 1, _FIELD[named[3]]
    home, _, last = path.rpartition(".")
    field = last if home else f"{last}s"
    owner: Any = job.seams if home else job
    items = list(getattr(owner, field))
    items[index] = replace(items[index], **{told: station})
    changed = replace(owner, **{field: tuple(items)})
    return replace(job, seams=changed) if home else changed


def _backwards(job: Job, walked: Sequence[Walked]) -> Iterator[Fault]:
    """Yield a fault for each stretch of an open line that is told by places and ends before it begins."""
    keys = {asked.key for asked in job.places}
    listed: list[tuple[str, tuple[Avoid | Zone | Opening, ...]]] = [
        ("seams.avoid", job.seams.avoid),
        ("zone", job.zones),
        ("opening", job.openings),
    ]
    for path, items in listed:
        for number, item in enumerate(items, 1):
            key = f"{path}[{number}]"
            if not keys & {f"{key}.from", f"{key}.to"}:
                continue
            homes = [line for spec, line in zip(job.outlines, walked, strict=True) if item.outline in ("", spec.name)]
            if item.start > item.end + SAME_STATION and not all(line.back.closed for line in homes):
                rule = f"on an open line a stretch cannot wrap, and this one begins at station {_at(job, item.start)}"
                yield Fault(f"{key}.to", f"station {_at(job, item.end)}", rule, "Exchange from and to")


def _at(job: Job, station: float) -> str:
    return format_length(station, job.units)
