"""Any-stage guillotine cutting: published optima, brute force, and where every part lies."""

from __future__ import annotations

import random
from functools import cache
from itertools import product

import pytest

from solver import guillotine
from solver.guillotine import Block, Item, TooManyBlocksError, fill_exactly, most_limited, most_unlimited, sums

GCUT1 = [
    (167, 184),
    (114, 118),
    (167, 152),
    (83, 140),
    (70, 86),
    (143, 166),
    (120, 160),
    (66, 148),
    (87, 141),
    (69, 165),
]
CGCUT1 = [(8, 4, 2, 66), (3, 7, 1, 35), (8, 2, 3, 24), (3, 4, 5, 17), (3, 3, 2, 11), (3, 2, 2, 8), (2, 1, 1, 2)]
C1P1 = "2x12 7x12 8x6 3x6 3x5 5x5 3x12 3x7 5x7 2x6 3x2 4x2 3x4 4x4 9x2 11x2"


def tiles(block: Block) -> bool:
    """Tell whether parts fill their block exactly, side by side, all the way down."""
    if not block.parts:
        return True
    if block.stacked:
        fits = sum(p.width for p in block.parts) == block.width and {p.length for p in block.parts} == {block.length}
    else:
        fits = sum(p.length for p in block.parts) == block.length and {p.width for p in block.parts} == {block.width}
    return fits and block.item is None and all(tiles(part) for part in block.parts)


def leaves(block: Block):
    """Yield the blocks that are items."""
    if block.item is not None:
        yield block
    for part in block.parts:
        yield from leaves(part)


def sound(best, items, size, *, turn):
    """Tell whether a result tiles the rectangle with real items worth its value, none too often."""
    assert (best.block.length, best.block.width) == size
    assert tiles(best.block)
    for leaf in leaves(best.block):
        item = items[leaf.item]
        assert (leaf.length, leaf.width) in {(item.length, item.width), *([(item.width, item.length)] if turn else [])}
    cut = list(best.block.items())
    assert sum(items[i].value for i in cut) == best.value
    return all(item.most is None or cut.count(i) <= item.most for i, item in enumerate(items))


@pytest.mark.parametrize(("turn", "value"), [(False, 56_460), (True, 58_136)])
def test_gcut1_has_its_published_optimum(turn, value):
    """gcut1, 250 × 250, value = area, unlimited (Beasley, J. Oper. Res. Soc. 36, 1985)."""
    items = [Item(length, width, length * width) for length, width in GCUT1]
    best = most_unlimited(items, 250, 250, turn=turn)
    assert best.value == value
    assert sound(best, items, (250, 250), turn=turn)


def test_cgcut1_has_its_published_optimum():
    """cgcut1, 15 × 10, limited (Christofides & Whitlock, Oper. Res. 25, 1977): 244."""
    items = [Item(length, width, value, most) for length, width, most, value in CGCUT1]
    best = most_limited(items, 15, 10)
    assert best.value == 244
    assert sound(best, items, (15, 10), turn=False)


def test_hopper_and_turton_c1_p1_fills_its_rectangle():
    """C1 P1 (Hopper & Turton, Eur. J. Oper. Res. 128, 2001): 16 pieces fill 20 × 20 without waste."""
    sizes = [tuple(map(int, text.split("x"))) for text in C1P1.split()]
    block = fill_exactly(sizes, 20, 20, turn=True)
    items = [Item(a, b, a * b) for a, b in sizes]
    assert sorted(block.items()) == list(range(16))
    assert sound(guillotine.Best(20 * 20, block), items, (20, 20), turn=True)


def unlimited_by_hand(items, length, width, *, turn):
    """Return the most value, cutting at every unit."""
    ways = {(i.length, i.width, i.value) for i in items}
    ways |= {(b, a, v) for a, b, v in ways} if turn else set()

    @cache
    def best(x, y):
        found = max((v for a, b, v in ways if a <= x and b <= y), default=0)
        found = max([found, *(best(k, y) + best(x - k, y) for k in range(1, x // 2 + 1))])
        return max([found, *(best(x, k) + best(x, y - k) for k in range(1, y // 2 + 1))])

    return best(length, width)


def limited_by_hand(items, length, width, *, turn):
    """Return the most value of any split of the limits over any cut at every unit."""

    @cache
    def best(x, y, left):
        found = 0
        for i, item in enumerate(items):
            fits = (item.length <= x and item.width <= y) or (turn and item.width <= x and item.length <= y)
            if left[i] and fits:
                found = max(found, item.value)
        if sum(left) < 2:
            return found
        for half in product(*(range(n + 1) for n in left)):
            rest = tuple(n - h for n, h in zip(left, half, strict=True))
            if any(half) and any(rest):
                for k in range(1, x):
                    found = max(found, best(k, y, half) + best(x - k, y, rest))
                for k in range(1, y):
                    found = max(found, best(x, k, half) + best(x, y - k, rest))
        return found

    return best(length, width, tuple(item.most for item in items))


def random_items(rng, number, limited):
    """Draw small items."""
    return [
        Item(rng.randint(1, 4), rng.randint(1, 4), rng.randint(1, 20), rng.randint(0, 2) if limited else None)
        for _ in range(number)
    ]


@pytest.mark.parametrize("turn", [False, True])
def test_unlimited_value_is_that_of_cutting_at_every_unit(turn):
    """300 tiny random cases beside brute force."""
    rng = random.Random(5 + turn)
    for _ in range(300):
        items = random_items(rng, rng.randint(1, 4), limited=False)
        size = rng.randint(1, 9), rng.randint(1, 9)
        best = most_unlimited(items, *size, turn=turn)
        assert best.value == unlimited_by_hand(items, *size, turn=turn), (items, size)
        assert sound(best, items, size, turn=turn)


@pytest.mark.parametrize("turn", [False, True])
def test_limited_value_is_that_of_every_split_of_the_limits(turn):
    """120 tiny random cases beside brute force."""
    rng = random.Random(50 + turn)
    for _ in range(120):
        items = random_items(rng, rng.randint(1, 3), limited=True)
        size = rng.randint(1, 7), rng.randint(1, 6)
        best = most_limited(items, *size, turn=turn)
        assert best.value == limited_by_hand(items, *size, turn=turn), (items, size)
        assert sound(best, items, size, turn=turn)


def random_division(rng, length, width, depth):
    """Cut a rectangle at random; return the sizes."""
    if depth == 0 or length * width < 4:
        return [(length, width)]
    if rng.random() < 0.5 and length > 1:
        k = rng.randint(1, length - 1)
        return random_division(rng, k, width, depth - 1) + random_division(rng, length - k, width, depth - 1)
    if width > 1:
        k = rng.randint(1, width - 1)
        return random_division(rng, length, k, depth - 1) + random_division(rng, length, width - k, depth - 1)
    return [(length, width)]


@pytest.mark.parametrize("turn", [False, True])
def test_what_was_cut_from_a_rectangle_fills_it(turn):
    """60 rectangles cut at random, the pieces shuffled and, where allowed, turned."""
    rng = random.Random(9 + turn)
    for _ in range(60):
        size = rng.randint(3, 12), rng.randint(3, 12)
        sizes = random_division(rng, *size, 3)
        rng.shuffle(sizes)
        if turn:
            sizes = [(b, a) if rng.random() < 0.5 else (a, b) for a, b in sizes]
        block = fill_exactly(sizes, *size, turn=turn)
        assert sorted(block.items()) == list(range(len(sizes)))
        assert sound(guillotine.Best(size[0] * size[1], block), [Item(a, b, a * b) for a, b in sizes], size, turn=turn)


def fills_by_hand(sizes, length, width):
    """Tell whether items fill a rectangle, trying every split of them over every cut."""
    if len(sizes) == 1:
        return sizes[0] == (length, width)
    for chosen in range(1, 2 ** len(sizes) - 1):
        half = [size for i, size in enumerate(sizes) if chosen >> i & 1]
        rest = [size for i, size in enumerate(sizes) if not chosen >> i & 1]
        area = sum(a * b for a, b in half)
        if area % width == 0 and area // width < length:
            k = area // width
            if fills_by_hand(half, k, width) and fills_by_hand(rest, length - k, width):
                return True
        if area % length == 0 and area // length < width:
            k = area // length
            if fills_by_hand(half, length, k) and fills_by_hand(rest, length, width - k):
                return True
    return False


def test_items_that_fill_and_items_that_do_not_are_told_apart():
    """400 rectangles cut at random, one or two pieces then turned by mistake; both outcomes are common."""
    rng = random.Random(31)
    outcomes = []
    for _ in range(400):
        size = rng.randint(2, 6), rng.randint(2, 6)
        sizes = random_division(rng, *size, 2)
        for i in rng.sample(range(len(sizes)), min(len(sizes), rng.randint(1, 2))):
            sizes[i] = sizes[i][::-1]
        filled = fill_exactly(sizes, *size) is not None
        assert filled == fills_by_hand(sizes, *size), (sizes, size)
        outcomes.append(filled)
    assert 50 < sum(outcomes) < 350


def test_a_pinwheel_is_no_guillotine_pattern():
    """Five pieces that fill 3 × 3 as a pinwheel have no cut from edge to edge; a grid of the same area has."""
    assert fill_exactly([(2, 1), (1, 2), (2, 1), (1, 2), (1, 1)], 3, 3) is None
    assert fill_exactly([(2, 1), (1, 1), (2, 1), (1, 1), (3, 1)], 3, 3) is not None


def test_area_that_does_not_add_up_fills_nothing():
    """One unit too little or too much is refused at once."""
    assert fill_exactly([(3, 2)], 3, 2) is not None
    assert fill_exactly([(3, 2)], 3, 3) is None
    assert fill_exactly([(3, 3)], 3, 2) is None


def test_too_many_blocks_are_reported(monkeypatch):
    """Past the limit the question stays open, and that is said."""
    monkeypatch.setattr(guillotine, "MOST_BLOCKS", 10)
    with pytest.raises(TooManyBlocksError, match="more than 10 blocks"):
        fill_exactly([(1, 1)] * 9, 3, 3)


def test_scaling_a_rectangle_and_its_items_changes_nothing():
    """All lengths times 1 000: the same value."""
    items = [Item(a, b, a * b) for a, b in GCUT1[:6]]
    scaled = [Item(1000 * i.length, 1000 * i.width, i.value) for i in items]
    assert most_unlimited(scaled, 250_000, 250_000).value == most_unlimited(items, 250, 250).value


def test_sums_hold_zero_and_the_room():
    """With nothing that fits only the two ends are left."""
    assert sums([11], 10) == [0, 10]
    assert sums([10], 10) == [0, 10]
