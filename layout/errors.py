"""What can go wrong, as one small tree.

SeamwalkError
├── JobFaults     the job file, a path or a folder has faults      exit 2
├── NoPlan        no plan exists, with the reason and a remedy     exit 3
└── CheckFailed   the plan's independent check disagrees           exit 1, nothing written
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Fault:
    """One fault, in four parts: what, value, rule, remedy."""

    key: str
    """Dotted key as in the job file (``face.seam``, ``sheet[2].length``), or a path."""
    value: str
    """The value as given, shortened; empty where there is none."""
    rule: str
    """What must hold."""
    remedy: str
    """What to do about it."""

    def __str__(self) -> str:
        shown = f" = {self.value}" if self.value else ""
        return f"{self.key}{shown}: {self.rule}. {self.remedy}."


class SeamwalkError(Exception):
    """Anything that seamwalk refuses; `exit_code` is what the command line returns."""

    exit_code = 1


class JobFaults(SeamwalkError):  # noqa: N818 - it holds faults, all together
    """Faults of a job file, a path or a folder; all that were found, together."""

    exit_code = 2

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class NoPlan(SeamwalkError):  # noqa: N818 - named for what it tells, not for being an error
    """No plan exists: the reason in words, and the least change that would make one."""

    exit_code = 3

    def __init__(self, reason: str, remedies: Iterable[str] = ()) -> None:
        self.reason = reason
        self.remedies = tuple(remedies)
        super().__init__("\n".join((reason, *self.remedies)))


class CheckFailed(SeamwalkError):  # noqa: N818
    """The independent check does not agree with the plan: a defect of seamwalk, never of the job."""

    def __init__(self, findings: Iterable[str]) -> None:
        self.findings = tuple(findings)
        super().__init__("\n".join(self.findings))
