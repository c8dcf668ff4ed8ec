"""Damaged job files are refused in words or read; nothing hangs, and there is never a traceback.

The whole command is run, from the file to what it prints. Two hundred by a fixed seed here; ``SEAMWALK_FUZZ=10000``
in the environment makes it that many.
"""

from __future__ import annotations

import os
import resource
import shutil
import time
from collections import Counter
from pathlib import Path

import pytest

from layout.cli import main
from tests.job.job_fuzz import DEMOS, damaged_jobs

COUNT = int(os.environ.get("SEAMWALK_FUZZ", "200"))

PLANNED = 50
"""of so many that read well one is planned too, and its packet written"""

MOST_SECONDS = 5.0
"""of the processor's time, for one job to be read and taken off"""

PLANNING = 2
"""seconds that a plan is told to take at most"""

MOST_MEMORY = 500 * 1024
"""KiB that the whole process may come to"""


@pytest.fixture
def hall(tmp_path: Path) -> Path:
    """Return a folder with the files that the demos name."""
    for file in DEMOS.iterdir():
        if file.suffix in {".csv", ".dxf"}:
            shutil.copy(file, tmp_path)
    return tmp_path


@pytest.mark.parametrize("part", range(4))
def test_damaged_jobs_are_taken_off_or_refused(part: int, hall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Whatever stands in a job file: exit code 0 with a take-off, 2 with faults, or 3 with a reason."""
    codes = Counter[int]()
    job = hall / "job.toml"
    for damaged in damaged_jobs(COUNT // 4, seed=part):
        job.write_bytes(damaged.data)
        began = time.process_time()
        code = main(["check", str(job)])
        assert time.process_time() - began < MOST_SECONDS, damaged
        codes[code] += 1
        told = capsys.readouterr()
        assert code in {0, 2, 3}, damaged
        assert bool(told.out) == (code == 0), damaged
        assert bool(told.err) == (code != 0), damaged
        assert _is_plain(told.out + told.err), damaged
        assert "nan" not in told.out.split() and "inf" not in told.out.split(), damaged  # noqa: PT018
    assert min(codes[0], codes[2]) > COUNT // 40  # else the damage is too much or too little to tell anything
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss < MOST_MEMORY


def test_damaged_jobs_are_planned_or_refused(hall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Of those that read well some are planned: a packet, or a reason why there is no plan; never a failed check."""
    job = hall / "job.toml"
    found = 0
    for number, damaged in enumerate(damaged_jobs(COUNT, seed=4)):
        job.write_bytes(damaged.data)
        if number % 10 or main(["check", str(job)]):
            continue
        found += 1
        if found % max(PLANNED // 10, 1):
            continue
        out = hall / f"plan {number}"
        code = main(["plan", str(job), "--out", str(out), "--seconds", str(PLANNING)])
        assert code in {0, 2, 3}, (code, capsys.readouterr().err, damaged)
        assert out.exists() == (code == 0), damaged
        shutil.rmtree(out, ignore_errors=True)
        capsys.readouterr()
    assert found
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss < 2 * MOST_MEMORY


def _is_plain(text: str) -> bool:
    return all(char.isprintable() or char == "\n" for char in text)
