"""Reading a job file: from a path to a frozen job, or to all of its faults at once."""

from __future__ import annotations

import hashlib
import re
import stat
import tomllib
from pathlib import Path
from typing import Any

from layout.errors import Fault, JobFaults
from layout.job.building import build_job
from layout.job.fields import shown
from layout.job.model import Job
from layout.job.rules import rule_faults
from layout.job.sections import read_sections
from layout.job.slips import line_remedy

LARGEST_FILE = 1_000_000
"""Bytes; a job of a thousand outlines is smaller (assumed)."""


def read_job(path: Path | str) -> Job:
    """Read a job file.

    Raises
    ------
    JobFaults
        With one fault, whose key is the path, where there is no readable TOML; else with every fault of
        the file, by dotted key.
    """
    return parse_job(_file_bytes(Path(path)), str(path))


def parse_job(data: bytes, name: str = "job") -> Job:
    r"""Read a job from the bytes of a file; `name` stands for the file in what is told.

    Raises
    ------
    JobFaults
        With every fault found.

    Examples
    --------
    >>> parse_job(b'title = "Bar"\nunits = "cm"')
    Traceback (most recent call last):
    layout.errors.JobFaults: units = "cm": this must be one of in · mm. Write it between quotes, as "in".
    outline: at least one [outline] must be there. Add [outline] with shape.
    ...
    """
    reading = read_sections(_toml(data, name))
    faults = [*reading.faults, *rule_faults(reading)]
    if faults:
        raise JobFaults(faults)
    return build_job(reading, hashlib.sha256(data).hexdigest())


def _refused(name: str, rule: str, remedy: str) -> JobFaults:
    shown_name = "".join(char if char.isprintable() else "�" for char in name)
    return JobFaults([Fault(shown_name, "", rule, remedy)])


def _file_bytes(path: Path) -> bytes:
    """Read a plain file of decent size; devices and pipes are not even opened, they may never end."""
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise _refused(str(path), "this is a folder", "Name the job file in it")
        if not stat.S_ISREG(status.st_mode):
            raise _refused(str(path), "this is not a plain file", "Name a job file")
        if status.st_size > LARGEST_FILE:
            rule = f"a job file has at most {LARGEST_FILE} bytes"
            raise _refused(str(path), rule, "Look whether this is the job file")
        return path.read_bytes()
    except FileNotFoundError:
        remedy = "Look at the name, or write a starter with: seamwalk new FILE"
        raise _refused(str(path), "there is no such file", remedy) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "no file can have this name"
        raise _refused(str(path), f"this cannot be read ({reason})", "Look at its name and rights") from None


def _toml(data: bytes, name: str) -> dict[str, Any]:
    try:
        # utf-8-sig: some editors put a byte order mark first, which TOML does not know.
        written = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        remedy = "Save it as plain text in UTF-8"
        raise _refused(name, f"this is not UTF-8 text (line {line})", remedy) from None
    if not written.strip():
        raise _refused(name, "this file is empty", "Write a starter with: seamwalk new FILE") from None
    try:
        return tomllib.loads(written)
    except RecursionError:
        raise _refused(name, "this is nested too deeply", "Write plain tables") from None
    except ValueError as error:  # TOMLDecodeError is one; so is a number of too many digits
        raise _refused(name, *_toml_reason(error, written)) from None


def _toml_reason(error: ValueError, written: str) -> tuple[str, str]:
    """Say in rule and remedy what is not TOML, with the line where it is known."""
    message = str(error)
    place = re.search(r"\(at (line (\d+), column \d+|end of document)\)", message)
    if place is None:
        return f"this is not TOML: {message[:100]}", "Look for a number of too many digits"
    where = place[1] if place[2] else f"line {written.count(chr(10)) + 1}"
    what = message[: place.start()].strip()
    line = written.split("\n")[int(place[2]) - 1].strip() if place[2] else ""
    seen = f": {shown(line)}" if line else ""
    return f"this is not TOML at {where}: {what}", f"{line_remedy(line) or 'Correct that line'}{seen}"
