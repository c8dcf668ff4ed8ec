"""Work in a process of its own, for code that may take the whole process down or never come back."""

from __future__ import annotations

import os
import pickle
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Any, BinaryIO, TypeVar

T = TypeVar("T")

DIED = "died"
"""the word for a process that ended without a result"""
STALLED = "stalled"
"""the word for one that was ended because it gave none in time"""

_OUT_OF_WORK = int(getattr(signal, "SIGXCPU", 0))
"""the signal by which the system ends a process that took more of the processor than it may"""

FAREWELL = 5.0
"""seconds that a process is given to end by itself before it is killed (assumed)"""

CHILD = """
import pickle, sys
sys.path[:] = pickle.load(sys.stdin.buffer)
from solver.worker import serve
serve(pickle.load(sys.stdin.buffer))
"""
"""what the process runs: it imports what the caller could, and nothing of the caller's own script"""


def run(function: Callable[..., T], *args: Any, stall: float, work: int | None = None) -> tuple[T | None, str]:
    """Call a function in a fresh process; return its result and "", or None and "died" or "stalled".

    `function` and `args` must be picklable, the function one of a module. `stall` is a generous guard in seconds
    against code that hangs; it must decide nothing else. `work` are the processor's seconds that it may take, which
    do not pass while others have the processor; they are not kept where the system cannot. Whatever ends the caller's
    wait, an interrupt too, ends the process.

    Raises
    ------
    Exception
        What the function raises is raised here.

    Examples
    --------
    >>> import math
    >>> run(math.gcd, 12, 18, stall=60.0)
    (6, '')
    """
    asked = pickle.dumps(sys.path) + pickle.dumps(work) + pickle.dumps((function, args))
    # Not `multiprocessing`: its fresh processes run the caller's script again, which may have no guard against it.
    command = [sys.executable, "-c", CHILD]
    process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)  # noqa: S603 - our own words
    try:
        sent, _ = process.communicate(asked, timeout=stall)
    except subprocess.TimeoutExpired:
        return None, STALLED
    except OSError:
        return None, DIED
    finally:
        _end(process)
    if work is not None and process.returncode == -_OUT_OF_WORK:
        return None, STALLED
    try:
        result, fault = pickle.loads(sent)  # noqa: S301 - our own process sent it
    except Exception:  # cut short, or none at all: what unpickling raises then is not foreseen
        return None, DIED
    if fault is not None:
        raise fault
    return result, ""


def serve(work: int | None) -> None:
    """Do what the caller asks for on standard input, within its work, and send the answer on standard output."""
    if work is not None:
        _limit(work)
    out = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    with hushed(), suppress(KeyboardInterrupt):  # the caller has it as well, and ends this process
        _answer(sys.stdin.buffer, out)


def _limit(work: int) -> None:
    """Let the system end this process once it has taken so many seconds of the processor, if the system can."""
    with suppress(ImportError):
        import resource  # noqa: PLC0415 - not on every system

        resource.setrlimit(resource.RLIMIT_CPU, (work, work + 1))


@contextmanager
def hushed() -> Iterator[None]:
    """Keep what libraries print on the standard output, below Python, off it."""
    try:
        sys.stdout.flush()
        kept = os.dup(1)
    except (OSError, ValueError):
        yield  # there is none
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    try:
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


def _answer(asked: BinaryIO, out: BinaryIO) -> None:
    function, args = pickle.load(asked)  # noqa: S301 - the caller sent it
    try:
        answer: tuple[Any, Exception | None] = function(*args), None
    except Exception as fault:
        answer = None, fault
    try:
        sent = pickle.dumps(answer)
    except Exception as fault:
        sent = pickle.dumps((None, TypeError(f"{function.__name__} gave what cannot be sent: {fault}")))
    out.write(sent)
    out.close()


def _end(process: subprocess.Popen[bytes]) -> None:
    """End a process, whatever it is at, and let go of it."""
    if process.poll() is None:
        process.terminate()
        try:
            process.wait(FAREWELL)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
    for pipe in (process.stdin, process.stdout):
        if pipe is not None:
            with suppress(OSError):
                pipe.close()
