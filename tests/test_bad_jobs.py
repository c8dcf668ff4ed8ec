"""Bad jobs at the command line: exit 2, the key and the remedy on one line, and nothing written."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from layout.cli import main
from tests.job.job_texts import changed
from tests.job.test_job_malformed import ONE_FAULT

CASES = ONE_FAULT


def refused(path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    """Plan a bad job: exit 2, and its folder holds what it held; return what was told."""
    before = sorted(entry.name for entry in path.parent.iterdir()) if path.parent.is_dir() else []
    assert main(["plan", str(path), "--out", str(path.parent / "out")]) == 2
    after = sorted(entry.name for entry in path.parent.iterdir()) if path.parent.is_dir() else []
    assert after == before
    told = capsys.readouterr()
    assert told.out == ""
    assert "Traceback" not in told.err
    return told.err


@pytest.mark.parametrize(("change", "key", "told"), CASES, ids=[f"{k}-{case[1]}" for k, case in enumerate(CASES)])
def test_a_malformed_job_exits_2_with_key_and_remedy(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], change: tuple[str, str], key: str, told: str
):
    """One slip of the table, as a file on disk."""
    path = tmp_path / "job.toml"
    path.write_text(changed(change), encoding="utf-8")
    shown = refused(path, capsys)
    assert f"  {key}" in shown
    assert told in shown


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "empty"),
        (b"\x00\xff\xfe", "text"),
        (b"a = ", "TOML"),
        (b"[outline\n", "TOML"),
        (b"x" * 2_000_000, "at most"),
    ],
)
def test_a_file_that_is_no_job_exits_2(tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes, told: str):
    """Empty, binary, not TOML, far too large."""
    path = tmp_path / "job.toml"
    path.write_bytes(content)
    assert told in refused(path, capsys)


def test_what_is_no_file_exits_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    """A missing file, a folder, a device."""
    (tmp_path / "folder").mkdir()
    for path in (tmp_path / "missing.toml", tmp_path / "folder"):
        assert str(path) in refused(path, capsys)
    assert main(["plan", os.devnull, "--out", str(tmp_path / "out")]) == 2
    assert not (tmp_path / "out").exists()


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may read anything")
def test_an_unreadable_file_exits_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    """Rights that forbid reading are a fault, not a traceback."""
    path = tmp_path / "job.toml"
    path.write_text("title = 1")
    path.chmod(0)
    assert str(path) in refused(path, capsys)
