"""Damaged drawings are refused in words or read; nothing hangs, and there is never a traceback.

A few hundred by a fixed seed here; ``SEAMWALK_FUZZ=10000`` in the environment makes it that many.
"""

from __future__ import annotations

import os
import resource
import time
from dataclasses import replace
from pathlib import Path

import pytest
from drawing_files import CASES
from drawing_fuzz import damaged_drawings

from layout.errors import Fault, JobFaults
from layout.job.model import OutlineSpec
from layout.outline.walk import walk

COUNT = int(os.environ.get("SEAMWALK_FUZZ", "240"))

MOST_SECONDS = 5.0
"""of the processor's time, for one drawing"""

MOST_MEMORY = 500 * 1024
"""KiB that the whole process may come to"""


def _told(spec: OutlineSpec) -> tuple[Fault, ...]:
    """Return the faults of an outline; none where it can be walked."""
    try:
        walk(spec)
    except JobFaults as refused:
        return refused.faults
    return ()


@pytest.mark.parametrize("part", range(4))
def test_damaged_drawings_are_read_or_refused(part: int, tmp_path: Path) -> None:
    """Whatever lines of a file are changed, lost, doubled or exchanged."""
    seen = {"read": 0, "refused": 0}
    template = CASES[0].write(tmp_path)
    for case, data in damaged_drawings(COUNT // 4, seed=part):
        (tmp_path / "hall.dxf").write_bytes(data)
        face = "outside" if case.says.get("closed", True) else "right"
        began = time.process_time()
        told = _told(replace(template, face=face, **case.says))
        seen["refused" if told else "read"] += 1
        assert all(fault.key.startswith("outline") and fault.rule and fault.remedy for fault in told)
        assert all(str(fault).isprintable() for fault in told)
        assert time.process_time() - began < MOST_SECONDS
    assert min(seen.values()) > COUNT // 40  # else the damage is too much or too little to tell anything
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss < MOST_MEMORY
