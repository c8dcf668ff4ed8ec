"""Drawings damaged at random, by a seed: what reading them must bear."""

from __future__ import annotations

import random
import tempfile
from collections.abc import Iterator
from pathlib import Path

from drawing_files import CASES, Case

EXTREMES = (
    b"0", b"-1", b"1e308", b"-1e308", b"1e-308", b"nan", b"inf", b"99999999999", b"-32768", b"2147483647",
    b"0.0000001", b"1000000000", b"", b"x", b"*", b"LINE", b"INSERT", b"SPLINE", b"POLYLINE", b"ENDSEC",
)  # fmt: skip

TEXT = [case for case in CASES if not case.binary]


def written(cases: list[Case] = TEXT) -> list[tuple[Case, bytes]]:
    """Return the bytes of every drawing."""
    with tempfile.TemporaryDirectory() as folder:
        return [(case, (case.write(Path(folder)), (Path(folder) / "hall.dxf").read_bytes())[1]) for case in cases]


def damaged(data: bytes, rng: random.Random) -> bytes:
    """Return bytes with a few lines changed, lost, doubled or exchanged, mostly among the entities."""
    lines = data.split(b"\n")
    begin = next((k for k, line in enumerate(lines) if line.strip() in {b"ENTITIES", b"BLOCKS"}), 0)
    for _ in range(rng.choice((1, 1, 2, 3, 8))):
        low = begin if rng.random() < 0.8 and begin < len(lines) - 2 else 0
        k = rng.randrange(low, len(lines)) if len(lines) > low else 0
        _damage(lines, k, rng)
        if not lines:
            return b""
    found = b"\n".join(lines)
    if rng.random() < 0.05:
        found = found[: rng.randrange(len(found) + 1)]
    return found


def _damage(lines: list[bytes], k: int, rng: random.Random) -> None:
    match rng.randrange(7):
        case 0 | 1:
            lines[k] = rng.choice(EXTREMES)
        case 2:
            lines[k] = str(rng.choice((-1, 1)) * 10 ** rng.uniform(-9, 12)).encode()
        case 3:
            del lines[k : k + rng.choice((1, 2, 2, 20))]
        case 4:
            lines[k:k] = lines[k : k + rng.choice((1, 2, 20, 60))]
        case 5:
            text = bytearray(lines[k] or b" ")
            text[rng.randrange(len(text))] = rng.randrange(256)
            lines[k] = bytes(text)
        case _:
            other = rng.randrange(len(lines))
            lines[k], lines[other] = lines[other], lines[k]


def damaged_drawings(count: int, seed: int) -> Iterator[tuple[Case, bytes]]:
    """Give damaged drawings, the same for the same seed."""
    rng = random.Random(seed)
    whole = written()
    for _ in range(count):
        case, data = rng.choice(whole)
        yield case, damaged(data, rng)
