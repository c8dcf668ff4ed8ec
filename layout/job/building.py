"""From values that are all right to the frozen job."""

from __future__ import annotations

from typing import Any

from layout.job import model
from layout.job.rules import is_open
from layout.job.sections import Reading, Values
from layout.metal.gauges import thickness as thickness_of


def build_job(reading: Reading, digest: str) -> model.Job:
    """Build the job from a file without faults."""
    top = reading.one("").got
    return model.Job(
        title=top["title"],
        units=top["units"],
        outlines=tuple(_outline(values) for values in reading.sections["outline"]),
        scallop=model.ScallopSpec(**reading.one("scallop").got),
        metal=_metal(reading.one("metal").got),
        face=_face(dict(reading.one("face").got)),
        sheets=tuple(model.SheetSpec(**values.got) for values in reading.sections["sheet"]),
        fixing=model.FixingSpec(**reading.one("fixing").got),
        seams=_seams(reading.one("seams")),
        order=model.OrderSpec(**reading.one("order").got),
        digest=digest,
    )


def _outline(values: Values) -> model.OutlineSpec:
    got = dict(values.got)
    got.setdefault("face", "right" if is_open(values) else "outside")
    got["steps"] = tuple(_step(step.got) for step in values.inner.get("steps", []))
    return model.OutlineSpec(name=got.pop("name", ""), key=values.where, **got)


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
    return model.SeamsSpec(**got)


def _stretch(got: dict[str, Any]) -> dict[str, Any]:
    """Name the ends as the model does: `from` is a word of the language."""
    return {{"from": "start", "to": "end"}.get(name, name): value for name, value in got.items()}
