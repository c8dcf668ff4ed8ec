"""The command line as a shop uses it: exit codes, what is printed, what is written."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from layout.cli import _leave, main
from layout.face.folder import OURS, fill_folder

JOB = """
format = 1
title = "Round booth"
units = "in"
[outline]
shape = "circle"
diameter = 80
[scallop]
form = "arc"
pitch = 2.5
depth = 0.5
[metal]
kind = "steel"
gauge = 24
[face]
height = 36
[[sheet]]
length = 120
width = 48
price = 60
"""


@pytest.fixture
def booth(tmp_path: Path) -> Path:
    """Write a job file alone in its folder."""
    path = tmp_path / "booth.toml"
    path.write_text(JOB)
    return path


def test_plan_writes_the_packet_beside_the_job(booth: Path, capsys: pytest.CaptureFixture[str]):
    """The folder stands beside the job file, named after it; the summary says what to buy and where it is."""
    assert main(["plan", str(booth)]) == 0
    folder = booth.with_suffix("")
    names = sorted(OURS)
    assert sorted(path.name for path in folder.iterdir()) == names
    shown = capsys.readouterr().out
    assert all(str(folder / name) in shown for name in names)
    plan = json.loads((folder / "plan.json").read_text())
    assert f"{plan['order'][0]['buy']} sheets" in shown
    assert plan["scallop"]["count"] == sum(panel["scallops"] for panel in plan["panels"])


def test_planning_twice_replaces_the_packet_with_the_same_bytes(booth: Path):
    """An earlier plan of ours may be written over, and the same job gives the same files."""
    out = booth.parent / "quote"
    assert main(["plan", str(booth), "--out", str(out)]) == 0
    first = {path.name: path.read_bytes() for path in out.iterdir()}
    assert main(["plan", str(booth), "--out", str(out)]) == 0
    assert {path.name: path.read_bytes() for path in out.iterdir()} == first


def test_a_changed_job_is_a_new_revision_and_keeps_the_earlier_packet(booth: Path, capsys: pytest.CaptureFixture[str]):
    """The earlier packet lies byte for byte in `rev A`; B stands in its place and says so."""
    out = booth.with_suffix("")
    assert main(["plan", str(booth)]) == 0
    first = {path.name: path.read_bytes() for path in out.iterdir()}
    booth.write_text(JOB.replace("diameter = 80", "diameter = 96"))
    assert main(["plan", str(booth)]) == 0
    assert f"This is revision B; revision A is kept in {out / 'rev A'}" in capsys.readouterr().out
    assert {path.name: path.read_bytes() for path in (out / "rev A").iterdir()} == first
    assert {path.name for path in out.iterdir()} == {*OURS, "rev A"}
    assert json.loads((out / "plan.json").read_text())["revision"] == "B"


def test_a_foreign_folder_is_left_alone(booth: Path, capsys: pytest.CaptureFixture[str]):
    """Exit 2, and its files stay."""
    out = booth.parent / "photos"
    out.mkdir()
    (out / "site.jpg").write_bytes(b"theirs")
    assert main(["plan", str(booth), "--out", str(out)]) == 2
    assert "site.jpg" in capsys.readouterr().err
    assert [path.name for path in out.iterdir()] == ["site.jpg"]


def test_all_faults_come_in_one_list(booth: Path, capsys: pytest.CaptureFixture[str]):
    """Two faults, two lines, exit 2, nothing written."""
    booth.write_text(JOB.replace("pitch = 2.5", "pitch = -2.5").replace("gauge = 24", "gauge = 99"))
    assert main(["plan", str(booth)]) == 2
    shown = capsys.readouterr().err
    assert "2 faults" in shown
    assert "scallop.pitch" in shown
    assert "metal.gauge" in shown
    assert [path.name for path in booth.parent.iterdir()] == ["booth.toml"]


def test_no_plan_exits_3_with_what_would_do(booth: Path, capsys: pytest.CaptureFixture[str]):
    """A stretch without seams longer than any sheet."""
    free = '[seams]\navoid = [{ from = 10, to = 200, why = "mural" }]\n'
    booth.write_text(JOB.replace("[[sheet]]", free + "[[sheet]]"))
    assert main(["plan", str(booth)]) == 3
    shown = capsys.readouterr().err
    assert "mural" in shown
    assert "What would do" in shown
    assert [path.name for path in booth.parent.iterdir()] == ["booth.toml"]


def test_check_reports_the_take_off_and_writes_nothing(booth: Path, capsys: pytest.CaptureFixture[str]):
    """Lengths, count and limits."""
    assert main(["check", str(booth)]) == 0
    shown = capsys.readouterr().out
    assert "20 ft 11 5/16 in along the back line" in shown  # 80·π = 251.33 in
    assert [path.name for path in booth.parent.iterdir()] == ["booth.toml"]


@pytest.mark.parametrize("units", ["in", "mm"])
def test_new_writes_a_starter_that_plans(tmp_path: Path, units: str):
    """The starter is a whole job."""
    path = tmp_path / "mine.toml"
    assert main(["new", str(path), "--units", units]) == 0
    assert main(["check", str(path)]) == 0
    assert main(["plan", str(path)]) == 0


def test_new_leaves_a_file_that_is_there(booth: Path, capsys: pytest.CaptureFixture[str]):
    """Exit 2, and the file stays as it was."""
    assert main(["new", str(booth)]) == 2
    assert "left as it was" in capsys.readouterr().err
    assert booth.read_text() == JOB


@pytest.mark.parametrize("arguments", [[], ["plan"], ["fly", "x"], ["plan", "a", "b"]])
def test_a_wrong_call_exits_2(arguments: list[str], capsys: pytest.CaptureFixture[str]):
    """With a line that says where help is."""
    with pytest.raises(SystemExit) as stop:
        main(arguments)
    assert stop.value.code == 2
    assert "Try: seamwalk --help" in capsys.readouterr().err


def test_help_teaches(capsys: pytest.CaptureFixture[str]):
    """Commands, examples and exit codes."""
    with pytest.raises(SystemExit):
        main(["--help"])
    shown = capsys.readouterr().out
    assert all(word in shown for word in ("plan", "check", "new", "exit codes", "examples"))


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may write anywhere")
def test_a_parent_without_rights_is_a_fault(booth: Path):
    """No traceback where the system refuses."""
    booth.parent.chmod(0o500)
    try:
        assert main(["plan", str(booth)]) == 2
    finally:
        booth.parent.chmod(0o700)


@pytest.mark.parametrize("name", [".", "/", ""])
def test_a_folder_is_no_job(name: str, capsys: pytest.CaptureFixture[str]):
    """One fault, no traceback."""
    assert main(["plan", name]) == 2
    assert "this is a folder" in capsys.readouterr().err


def run_in_shell(command: str, **more: str) -> subprocess.CompletedProcess[str]:
    """Run a shell line with the program as $SEAMWALK, its output buffered as it usually is."""
    keep = {key: value for key, value in os.environ.items() if key != "PYTHONUNBUFFERED"}
    keep["SEAMWALK"] = f"{sys.executable} -m layout.cli"
    done = ["bash", "-c", command]
    root = Path(__file__).parents[1]
    return subprocess.run(done, env=keep | more, capture_output=True, text=True, check=False, cwd=root)


def test_a_reader_that_goes_away_is_no_traceback(booth: Path):
    """`seamwalk check JOB | true` ends quietly."""
    done = run_in_shell(f"$SEAMWALK check {booth} | (exec 0<&-; sleep 1); exit ${{PIPESTATUS[0]}}")
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full on this system")
def test_a_full_disk_is_a_fault(booth: Path):
    """What cannot be printed is told, exit 2."""
    done = run_in_shell(f"$SEAMWALK check {booth} > /dev/full")
    assert done.returncode == 2
    assert "no space left" in done.stderr


def test_a_terminal_without_our_characters_gets_question_marks(booth: Path):
    """The multiplication sign of a sheet's size is not in ASCII."""
    done = run_in_shell(f"$SEAMWALK plan {booth}", PYTHONIOENCODING="ascii")
    assert done.returncode == 0
    assert "10 ft ? 4 ft" in done.stdout


def test_the_program_runs_without_a_display(booth: Path):
    """As a process of its own: no DISPLAY, exit 0, nothing on the error stream."""
    keep = {key: value for key, value in os.environ.items() if key != "DISPLAY"}
    done = subprocess.run(
        [sys.executable, "-W", "error", "-m", "layout.cli", "plan", str(booth)],
        env=keep,
        capture_output=True,
        text=True,
        check=False,
        cwd=Path(__file__).parents[1],
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""


def test_a_packet_that_is_ended_from_outside_leaves_nothing(tmp_path: Path) -> None:
    """What a signal raises while files are written takes the half-filled folder along."""

    def write(place: Path) -> list[Path]:
        (place / "plan.json").write_text("{}", encoding="utf-8")
        _leave(15, None)

    with pytest.raises(SystemExit) as ended:
        fill_folder(tmp_path / "kiosk", write)
    assert ended.value.code == 128 + 15
    assert list(tmp_path.iterdir()) == []
