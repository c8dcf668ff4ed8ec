"""One method, one process: so that its peak memory is its own."""

from __future__ import annotations

import json
import resource
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

GRACE = 60
"""seconds beyond twice the cap before a process is stopped: starting Python and loading a library (assumed)"""


def peak_mb() -> float:
    """Return this process's peak memory, MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def result_of(module: str, arguments: Sequence[str], cap: float) -> dict[str, Any]:
    """Run a bench's own module as a process that prints what it found as JSON; a failure is a row that says so."""
    command, limit = [sys.executable, "-m", module, *arguments, "--cap", str(cap)], 2 * cap + GRACE
    root = Path(__file__).resolve().parents[2]
    try:
        done = subprocess.run(command, capture_output=True, text=True, cwd=root, timeout=limit, check=True)
    except subprocess.TimeoutExpired:
        return {"proved": False, "note": "stopped", "seconds": limit, "peak_mb": 0}
    except subprocess.CalledProcessError as error:
        return {"proved": False, "note": error.stderr.strip().splitlines()[-1], "seconds": 0, "peak_mb": 0}
    found: dict[str, Any] = json.loads(done.stdout)
    return found
