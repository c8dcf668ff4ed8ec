"""Work in a process of its own: results, faults, sudden ends and stalls."""

from __future__ import annotations

import multiprocessing
import os
import pickle
import signal
import time
from pathlib import Path

import pytest

from solver import worker
from solver.worker import DIED, STALLED, run
from tests.solver import worker_jobs

GUARD = 120.0
"""seconds, far more than any of these calls takes"""


def is_there(process):
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    state = Path(f"/proc/{process}/stat")
    return not state.exists() or state.read_text(encoding="ascii").rpartition(")")[2].split()[0] != "Z"


def awaited(told):
    """Wait until a file holds a number, and return it."""
    end = time.monotonic() + GUARD
    while not (told.exists() and told.read_text(encoding="ascii")):
        assert time.monotonic() < end
        time.sleep(0.02)
    return int(told.read_text(encoding="ascii"))


def gone(process):
    """Tell whether a process ends soon."""
    end = time.monotonic() + 20
    while is_there(process) and time.monotonic() < end:
        time.sleep(0.02)
    return not is_there(process)


def test_result_comes_back_from_another_process():
    """What the function returns, with no word, computed elsewhere."""
    assert run(worker_jobs.double, 21, stall=GUARD) == (42, "")
    assert run(worker_jobs.process_id, stall=GUARD)[0] != os.getpid()


def test_sudden_end_is_told():
    """A process that exits hard gives nothing, and "died"; the caller lives on."""
    assert run(worker_jobs.dies, stall=GUARD) == (None, DIED)
    assert run(worker_jobs.double, 1, stall=GUARD) == (2, "")


@pytest.mark.parametrize("sent", [pickle.dumps((7, None))[:-3], b"\x80", b"cno_such\nname\n.", b""])
def test_answer_cut_short_is_a_sudden_end(monkeypatch, sent):
    """What cannot be unpickled gives nothing, and "died": no fault of unpickling reaches the caller."""
    monkeypatch.setattr(worker.subprocess.Popen, "communicate", lambda *_, **__: (sent, None))
    assert run(worker_jobs.double, 1, stall=GUARD) == (None, DIED)


def test_stalled_process_is_told_and_ended(tmp_path):
    """One that sleeps gives nothing, and "stalled"; it is gone afterwards."""
    assert run(worker_jobs.sleeps, str(tmp_path / "told"), 600.0, stall=5.0) == (None, STALLED)
    assert multiprocessing.active_children() == []
    if (tmp_path / "told").exists():
        assert gone(awaited(tmp_path / "told"))


def test_fault_of_the_function_is_raised():
    """An exception is no sudden end."""
    with pytest.raises(ValueError, match="refused"):
        run(worker_jobs.refuses, stall=GUARD)


def test_result_that_cannot_be_sent_is_a_fault():
    """A function has no copy in another process; that is told, not taken for a sudden end."""
    with pytest.raises(TypeError, match="cannot be sent"):
        run(worker_jobs.unsendable, stall=GUARD)


@pytest.mark.skipif(os.name != "posix", reason="interrupts are sent by signal")
def test_interrupt_ends_the_process_too(tmp_path):
    """Ctrl-C in the caller: caller and process are both gone."""
    told = tmp_path / "told"
    caller = multiprocessing.get_context("spawn").Process(target=worker_jobs.interrupted, args=(str(told),))
    caller.start()
    sleeper = awaited(told)
    assert is_there(sleeper)
    os.kill(caller.pid, signal.SIGINT)
    caller.join(GUARD)
    assert caller.exitcode not in {None, 0}
    caller.close()
    assert gone(sleeper)


def test_what_a_library_prints_stays_off_the_output(capfd: pytest.CaptureFixture[str]) -> None:
    """Words written below Python, on the file itself, do not reach the standard output; those after do."""
    with worker.hushed():
        os.write(1, b"noise")
    os.write(1, b"words")
    assert capfd.readouterr().out == "words"
