"""Whether the stations that a job names lie on its line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from layout.errors import Fault
from layout.face.costs import SAME_STATION
from layout.job.model import Job
from layout.outline.walk import Walked
from layout.units import format_length


def place_faults(job: Job, walked: Sequence[Walked]) -> Iterator[Fault]:
    """Yield a fault for each end of a seam-free stretch that lies past the end of the back line."""
    lengths = {spec.name: line.back.length for spec, line in zip(job.outlines, walked, strict=True)}
    only = next(iter(lengths))
    for k, avoid in enumerate(job.seams.avoid, start=1):
        length = lengths[avoid.outline or only]
        for name, station in (("from", avoid.start), ("to", avoid.end)):
            if station > length + SAME_STATION:
                yield Fault(
                    f"seams.avoid[{k}].{name}",
                    format_length(station, job.units),
                    f"the back line ends at station {format_length(length, job.units)}",
                    "Give a station on the line; on a loop a stretch past the datum has from > to",
                )
