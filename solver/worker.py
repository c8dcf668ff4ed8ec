"""Work in a process of its own, for code that may take the whole process down or never come back."""

from __future__ import annotations

import multiprocessing
import pickle
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection
from typing import Any, TypeVar

T = TypeVar("T")

DIED = "died"
"""the word for a process that ended without a result"""
STALLED = "stalled"
"""the word for one that was ended because it gave none in time"""

FAREWELL = 5.0
"""seconds that a process is given to end by itself before it is killed (assumed)"""


def run(function: Callable[..., T], *args: Any, stall: float) -> tuple[T | None, str]:
    """Call a function in a fresh process; return its result and "", or None and "died" or "stalled".

    `function` and `args` must be picklable, the function one of a module. `stall` is a generous guard in seconds
    against code that hangs; it must decide nothing else. Whatever ends the caller's wait, an interrupt too, ends the
    process.

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
    context = multiprocessing.get_context("spawn")
    receiver, sender = context.Pipe(duplex=False)
    process = context.Process(target=_called, args=(sender, function, args), daemon=True)
    try:
        process.start()
        sender.close()
        answer = _awaited(receiver, stall)
    finally:
        receiver.close()
        _end(process)
    if isinstance(answer, str):
        return None, answer
    result, fault = answer
    if fault is not None:
        raise fault
    return result, ""


def _called(sender: Connection[Any, Any], function: Callable[..., Any], args: tuple[Any, ...]) -> None:
    """Send what a call returns or raises, as bytes: what has none is a fault too."""
    with suppress(KeyboardInterrupt):  # the caller has it as well, and ends this process
        sender.send_bytes(_answer(function, args))
        sender.close()


def _answer(function: Callable[..., Any], args: tuple[Any, ...]) -> bytes:
    try:
        answer: tuple[Any, Exception | None] = function(*args), None
    except Exception as fault:
        answer = None, fault
    try:
        return pickle.dumps(answer)
    except Exception as fault:
        return pickle.dumps((None, TypeError(f"{function.__name__} gave what cannot be sent: {fault}")))


def _awaited(receiver: Connection[Any, Any], stall: float) -> tuple[Any, Exception | None] | str:
    """Wait for the answer, for the end of the process, or for too long."""
    if not receiver.poll(stall):
        return STALLED
    try:
        answer: tuple[Any, Exception | None] = pickle.loads(receiver.recv_bytes())  # noqa: S301 - our own process sent it
    except EOFError:
        return DIED
    return answer


def _end(process: multiprocessing.process.BaseProcess) -> None:
    """End a process, whatever it is at, and let go of it."""
    with suppress(ValueError, AttributeError, AssertionError):  # it was never started
        if process.is_alive():
            process.terminate()
        process.join(FAREWELL)
        if process.is_alive():
            process.kill()
            process.join()
    if process.exitcode is not None:
        process.close()
