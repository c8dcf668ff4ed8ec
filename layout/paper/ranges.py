"""Numbers in words, unbroken stretches drawn together."""

from __future__ import annotations


def ranges(numbers: list[int]) -> str:
    """Write rising numbers with unbroken stretches drawn together.

    Examples
    --------
    >>> ranges([1, 2, 3, 5, 8, 9])
    '1–3, 5, 8, 9'
    """
    found: list[list[int]] = []
    for number in numbers:
        if found and number == found[-1][-1] + 1:
            found[-1].append(number)
        else:
            found.append([number])
    words = [f"{f[0]}–{f[-1]}" if len(f) > 2 else ", ".join(map(str, f)) for f in found]
    return ", ".join(words)
