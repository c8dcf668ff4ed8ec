"""Rules between the keys of forming and buying, each a function that gives faults."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from layout.errors import Fault
from layout.job.sections import Reading


def one_scallop(reading: Reading) -> Iterator[Fault]:
    """Fault a pitch range beside a die that is made: its scallop is no longer free."""
    die, scallop = reading.one("die"), reading.one("scallop")
    made = [name for name in ("tool", "measured") if name in die.got]
    if made and scallop.given("pitch_range"):
        rule = f"die.{made[0]} says what the scallop is, so its pitch is not free"
        yield scallop.fault("pitch_range", rule, "Leave pitch_range out")


def coated_faces(reading: Reading) -> Iterator[Fault]:
    """Fault a coating that does not say on how many faces."""
    coating = reading.one("coating")
    if coating.raw and not coating.given("faces"):
        yield coating.fault("faces", "a coating says how many faces it goes on", "Add faces = 1, or faces = 2")


def yield_band(reading: Reading) -> Iterator[Fault]:
    """Fault a band of yields turned round, or one that leaves out the yield planned with."""
    metal = reading.one("metal")
    rising = [name for name in ("yield_low", "yield", "yield_high") if name in metal.got]
    for less, more in itertools.pairwise(rising):
        if metal.got[less] > metal.got[more]:
            yield metal.fault(less, f"{less} is at most {more}", "Look at both and their units")
            return
    if "tensile" in metal.got and "yield_high" in metal.got and metal.got["yield_high"] > metal.got["tensile"]:
        yield metal.fault("yield_high", "metal yields before it tears", "Look at yield_high and tensile")
