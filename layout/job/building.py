"""From values that are all right to the frozen job."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from layout.job import model
from layout.job.building_forming import coating_of, costs_of, die_of, limits_of, order_spec, press_of
from layout.job.model_packet import PaperSpec, SiteSpec
from layout.job.model_places import Asked, Place
from layout.job.rules_places import is_open, named_places, zone_name
from layout.job.rules_survey import take_marks
from layout.job.sections import Reading, Values
from layout.metal.gauges import thickness as thickness_of


def build_job(reading: Reading, digest: str) -> model.Job:
    """Build the job from a file without faults."""
    top = reading.one("").got
    return model.Job(
        title=top["title"],
        units=top["units"],
        outlines=tuple(_outline(values, reading.one("survey").got["sigma"]) for values in reading.sections["outline"]),
        scallop=model.ScallopSpec(**reading.one("scallop").got),
        metal=_metal(reading.one("metal").got),
        face=_face(dict(reading.one("face").got)),
        sheets=tuple(model.SheetSpec(**values.got) for values in reading.sections["sheet"]),
        fixing=model.FixingSpec(**reading.one("fixing").got),
        seams=_seams(reading.one("seams")),
        order=order_spec(reading),
        die=die_of(reading),
        press=press_of(reading),
        limits=limits_of(reading),
        coating=coating_of(reading),
        costs=costs_of(reading),
        paper=PaperSpec(**reading.one("paper").got),
        site=SiteSpec(**reading.one("site").got),
        zones=tuple(_zone(k, values.got) for k, values in enumerate(reading.sections["zone"], 1)),
        openings=tuple(model.Opening(**_stretch(values.got)) for values in reading.sections["opening"]),
        places=tuple(asked for values in named_places(reading) for asked in _asked(values)),
        cutouts=tuple(model.Cutout(**_stretch(values.got)) for values in reading.sections["cutout"]),
        viewpoints=tuple(model.Viewpoint(**values.got) for values in reading.sections["viewpoint"]),
        walls=tuple(model.Wall(**values.got) for values in reading.sections["wall"]),
        digest=digest,
    )


def _outline(values: Values, sigma: float) -> model.OutlineSpec:
    got = dict(values.got)
    marks = take_marks(got, sigma)
    got.setdefault("face", "right" if is_open(values) else "outside")
    got["steps"] = tuple(_step(step.got) for step in values.inner.get("steps", []))
    if "units" in got:
        got["drawing_units"] = got.pop("units")
    return model.OutlineSpec(name=got.pop("name", ""), key=values.where, marks=marks, **got)


def _step(got: dict[str, Any]) -> model.Step:
    if "straight" in got:
        return model.Straight(got["straight"])
    return model.Turn(got["arc"] if got["turn"] == "left" else -got["arc"], got["radius"])


def _metal(got: dict[str, Any]) -> model.MetalSpec:
    thickness = got.get("thickness")
    return model.MetalSpec(
        kind=got["kind"],
        thickness=thickness_of(got["kind"], got["gauge"]) if thickness is None else thickness,
        gauge=got.get("gauge"),
        modulus=got.get("modulus"),
        yield_=got.get("yield"),
        tensile=got.get("tensile"),
        density=got.get("density"),
        yield_low=got.get("yield_low"),
        yield_high=got.get("yield_high"),
    )


def _face(got: dict[str, Any]) -> model.FaceSpec:
    largest = got.pop("largest_panel", None)
    if isinstance(largest, int):
        got["largest_scallops"] = largest
    else:
        got["largest_overall"] = largest
    return model.FaceSpec(**got)


def _seams(values: Values) -> model.SeamsSpec:
    got = dict(values.got)
    got["avoid"] = tuple(model.Avoid(**_stretch(place.got)) for place in values.inner.get("avoid", []))
    got["require"] = tuple(model.Require(**_stretch(place.got)) for place in values.inner.get("require", []))
    return model.SeamsSpec(**got)


def _zone(number: int, got: dict[str, Any]) -> model.Zone:
    return model.Zone(**{"name": zone_name(number, got), **_stretch(got)})


def _stretch(got: dict[str, Any]) -> dict[str, Any]:
    """Name the ends as the model does, `from` being a word of the language; a place's station is not known yet."""
    names = {"from": "start", "to": "end"}
    return {names.get(name, name): math.nan if isinstance(value, Place) else value for name, value in got.items()}


def _asked(values: Values) -> Iterator[Asked]:
    """Yield the places of one table that are told by a point or an angle."""
    for name, value in values.got.items():
        if isinstance(value, Place):
            yield Asked(values.key(name), value, values.got.get("outline", ""))
