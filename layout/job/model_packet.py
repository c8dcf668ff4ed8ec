"""What the job says of its papers and of the site, as frozen values. Lengths are mm."""

from __future__ import annotations

from dataclasses import dataclass

PAPER_SIZES = ("letter", "tabloid", "A4", "A3")
"""What `[paper] size` may say."""


@dataclass(frozen=True)
class PaperSpec:
    """What the papers are printed on."""

    size: str | None = None
    """letter · tabloid · A4 · A3; None: letter in inch jobs, A4 in mm jobs"""
    date: str | None = None
    """as it is to stand in the title blocks; None leaves room to write it"""


@dataclass(frozen=True)
class SiteSpec:
    """What the site has to measure from and with."""

    control: tuple[tuple[float, float], ...] = ()
    """mm, places in plan to tape from; empty: they are chosen"""
    tape_sigma: float | None = None
    """mm, standard deviation of one reading; None: the usual"""
    tape: float | None = None
    """mm, length of the tape; None: the usual"""
