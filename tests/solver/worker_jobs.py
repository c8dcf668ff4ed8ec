"""Functions that end well or badly, for a fresh process to call."""

from __future__ import annotations

import os
import time


def double(number):
    return 2 * number


def process_id():
    return os.getpid()


def dies():
    os._exit(3)


def sleeps(path, seconds):
    """Note the process's number in a file, then sleep."""
    with open(path, "w", encoding="ascii") as file:  # noqa: PTH123 - as plain as can be
        file.write(str(os.getpid()))
    time.sleep(seconds)
    return "woke"


def refuses():
    raise ValueError("refused")


def unsendable():
    return lambda: None


def interrupted(path):
    """Wait for a sleeping process, as a caller that is interrupted."""
    from solver.worker import run  # noqa: PLC0415 - only here

    run(sleeps, path, 600.0, stall=600.0)
