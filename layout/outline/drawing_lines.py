"""All lines of one layer of a drawing: file → units and layer → pieces → doubles → chains."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from layout.errors import Fault, JobFaults
from layout.job.model import OutlineSpec
from layout.job.plain_file import LARGEST_DRAWING, UnreadableError, plain_file
from layout.outline.drawing_chains import Chained, chained
from layout.outline.drawing_doubles import Double, without_doubles
from layout.outline.drawing_file import NAMES, Found, read_plan
from layout.outline.drawing_pieces import MOST_SEGMENTS, SPLINE_WEIGHT, NoPieceError, Piece, pieces_of
from layout.outline.spline import LENGTH_ERROR, SplineArc
from layout.outline.tolerances import SAME_POINT
from layout.units import format_length, parse_length


@dataclass(frozen=True)
class Aside:
    """Something of the drawing that the line does not hold."""

    what: str
    count: int
    x: float | None = None
    """mm, a place on it, where it is a line or piece of its own"""
    y: float | None = None


@dataclass(frozen=True)
class DrawnLines:
    """All lines of one layer of a drawing, mm, before one of them is chosen."""

    file: str
    layer: str
    units: str
    stated: bool
    digest: str
    chains: Chained
    doubles: tuple[Double, ...]
    aside: tuple[Aside, ...]
    """what is no line at all"""
    notes: tuple[str, ...]


def lines_of_drawing(spec: OutlineSpec, units: str = "mm") -> DrawnLines:
    """Return all lines of the layer that an outline names; parameters and faults as `drawing.read_drawing`."""
    key, name = f"{spec.key}.file", spec.file or ""
    try:
        data = plain_file(Path(spec.folder) / name, "drawing", LARGEST_DRAWING)
        digest = hashlib.sha256(data).hexdigest()
        found = read_plan(data)
    except UnreadableError as error:
        raise JobFaults([Fault(key, name, error.rule, error.remedy)]) from None
    if spec.source_digest not in {"", digest}:
        raise JobFaults([Fault(key, name, "this drawing was changed while it was being read", "Run it again")])
    faults = [*_unit_faults(found, spec), *_layer_faults(found, spec)]
    if faults:
        raise JobFaults(faults)
    layer = _layer(found, spec.layer)
    in_words, one = found.stated or (NAMES.get(spec.drawing_units or "", ""), f"1 {spec.drawing_units}")
    read = _pieces(found.by_layer[layer], parse_length(one, "mm"))
    if read is None:
        rule = (
            f"a layer has at most {MOST_SEGMENTS} straights and arcs, or {MOST_SEGMENTS // SPLINE_WEIGHT} spline pieces"
        )
        raise JobFaults([Fault(key, name, rule, "Put the counter's line on a layer of its own")])
    pieces, unread = read
    kept, doubles = without_doubles(pieces)
    aside = [Aside(what, count) for (where, what), count in sorted(found.aside.items()) if where == layer]
    aside += [Aside(what, count) for what, count in sorted(unread.items())]
    return DrawnLines(
        file=name,
        layer=layer,
        units=in_words,
        stated=found.stated is not None,
        digest=digest,
        chains=chained(kept),
        doubles=tuple(doubles),
        aside=tuple(aside),
        notes=tuple(_notes(found, layer, pieces, units)),
    )


# Units and layer.


def _unit_faults(found: Found, spec: OutlineSpec) -> list[Fault]:
    """Fault a drawing whose units nobody states, or that the job states otherwise."""
    said, key = spec.drawing_units, f"{spec.key}.units"
    if found.stated is None and said is None:
        rule = "this drawing does not state its units, so the job must"
        return [Fault(key, "", rule, 'Add units = "mm" (or in, ft, cm, m), as it is drawn')]
    if found.stated is None or said is None or parse_length(f"1 {said}", "mm") == parse_length(found.stated[1], "mm"):
        return []
    rule = f"this drawing states that it is in {found.stated[0]}"
    return [Fault(key, said, rule, "Leave units out, or correct the units in the drawing")]


def _layer_faults(found: Found, spec: OutlineSpec) -> list[Fault]:
    """Fault a layer that is not there, and a choice between several."""
    key, seen = f"{spec.key}.layer", found.seen
    if not found.by_layer:
        others = ", ".join(sorted({f"{what}s" for _, what in found.aside})) or "nothing"
        rule = f"this drawing has no lines in its plan, but {others}"
        return [Fault(f"{spec.key}.file", spec.file or "", rule, "Name the drawing with the counter's line")]
    if spec.layer is None and len(seen) == 1:
        return []
    named = "; ".join(f"{shown(name)} ({_count(len(found.by_layer[name]), 'piece')})" for name in seen)
    if spec.layer is None and not seen:
        hidden = ", ".join(shown(name) for name in sorted(found.by_layer))
        return [Fault(key, "", f"all layers with lines are hidden: {hidden}", "Name the one with the line")]
    if spec.layer is None:
        return [Fault(key, "", f"several layers hold lines: {named}", "Name the one with the line")]
    if _layer(found, spec.layer) in found.by_layer:
        return []
    known = named or ", ".join(shown(name) for name in sorted(found.by_layer))
    return [Fault(key, spec.layer, f"no layer of this name holds lines; these do: {known}", "Name one of them")]


def _layer(found: Found, named: str | None) -> str:
    """Return the layer's name as the drawing has it; small and capital letters are one."""
    if named is None:
        return found.seen[0]
    exact = [name for name in found.by_layer if name == named]
    alike = [name for name in sorted(found.by_layer) if name.casefold() == named.casefold()]
    return (exact or alike or [named])[0]


def shown(name: str) -> str:
    """Return a layer's name as one line of decent length."""
    plain = "".join(char if char.isprintable() else "�" for char in name)
    return plain if len(plain) <= 40 else plain[:39] + "…"


# Pieces.


def _pieces(entities: Iterable[Any], scale: float) -> tuple[list[Piece], Counter[str]] | None:
    """Return the pieces of entities, and how many gave none, by the reason; None where they are too many."""
    pieces: list[Piece] = []
    unread, work = Counter[str](), 0
    for entity in entities:
        try:
            found = pieces_of(entity, scale)
        except NoPieceError as reason:
            unread[str(reason)] += 1
            continue
        pieces += [piece for piece in found if not piece.is_crumb]
        work += sum(SPLINE_WEIGHT if isinstance(s, SplineArc) else 1 for piece in found for s in piece.segments)
        if work > MOST_SEGMENTS:
            return None
    return pieces, unread


def _notes(found: Found, layer: str, pieces: Sequence[Piece], units: str) -> list[str]:
    """Return what is worth a word about the layer as a whole."""
    notes = []
    if found.repairs:
        notes.append(f"the file has faults, and {_count(found.repairs, 'place')} in it were mended or passed over")
    low = min((piece.heights[0] for piece in pieces), default=0.0)
    high = max((piece.heights[1] for piece in pieces), default=0.0)
    if high - low > SAME_POINT:
        heights = " to ".join(format_length(height, units) for height in (low, high))
        notes.append(f"heights from {heights} were laid flat: lengths are those in plan")
    if any(isinstance(segment, SplineArc) for piece in pieces for segment in piece.segments):
        notes.append(f"lengths along splines are summed to {LENGTH_ERROR:g} of each piece")
    others = [name for name in found.seen if name != layer]
    if others:
        notes.append(f"not looked at: layers {', '.join(map(shown, others))}")
    return notes


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
