"""Revisions: letters, what is kept, what is said to have changed."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from layout.face.folder import MARK, check_folder, fill_folder
from layout.face.plan import Plan
from layout.face.planning import make_plan
from layout.face.revisions import Revision, changes, revision_of
from layout.job.model import OutlineSpec
from layout.paper.plan_json import plan_json
from tests.jobs import INCH, job

ALWAYS = "Nothing that is cut, formed or marked"


def booth(diameter: float, digest: str) -> Plan:
    """Return the plan of a round booth, its diameter in inches."""
    return make_plan(replace(job(OutlineSpec("", "circle", diameter=diameter * INCH)), digest=digest))


@pytest.fixture(scope="module")
def small() -> Plan:
    return booth(96.0, "a" * 64)


@pytest.fixture(scope="module")
def large() -> Plan:
    return booth(132.0, "b" * 64)


def issue(plan: Plan, folder: Path) -> Revision:
    """Write a plan's plan.json as a packet, and return the revision that it was."""
    revision = revision_of(plan, folder)

    def write(place: Path) -> list[Path]:
        (place / MARK).write_text(plan_json(plan, revision.letter))
        return [place / MARK]

    fill_folder(folder, write, revision.keep)
    return revision


def letter_in(folder: Path) -> str:
    """Return the letter that a packet's plan.json bears."""
    found: str = json.loads((folder / MARK).read_text())["revision"]
    return found


def test_a_first_packet_is_revision_a(small: Plan, tmp_path: Path) -> None:
    """Nothing stands there: A, with nothing before it and nothing to keep."""
    assert issue(small, tmp_path / "packet") == Revision("A")


def test_the_same_job_again_is_no_new_revision(small: Plan, tmp_path: Path) -> None:
    """Same file, same figures: the packet is written over, letter and bytes alike."""
    folder = tmp_path / "packet"
    issue(small, folder)
    before = (folder / MARK).read_bytes()
    assert issue(small, folder).letter == "A"
    assert [path.name for path in folder.iterdir()] == [MARK]
    assert (folder / MARK).read_bytes() == before


def test_another_job_is_a_new_revision_and_the_earlier_one_is_kept(small: Plan, large: Plan, tmp_path: Path) -> None:
    """B stands in the folder, A in its own folder within, byte for byte as it was; then C, with A and B kept."""
    folder = tmp_path / "packet"
    issue(small, folder)
    first = (folder / MARK).read_bytes()
    second = issue(large, folder)
    assert (second.letter, second.since, second.keep) == ("B", "A", "rev A")
    assert letter_in(folder) == "B"
    assert (folder / "rev A" / MARK).read_bytes() == first
    third = issue(small, folder)
    assert (third.letter, third.since) == ("C", "B")
    assert sorted(path.name for path in folder.iterdir()) == [MARK, "rev A", "rev B"]
    assert [letter_in(folder / name) for name in ("rev A", "rev B")] == ["A", "B"]
    check_folder(folder)


def test_a_revision_planned_again_says_the_same(small: Plan, large: Plan, tmp_path: Path) -> None:
    """B once more is still B, and still told apart from A."""
    folder = tmp_path / "packet"
    issue(small, folder)
    once = issue(large, folder)
    again = issue(large, folder)
    assert (again.letter, again.since, again.changes) == (once.letter, once.since, once.changes)
    assert again.keep is None


def test_other_figures_of_the_same_file_are_a_new_revision(small: Plan, tmp_path: Path) -> None:
    """Another choice of the same job is another packet: the earlier one is not lost."""
    folder = tmp_path / "packet"
    issue(small, folder)
    moved = replace(small, seams=(replace(small.seams[0], station=small.seams[0].station + 80.0), *small.seams[1:]))
    assert issue(moved, folder).letter == "B"


def test_a_failing_write_keeps_everything(small: Plan, large: Plan, tmp_path: Path) -> None:
    """Half a revision never stands: letter, kept packets and names stay as they were."""
    folder = tmp_path / "packet"
    issue(small, folder)

    def fails(place: Path) -> list[Path]:
        (place / MARK).write_text("half")
        raise OSError("disk full")

    with pytest.raises(OSError, match="disk full"):
        fill_folder(folder, fails, revision_of(large, folder).keep)
    assert [path.name for path in folder.iterdir()] == [MARK]
    assert [path.name for path in tmp_path.iterdir()] == ["packet"]
    assert letter_in(folder) == "A"


def test_changes_tell_panels_sheets_and_moved_seams(small: Plan) -> None:
    """A seam 1 1/2 in to the right, one sheet less, one panel less: each is said with what it was."""
    earlier = json.loads(plan_json(small))
    seams = (small.seams[0], replace(small.seams[1], station=small.seams[1].station + 1.5 * INCH), *small.seams[2:])
    said = " ".join(changes(earlier, replace(small, seams=seams)))
    assert "Seams moved (+ to the right): 2 by +1 1/2 in." in said
    less = replace(small, panels=small.panels[:-1], sheets=small.sheets[:-1])
    said = " ".join(changes(earlier, less))
    assert f"Panels: {len(small.panels) - 1}, were {len(small.panels)}." in said
    assert f"Sheets cut: {len(small.sheets) - 1}, were {len(small.sheets)}." in said
    assert "Blanks, fewer: 1 of" in said


def test_no_change_is_said_as_such(small: Plan) -> None:
    """The same figures: one sentence, and it says that nothing changed."""
    assert [words.startswith(ALWAYS) for words in changes(json.loads(plan_json(small)), small)] == [True]


def test_a_seam_that_is_gone_and_one_that_is_new_are_told(small: Plan) -> None:
    """Seams are paired by what is nearest; those left over are new, or gone."""
    earlier = json.loads(plan_json(small))
    earlier["seams"] = earlier["seams"][:-1]
    assert f"Seams, new: {small.seams[-1].number}." in list(changes(earlier, small))
    fewer = replace(small, seams=small.seams[:-1])
    assert f"Seams, gone (earlier numbers): {small.seams[-1].number}." in list(
        changes(json.loads(plan_json(small)), fewer)
    )


@pytest.mark.parametrize("broken", [{}, {"units": "in"}, {"units": "in", "seams": 3, "panels": None, "scallop": []}])
def test_a_damaged_earlier_plan_is_told_not_trusted(small: Plan, broken: dict[str, object]) -> None:
    """Whatever the earlier file lacks, the new packet is planned, and says what cannot be told."""
    said = list(changes(broken, small))
    assert said
    assert all("cannot be read" in words for words in said)


def test_a_letter_that_is_kept_already_is_not_given_twice(small: Plan, large: Plan, tmp_path: Path) -> None:
    """A packet that says A beside a kept A counts as the one after it."""
    folder = tmp_path / "packet"
    issue(small, folder)
    issue(large, folder)
    (folder / MARK).write_text(plan_json(large, "A"))
    again = revision_of(small, folder)
    assert (again.letter, again.since, again.keep) == ("C", "B", "rev B")
