"""The packet's folder: whole or not at all, and nobody else's files touched."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from layout.errors import JobFaults
from layout.face.folder import MARK, check_folder, fill_folder


def packet(text: str) -> str:
    """Return a plan.json as far as the folder looks at it."""
    return json.dumps({"format": 1, "seamwalk": text, "proof": []})


def writer(text: str):
    def write(place: Path) -> list[Path]:
        (place / MARK).write_text(packet(text))
        return [place / MARK]

    return write


def test_an_absent_or_empty_folder_is_filled(tmp_path: Path):
    """Both are as good as new."""
    (tmp_path / "empty").mkdir()
    for name in ("absent", "empty"):
        fill_folder(tmp_path / name, writer(name))
        assert (tmp_path / name / MARK).read_text() == packet(name)


def test_an_earlier_packet_is_replaced_whole(tmp_path: Path):
    """Files of the old packet that the new one lacks are gone."""
    target = tmp_path / "packet"
    fill_folder(target, writer("old"))
    (target / "cut_list.csv").write_text("old")
    fill_folder(target, writer("new"))
    assert sorted(path.name for path in target.iterdir()) == [MARK]
    assert (target / MARK).read_text() == packet("new")
    assert [path.name for path in tmp_path.iterdir()] == ["packet"]


def test_a_write_that_fails_leaves_the_earlier_packet(tmp_path: Path):
    """Half a packet never stands, and no draft is left behind."""
    target = tmp_path / "packet"
    fill_folder(target, writer("old"))

    def fails(place: Path) -> list[Path]:
        (place / MARK).write_text("half")
        raise OSError("disk full")

    with pytest.raises(OSError, match="disk full"):
        fill_folder(target, fails)
    assert (target / MARK).read_text() == packet("old")
    assert [path.name for path in tmp_path.iterdir()] == ["packet"]


@pytest.mark.parametrize("names", [["notes.txt"], [MARK, "notes.txt"], ["packet.pdf"], [MARK, "set_out.csv"]])
def test_foreign_files_are_left_alone(tmp_path: Path, names: list[str]):
    """A folder with anything not ours, or without our mark, is refused and stays as it was."""
    for name in names:
        (tmp_path / name).write_text("theirs")
    with pytest.raises(JobFaults, match="not of an earlier packet"):
        fill_folder(tmp_path, writer("new"))
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(names)
    assert all((tmp_path / name).read_text() == "theirs" for name in names)


def test_a_file_or_an_orphan_is_no_folder(tmp_path: Path):
    """A file in its place, or a missing parent, is told as such."""
    (tmp_path / "file").write_text("")
    with pytest.raises(JobFaults, match="must be a folder"):
        check_folder(tmp_path / "file")
    with pytest.raises(JobFaults, match="does not exist"):
        check_folder(tmp_path / "no" / "packet")


@pytest.mark.parametrize("text", ['{"my": "own"}', "[1]", "not JSON", ""])
def test_a_plan_json_that_is_not_ours_is_foreign(tmp_path: Path, text: str):
    """A name alone proves nothing: the file must be one that this program wrote."""
    (tmp_path / MARK).write_text(text)
    with pytest.raises(JobFaults, match="not of an earlier packet"):
        fill_folder(tmp_path, writer("new"))
    assert (tmp_path / MARK).read_text() == text


def test_a_folder_or_a_link_by_our_name_is_foreign(tmp_path: Path):
    """Only plain files are ever replaced."""
    for name, make in (("a", "folder"), ("b", "link")):
        target = tmp_path / name
        fill_folder(target, writer("old"))
        entry = target / "set_out.csv"
        entry.mkdir() if make == "folder" else entry.symlink_to(target / MARK)
        with pytest.raises(JobFaults, match="not of an earlier packet"):
            fill_folder(target, writer("new"))
        assert (target / MARK).read_text() == packet("old")


def test_the_folder_one_stands_in_is_never_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """The shell of whoever runs it would be left nowhere."""
    monkeypatch.chdir(tmp_path)
    with pytest.raises(JobFaults, match="the folder you stand in"):
        check_folder(Path())


def test_a_replaced_folder_keeps_its_rights(tmp_path: Path):
    """What was closed to others stays closed."""
    target = tmp_path / "packet"
    fill_folder(target, writer("old"))
    target.chmod(0o700)
    fill_folder(target, writer("new"))
    assert target.stat().st_mode & 0o777 == 0o700


def test_kept_packets_go_along(tmp_path: Path):
    """What stands there is kept under the name given, and what it kept stays kept."""
    target = tmp_path / "packet"
    fill_folder(target, writer("one"))
    fill_folder(target, writer("two"), "rev A")
    fill_folder(target, writer("three"), "rev B")
    fill_folder(target, writer("four"))
    assert sorted(path.name for path in target.iterdir()) == [MARK, "rev A", "rev B"]
    found = [(target / name / MARK).read_text() for name in (".", "rev A", "rev B")]
    assert found == [packet("four"), packet("one"), packet("two")]


@pytest.mark.parametrize("spoilt", ["foreign file", "no plan", "link", "other name"])
def test_a_kept_packet_that_is_not_ours_is_foreign(tmp_path: Path, spoilt: str):
    """A folder in the packet is ours only by its name, its own plan.json, and nothing else in it."""
    target = tmp_path / "packet"
    fill_folder(target, writer("old"))
    fill_folder(target, writer("new"), "rev A")
    kept = target / "rev A"
    if spoilt == "foreign file":
        (kept / "notes.txt").write_text("theirs")
    elif spoilt == "no plan":
        (kept / MARK).unlink()
    elif spoilt == "link":
        kept.rename(tmp_path / "elsewhere")
        kept.symlink_to(tmp_path / "elsewhere")
    else:
        kept.rename(target / "rev a")
    with pytest.raises(JobFaults, match="not of an earlier packet"):
        check_folder(target)
