"""Whether a few pieces of one height fit into a few strips, decided quickly: there are thousands of such questions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

Sizes = tuple[int, ...]
Rooms = tuple[tuple[int, int], ...]

MOST_STEPS = 3_000
"""strips filled before one question is left to others (assumed; some milliseconds)"""


def fits(sizes: Sequence[int], rooms: Sequence[tuple[int, int]]) -> bool | None:
    """Tell whether sizes fit into strips, given as (room, number); None: that was not settled.

    The largest piece left goes into a strip of each room, with every set of others to which none can be added.

    Examples
    --------
    >>> fits([6, 5, 5, 4], [(10, 2)]), fits([6, 5, 5, 5], [(10, 2)])
    (True, False)
    >>> fits([7, 3, 5], [(10, 1), (4, 1)]), fits([7, 3, 4], [(10, 1), (4, 1)])
    (False, True)
    """
    search = _Search()
    found = search.does(tuple(sorted(sizes, reverse=True)), tuple(sorted(each for each in rooms if each[1] > 0)))
    return None if search.left < 0 and not found else found


class _Search:
    """Remembers what did not fit."""

    def __init__(self) -> None:
        """Begin with all the work."""
        self.left = MOST_STEPS
        self.gone: set[tuple[Sizes, Rooms]] = set()

    def does(self, sizes: Sizes, rooms: Rooms) -> bool:
        """Tell whether sizes, falling, fit; a false answer holds only while work is left."""
        if not sizes:
            return True
        self.left -= 1
        if self.left < 0 or not rooms or sum(sizes) > sum(room * number for room, number in rooms):
            return False
        if (sizes, rooms) in self.gone:
            return False
        for i, (room, number) in enumerate(rooms):
            if sizes[0] > room:
                continue
            less = (*rooms[:i], *([(room, number - 1)] if number > 1 else []), *rooms[i + 1 :])
            if any(self.does(rest, less) for rest in _rests(sizes, room)):
                return True
        self.gone.add((sizes, rooms))
        return False


def _rests(sizes: Sizes, room: int) -> Iterator[Sizes]:
    """Give what is left when the first size and others fill a room so that no more goes in; fullest ways first."""
    found: dict[Sizes, int] = {}
    stack: list[tuple[int, int, Sizes]] = [(1, room - sizes[0], ())]
    while stack:
        at, left, kept = stack.pop()
        while at < len(sizes) and sizes[at] > left:
            kept, at = (*kept, sizes[at]), at + 1
        if at == len(sizes):
            if all(size > left for size in kept):
                found.setdefault(kept, left)
            continue
        after = at + 1
        while after < len(sizes) and sizes[after] == sizes[at]:
            after += 1
        stack.append((after, left, (*kept, *sizes[at:after])))
        stack.append((at + 1, left - sizes[at], kept))
    yield from sorted(found, key=lambda kept: (found[kept], kept))
