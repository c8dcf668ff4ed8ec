"""Windows of lengths: the least difference between the longest and the shortest piece."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence


def windows(lengths: Sequence[int], spread: int) -> Iterator[frozenset[int]]:
    """Give the sets of lengths that lie within `spread` of each other, but none that is part of the one before.

    Examples
    --------
    >>> [sorted(window) for window in windows([3, 4, 5, 8], 2)]
    [[3, 4, 5], [8]]
    >>> [sorted(window) for window in windows([3, 4, 5], 0)]
    [[3], [4], [5]]
    """
    rising, before = sorted(lengths), 0
    for at, low in enumerate(rising):
        end = at
        while end < len(rising) and rising[end] <= low + spread:
            end += 1
        if end > before:
            yield frozenset(rising[at:end])
        before = end


def least_spread(lengths: Sequence[int], does: Callable[[frozenset[int]], bool]) -> int | None:
    """Find the least spread of a window that does; what does with some lengths must do with more of them.

    Two pointers: the window's low end rises, and its high end never falls.

    Examples
    --------
    >>> least_spread([3, 4, 6, 7], lambda window: {4, 6} <= window or {3, 7} <= window)
    2
    >>> least_spread([3, 4], lambda window: False) is None
    True
    """
    rising, end = sorted(lengths), 0
    best: int | None = None
    for at, low in enumerate(rising):
        end = max(end, at)
        while end < len(rising) and not does(frozenset(rising[at : end + 1])):
            end += 1
        if end == len(rising):
            break
        wide = rising[end] - low
        best = wide if best is None else min(best, wide)
    return best


def narrowest(lengths: Sequence[int], does: Callable[[list[frozenset[int]]], bool]) -> int | None:
    """Find the least spread by halving: wider windows hold all that narrower ones do.

    Examples
    --------
    >>> narrowest([3, 4, 6, 7], lambda some: any({4, 6} <= window for window in some))
    2
    """
    if not lengths:
        return None
    no, yes = -1, max(lengths) - min(lengths)
    if not does(list(windows(lengths, yes))):
        return None
    while yes - no > 1:
        middle = (no + yes) // 2
        no, yes = (no, middle) if does(list(windows(lengths, middle))) else (middle, yes)
    return yes
