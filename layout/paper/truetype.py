"""A TrueType font read for two questions: how wide is a text, and which few glyphs must a file carry.

Source: ISO/IEC 14496-22 (Open Font Format), tables cmap, glyf, head, hhea, hmtx, loca, maxp.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Final

_CARRIED: Final = ("cvt ", "fpgm", "prep")
"""tables that glyph programs lean on, kept as they are"""

# Flags of a composite glyph's component (14496-22, glyf).
_WORDS, _SCALE, _MORE, _XY_SCALE, _TWO_BY_TWO = 0x01, 0x08, 0x20, 0x40, 0x80


@dataclass(frozen=True, eq=False)
class Font:
    """A TrueType font; sizes in font units."""

    data: bytes

    @classmethod
    def read(cls, path: Path) -> Font:
        """Read a font file."""
        return cls(path.read_bytes())

    @cached_property
    def tables(self) -> dict[str, bytes]:
        """Tables by tag."""
        (count,) = struct.unpack_from(">H", self.data, 4)
        found = {}
        for i in range(count):
            tag, _, offset, length = struct.unpack_from(">4sLLL", self.data, 12 + 16 * i)
            found[tag.decode("ascii")] = self.data[offset : offset + length]
        return found

    @cached_property
    def em(self) -> int:
        """Font units a size."""
        return int(struct.unpack_from(">H", self.tables["head"], 18)[0])

    @cached_property
    def heights(self) -> tuple[int, int]:
        """Ascender and descender (negative)."""
        up, down = struct.unpack_from(">hh", self.tables["hhea"], 4)
        return up, down

    @cached_property
    def bounds(self) -> tuple[int, int, int, int]:
        """Box that holds every glyph: left, bottom, right, top."""
        left, bottom, right, top = struct.unpack_from(">hhhh", self.tables["head"], 36)
        return left, bottom, right, top

    @cached_property
    def _glyphs(self) -> dict[int, int]:
        """Glyph by character code, from the format 4 table of the basic plane."""
        table = self.tables["cmap"]
        (count,) = struct.unpack_from(">H", table, 2)
        for i in range(count):
            platform, _, offset = struct.unpack_from(">HHL", table, 4 + 8 * i)
            if platform in {0, 3} and struct.unpack_from(">H", table, offset)[0] == 4:
                return _segments(table[offset:])
        raise ValueError("the font has no character table of format 4")

    @cached_property
    def _advances(self) -> tuple[int, ...]:
        (count,) = struct.unpack_from(">H", self.tables["hhea"], 34)
        return struct.unpack_from(">" + "Hh" * count, self.tables["hmtx"], 0)[::2]

    @cached_property
    def _places(self) -> tuple[int, ...]:
        (long,) = struct.unpack_from(">h", self.tables["head"], 50)
        (count,) = struct.unpack_from(">H", self.tables["maxp"], 4)
        if long:
            return struct.unpack_from(f">{count + 1}L", self.tables["loca"], 0)
        return tuple(2 * place for place in struct.unpack_from(f">{count + 1}H", self.tables["loca"], 0))

    def glyph(self, char: str) -> int:
        """Return the glyph of a character; 0, the empty box, where the font has none."""
        return self._glyphs.get(ord(char), 0)

    def advance(self, glyph: int) -> int:
        """Return the step to the next glyph."""
        return self._advances[min(glyph, len(self._advances) - 1)]

    def outline(self, glyph: int) -> bytes:
        """Return the glyph's description; empty for a space."""
        return self.tables["glyf"][self._places[glyph] : self._places[glyph + 1]]

    def box(self, glyph: int) -> tuple[int, int, int, int]:
        """Return the box around a glyph's ink: left, bottom, right, top; zeros for a space."""
        outline = self.outline(glyph)
        if not outline:
            return (0, 0, 0, 0)
        left, bottom, right, top = struct.unpack_from(">hhhh", outline, 2)
        return left, bottom, right, top

    def subset(self, wanted: Iterable[int]) -> tuple[bytes, dict[int, int]]:
        """Cut the font down to some glyphs.

        Returns
        -------
        data
            The font file with these glyphs, those they are made of, and glyph 0.
        numbers
            New number by old one.
        """
        order = [0, *sorted(set(wanted) - {0})]
        for glyph in order:  # grows while it is walked: parts may have parts
            order += [part for _, part in _parts(self.outline(glyph)) if part not in order]
        numbers = {old: new for new, old in enumerate(order)}
        return _font_file(self._cut_tables(order, numbers)), numbers

    def _cut_tables(self, order: list[int], numbers: dict[int, int]) -> dict[str, bytes]:
        glyf, places = b"", [0]
        for old in order:
            outline = bytearray(self.outline(old))
            for at, part in _parts(bytes(outline)):
                struct.pack_into(">H", outline, at, numbers[part])
            glyf += bytes(outline) + b"\0" * (-len(outline) % 4)
            places.append(len(glyf))
        bearings = [self.box(old)[0] for old in order]
        head, hhea, maxp = (bytearray(self.tables[tag]) for tag in ("head", "hhea", "maxp"))
        struct.pack_into(">L", head, 8, 0)
        struct.pack_into(">h", head, 50, 1)
        struct.pack_into(">H", hhea, 34, len(order))
        struct.pack_into(">H", maxp, 4, len(order))
        made = {
            "glyf": glyf,
            "head": bytes(head),
            "hhea": bytes(hhea),
            "hmtx": b"".join(
                struct.pack(">Hh", self.advance(old), left) for old, left in zip(order, bearings, strict=True)
            ),
            "loca": struct.pack(f">{len(places)}L", *places),
            "maxp": bytes(maxp),
        }
        return made | {tag: self.tables[tag] for tag in _CARRIED if tag in self.tables}


def _segments(table: bytes) -> dict[int, int]:
    """Read a format 4 character table: glyph by character code."""
    (double,) = struct.unpack_from(">H", table, 6)
    count = double // 2
    ends = struct.unpack_from(f">{count}H", table, 14)
    starts = struct.unpack_from(f">{count}H", table, 16 + double)
    deltas = struct.unpack_from(f">{count}H", table, 16 + 2 * double)
    offsets = struct.unpack_from(f">{count}H", table, 16 + 3 * double)
    found = {}
    for i in range(count):
        for code in range(starts[i], min(ends[i], 0xFFFE) + 1):
            glyph = code
            if offsets[i]:
                at = 16 + 3 * double + 2 * i + offsets[i] + 2 * (code - starts[i])
                (glyph,) = struct.unpack_from(">H", table, at)
                if not glyph:
                    continue
            found[code] = (glyph + deltas[i]) & 0xFFFF
    return found


def _parts(outline: bytes) -> list[tuple[int, int]]:
    """Return a composite glyph's parts: where each number stands in the outline, and the glyph."""
    if not outline or struct.unpack_from(">h", outline, 0)[0] >= 0:
        return []
    found, at, flags = [], 10, _MORE
    while flags & _MORE:
        flags, glyph = struct.unpack_from(">HH", outline, at)
        found.append((at + 2, glyph))
        at += 8 if flags & _WORDS else 6
        at += 2 if flags & _SCALE else 4 if flags & _XY_SCALE else 8 if flags & _TWO_BY_TWO else 0
    return found


def _font_file(tables: dict[str, bytes]) -> bytes:
    count = len(tables)
    power = 1 << (count.bit_length() - 1)
    header = struct.pack(
        ">LHHHH", 0x00010000, count, 16 * power, power.bit_length() - 1, 16 * (count - power)
    )
    offset = 12 + 16 * count
    directory, body = b"", b""
    for tag in sorted(tables):
        data = tables[tag]
        padded = data + b"\0" * (-len(data) % 4)
        total = sum(struct.unpack(f">{len(padded) // 4}L", padded)) & 0xFFFFFFFF
        directory += struct.pack(">4sLLL", tag.encode("ascii"), total, offset + len(body), len(data))
        body += padded
    return header + directory + body
