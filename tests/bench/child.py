"""One method, one process: so that its peak memory is its own. And what to say of an answer beside ours."""

from __future__ import annotations

import json
import math
import os
import resource
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

GRACE = 20
"""seconds beyond the cap before a process is stopped: starting Python, loading a library, building a model (assumed)"""
SHARE = 0.7
"""of the machine's memory, which no method may exceed (assumed): it fails by itself, and nothing else does"""


def peak_mb() -> float:
    """Return this process's peak memory, MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


NOTHING: dict[str, Any] = {"proved": False, "seconds": math.nan, "peak_mb": math.nan, "before_mb": math.nan}


def limit_memory() -> None:
    """Let this process have no more than its share of the machine's memory."""
    most = int(SHARE * os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES"))
    resource.setrlimit(resource.RLIMIT_DATA, (most, most))


def told(cap: float) -> str:
    """Say how long a method may take, and what the column beside ours says."""
    return (
        f"Each method is asked to end after {cap:.0f} s and is stopped {GRACE} s later, with {SHARE:.0%} of memory.\n"
        "Beside ours: same; worse (not said to be proved); WRONG (said to be, and worse); BETTER (ours is wrong); none."
    )


def verdict(found: Mapping[str, Any], ours: Mapping[str, Any], goals: Sequence[str]) -> str:
    """Say how an answer compares with ours, goal after goal.

    Examples
    --------
    >>> ours = {"cost": 3, "pieces": 8}
    >>> verdict({"cost": 3, "pieces": 8}, ours, ["cost", "pieces"])
    'same'
    >>> [verdict({"cost": 3, "pieces": 9, "proved": said}, ours, ["cost", "pieces"]) for said in (False, True)]
    ['worse', 'WRONG']
    >>> verdict({"cost": 2, "pieces": 9}, ours, ["cost", "pieces"]), verdict({}, ours, ["cost"])
    ('BETTER', 'none')
    """
    if any(found.get(goal) is None for goal in goals):
        return "none"
    own, first = ([int(each[goal]) for goal in goals] for each in (found, ours))
    if own == first:
        return "same"
    if own < first:
        return "BETTER"
    return "WRONG" if found.get("proved") else "worse"


def result_of(module: str, arguments: Sequence[str], cap: float) -> dict[str, Any]:
    """Run a bench's own module as a process that prints what it found as JSON; a failure is a row that says so."""
    command, limit = [sys.executable, "-m", module, *arguments, "--cap", str(cap)], cap + GRACE
    root = Path(__file__).resolve().parents[2]
    try:
        done = subprocess.run(
            command, capture_output=True, text=True, cwd=root, timeout=limit, check=True, preexec_fn=limit_memory
        )
    except subprocess.TimeoutExpired:
        return {**NOTHING, "note": f"stopped after {limit:.0f} s", "seconds": limit}
    except subprocess.CalledProcessError as error:
        said = error.stderr.strip().splitlines()[-1:] or [f"ended with {error.returncode}"]
        return {**NOTHING, "note": f"failed: {said[0][:70]}"}
    found: dict[str, Any] = json.loads(done.stdout)
    return found
