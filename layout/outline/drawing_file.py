"""A drawing's file: from bytes to what stands in its plan, block references taken apart, layer by layer.

Files are exchange files for drawings in the DXF reference's text or binary form; ezdxf's recovering reader
does the reading. Only the model space is looked at.
"""

from __future__ import annotations

import io
import logging
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from typing import Any, Final

from layout.job.plain_file import UnreadableError

Entity = Any
"""ezdxf's graphic entity: the library is imported late, it is slow, and its types with it."""

MOST_ENTITIES: Final = 20_000
"""Pieces in the plan, with all that blocks show, so that no drawing takes over 5 s (measured)."""

DEEPEST: Final = 16
"""Block references one inside another (assumed: drawings nest three or four)."""

LINES: Final = frozenset({"LINE", "ARC", "CIRCLE", "ELLIPSE", "LWPOLYLINE", "POLYLINE", "SPLINE"})
"""Entities that a line may be made of."""

HELPERS: Final = "defpoints"
"""Layer of the points that dimensions hang on; never printed, so never taken unless named."""

STATED_UNITS: Final = {
    1: ("inches", "1 in"),
    2: ("feet", "1 ft"),
    4: ("millimetres", "1 mm"),
    5: ("centimetres", "1 cm"),
    6: ("metres", "1 m"),
    7: ("kilometres", "1000 m"),
    9: ("thousandths of an inch", "1/1000 in"),
    10: ("yards", "3 ft"),
    14: ("decimetres", "10 cm"),
    21: ("survey feet", "1200/3937 m"),
}
"""Header variable $INSUNITS (DXF reference): what it is called and how long. 0 and others state nothing."""

NAMES: Final = {"in": "inches", "ft": "feet", "mm": "millimetres", "cm": "centimetres", "m": "metres"}
"""What the units that a job may say of a drawing are called."""


@dataclass
class Found:
    """What stands in the plan of a drawing."""

    stated: tuple[str, str] | None
    """the units that it states: their name and one of them as text with its unit"""
    by_layer: dict[str, list[Entity]] = field(default_factory=dict)
    """entities that lines are made of, by the name of their layer"""
    hidden: set[str] = field(default_factory=set)
    """layers that are off or frozen"""
    aside: Counter[tuple[str, str]] = field(default_factory=Counter)
    """how many of what was left aside, by layer and what it is"""
    repairs: int = 0
    """faults of the file that the reader mended"""

    @property
    def seen(self) -> list[str]:
        """Return the layers with lines that one sees, by name."""
        return sorted(name for name in self.by_layer if name not in self.hidden and name.lower() != HELPERS)


def read_plan(data: bytes) -> Found:
    """Return what stands in the plan of a drawing.

    Raises
    ------
    UnreadableError
        Where the bytes are no drawing that can be read, or hold too much.

    Examples
    --------
    >>> read_plan(b"once upon a time")
    Traceback (most recent call last):
    layout.job.plain_file.UnreadableError: this is not a DXF drawing. Save the drawing as DXF.
    """
    document, repairs = _document(data)
    found = Found(stated=_stated(document), repairs=repairs)
    for layer in _tried(lambda: list(document.layers), []):
        if _tried(partial(_is_hidden, layer), False):
            found.hidden.add(str(layer.dxf.name))
    weights: dict[str, int] = {}
    budget = [MOST_ENTITIES]
    for entity in _tried(lambda: list(document.modelspace()), []):
        _take(entity, None, found, weights, budget)
    return found


def _document(data: bytes) -> tuple[Any, int]:
    """Load the bytes, mended where they can be."""
    if not data.strip():
        raise UnreadableError("this file is empty", "Save the drawing again")
    if data[:4] == b"AC10":
        raise UnreadableError("this is a DWG drawing", "Save the drawing as DXF")
    binary = b"Binary DXF" in data[:32]
    if not binary and b"SECTION" not in data:
        raise UnreadableError("this is not a DXF drawing", "Save the drawing as DXF")
    from ezdxf import recover  # noqa: PLC0415 - 0.5 s that other shapes need not pay
    from ezdxf.document import Drawing  # noqa: PLC0415
    from ezdxf.lldxf.tagger import binary_tags_loader  # noqa: PLC0415

    logging.getLogger("ezdxf").addHandler(logging.NullHandler())
    try:
        if binary:
            return Drawing.load(binary_tags_loader(data)), 0
        document, auditor = recover.read(io.BytesIO(data))
        return document, len(auditor.errors) + len(auditor.fixes)
    except Exception as error:  # a corrupt file can fail the reader in any way
        rule = f"this drawing is corrupt and cannot be read ({_reason(error)})"
        raise UnreadableError(rule, "Save the drawing again, as DXF in text form") from error


def _reason(error: Exception) -> str:
    """Return what the reader says, where it says it of the drawing and not of itself."""
    from ezdxf.lldxf.const import DXFError  # noqa: PLC0415

    said = str(error) if isinstance(error, DXFError) else type(error).__name__
    plain = "".join(char if char.isprintable() else "�" for char in said)
    return plain if len(plain) <= 80 else plain[:79] + "…"


def _tried(ask: Callable[[], Any], otherwise: Any) -> Any:
    """Return an answer of the library, or something else where a corrupt drawing makes it fail."""
    try:
        return ask()
    except Exception:
        return otherwise


def _stated(document: Any) -> tuple[str, str] | None:
    """Return the units that the header states."""
    number = _tried(lambda: int(document.header.get("$INSUNITS", 0)), 0)
    return STATED_UNITS.get(number)


def _is_hidden(layer: Any) -> bool:
    return bool(layer.is_off() or layer.is_frozen())


def _copies(insert: Entity) -> int:
    return int(insert.mcount)


def _take(
    entity: Entity, outer: str | None, found: Found, weights: dict[str, int], budget: list[int], deep: int = 0
) -> None:
    """Sort one entity in; `outer` is the layer of the block reference that it stands in."""
    kind = entity.dxftype()
    own = str(_tried(lambda: entity.dxf.layer, "0"))
    layer = outer if outer is not None and own == "0" else own  # layer 0 of a block goes by its reference
    if _tried(lambda: bool(entity.dxf.get("invisible", 0)), False):
        found.aside[layer, "hidden piece"] += 1
    elif kind == "INSERT":
        _take_apart(entity, layer, found, weights, budget, deep)
    elif kind in LINES:
        if outer is None:
            _spend(1, budget)
        found.by_layer.setdefault(layer, []).append(entity)
    else:
        found.aside[layer, WORDS.get(kind, kind.lower())] += 1


def _take_apart(
    insert: Entity, layer: str, found: Found, weights: dict[str, int], budget: list[int], deep: int
) -> None:
    """Sort in what a block reference shows; one that cannot be shown is left aside."""
    block = _tried(insert.block, None)
    copies = _tried(partial(_copies, insert), 0)
    weight = _weight(block, weights, ()) if block is not None else 0
    if weight <= 0 or copies < 1 or deep >= DEEPEST:
        found.aside[layer, "block reference that shows nothing"] += 1
        return
    if deep == 0:  # what is inside it is then paid for
        _spend(weight * copies, budget)
    parts = _tried(lambda: list(_shown(insert, copies)), None)
    if parts is None:
        found.aside[layer, "block reference that cannot be shown"] += 1
        return
    for part in parts:
        _take(part, layer, found, weights, budget, deep + 1)


def _shown(insert: Entity, copies: int) -> Iterator[Entity]:
    for each in insert.multi_insert() if copies > 1 else [insert]:
        yield from each.virtual_entities(skipped_entity_callback=_ignore)


def _ignore(entity: Entity, reason: str) -> None:
    """Let pass what cannot be transformed: texts and the like."""


def _weight(block: Any, weights: dict[str, int], above: tuple[str, ...]) -> int:
    """Count what a block shows, with all inside it; −1 where it holds itself, for that shows no end."""
    name = str(block.name).lower()
    if name in above or len(above) > DEEPEST:
        return -1
    if name not in weights:
        total = 0
        for entity in block:
            if entity.dxftype() != "INSERT":
                total += _tried(partial(_cost, entity), 1)
                continue
            inner = _tried(entity.block, None)
            copies = _tried(partial(_copies, entity), 0)
            weight = _weight(inner, weights, (*above, name)) if inner is not None else 0
            if weight < 0:
                return -1
            total += weight * max(copies, 0)
        weights[name] = total
    return weights[name]


def _cost(entity: Entity) -> int:
    """Return how many pieces an entity may come to where its block is taken apart."""
    kind = entity.dxftype()
    if kind == "LWPOLYLINE":
        return 1 + len(entity)
    if kind == "POLYLINE":
        return 1 + len(entity.vertices)
    if kind == "SPLINE":
        return 1 + len(entity.control_points) + len(entity.fit_points)
    if kind in {"HATCH", "MPOLYGON"}:
        parts = (getattr(path, "vertices", None) or path.edges for path in entity.paths)
        return 1 + sum(len(part) for part in parts)
    return 1 + len(getattr(entity, "vertices", ()))


def _spend(pieces: int, budget: list[int]) -> None:
    """Count pieces, all that blocks show before they are taken apart, and refuse too many."""
    budget[0] -= pieces
    if budget[0] < 0:
        rule = f"a drawing has at most {MOST_ENTITIES} pieces in its plan, with all that blocks show"
        raise UnreadableError(rule, "Save the counter's layer as a drawing of its own")


WORDS: Final = {
    "TEXT": "text",
    "MTEXT": "text",
    "ATTDEF": "text",
    "DIMENSION": "dimension",
    "ARC_DIMENSION": "dimension",
    "LARGE_RADIAL_DIMENSION": "dimension",
    "LEADER": "leader",
    "MULTILEADER": "leader",
    "HATCH": "hatch",
    "MPOLYGON": "hatch",
    "POINT": "point",
    "SOLID": "filled area",
    "TRACE": "filled area",
    "IMAGE": "picture",
    "VIEWPORT": "viewport",
}
"""What is left aside, in plain words; the rest goes by its name in the DXF reference."""
