"""The check of a cutting answer finds every kind of damage."""

from __future__ import annotations

from dataclasses import replace

import pytest

from solver.cutting import CutResult, cut
from solver.problems import Cutting, Met, Piece, Stock, Strip
from solver.verify_cutting import verify_cutting

PIECES = [Piece(40, 10, 5), Piece(25, 8, 3)]
STOCKS = [Stock(100, 32, count=2, kerf=2, longest_cut=100), Stock(60, 20, kerf=2)]
OBJECTIVES = [(5, 2), (1, 1)]


def sound() -> CutResult:
    """Return an answer with nothing wrong."""
    first = Strip(0, 10, (0, 0), (0, 42))
    second = Strip(12, 8, (1, 1, 1), (0, 27, 54))
    full = Cutting(0, False, (first, replace(first, offset=12), Strip(24, 8, (1, 1, 1), (0, 27, 54))), 1)
    last = Cutting(1, False, (Strip(0, 10, (0,), (0,)),), 1)
    assert second.offset == 12
    return CutResult((full, last), (Met("objective 1", 7, 7, True), Met("objective 2", 2, 2, True)))


def damaged(cutting: int = 0, strip: int | None = None, **change: object) -> CutResult:
    """Change one field of a cutting, or of a strip of it."""
    result = sound()
    cuttings = list(result.cuttings)
    if strip is None:
        cuttings[cutting] = replace(cuttings[cutting], **change)
    else:
        strips = list(cuttings[cutting].strips)
        strips[strip] = replace(strips[strip], **change)
        cuttings[cutting] = replace(cuttings[cutting], strips=tuple(strips))
    return replace(result, cuttings=tuple(cuttings))


def findings(result: CutResult, stocks: list[Stock] = STOCKS) -> str:
    """Return all findings as one text."""
    return "\n".join(verify_cutting(PIECES, stocks, OBJECTIVES, result))


def test_a_sound_answer_has_no_findings():
    """The undamaged answer passes, and its value is the best."""
    assert findings(sound()) == ""
    assert cut(PIECES, STOCKS, OBJECTIVES).met[0].value <= 7


@pytest.mark.parametrize(
    ("result", "finding"),
    [
        (damaged(stock=2), "there is no stock 2"),
        (damaged(stock=-1), "there is no stock -1"),
        (damaged(0, 0, pieces=(0, 2)), "a piece that does not exist"),
        (damaged(turned=True), "strips run the way that the stock does not allow"),
        (damaged(times=0), "used 0 times"),
        (damaged(times=3), "3 used, 2 on hand"),
        (damaged(times=2), "piece 0: 9 cut, 5 wanted"),
        (damaged(1, strips=()), "no strips"),
        (damaged(0, 1, offset=11), "11 is less than kerf 2 after 10"),
        (damaged(0, 1, offset=0), "0 is less than kerf 2 after 10"),
        (damaged(0, 2, offset=25), "25 to 33 does not lie within 32"),
        (damaged(0, 0, offset=-1), "-1 to 9 does not lie within 32"),
        (damaged(0, 0, starts=(0, 41)), "41 is less than kerf 2 after 40"),
        (damaged(0, 0, starts=(0, 61)), "61 to 101 does not lie within 100"),
        (damaged(0, 0, starts=(-1, 42)), "-1 to 39 does not lie within 100"),
        (damaged(0, 0, starts=(0,)), "2 pieces but 1 starts"),
        (damaged(1, 0, pieces=(), starts=()), "no pieces"),
        (damaged(0, 0, height=9), "piece 0 is 10 high, the strip 9"),
        (damaged(0, 0, pieces=(0, 1)), "piece 0: 4 cut, 5 wanted"),
        (damaged(0, 0, pieces=(0, 1)), "piece 1: 4 cut, 3 wanted"),
        (replace(sound(), met=sound().met[:1]), "2 objectives but 1 met"),
        (replace(sound(), met=(Met("objective 1", 6, 6, True), sound().met[1])), "value 6 stated, 7 found"),
        (replace(sound(), met=(Met("objective 1", 7, 8, False), sound().met[1])), "bound 8 above value 7"),
        (replace(sound(), met=(Met("objective 1", 7, 6, True), sound().met[1])), "proved is True at value 7, bound 6"),
        (
            replace(sound(), met=(Met("objective 1", 7, 7, False), sound().met[1])),
            "proved is False at value 7, bound 7",
        ),
        (replace(sound(), met=sound().met[::-1]), "named 'objective 2'"),
        (replace(sound(), misfits=(0,)), "cut, and yet pieces that do not fit"),
        (replace(sound(), short=(1, 0)), "cut, and yet"),
        (CutResult(None, sound().met, short=(1, 0)), "not cut, and yet objectives met"),
        (CutResult(None, misfits=(0,)), "misfits [0] stated, [] found"),
        (CutResult(None), "neither misfits nor stock that is short"),
        (CutResult(None, short=(0, 0)), "neither misfits nor stock that is short"),
        (CutResult(None, short=(1, 1)), "stock 1: 1 more stated, None on hand"),
        (CutResult(None, short=(-1, 0)), "stock 0: -1 more stated"),
    ],
)
def test_damage_is_found(result, finding):
    """One damage each; the finding names it."""
    assert finding in findings(result)


@pytest.mark.parametrize(("longest", "finding"), [(100, ""), (99, "needs a cut of 100, longest is 99")])
def test_a_strip_cut_past_the_longest_is_found(longest, finding):
    """Strips of the first stock are cut along its 100."""
    assert finding in findings(sound(), [replace(STOCKS[0], longest_cut=longest), STOCKS[1]])


@pytest.mark.parametrize(("longest", "ok"), [(32, True), (31, False)])
def test_a_crosscut_past_the_longest_is_found(longest, ok):
    """One strip of the whole 32, of two pieces as high as it: no cut along, crosscuts of 32."""
    cutting = Cutting(0, False, (Strip(0, 32, (0, 0), (0, 50)),), 1)
    result = CutResult((cutting,), (Met("objective 1", 1, 1, True),))
    found = verify_cutting([Piece(50, 32, 2)], [Stock(100, 32, longest_cut=longest)], [(1,)], result)
    assert found == (() if ok else ("cutting 0: strip 0: needs a crosscut of 32, longest is 31",))


def test_a_low_piece_where_no_trimming_cut_is_possible_is_found():
    """A strip of the whole breadth that needs a piece trimmed needs a cut that is too long."""
    cutting = Cutting(0, False, (Strip(0, 32, (0, 1), (0, 50)),), 1)
    result = CutResult((cutting,), (Met("objective 1", 1, 1, True),))
    pieces, stocks = [Piece(50, 32, 1), Piece(50, 31, 1)], [Stock(100, 32, longest_cut=60)]
    assert "needs a cut of 100, longest is 60" in "\n".join(verify_cutting(pieces, stocks, [(1,)], result))


def test_misfits_left_unsaid_are_found():
    """A piece too long for every stock must be named."""
    found = verify_cutting([Piece(101, 5, 1)], [Stock(100, 10)], [(1,)], CutResult(None, short=(1,)))
    assert "misfits [] stated, [0] found" in found
