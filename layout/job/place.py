"""Places as a job file writes them: a station, or a table with `near` or `at_angle`."""

from __future__ import annotations

from layout.job.fields import LONGEST, angle, length, point
from layout.job.model_places import Place
from layout.units import UnitError

__all__ = ["Place", "place", "station"]

WRITE = 'Write a station as "12 ft 3 in", { near = [120, 60] } or { at_angle = 30 }'


def station(value: object, units: str | None) -> float | Place:
    """Read a station in mm where a place is told by one, else the place.

    >>> station("2 m", "in"), station({"near": [0, 0]}, "in")
    (2000.0, Place(station=None, near=(0.0, 0.0), at_angle=None))
    """
    found = place(value, units)
    return found if found.station is None else found.station


def place(value: object, units: str | None) -> Place:
    """Read a place: a length, or a table with `near` or `at_angle`.

    >>> place("2 m", "in")
    Place(station=2000.0, near=None, at_angle=None)
    >>> place({"near": [0, -48]}, "in").near, round(place({"at_angle": 180}, "in").at_angle, 9)
    ((0.0, -1219.2), 3.141592654)
    >>> place({"nearby": [0, 0]}, "in")
    Traceback (most recent call last):
    layout.units.UnitError: a place is a station, or one of near and at_angle. Write ... { at_angle = 30 }.
    """
    if not isinstance(value, dict):
        if isinstance(value, list):
            raise UnitError("a place is a station, or one of near and at_angle", WRITE)
        return Place(station=length(0.0, LONGEST, least_allowed=True)(value, units))
    if len(value) != 1 or not value.keys() <= {"near", "at_angle"}:
        raise UnitError("a place is a station, or one of near and at_angle", WRITE)
    name, told = next(iter(value.items()))
    try:
        if name == "near":
            return Place(near=point(told, units))
        return Place(at_angle=angle(-360, 360)(told, units))
    except UnitError as error:
        raise UnitError(f"{name}: {error.rule}", error.remedy) from None
