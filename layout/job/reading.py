"""Reading a job file: from a path to a frozen job, or to all of its faults at once."""

from __future__ import annotations

import hashlib
import re
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

from layout.errors import Fault, JobFaults
from layout.job.building import build_job
from layout.job.fields import shown
from layout.job.marks import with_surveys
from layout.job.model import Job, OutlineSpec
from layout.job.plain_file import LARGEST_DRAWING, UnreadableError, plain_file
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
    job = parse_job(_file_bytes(Path(path)), str(path))
    return with_surveys(with_drawings(job, Path(path).parent), Path(path).parent)


def with_drawings(job: Job, folder: Path) -> Job:
    """Return the job with its drawings' place and digests, so that its own digest stands for them too.

    A drawing that cannot be read has no digest: its fault is told with the others, where it is walked.
    """
    if all(outline.shape != "dxf" for outline in job.outlines):
        return job
    outlines = tuple(_with_digest(each, folder) if each.shape == "dxf" else each for each in job.outlines)
    parts = (job.digest, *(outline.source_digest for outline in outlines if outline.shape == "dxf"))
    return replace(job, outlines=outlines, digest=hashlib.sha256("\n".join(parts).encode()).hexdigest())


def _with_digest(outline: OutlineSpec, folder: Path) -> OutlineSpec:
    try:
        data = plain_file(folder / (outline.file or ""), "drawing", LARGEST_DRAWING)
    except UnreadableError:
        return replace(outline, folder=str(folder))
    return replace(outline, folder=str(folder), source_digest=hashlib.sha256(data).hexdigest())


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
    return with_surveys(build_job(reading, hashlib.sha256(data).hexdigest()))


def _refused(name: str, rule: str, remedy: str) -> JobFaults:
    shown_name = "".join(char if char.isprintable() else "�" for char in name)
    return JobFaults([Fault(shown_name, "", rule, remedy)])


def _file_bytes(path: Path) -> bytes:
    """Read the job file."""
    try:
        return plain_file(path, "job file", LARGEST_FILE)
    except UnreadableError as error:
        missing = error.rule == "there is no such file"
        remedy = "Look at the name, or write a starter with: seamwalk new FILE" if missing else error.remedy
        raise _refused(str(path), error.rule, remedy) from None


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
