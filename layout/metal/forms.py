"""The scallop forms, in one table, and the profile that a job's scallop comes to.

A new form is one file with its two functions and one line of `FORMS`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

from layout.errors import Fault, JobFaults
from layout.job.model import ScallopSpec
from layout.metal.form_arc import arc_on_tool, build_arc, build_arc_flat
from layout.metal.form_arc_tangent import arc_tangent_on_tool, build_arc_tangent
from layout.metal.form_serpentine import build_serpentine, serpentine_on_tool
from layout.metal.form_sine import build_sine, sine_on_tool
from layout.metal.profile import STEEP, Profile, both

__all__ = ["FORMS", "STEEP", "Form", "Profile", "build_profile"]


@dataclass(frozen=True)
class Form:
    """What a form must answer."""

    build: Callable[[ScallopSpec, float], Profile]
    """(drawn scallop, thickness mm) → profile; raises JobFaults where it cannot be"""
    on_tool: Callable[[ScallopSpec, float, float, float], ScallopSpec]
    """(drawn scallop, thickness, finished crest radius, steepest flank) → what a tool makes of it"""


FORMS: Final[dict[str, Form]] = {
    "arc": Form(build_arc, arc_on_tool),
    "arc-flat": Form(build_arc_flat, arc_on_tool),
    "sine": Form(build_sine, sine_on_tool),
    "serpentine": Form(build_serpentine, serpentine_on_tool),
    "arc-tangent": Form(build_arc_tangent, arc_tangent_on_tool),
}


def build_profile(spec: ScallopSpec, thickness: float, pitch: float | None = None) -> Profile:
    """Build the profile of a drawn scallop.

    Parameters
    ----------
    spec
        The scallop, at mid-metal.
    thickness
        mm, of the metal.
    pitch
        mm; takes the place of the drawn pitch, depth and radii held. None keeps the drawn one.

    Raises
    ------
    JobFaults
        Where the form cannot be: keys ``scallop.form``, ``.pitch``, ``.depth``, ``.flat``, ``.radius``,
        ``.valley_radius``, ``metal.thickness``; ``scallop.pitch_range`` where only the given pitch is
        at fault.

    Examples
    --------
    >>> half_round = build_profile(ScallopSpec("arc", pitch=100.0, depth=50.0), thickness=1.0)
    >>> half_round.developed / 50 == math.pi, round(half_round.neutral_height * math.pi / 100, 12)
    (True, 1.0)
    >>> build_profile(ScallopSpec("arc", pitch=100.0, depth=51.0), thickness=1.0)
    Traceback (most recent call last):
    layout.errors.JobFaults: scallop.depth = 51 mm (2.008 in): an arc is at most ...
    """
    faults = tuple(_plain_faults(spec, thickness, pitch))
    if faults:
        raise JobFaults(faults)
    build = FORMS[spec.form].build
    if pitch is None or pitch == spec.pitch:
        return _as_measured(build(spec, thickness), spec)
    try:
        return build(replace(spec, pitch=pitch), thickness)
    except JobFaults as error:
        build(spec, thickness)  # a fault of the drawn scallop itself is told as such
        raise JobFaults(_of_range(fault, pitch) for fault in error.faults) from error


def _as_measured(profile: Profile, spec: ScallopSpec) -> Profile:
    """Return the profile with its developed length as measured, where it was."""
    return profile if spec.developed is None else replace(profile, developed=spec.developed)


def _of_range(fault: Fault, pitch: float) -> Fault:
    return Fault(
        "scallop.pitch_range",
        both(pitch),
        f"every pitch of the range must make the form: here {fault.key} = {fault.value}, and {fault.rule}",
        fault.remedy,
    )


def _plain_faults(spec: ScallopSpec, thickness: float, pitch: float | None) -> list[Fault]:
    """Find lengths that are no lengths, and a form that is not in the table."""
    found = []
    if spec.form not in FORMS:
        found.append(Fault("scallop.form", spec.form, "the form must be a known one", f"Use one of {', '.join(FORMS)}"))
    lengths = {"scallop.pitch": spec.pitch, "scallop.depth": spec.depth, "metal.thickness": thickness}
    if pitch is not None:
        lengths["scallop.pitch_range"] = pitch
    for key, length in lengths.items():
        if not (math.isfinite(length) and length > 0):
            found.append(Fault(key, f"{length:g}", "it must be a length above 0", "Give a length above 0"))
    return found
