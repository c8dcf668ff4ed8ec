"""Drafts beside one another: which of them is best, and what the others leave open."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from layout.errors import JobFaults, NoPlan
from layout.face.choosing import Choosing, Chosen, Reached, choose, full_sheets, reached, values_of
from layout.face.drafting import Draft
from layout.face.mirrored import check_mirrored
from layout.face.plan import Proof
from layout.job.model import Job

Progress = Callable[[float], None]
Hurry = Callable[[], bool]


def best_of(
    drafts: Sequence[tuple[Job, Draft]], hurry: Hurry | None = None, progress: Progress | None = None
) -> tuple[Choosing, Chosen]:
    """Choose in every draft and keep the best by the goals; ties go to laps under, the pitch nearest the drawn one.

    The bounds told are those of all drafts together: no draft's plan goes below them.

    Raises
    ------
    NoPlan, JobFaults
        Where no draft has a plan: the reason of the one nearest the drawn pitch.
    """
    asked = [Choosing(job, draft, hurry) for job, draft in drafts]
    left, passed = narrowed(asked)
    found: list[tuple[Choosing, Chosen]] = []
    refusals: list[JobFaults | NoPlan] = []
    for k, one in enumerate(left):
        try:
            found.append((one, _chosen(one, _part(progress, k, len(left)))))
        except (NoPlan, JobFaults) as refusal:
            refusals.append(refusal)
    if not found:
        raise refusals[0]
    best = min(range(len(found)), key=lambda k: [proof.value for proof in found[k][1].proof])
    others = [tuple((p.value, p.bound) for p in chosen.proof) for k, (_, chosen) in enumerate(found) if k != best]
    asked_best, chosen = found[best]
    return asked_best, replace(chosen, proof=proof_of_all(chosen.proof, [*passed, *others]))


def _chosen(asked: Choosing, progress: Progress | None) -> Chosen:
    check_mirrored(asked)
    chosen = choose(asked, progress=progress)
    return chosen if all(proof.proved for proof in chosen.proof) else _no_worse(asked, chosen)


def _no_worse(asked: Choosing, chosen: Chosen) -> Chosen:
    """Return full sheets from the datum where a choice that is not proved comes to more.

    What bounds a goal while the goals before it are held bounds it as well while they are held lower.
    """
    full = full_sheets(asked) if asked.mirrors is None else None
    if full is None:
        return chosen
    values = values_of(asked, full)
    if [values[proof.goal] for proof in chosen.proof] >= [proof.value for proof in chosen.proof]:
        return chosen
    proof = (
        Proof(one.goal, values[one.goal], min(one.bound, values[one.goal]), values[one.goal] == one.bound)
        for one in chosen.proof
    )
    return replace(full, proof=tuple(proof))


def narrowed(asked: Sequence[Choosing]) -> tuple[list[Choosing], list[Reached]]:
    """Return what can still be best after the first goals, and what is known of the rest: few are chosen in full.

    Where none has a plan, the first is returned: choosing in it says why.
    """
    if len(asked) < 2:
        return list(asked), []
    left, passed = _hopeful(asked)
    for stage in (1, 2):
        if len(left) < 2:
            break
        found = [(reached(one, stage), one) for one in left]
        known = [tuple(value for value, _ in met) for met, _ in found if met]
        if not known:
            return left[:1], passed
        best = min(known)
        passed += [met for met, _ in found if met is not None and tuple(value for value, _ in met) != best]
        left = [one for met, one in found if met and tuple(value for value, _ in met) == best]
    return left, passed


def _hopeful(asked: Sequence[Choosing]) -> tuple[list[Choosing], list[Reached]]:
    """Return what a quick look does not prove dearer than another at the first goal, and what is known of the rest."""
    found = [(reached(one, 1, quick=True), one) for one in asked]
    best = min((met[0][0] for met, _ in found if met), default=math.inf)
    worse = [met for met, _ in found if met and met[0][1] > best]
    return [one for met, one in found if not met or met[0][1] <= best], worse


def proof_of_all(proof: Sequence[Proof], others: Sequence[Reached]) -> tuple[Proof, ...]:
    """Return a proof whose bounds hold for the drafts that were passed over too.

    `others` are (value, bound) of their goals, as far as they were met. A draft that is proved worse at one goal
    says nothing of the goals after it; one that is not leaves them as low as its own bounds, or quite open.

    >>> mine = [Proof("panels", 4, 4, True), Proof("worst_seam", 9, 9, True)]
    >>> [p.bound for p in proof_of_all(mine, [((5, 5),)])], [p.bound for p in proof_of_all(mine, [((5, 4),)])]
    ([4, 9], [4, 0.0])
    """
    standing, found = list(others), []
    for place, one in enumerate(proof):
        bounds = [met[place][1] if place < len(met) else 0.0 for met in standing]
        bound = min([one.bound, *bounds])
        standing = [met for met, least in zip(standing, bounds, strict=True) if least <= one.value]
        found.append(Proof(one.goal, one.value, bound, one.proved and bound == one.bound))
    return tuple(found)


def _part(progress: Progress | None, k: int, n: int) -> Progress | None:
    """Return a progress callback for the k-th of n equal parts."""
    return None if progress is None else lambda share: progress((k + share) / n)
