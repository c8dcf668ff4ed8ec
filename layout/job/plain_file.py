"""The bytes of a plain file of decent size, or in words why there are none."""

from __future__ import annotations

import os
import stat
from pathlib import Path

LARGEST_DRAWING = 4_000_000
"""Bytes, so that no drawing takes over 5 s to read (measured: 1.4 MB a second where all of it is texts)."""


class UnreadableError(ValueError):
    """A file that cannot be had: the rule that it breaks and the remedy."""

    def __init__(self, rule: str, remedy: str) -> None:
        self.rule = rule
        self.remedy = remedy
        super().__init__(f"{rule}. {remedy}.")


def plain_file(path: Path, what: str, largest: int) -> bytes:
    """Return the bytes of a plain file; devices and pipes are not even opened, they may never end.

    Parameters
    ----------
    path
        The file.
    what
        What it should be, for the words: ``job file`` or ``drawing``.
    largest
        Bytes that it may have.

    Raises
    ------
    UnreadableError
        Where there is no such file, it is none, it is too large, or the system refuses it.

    Examples
    --------
    >>> plain_file(Path("/nowhere/bar.dxf"), "drawing", LARGEST_DRAWING)
    Traceback (most recent call last):
    layout.job.plain_file.UnreadableError: there is no such file. Look at the name.
    """
    try:
        status = path.stat()
        _check(status, what, largest)
        return path.read_bytes()
    except UnreadableError:
        raise
    except FileNotFoundError:
        raise UnreadableError("there is no such file", "Look at the name") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "no file can have this name"
        raise UnreadableError(f"this cannot be read ({reason})", "Look at its name and rights") from None


def _check(status: os.stat_result, what: str, largest: int) -> None:
    if stat.S_ISDIR(status.st_mode):
        raise UnreadableError("this is a folder", f"Name the {what} in it")
    if not stat.S_ISREG(status.st_mode):
        raise UnreadableError("this is not a plain file", f"Name a {what}")
    if status.st_size > largest:
        raise UnreadableError(f"a {what} has at most {largest} bytes", f"Look whether this is the {what}")
