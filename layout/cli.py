"""The command line: thin commands that call the library."""

from __future__ import annotations

import argparse
import contextlib
import io
import math
import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NoReturn

from layout import __version__
from layout.errors import Fault, JobFaults, NoPlan, SeamwalkError
from layout.job.model import Job

INTERRUPTED = 130
"""exit code after Ctrl-C, as shells have it"""

PATIENCE = 1.0
"""seconds before a progress bar shows (assumed)"""

GUIDE = """\
examples:
  seamwalk new counter.toml          write a commented job file to start from
  seamwalk check counter.toml        read it and report the take-off: lengths, scallops, panel limits
  seamwalk plan counter.toml         plan it and write the packet into the folder counter/
  seamwalk plan counter.toml --out quote-1

exit codes:
  0  done
  2  the job file, a path or a folder has faults; each is listed with its remedy
  3  no plan exists; the reason and the least change that would do are printed
"""


class _Parser(argparse.ArgumentParser):
    """An argument parser whose complaints read like the others of this program."""

    def error(self, message: str) -> NoReturn:
        print(f"seamwalk: {message}\nTry: seamwalk --help", file=sys.stderr)
        raise SystemExit(JobFaults.exit_code)


def parser() -> argparse.ArgumentParser:
    """Return the command line's parser."""
    top = _Parser(
        prog="seamwalk",
        description="Lays out a scalloped sheet-metal face round a curved counter: how long it is, where its "
        "panels break, what sheets to buy and cut, and where each seam is marked on the wall.",
        epilog=GUIDE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="version", version=f"seamwalk {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True)
    plan = commands.add_parser("plan", help="plan a job and write its packet", description=_plan.__doc__)
    plan.add_argument("job", type=Path, metavar="JOB", help="the job file (TOML)")
    plan.add_argument(
        "--out", type=Path, metavar="DIR", help="folder for the packet (default: beside the job, by its name)"
    )
    plan.add_argument(
        "--choice", type=int, metavar="ROW", help="plan with this row of the table of choices (default: the best)"
    )
    plan.add_argument(
        "--seconds",
        type=_seconds,
        metavar="S",
        help="stop improving and proving after this time; what is then unproved says so (default: no limit)",
    )
    plan.set_defaults(run=_plan)
    check = commands.add_parser("check", help="read a job and report the take-off", description=_check.__doc__)
    check.add_argument("job", type=Path, metavar="JOB", help="the job file (TOML)")
    check.add_argument(
        "--picture", type=Path, metavar="FILE", help="draw what was read as an SVG file, even where it has faults"
    )
    check.set_defaults(run=_check)
    new = commands.add_parser("new", help="write a commented starter job", description=_new.__doc__)
    new.add_argument("file", type=Path, metavar="FILE", help="the job file to write; must not be there yet")
    new.add_argument("--units", choices=("in", "mm"), default="in", help="units of the starter (default: in)")
    new.set_defaults(run=_new)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    for stream in (sys.stdout, sys.stderr):
        # A terminal that lacks a character gets a question mark, never a traceback.
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    _end_tidily()
    try:
        code = _run(parser().parse_args(argv))
        sys.stdout.flush()
        sys.stderr.flush()
    except BrokenPipeError:
        _silence()
        return 0
    except OSError as error:
        _silence()
        return _told(_faults_text(JobFaults([_os_fault(error)])), JobFaults.exit_code)
    return code


def _run(options: argparse.Namespace) -> int:
    """Run the chosen command; whatever it refuses is told on the error stream."""
    command: Callable[[argparse.Namespace], None] = options.run
    try:
        command(options)
    except NoPlan as none:
        return _told(_no_plan_text(none), none.exit_code)
    except JobFaults as faults:
        return _told(_faults_text(faults), faults.exit_code)
    except SeamwalkError as error:
        head = "seamwalk: the plan failed its own check, so nothing was written:"
        return _told(f"{head}\n{error}", error.exit_code)
    except KeyboardInterrupt:
        return _told("seamwalk: interrupted; an earlier packet is whole", INTERRUPTED)
    return 0


def _end_tidily() -> None:
    """Let what ends the program from outside leave nothing half written, as an interrupt does."""
    if threading.current_thread() is not threading.main_thread():
        return
    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is signal.SIG_DFL:
            signal.signal(number, _leave)


def _leave(number: int, _frame: object) -> NoReturn:
    """End with the code of a signal."""
    raise SystemExit(128 + number)


def _told(text: str, code: int) -> int:
    """Print on the error stream, and return the code."""
    print(text, file=sys.stderr)
    return code


def _silence() -> None:
    """Send what is still to be printed nowhere: the reader has gone, or the disk is full."""
    with contextlib.suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())


def _plan(options: argparse.Namespace) -> None:
    """Read a job, plan it, prove the plan, and write the packet: drawings, cut list, set-out, plan.json."""
    from layout.face.folder import check_folder, fill_folder  # noqa: PLC0415 - imports late: `check` stays quick
    from layout.job.reading import read_job  # noqa: PLC0415
    from layout.paper.terminal import plan_text  # noqa: PLC0415

    job = read_job(options.job)
    folder = options.out if options.out is not None else options.job.with_suffix("")
    check_folder(folder)
    from layout.face.planning import make_plan  # noqa: PLC0415

    bar = ProgressBar("planning")
    plan = make_plan(job, bar, choice=options.choice, hurry=_hurry(options.seconds))
    bar.clear()
    from layout.face.revisions import revision_of  # noqa: PLC0415
    from layout.paper.files import write_packet  # noqa: PLC0415

    revision = revision_of(plan, folder)
    written = fill_folder(folder, lambda place: write_packet(plan, place, revision), revision.keep)
    print(plan_text(plan, [folder / path.name for path in written]))
    if revision.keep is not None:
        print(f"This is revision {revision.letter}; revision {revision.since} is kept in {folder / revision.keep}")


def _hurry(seconds: float | None) -> Callable[[], bool] | None:
    """Return what tells that the time is up; None: there is no limit."""
    from solver.hurry import Deadline  # noqa: PLC0415

    return None if seconds is None else Deadline(seconds)


def _seconds(text: str) -> float:
    """Read a time limit."""
    try:
        seconds = float(text)
    except ValueError:
        seconds = math.nan
    if not 0 <= seconds < math.inf:
        raise argparse.ArgumentTypeError(f"{text!r} is no time: give seconds, 0 or more")
    return seconds


def _check(options: argparse.Namespace) -> None:
    """Read a job, list its faults, and report the take-off: what the face comes to before it is planned."""
    from layout.face.takeoff import take_off  # noqa: PLC0415
    from layout.job.reading import read_job  # noqa: PLC0415
    from layout.paper.terminal import take_off_text  # noqa: PLC0415

    job = read_job(options.job)
    if options.picture is not None:
        _draw(job, options.picture)
    print(take_off_text(take_off(job)))


def _draw(job: Job, file: Path) -> None:
    """Write the picture of what was read, faults or not; a file that is no picture is left as it was."""
    from layout.paper.outline_picture import outline_picture  # noqa: PLC0415
    from layout.paper.svg import write_svg  # noqa: PLC0415

    if file.suffix.lower() != ".svg" or (file.exists() and not file.read_bytes().startswith(b"<svg")):
        rule = "the picture is a new SVG file, or takes the place of one"
        raise JobFaults([Fault(str(file), "", rule, "Name a file that ends in .svg")])
    paper = outline_picture(job)
    if paper is not None:
        file.write_text(write_svg(paper, job.title), encoding="utf-8")


def _new(options: argparse.Namespace) -> None:
    """Write a commented job file that plans as it stands, to start from."""
    from layout.job.starter import starter_text  # noqa: PLC0415

    try:
        with options.file.open("x", encoding="utf-8") as out:
            out.write(starter_text(options.units))
    except FileExistsError:
        rule = "is there already, and is left as it was"
        raise JobFaults([Fault(str(options.file), "", rule, "Choose another name")]) from None
    print(f"Wrote {options.file}. Change it to your job, then run: seamwalk plan {options.file}")


class ProgressBar:
    """A bar on the terminal's error stream, once a plan takes longer than a second."""

    WIDTH = 30

    def __init__(self, what: str) -> None:
        self._what = what
        self._start = time.monotonic()
        self._live = sys.stderr.isatty()
        self._shown = False

    def __call__(self, share: float) -> None:
        """Show that this share, 0…1, is done."""
        if self._live and time.monotonic() - self._start > PATIENCE:
            full = round(min(max(share, 0.0), 1.0) * self.WIDTH)
            bar = "█" * full + "·" * (self.WIDTH - full)
            print(f"\r{self._what} {bar} {share:4.0%}", end="", file=sys.stderr, flush=True)
            self._shown = True

    def clear(self) -> None:
        """Take the bar away."""
        if self._shown:
            print("\r" + " " * (len(self._what) + self.WIDTH + 8) + "\r", end="", file=sys.stderr, flush=True)


def _faults_text(faults: JobFaults) -> str:
    """Return all faults as one list."""
    count = len(faults.faults)
    head = "seamwalk: one fault:" if count == 1 else f"seamwalk: {count} faults:"
    return "\n".join([head, *(f"  {fault}" for fault in faults.faults)])


def _no_plan_text(none: NoPlan) -> str:
    """Return the reason and what would do."""
    lines = [f"seamwalk: no plan: {none.reason}."]
    if none.remedies:
        lines += ["What would do:", *(f"  - {remedy}" for remedy in none.remedies)]
    return "\n".join(lines)


def _os_fault(error: OSError) -> Fault:
    """Return what the system refused as a fault of that path."""
    reason = (error.strerror or str(error)).lower()
    return Fault(str(error.filename or "file"), "", f"the system refused it: {reason}", "Check the path and its rights")


if __name__ == "__main__":
    sys.exit(main())
