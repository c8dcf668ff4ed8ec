"""What other plans would give: one row for each, exactly, so that a shop may take another than the best."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from layout.errors import Fault, JobFaults, NoPlan
from layout.face.choosing import Choosing, Chosen, choose, full_sheets, unheld_bounds, values_of
from layout.face.joining import goals_of, is_priced
from layout.face.plan import Choice, Proof
from layout.face.sight import told

FULL_SHEETS = "panels as long as can be, one after another from the datum"
BEST = "best by the goals"
ONE_PANEL = "one more panel"
ONE_SHEET = "one more sheet"
ALLOWED = ((1, 0), (0, 1), (1, 1))
"""panels and sheets more than the best plan has, that a row may use"""


SHOWN = ("cost", "sheets", "panels", "worst_seam", "different_lengths")
"""goals that a row tells; the rest are met only for the row that is taken"""


@dataclass(frozen=True)
class Wanted:
    """What a row asks of the choice."""

    goals: tuple[str, ...]
    most: dict[str, float]

    @property
    def told(self) -> tuple[str, ...]:
        """The goals up to the last one that the row tells."""
        return self.goals[: 1 + max(k for k, goal in enumerate(self.goals) if goal in SHOWN)]


@dataclass(frozen=True)
class Offer:
    """One row of the table, with all that planning it takes."""

    note: str
    chosen: Chosen
    row: Choice
    wanted: Wanted | None = None
    """where only what the row tells is worked out so far"""


def offers_of(asked: Choosing, best: Chosen, progress: Callable[[float], None] | None = None) -> list[Offer]:
    """Return every row: full sheets from the datum, the best plan, and what one more of each would buy.

    A row that gives what an earlier one gives is left out.
    """
    found = [_offer(asked, note, chosen) for note, chosen in _first_rows(asked, best)]
    for done, more in enumerate(ALLOWED):
        offer = None if asked.hurried else _widened(asked, best, more)
        if offer is not None and _figures(offer.row) not in [_figures(other.row) for other in found]:
            found.append(offer)
        if progress is not None:
            progress((done + 1) / len(ALLOWED))
    return found


def take(offers: Sequence[Offer], choice: int | None, *, late: bool = False) -> int:
    """Return the index of the row that is taken: the best, unless another is asked for; `late`: the time was up.

    Raises
    ------
    JobFaults
        Where there is no such row.
    """
    if choice is None:
        return next(k for k, offer in enumerate(offers) if offer.note.endswith(BEST))
    if not 1 <= choice <= len(offers):
        rule = f"the table of choices has rows 1 to {len(offers)}"
        remedy = "Plan without --choice to see the table"
        if late and choice > 0:
            rule, remedy = "the time given was up before its row was worked out", "Give more --seconds, or none"
        raise JobFaults([Fault("--choice", str(choice), rule, remedy)])
    return choice - 1


def rows_of(offers: Sequence[Offer], taken: int) -> tuple[Choice, ...]:
    """Return the table, the row taken being marked."""
    return tuple(replace(offer.row, chosen=k == taken) for k, offer in enumerate(offers))


def completed(asked: Choosing, offer: Offer) -> Offer:
    """Return a row with its whole plan and proof, which is worked out only where the row is taken."""
    if offer.wanted is not None:
        return _offer(asked, offer.note, choose(asked, offer.wanted.goals, offer.wanted.most))
    if offer.chosen.proof:
        return offer
    bounds = unheld_bounds(asked)
    values = values_of(asked, offer.chosen)
    proof = tuple(Proof(goal, values[goal], bounds[goal], values[goal] == bounds[goal]) for goal in goals_of(asked.job))
    return replace(offer, chosen=replace(offer.chosen, proof=proof))


def _first_rows(asked: Choosing, best: Chosen) -> Iterator[tuple[str, Chosen]]:
    """Yield full sheets from the datum, where they can be cut, and the best plan; once if they are one."""
    # Full sheets from the datum do not mirror one another.
    full = full_sheets(asked) if asked.mirrors is None else None
    if full is not None and full.positions == best.positions:
        yield f"{FULL_SHEETS}; {BEST}", best
        return
    if full is not None:
        yield FULL_SHEETS, full
    yield BEST, best


def _widened(asked: Choosing, best: Chosen, more: tuple[int, int]) -> Offer | None:
    """Return the best plan with so many more panels and sheets allowed; None: none was found."""
    job = asked.job
    values = values_of(asked, best)
    panels, sheets = more
    most = {"panels": values["panels"] + panels, "sheets": values["sheets"] + sheets}
    if not sheets:
        most["cost"] = values["cost"] + panels * job.seams.panel_price
    elif not panels:
        del most["panels"]
    spent = {"cost", "sheets", "panels"} if panels else {"cost", "sheets"}
    goals = goals_of(job)
    # What the row tells comes first, what it may spend last of that: the rest is sought within.
    order = sorted(goals, key=lambda goal: (goal not in SHOWN, goal in spent))
    wanted = Wanted(tuple(order), most)
    chosen = _worked_out(asked, wanted)
    if chosen is None:
        return None
    sure = all(proof.proved for proof in chosen.proof)
    note = _difference(values, values_of(asked, chosen))
    return replace(_offer(asked, note if sure else f"{note} (not proved)", chosen), wanted=wanted)


def _difference(best: dict[str, float], other: dict[str, float]) -> str:
    """Say by how many panels and sheets another plan differs from the best."""
    parts = []
    for goal, name in (("panels", "panel"), ("sheets", "sheet")):
        change = round(other[goal] - best[goal])
        if change:
            number = "one" if abs(change) == 1 else str(abs(change))
            parts.append(f"{number} {'more' if change > 0 else 'fewer'} {name}{'s' if abs(change) > 1 else ''}")
    return " and ".join(parts) or "as many panels and sheets"


def _worked_out(asked: Choosing, wanted: Wanted) -> Chosen | None:
    """Return what a row tells: quickly where that proves it, else with all the work; None: none is found."""
    try:
        chosen = choose(asked, wanted.told, wanted.most, settled=False, quick=True)
        if all(proof.proved for proof in chosen.proof):
            return chosen
    except NoPlan:
        pass
    try:
        return choose(asked, wanted.told, wanted.most, settled=False)
    except NoPlan:
        return None


def _figures(row: Choice) -> tuple[float | None, ...]:
    return (row.cost, row.sheets, row.panels, row.worst_sight, round(row.worst_seam, 9), row.different_lengths)


def _offer(asked: Choosing, note: str, chosen: Chosen) -> Offer:
    values = values_of(asked, chosen)
    worst = round(values["worst_seam"])
    sight, lift = told(worst) if asked.job.viewpoints else (0, worst)
    return Offer(
        note,
        chosen,
        Choice(
            cost=values["cost"] if is_priced(asked.job) else None,
            sheets=round(values["sheets"]),
            panels=round(values["panels"]),
            worst_seam=lift / 1000,
            different_lengths=round(values["different_lengths"]),
            chosen=False,
            note=note,
            worst_sight=sight,
        ),
    )
