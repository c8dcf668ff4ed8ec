"""One way of filling the runs, laid out, with every place where a seam might fall judged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from layout.errors import JobFaults
from layout.face.blanks import Blanks, PanelLimits, blanks_of, panel_limits
from layout.face.costs import SeamPlaces, Site, seam_places
from layout.face.cutouts import cutout_faults, cutout_stretches
from layout.face.fit import Fit, Span
from layout.face.plan import Lines, Run
from layout.face.runs import lines_of, runs_of
from layout.face.seaming import track_of
from layout.face.sight import long_faults, most_seams, sights_of, viewpoint_faults
from layout.face.sight_lines import screens_of
from layout.job.model import Avoid, Job
from layout.metal.flex import lap_rise
from layout.outline.walk import Walked
from solver.problems import Track


@dataclass(frozen=True, eq=False)
class Draft:
    """One way of filling the runs, with all that the choice of seams goes by."""

    fit: Fit
    lines: tuple[Lines, ...]
    blanks: Blanks
    runs: tuple[Run, ...]
    places: tuple[SeamPlaces, ...]
    limits: tuple[PanelLimits, ...]
    tracks: tuple[Track, ...]
    free: tuple[Avoid, ...]
    """stretches that no seam may fall in: those asked for, and those of cut-outs"""


def draft_fit(job: Job, walked: Sequence[Walked], spans: Sequence[Span], fit: Fit) -> Draft:
    """Lay the runs of a fit out, and judge every place where a seam might fall.

    Raises
    ------
    JobFaults
        Where it cannot be made: lines that fold, blanks that fit no sheet, flanks too steep to lap, cut-outs
        off the face, viewpoints in it.
    """
    lines = lines_of(job, walked, fit)
    blanks = blanks_of(job, fit.profile.developed)
    runs = runs_of(job, spans, lines, fit, blanks)
    refuse_site(job, lines, runs, fit)
    free = (*job.seams.avoid, *_kept_by_cutouts(job, lines, runs))
    places = _places(job, lines, runs, fit, free)
    limits = tuple(panel_limits(job, blanks.of_run(run), _longest_pitch(fit, run)) for run in runs)
    tracks = tuple(track_of(*each) for each in zip(runs, places, limits, strict=True))
    if job.face.seam == "lap" and any(_needs_seam(track) for track in tracks):
        lap_rise(fit.profile)
    return Draft(fit, lines, blanks, runs, places, limits, tracks, free)


def tracks_of(job: Job, draft: Draft, free: Sequence[Avoid]) -> tuple[Track, ...]:
    """Return a draft's runs as the solver would see them with other seam-free stretches."""
    places = _places(job, draft.lines, draft.runs, draft.fit, free)
    return tuple(track_of(*each) for each in zip(draft.runs, places, draft.limits, strict=True))


def refuse_site(job: Job, lines: Sequence[Lines], runs: Sequence[Run], fit: Fit) -> None:
    """Refuse cut-outs and viewpoints that cannot be where they are.

    Raises
    ------
    JobFaults
        With all of their faults.
    """
    faults = [
        *cutout_faults(job, lines, runs, fit.profile),
        *viewpoint_faults(job, lines),
        *long_faults(job, runs),
    ]
    if faults:
        raise JobFaults(faults)


def _kept_by_cutouts(job: Job, lines: Sequence[Lines], runs: Sequence[Run]) -> list[Avoid]:
    pitch = max(run.pitch for run in runs)
    return cutout_stretches(job, pitch, [line.back.length for line in lines], [line.closed for line in lines])


def _places(
    job: Job, lines: Sequence[Lines], runs: Sequence[Run], fit: Fit, free: Sequence[Avoid]
) -> tuple[SeamPlaces, ...]:
    """Judge every boundary of every run, as seen from the job's viewpoints where it has any."""
    screens = screens_of(lines, job.walls) if job.viewpoints else None
    seams = most_seams(runs, job.face.smallest_panel)
    found = []
    for run in runs:
        line = lines[run.outline]
        sights = None if screens is None else sights_of(job, line, run, fit.profile, screens)
        found.append(seam_places(job, line, run, Site(free, sights, seams)))
    return tuple(found)


def _needs_seam(track: Track) -> bool:
    """Tell whether a run has a seam whatever is chosen: only a short open run has none."""
    return track.closed or track.largest_last is None or track.size > track.largest_last


def _longest_pitch(fit: Fit, run: Run) -> float:
    """Return the longer of formed and hung pitch: overall limits hold on the bench and on the wall."""
    return fit.profile.pitch + max(run.take_up, 0.0)
