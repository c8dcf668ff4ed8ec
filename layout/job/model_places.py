"""A place on the face as a job names it: a station, a point that it is near, or an angle from the centre."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Place:
    """Exactly one of its three ways to name a place.

    Examples
    --------
    >>> Place(station=100.0).how
    'station'
    >>> Place()
    Traceback (most recent call last):
    ValueError: a place is told by one of station, near and at_angle
    """

    station: float | None = None
    """mm along the back line"""
    near: tuple[float, float] | None = None
    """mm, a point in plan; the place is the back line's point nearest to it"""
    at_angle: float | None = None
    """radians from +x, anticlockwise, seen from the outline's centre"""

    def __post_init__(self) -> None:
        if sum(told is not None for told in (self.station, self.near, self.at_angle)) != 1:
            raise ValueError("a place is told by one of station, near and at_angle")

    @property
    def how(self) -> str:
        """Return which way it is told: station, near or at_angle."""
        return "station" if self.station is not None else "near" if self.near is not None else "at_angle"


@dataclass(frozen=True)
class Asked:
    """A place that a job tells by a point or an angle: its station is known once the outline is walked."""

    key: str
    """of the job file, as ``opening[1].from``"""
    place: Place
    outline: str = ""
    """name of the outline that it is on; empty: the only one"""
