"""The table of keys is whole, and the starter that is written from it is a job."""

from __future__ import annotations

import dataclasses
import tomllib

import pytest

from layout.errors import JobFaults
from layout.job import model
from layout.job.key import Key
from layout.job.keys import LATER, SECTIONS, every_key
from layout.job.reading import parse_job
from layout.job.starter import starter_text
from layout.units import UNITS

DESIGNED = {
    "": "format title units",
    "outline": "name shape length width diameter radius inset face datum start heading closed steps",
    "outline.steps": "straight arc radius turn",
    "scallop": "form pitch depth valley_radius flat radius pitch_range count_on most_take_up",
    "metal": "kind gauge thickness modulus yield tensile density",
    "face": "height top_return bottom_return scribe seam lap_goes ends smallest_panel largest_panel form_trim"
    " shear_length",
    "fixing": "edge every",
    "seams": "tight_radius avoid require panel_price even symmetric goals",
    "seams.avoid": "from to why outline",
    "seams.require": "at why outline",
    "zone": "name from to height outline",
    "sheet": "length width trim edge_trim kerf price count remnant scallops",
    "order": "spare prove_out",
}
"""Every key of the job file as it was designed."""


def test_every_designed_key_is_in_the_table() -> None:
    """The table lacks none; it may have more."""
    for path, names in DESIGNED.items():
        assert set(names.split()) <= set(SECTIONS[path].names)


def test_no_key_stands_twice() -> None:
    """Dotted names are unique, and a later key is not also a present one."""
    names = [name for name, _ in every_key()]
    assert len(names) == len(set(names))
    assert not set(LATER[""]) & set(SECTIONS)
    for path, later in LATER.items():
        assert not set(later) & set(SECTIONS[path].names)


@pytest.mark.parametrize("units", UNITS)
def test_the_starter_offers_no_later_key(units: str) -> None:
    """What would be refused is not shown, set or as a comment."""
    lines = starter_text(units).splitlines()
    assert [line for line in lines if line.strip("# []") == "zone"]
    assert not [line for line in lines if line.strip("# []") in LATER[""]]


@pytest.mark.parametrize(("name", "key"), list(every_key()), ids=[name for name, _ in every_key()])
def test_every_example_is_read_by_its_own_key(name: str, key: Key) -> None:
    """What the starter shows is right, in both units; every key is explained in a sentence."""
    for units, example in zip(UNITS, key.example, strict=True):
        key.read(tomllib.loads(f"x = {example}")["x"], units)
    assert key.doc.endswith(".")
    assert name


@pytest.mark.parametrize(
    ("path", "spec"),
    [
        ("scallop", model.ScallopSpec),
        ("face", model.FaceSpec),
        ("fixing", model.FixingSpec),
        ("sheet", model.SheetSpec),
        ("order", model.OrderSpec),
        ("seams", model.SeamsSpec),
    ],
)
def test_defaults_of_the_table_are_those_of_the_model(path: str, spec: type) -> None:
    """A job built by hand and one read from an inch file leave out the same."""
    assert dataclasses.is_dataclass(spec)
    fields = {field.name: field for field in dataclasses.fields(spec)}
    compared = 0
    for key in SECTIONS[path].keys:
        field = fields.get(key.name)
        if field is not None and not key.required and key.default[0] is not None:
            assert key.default[0] == field.default
            compared += 1
    assert compared >= 1


@pytest.mark.parametrize("units", UNITS)
def test_the_starter_is_a_sound_job(units: str) -> None:
    """It reads as it stands."""
    job = parse_job(starter_text(units).encode(), "starter.toml")
    assert job.units == units
    assert job.title


@pytest.mark.parametrize("units", UNITS)
def test_the_starter_names_and_explains_every_key(units: str) -> None:
    """Whoever reads the starter has read of every key."""
    text = starter_text(units)
    for name, key in every_key():
        last = name.rpartition(".")[2]
        assert f"{last} = " in text or f"#     {last}: " in text, name
        assert key.doc in text


@pytest.mark.parametrize("units", UNITS)
def test_every_commented_key_of_the_starter_is_known(units: str) -> None:
    """With every # taken away, only rules between keys speak: no key is unknown, no value wrong by itself."""
    lines = [
        line.removeprefix("# ") if line.startswith("# ") and (" = " in line or line.startswith("# [")) else line
        for line in starter_text(units).splitlines()
    ]
    try:
        parse_job("\n".join(lines).encode(), "starter.toml")
    except JobFaults as refused:
        rules = {fault.rule for fault in refused.faults}
    assert not [rule for rule in rules if "known" in rule or "must" in rule]
    assert "a stadium has no diameter" in rules
