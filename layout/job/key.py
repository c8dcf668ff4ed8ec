"""What one key and one table of the job file are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from layout.job.fields import Reader, length


@dataclass(frozen=True)
class Key:
    """One key of one table."""

    name: str
    read: Reader
    doc: str
    """one line: what it is, and what it is where it is left out"""
    example: tuple[str, str]
    """TOML text for an inch job and for a mm job, as the starter writes it"""
    required: bool = False
    default: tuple[Any, Any] = (None, None)
    """inside values where it is left out, for an inch job and for a mm job"""
    shown: tuple[bool, bool] = (True, True)
    """whether the starter of each unit sets it; else it stands there as a comment"""


@dataclass(frozen=True)
class Section:
    """One table of the job file; `path` names it, with a dot where it stands in another."""

    path: str
    doc: str
    keys: tuple[Key, ...]
    many: str = "one"
    """one · many · either: [face], [[sheet]], or [outline] as well as [[outline]]"""
    required: bool = False

    @property
    def names(self) -> tuple[str, ...]:
        """The keys' names in the order of the table."""
        return tuple(key.name for key in self.keys)


HIDDEN = (False, False)
"""A key that the starter shows as a comment only."""

AT_LEAST_0 = length(least_allowed=True)
"""Reads a length that may be 0."""


def both(value: Any) -> tuple[Any, Any]:
    """Give one value for inch jobs and mm jobs alike.

    >>> both(4)
    (4, 4)
    """
    return value, value
