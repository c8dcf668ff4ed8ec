"""All benches in one run: breaks, the joint choice, cutting, and growth.

python -m tests.bench [--quick]

Every rival has a cap of seconds, told in the output: the whole takes some twenty minutes on two cores.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

BENCHES = ("bench_breaks", "bench_joint", "bench_cutting", "bench_growth")
QUICK = {
    "bench_breaks": ["--sizes", "250", "--cap", "10"],
    "bench_joint": ["--sizes", "250", "--cap", "10"],
    "bench_cutting": ["--seeds", "1", "--cap", "10"],
    "bench_growth": ["--sizes", "250", "2500"],
}
"""a look at each, in about a minute"""
FULL = {"bench_growth": ["--plot", str(Path(tempfile.gettempdir()) / "growth.png")]}


def main() -> None:
    """Run every bench; the first that fails ends the run."""
    begun = time.monotonic()
    options = QUICK if "--quick" in sys.argv[1:] else FULL
    for name in BENCHES:
        print(f"\n=== {name}", flush=True)
        subprocess.run([sys.executable, "-m", f"tests.bench.{name}", *options.get(name, [])], check=True)
    print(f"\n{(time.monotonic() - begun) / 60:.0f} minutes in all")


if __name__ == "__main__":
    main()
