"""The docs are held to the code: every key, command and option is told, and every file named is there."""

from __future__ import annotations

import argparse
import ast
import json
import re
import shlex
from collections.abc import Iterator
from fnmatch import fnmatch
from pathlib import Path

import pytest

from layout.cli import parser
from layout.errors import CheckFailed, JobFaults, NoPlan
from layout.face.folder import OURS
from layout.job.keys import SECTIONS
from layout.job.keys_drawn import FORM_KEYS, SHAPE_KEYS
from layout.job.keys_made import METALS
from layout.job.model import GOALS
from layout.paper import (
    cutout_blanks,
    cutting,
    die,
    elevation,
    first_off,
    flex,
    forming_table,
    gauge,
    hanging_order,
    order,
    press,
    profile,
    quote,
    seam_map,
    set_out,
    summary,
    tickets,
    workings,
)

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")

TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "layout",
    "solver",
    "tests",
    "demo_jobs",
    "LICENSE",
}
"""What a clone holds beside dot files."""


def chapters(text: str) -> dict[str, str]:
    """Split Markdown at its third-level headings: heading → what stands under it."""
    parts = re.split(r"^##+ (.+)$", text, flags=re.MULTILINE)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


CHAPTERS = chapters(README)


def heading_of(path: str) -> str:
    """Give the README's heading of a table of the job file."""
    if not path:
        return "Top of the file"
    many = SECTIONS[path].many == "many"
    return f"`[[{path}]]`" if many else f"`[{path}]`"


def documented_keys(heading: str) -> list[str]:
    """Give the keys that a chapter's table has a row for; a row's first cell is the key."""
    return re.findall(r"^\| `(\w+)`", CHAPTERS[heading], flags=re.MULTILINE)


def commands_of(top: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """Give the subcommands of the command line by name."""
    [choices] = [a.choices for a in top._actions if isinstance(a, argparse._SubParsersAction)]
    return dict(choices)


def options_of(command: argparse.ArgumentParser) -> set[str]:
    """Give the long options of a parser."""
    return {name for action in command._actions for name in action.option_strings if name.startswith("--")}


def shell_lines() -> list[str]:
    """Give the commands of the README's shell blocks."""
    return [line for block in re.findall(r"```sh\n(.*?)```", README, flags=re.DOTALL) for line in block.splitlines()]


def code_spans(text: str) -> Iterator[str]:
    """Give what stands in single backquotes."""
    yield from re.findall(r"`([^`\n]+)`", re.sub(r"```.*?```", "", text, flags=re.DOTALL))


@pytest.mark.parametrize("path", SECTIONS)
def test_every_key_of_the_job_file_has_its_row(path: str) -> None:
    """A table of the job file has a chapter whose rows are its keys, each once and no others."""
    assert sorted(documented_keys(heading_of(path))) == sorted(SECTIONS[path].names)


@pytest.mark.parametrize("path", SECTIONS)
def test_stars_mark_the_keys_that_must_be_there(path: str) -> None:
    """A key that the reader demands carries a star in the README, and no other does."""
    starred = re.findall(r"^\| `(\w+)` \* \|", CHAPTERS[heading_of(path)], flags=re.MULTILINE)
    assert sorted(starred) == sorted(key.name for key in SECTIONS[path].keys if key.required)


def test_no_chapter_tells_of_a_table_that_is_not_read() -> None:
    """Headings written as TOML tables are those of the reader."""
    told = {heading for heading in CHAPTERS if heading.startswith("`[")}
    assert told == {heading_of(path) for path in SECTIONS if path}


@pytest.mark.parametrize(
    ("heading", "words"),
    [
        ("`[outline]`", tuple(SHAPE_KEYS)),
        ("`[scallop]`", tuple(FORM_KEYS)),
        ("`[metal]`", METALS),
        ("`[seams]`", GOALS),
    ],
)
def test_every_word_that_a_key_may_say_is_told(heading: str, words: tuple[str, ...]) -> None:
    """Shapes, forms, metals and goals all stand in their chapter."""
    assert [word for word in words if f'"{word}"' not in CHAPTERS[heading]] == []


@pytest.mark.parametrize("name", commands_of(parser()))
def test_every_command_and_option_has_its_row(name: str) -> None:
    """The chapter of commands tells each command, with every option that it takes."""
    told = CHAPTERS["Commands"]
    assert f"`seamwalk {name} " in told
    missing = {o for o in options_of(commands_of(parser())[name]) - {"--help"} if o not in told}
    assert missing == set()


def test_top_level_options_are_told() -> None:
    """The options of the bare command stand in the chapter of commands."""
    assert [o for o in options_of(parser()) if f"`seamwalk {o}`" not in CHAPTERS["Commands"]] == []


def test_commands_that_the_readme_names_exist() -> None:
    """Whatever follows `seamwalk` in the README is a command or an option of it."""
    known = set(commands_of(parser())) | options_of(parser())
    said = set(re.findall(r"\bseamwalk (--\w+|[a-z]+)\b(?= [A-Z]|`| demo_jobs)", README))
    assert said - known == set()
    assert set(commands_of(parser())) <= said


def test_exit_codes_are_told() -> None:
    """Every exit code of the error tree, success and interruption has a row."""
    codes = {0, 130, *(error.exit_code for error in (CheckFailed, JobFaults, NoPlan))}
    told = {int(code) for code in re.findall(r"^\| (\d+) \|", CHAPTERS["Commands"], flags=re.MULTILINE)}
    assert told == codes


def test_readme_has_two_commands_each_one_line() -> None:
    """The first plans a demo from a bare clone, the second runs the tests; both use their own environment."""
    first, second = shell_lines()
    assert first.startswith("python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/seamwalk plan ")
    assert second == ".venv/bin/pip install -e '.[test]' && .venv/bin/python -m pytest"


def test_readme_commands_parse_and_their_files_are_there() -> None:
    """The arguments that the README gives to seamwalk are understood, and the job file exists."""
    calls = [
        shlex.split(part)[1:]
        for line in shell_lines()
        for part in line.split("&&")
        if part.strip().startswith(".venv/bin/seamwalk ")
    ]
    assert len(calls) == 1
    options = parser().parse_args(calls[0])
    assert (ROOT / options.job).is_file()


def test_ci_runs_the_readmes_test_command() -> None:
    """The one check runs lint, format, types and the README's test command, and names no registry."""
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    wanted = [
        "set -euo pipefail",
        "pip install",
        ".[test]",
        "ruff check",
        "ruff format --check",
        "mypy",
        "python -m pytest",
    ]
    assert [step for step in wanted if step not in script] == []
    assert "://" not in script


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md"])
def test_links_and_pictures_are_there(name: str) -> None:
    """Every relative link points at a file of the repository, every anchor at a heading of the page."""
    text = (ROOT / name).read_text(encoding="utf-8")
    anchors = {re.sub(r"[^\w -]", "", h).lower().replace(" ", "-") for h in chapters(text)}
    for target in re.findall(r"\]\(([^)\s]+)\)", text):
        if target.startswith("#"):
            assert target[1:] in anchors, target
        elif "://" not in target:
            assert (ROOT / target.split("#")[0]).exists(), target


def test_files_that_developers_md_names_are_there() -> None:
    """Every path of the house that DEVELOPERS.md names exists; a star stands for any name."""
    named = {s for s in code_spans(DEVELOPERS) if re.match(r"(layout|solver|tests|demo_jobs|\.ci)/", s)}
    assert len(named) > 10
    assert [path for path in sorted(named) if not list(ROOT.glob(path.rstrip("/")))] == []


def test_files_of_the_packet_are_told() -> None:
    """The chapter of the packet has a row for every file that a packet may hold, and no other."""
    assert set(re.findall(r"^\| `([\w.]+)`", CHAPTERS["The packet"], flags=re.MULTILINE)) == OURS


PAGES = (
    quote,
    summary,
    order,
    cutout_blanks,
    cutting,
    forming_table,
    tickets,
    seam_map,
    set_out,
    hanging_order,
    elevation,
    flex,
    profile,
    gauge,
    die,
    first_off,
    press,
    workings,
)


def test_pages_of_the_packet_are_told() -> None:
    """Every drawing of the packet has a row under its own name."""
    names = {drawing.NAME for drawing in PAGES}
    assert [name for name in names if f"\n| {name} |" not in CHAPTERS["The packet"]] == []


def test_keys_of_the_plan_file_are_told() -> None:
    """Every plan's keys have a row, and the row of a table names all that it holds."""
    told = CHAPTERS["`plan.json`"]
    schema = json.loads((ROOT / "layout" / "paper" / "plan_schema.json").read_text(encoding="utf-8"))
    tables = {
        name: part.get("properties") or part.get("items", {}).get("properties")
        for name, part in schema["properties"].items()
        if name in schema["required"]
    }
    lines = re.findall(r"^\| (`.*?`) \| (.*) \|$", told, flags=re.MULTILINE)
    rows = {name: row for names, row in lines for name in re.findall(r"`(\w+)`", names)}
    assert set(rows) == set(tables)
    missing = {f"{name}.{key}" for name, keys in tables.items() for key in keys or () if f"`{key}`" not in rows[name]}
    assert missing == set()


def test_top_level_holds_what_the_house_names() -> None:
    """Beside dot files and what is ignored, a clone's top level holds just the house."""
    ignored = [line.rstrip("/") for line in (ROOT / ".gitignore").read_text(encoding="utf-8").split()]
    found = {
        entry.name
        for entry in ROOT.iterdir()
        if not entry.name.startswith(".") and not any(fnmatch(entry.name, pattern) for pattern in ignored)
    }
    assert found == TOP_LEVEL


MAY_IMPORT = {
    "solver": set[str](),
    "outline": {"job"},
    "metal": {"job"},
    "job": {"metal"},
    "face": {"job", "outline", "metal", "solver"},
    "paper": {"job", "outline", "metal", "face"},
}
"""What each room may read beside itself, units and errors."""


def rooms_read_by(path: Path) -> set[str]:
    """Give the rooms that a module imports from; of layout's single modules, their names."""
    found = set[str]()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            first, *rest = node.module.split(".")
            rooms = rest[:1] or [alias.name for alias in node.names if not alias.name.startswith("__")]
            found |= set(rooms) if first == "layout" else {first} & {"solver"}
    return found


@pytest.mark.parametrize("room", MAY_IMPORT)
def test_imports_go_one_way(room: str) -> None:
    """A room reads only the rooms below it, as DEVELOPERS.md says."""
    allowed = MAY_IMPORT[room] | {room} | ({"units", "errors"} if room != "solver" else set())
    modules = sorted((ROOT / room if room == "solver" else ROOT / "layout" / room).glob("*.py"))
    assert modules
    strangers = {path.name: rooms_read_by(path) - allowed for path in modules}
    assert {name: rooms for name, rooms in strangers.items() if rooms} == {}


def test_the_check_shares_no_code_with_the_plan() -> None:
    """Modules of the check read the plan's and the job's values, the metal's tables, and each other: no sums."""
    modules = sorted((ROOT / "layout" / "face").glob("check*.py"))
    assert len(modules) > 5
    for path in modules:
        assert rooms_read_by(path) <= {"face", "job", "units", "errors", "metal"}, path.name
        tables = re.findall(r"^from layout\.metal\.(\w+) import (.+)", path.read_text(encoding="utf-8"), re.MULTILINE)
        known = {("metals", "Metal, metal_of"), ("stock_tools", "parse_tool"), ("die", "Die")}
        assert set(tables) <= known, path.name
        named = re.findall(r"^from layout\.face\.(\w+) import", path.read_text(encoding="utf-8"), re.MULTILINE)
        assert {name for name in named if not name.startswith("check_")} <= {"plan", "forming", "buying"}, path.name


def test_first_screen_sells() -> None:
    """A paragraph, a picture and both commands stand before what it does not do."""
    screen = README.split("## What it does not do")[0]
    assert screen.count("```sh") == 2
    assert "![" in screen
    assert len(screen.splitlines()) <= 30
