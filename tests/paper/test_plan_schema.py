"""The schema beside plan.json says what is written: every key, and as required what is always there."""

from __future__ import annotations

import json
from collections import defaultdict
from dataclasses import replace
from functools import cache
from pathlib import Path

import jsonschema
import pytest
from conftest import NAMES, _plan
from generated_plans import generated

from layout.face.planning import make_plan
from layout.job.reading import read_job
from layout.paper import plan_json as module
from layout.paper.plan_json import plan_object

SCHEMA = json.loads(Path(module.__file__).with_name("plan_schema.json").read_text(encoding="utf-8"))
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)
DEMOS = sorted((Path(__file__).parents[2] / "demo_jobs").glob("*.toml"))
SEEDS = range(0, 60, 5)
"""a dozen of the made plans"""


@cache
def written():
    """Return the plan.json of every demo, of the hand-made plans and of a dozen generated ones, by name."""
    plans = {path.stem: make_plan(read_job(path)) for path in DEMOS}
    plans |= {name: _plan(name) for name in NAMES}
    plans |= {f"seed {seed}": generated(seed) for seed in SEEDS}
    plans["no order of hanging"] = replace(_plan("looked at"), hanging=(), cutouts=())
    return {name: plan_object(plan, "B") for name, plan in plans.items()}


def objects(value, schema, place="plan"):
    """Run through every object of a value with the keys its schema knows, the required ones, and its place."""
    if isinstance(value, dict):
        for kind in (
            schema,
            *(SCHEMA["$defs"][one["$ref"].rpartition("/")[2]] for one in schema.get("oneOf", [])[:-1]),
        ):
            if "properties" in kind and fits(value, kind):
                here = f"{place} ({value['kind']})" if "kind" in kind["properties"] else place
                yield value, kind, here
                for key, inner in value.items():
                    yield from objects(inner, kind["properties"].get(key, {}), f"{here}.{key}")
    elif isinstance(value, list):
        for inner in value:
            yield from objects(inner, schema.get("items", {}), f"{place}[]")


def fits(value, kind):
    """Tell whether a kind that names itself by a constant is the value's."""
    constants = {key: part["const"] for key, part in kind["properties"].items() if "const" in part}
    return all(value.get(key) == const for key, const in constants.items())


def free(value):
    """Return where objects stand that the schema says nothing of."""
    return {
        place
        for one in value.values()
        for found, kind, place in objects(one, SCHEMA)
        if set(found) - set(kind["properties"])
    }


@pytest.mark.parametrize("name", [path.stem for path in DEMOS])
def test_every_demo_is_valid(name):
    """The plan of every demo obeys the schema."""
    assert list(VALIDATOR.iter_errors(written()[name])) == []


def test_every_made_plan_is_valid():
    """Hand-made and generated plans obey the schema too, and so does one without an order of hanging."""
    assert [error for found in written().values() for error in VALIDATOR.iter_errors(found)] == []


def test_a_spoilt_plan_is_not_valid():
    """Without its proof a plan breaks the schema: the two tests above can fail."""
    spoilt = {key: part for key, part in written()[DEMOS[0].stem].items() if key != "proof"}
    assert [error.validator for error in VALIDATOR.iter_errors(spoilt)] == ["required"]


def test_every_key_that_is_written_is_in_the_schema():
    """No object of any plan holds a key of which its schema says nothing."""
    assert free(written()) == set()


def test_what_is_always_written_is_required_and_nothing_else():
    """At each place of the file the required keys are those that every object there has."""
    always, required = {}, {}
    for plan in written().values():
        for found, kind, place in objects(plan, SCHEMA):
            always[place] = always.get(place, set(found)) & set(found)
            required[place] = set(kind.get("required", ()))
    sources = {f"plan.outline.source ({kind})" for kind in ("drawing", "survey")}
    assert {"plan", "plan.order[]", "plan.die.stock[]", "plan.outlines[]", *sources} <= set(always)
    assert always == required


def test_every_property_of_the_schema_is_written_somewhere():
    """The schema promises no key that no plan holds."""
    seen, promised = defaultdict(set), {}
    for plan in written().values():
        for found, kind, place in objects(plan, SCHEMA):
            seen[place] |= set(found)
            promised[place] = set(kind["properties"])
    assert dict(seen) == promised


@pytest.mark.parametrize("table", ["seams", "panels", "order", "sheets", "proof", "runs"])
def test_a_lacking_key_is_refused(table):
    """Take any one key from a row and the schema refuses the plan."""
    whole = written()["garden_bar"]
    for key in whole[table][0]:
        short = {k: v for k, v in whole[table][0].items() if k != key}
        with pytest.raises(jsonschema.ValidationError, match=f"'{key}' is a required property|does not contain"):
            jsonschema.validate({**whole, table: [short]}, SCHEMA, cls=jsonschema.Draft202012Validator)
