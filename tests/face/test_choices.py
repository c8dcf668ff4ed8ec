"""Panels and sheets as one choice: what it saves, what other rows offer, and what a refusal names."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from layout.errors import JobFaults, NoPlan
from layout.face.choices import BEST, FULL_SHEETS, ONE_PANEL
from layout.face.fit import fits
from layout.face.joining import charges_of, goals_of, is_priced, money_unit
from layout.face.plan import Proof
from layout.face.planning import make_plan
from layout.face.rivals import proof_of_all
from layout.face.runs import spans_of, walk_all
from layout.job.model import Job, MetalSpec, Require, ScallopSpec, SheetSpec
from tests.jobs import INCH, bent, kiosk, straight, with_face, with_scallop, with_seams

PITCH = 60.0
"""mm, of the scallops of the straight bars below"""


def bar(runs: list[int], *, largest: int, smallest: int = 4, panel_price: float = 0.0, count: int | None = None) -> Job:
    """Return a straight bar of runs of so many scallops; a sheet gives one strip of `largest` scallops, butt seams."""
    scallop = ScallopSpec("sine", pitch=PITCH, depth=12.0)
    made = straight(sum(runs) * PITCH / INCH, scallop=scallop, metal=MetalSpec("steel", thickness=0.6))
    developed = fits(made, spans_of(made, walk_all(made)))[0].profile.developed
    made = with_face(made, height=900.0, seam="butt", form_trim=0.0, smallest_panel=smallest)
    ends = [sum(runs[: k + 1]) * PITCH for k in range(len(runs) - 1)]
    made = with_seams(
        made,
        require=tuple(Require(at, f"column {k + 1}") for k, at in enumerate(ends)),
        goals=("cost", "panels", "worst_seam", "different_lengths", "seam_cost"),
        panel_price=panel_price,
    )
    return replace(made, units="mm", sheets=(SheetSpec(largest * developed + 1.0, 1220.0, price=50.0, count=count),))


def values(job: Job) -> dict[str, tuple[float, bool]]:
    """Return value and proof of every goal of a job's plan."""
    return {proof.goal: (proof.value, proof.proved) for proof in make_plan(job).proof}


def test_three_runs_together_take_a_sheet_less_than_one_by_one() -> None:
    """Runs of 21, 6 and 68 on strips of 24: 95 scallops are ⌈95/24⌉ = 4 sheets; one by one 1 + 1 + 3 = 5."""
    together = make_plan(bar([21, 6, 68], largest=24))
    alone = [make_plan(bar([run], largest=24)) for run in (21, 6, 68)]
    assert len(together.sheets) == math.ceil((21 + 6 + 68) / 24) == 4
    assert [len(plan.sheets) for plan in alone] == [1, 1, 3]
    assert {proof.goal: proof.proved for proof in together.proof}["cost"]


def test_the_fewest_sheets_may_lie_above_what_the_metal_needs() -> None:
    """Three runs of 11, panels of at least 6, strips of 20: ⌈33/20⌉ = 2, but 11 is no sum of two panels: 3 sheets."""
    found = values(bar([11, 11, 11], largest=20, smallest=6))
    assert found["cost"] == (3 * 50.0, True)
    assert found["sheets"] == (3.0, True)


def test_five_runs_fill_the_strips_that_the_metal_needs() -> None:
    """Runs of 23, 13, 9, 38 and 55 on strips of 20: 138 scallops are ⌈138/20⌉ = 7 sheets; one by one 2+1+1+2+3 = 9."""
    found = values(bar([23, 13, 9, 38, 55], largest=20))
    assert found["cost"] == (7 * 50.0, True)


def test_what_a_panel_costs_can_outweigh_a_sheet() -> None:
    """With 50 a sheet, 4 sheets and 6 panels beat 5 and 5 while a panel costs under 50, and lose above."""
    cheap, dear = (make_plan(bar([21, 6, 68], largest=24, panel_price=price)) for price in (49.0, 51.0))
    assert (len(cheap.sheets), len(cheap.panels)) == (4, 6)
    assert (len(dear.sheets), len(dear.panels)) == (5, 5)


def test_the_first_row_is_full_sheets_from_the_datum() -> None:
    """Run by run, each panel as long as it can be: 21 | 6 | 24 24 20."""
    plan = make_plan(bar([21, 6, 68], largest=24), choice=1)
    assert plan.choices[0].note == FULL_SHEETS
    assert plan.choices[0].chosen
    assert [panel.scallops for panel in plan.panels] == [21, 6, 24, 24, 20]
    assert plan.cautions[0].startswith("planned with row 1 of the choices")


def test_one_row_is_chosen_and_the_best_unless_asked() -> None:
    """The chosen row tells what the plan holds."""
    plan = make_plan(bar([21, 6, 68], largest=24))
    (chosen,) = (choice for choice in plan.choices if choice.chosen)
    assert chosen.note == BEST
    assert (chosen.sheets, chosen.panels) == (len(plan.sheets), len(plan.panels))


def test_one_panel_more_buys_flat_seams() -> None:
    """On a bent bar a further panel lets every seam lie on a straight, where no edge lifts."""
    plan = make_plan(with_seams(with_face(bent(), smallest_panel=2), goals=("panels", "worst_seam")))
    row = next(choice for choice in plan.choices if choice.note == ONE_PANEL)
    best = next(choice for choice in plan.choices if choice.chosen)
    assert row.panels == best.panels + 1
    assert row.worst_seam < best.worst_seam


@pytest.mark.parametrize("row", [0, 99])
def test_a_row_that_is_not_there_is_refused(row: int) -> None:
    """Rows are numbered from 1."""
    with pytest.raises(JobFaults, match="the table of choices has rows 1 to"):
        make_plan(bar([21, 6, 68], largest=24), choice=row)


def test_sheets_on_hand_that_do_not_do_name_how_many_more() -> None:
    """Four sheets are needed: with 3 on hand the plan is refused, and what it names does while less does not."""
    with pytest.raises(NoPlan, match="sheets on hand") as refused:
        make_plan(bar([21, 6, 68], largest=24, count=3))
    assert any("1 more sheet" in remedy and "sheet.count = 4" in remedy for remedy in refused.value.remedies)
    assert len(make_plan(bar([21, 6, 68], largest=24, count=4)).sheets) == 4


def test_a_remnant_is_used_first_where_it_costs_nothing() -> None:
    """A job that needs two sheets, unpriced: the remnant is one of them, wherever it stands in the file."""
    made = kiosk()
    whole = made.sheets[0]
    remnant = replace(whole, remnant=True, count=1)
    for sheets in ((whole, remnant), (remnant, whole)):
        plan = make_plan(replace(made, sheets=sheets))
        assert sum(sheets[sheet.stock].remnant for sheet in plan.sheets) == 1


def test_the_cheaper_mix_is_taken() -> None:
    """Runs of 12 and 8 scallops: one strip of 20 at 50, or one of 12 at 20 and one of 8 at 15."""
    made = bar([12, 8], largest=20)
    long = made.sheets[0]
    mix = (
        long,
        replace(long, length=long.length * 12 / 20 + 1, price=20.0),
        replace(long, length=long.length * 8 / 20 + 1, price=15.0),
    )
    assert values(replace(made, sheets=mix))["cost"] == (35.0, True)
    dearer = (*mix[:2], replace(mix[2], price=31.0))
    assert values(replace(made, sheets=dearer))["cost"] == (20.0 + 20.0, True)


def test_money_is_counted_whole() -> None:
    """Prices of 71.50 and 14.25 are whole in hundredths."""
    made = bar([12], largest=20, panel_price=14.25)
    made = replace(made, sheets=(replace(made.sheets[0], price=71.5),))
    assert money_unit(made) == 100
    assert charges_of(made)[0].stocks == (7150,)
    assert charges_of(made)[0].piece == 1425


def test_unpriced_cost_is_the_number_of_sheets() -> None:
    """Where nothing has a price, the cost is how many sheets are used."""
    made = kiosk()
    assert not is_priced(made)
    found = values(with_seams(made, goals=("cost", "panels")))
    assert found["cost"] == found["sheets"]


def test_every_plan_says_its_sheets_and_evenness_where_asked() -> None:
    """Sheets are the last goal unless named; evenness is sought within all the others."""
    made = kiosk()
    assert goals_of(made)[-1] == "sheets"
    assert goals_of(with_seams(made, even=True))[-2:] == ("sheets", "even")
    assert goals_of(with_seams(made, goals=("sheets", "panels"))) == ("sheets", "panels")


def test_even_panels_differ_as_little_as_the_goals_allow() -> None:
    """A straight bar of 50 scallops in 3 panels: 17, 17 and 16 differ by one."""
    made = with_seams(bar([50], largest=20, smallest=2), even=True, goals=("panels",))
    plan = make_plan(made)
    assert sorted(panel.scallops for panel in plan.panels) == [16, 17, 17]
    assert {proof.goal: proof.value for proof in plan.proof}["even"] == 1.0


def test_symmetric_seams_mirror_one_another() -> None:
    """Seam j has a partner m − j: on a kiosk's ring and on a straight bar."""
    ring = make_plan(with_seams(kiosk(), symmetric=True))
    size = ring.runs[0].scallops
    chosen = {seam.boundary for seam in ring.seams}
    assert any({(mirror - b) % size for b in chosen} == chosen for mirror in range(size))
    line = make_plan(with_seams(bar([50], largest=20), symmetric=True))
    boundaries = {seam.boundary for seam in line.seams}
    assert {50 - b for b in boundaries} == boundaries


def test_a_line_without_an_axis_cannot_be_symmetric() -> None:
    """The bent bar's halves differ."""
    with pytest.raises(JobFaults, match="has no axis"):
        make_plan(with_seams(bent(), symmetric=True))


def test_time_that_is_up_leaves_goals_open_and_says_so() -> None:
    """With no time at all there is a plan, whose bounds hold, and what is open is told."""
    plan = make_plan(bar([21, 6, 68], largest=24), hurry=lambda: True)
    full = {proof.goal: proof.value for proof in make_plan(bar([21, 6, 68], largest=24)).proof}
    cost = next(proof for proof in plan.proof if proof.goal == "cost")
    assert cost.bound <= full["cost"] <= cost.value
    assert cost.proved or any("the goal cost is not proved" in caution for caution in plan.cautions)


def test_the_same_job_gives_the_same_plan() -> None:
    """Planned twice, every boundary and cut is the same."""
    one, two = (make_plan(bar([23, 13, 9, 38, 55], largest=20)) for _ in range(2))
    assert [seam.boundary for seam in one.seams] == [seam.boundary for seam in two.seams]
    assert one.sheets == two.sheets


def test_no_time_and_another_row_is_a_plan() -> None:
    """With no time at all the first row can be planned too: its bounds are what is known, or nothing."""
    plan = make_plan(bar([21, 6, 68], largest=24), choice=1, hurry=lambda: True)
    assert [panel.scallops for panel in plan.panels] == [21, 6, 24, 24, 20]
    assert all(proof.bound <= proof.value for proof in plan.proof)


def test_the_best_known_is_never_worse_than_full_sheets() -> None:
    """Cut short, the plan costs no more than the first row."""
    for runs in ([21, 6, 68], [23, 13, 9, 38, 55]):
        plan = make_plan(bar(runs, largest=24), hurry=lambda: True)
        best = next(choice for choice in plan.choices if choice.chosen)
        assert best.cost is not None
        assert best.cost <= (plan.choices[0].cost or 0.0)


def test_a_draft_that_was_passed_over_unproved_opens_the_proof() -> None:
    """A rival whose bound is below the winner's value leaves the goal open, and those after it."""
    mine = [Proof("panels", 4, 4, proved=True), Proof("worst_seam", 9, 9, proved=True)]
    assert [one.proved for one in proof_of_all(mine, [((5, 5),)])] == [True, True]
    assert [one.proved for one in proof_of_all(mine, [((5, 3),)])] == [False, False]
    assert [one.proved for one in proof_of_all(mine, [((4, 4), (9, 9))])] == [True, True]
    assert [one.proved for one in proof_of_all(mine, [((4, 4), (9, 8))])] == [True, False]
    assert [one.proved for one in proof_of_all(mine, [()])] == [False, False]


def test_symmetric_seams_are_sought_at_every_pitch() -> None:
    """A round bar of free pitch has an axis at each: what is best unmirrored does not decide which is planned."""
    made = with_scallop(kiosk(), pitch_range=(2.8 * INCH, 3.2 * INCH))
    plan = make_plan(with_seams(made, symmetric=True))
    chosen, size = {seam.boundary for seam in plan.seams}, plan.runs[0].scallops
    assert any({(mirror - b) % size for b in chosen} == chosen for mirror in range(size))
