"""The packet's folder: written beside and renamed, whole or not at all; what is not ours is left alone."""

from __future__ import annotations

import json
import os
import re
import shutil
import stat
import tempfile
from collections.abc import Callable
from pathlib import Path

from layout.errors import Fault, JobFaults

MARK = "plan.json"
"""the file by which a folder is known to hold a packet"""

OURS = frozenset(
    {
        MARK,
        "packet.pdf",
        "packet.xlsx",
        "site.html",
        "seam_map.svg",
        "seam_map.dxf",
        "curve_template.dxf",
        "cut_list.csv",
        "set_out.csv",
        "order.csv",
    }
)
"""every file that a packet may hold"""


KEPT = re.compile("rev ([A-Z]{1,3})")
"""name of a folder in which an earlier packet is kept"""


def check_folder(folder: Path) -> None:
    """Refuse a folder that holds anything but an earlier packet.

    Raises
    ------
    JobFaults
        Where the folder is a file, holds foreign files, or its parent is missing.
    """
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise _refused(folder, "must be a folder", "Choose another folder with --out")
    if not folder.absolute().parent.is_dir():
        raise _refused(
            folder,
            "stands in a folder that does not exist",
            "Make that folder first, or choose another with --out",
        )
    if not folder.exists():
        return
    if Path.cwd().is_relative_to(folder.resolve()):
        raise _refused(folder, "is the folder you stand in, and would be replaced", "Choose another folder with --out")
    entries = sorted(folder.iterdir())
    foreign = [entry.name for entry in entries if not _ours(entry)]
    if foreign or (entries and not _marked(folder)):
        shown = ", ".join((foreign or [entry.name for entry in entries])[:5])
        raise _refused(
            folder,
            f"holds files that are not of an earlier packet ({shown}); nothing was touched",
            "Choose another folder with --out",
        )


def _ours(entry: Path) -> bool:
    """Tell whether an entry is a plain file by the name of one of ours, or a kept packet of such files."""
    if entry.is_symlink():
        return False
    if KEPT.fullmatch(entry.name) and entry.is_dir():
        return all(_our_file(each) for each in entry.iterdir()) and _marked(entry)
    return _our_file(entry)


def _our_file(entry: Path) -> bool:
    return entry.name in OURS and entry.is_file() and not entry.is_symlink()


def _marked(folder: Path) -> bool:
    """Tell whether the folder's plan.json is one that this program wrote: a name alone proves nothing."""
    try:
        plan = json.loads((folder / MARK).read_bytes())
    except (OSError, ValueError):
        return False
    return isinstance(plan, dict) and {"format", "seamwalk", "proof"} <= plan.keys()


def fill_folder(folder: Path, write: Callable[[Path], list[Path]], keep: str | None = None) -> list[Path]:
    """Let `write` fill a new folder beside, then put it in place; on any failure the old one stays.

    Packets that the old one keeps go along; `keep` names the folder in which it is itself kept.

    Returns
    -------
    list of Path
        What `write` returned.
    """
    check_folder(folder)
    target = folder.absolute()
    draft = Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    try:
        written = write(draft)
        _keep_earlier(target, draft, keep)
        draft.chmod(_mode_for(target))
        _put_in_place(draft, target)
    except BaseException:
        shutil.rmtree(draft, ignore_errors=True)
        raise
    return written


def _keep_earlier(target: Path, draft: Path, keep: str | None) -> None:
    """Copy kept packets into the draft, and the one that stands there into a folder of its own."""
    if not target.exists():
        return
    for entry in sorted(target.iterdir()):
        if entry.is_dir():
            shutil.copytree(entry, draft / entry.name)
        elif keep is not None:
            (draft / keep).mkdir(exist_ok=True)
            shutil.copy2(entry, draft / keep / entry.name)


def _put_in_place(draft: Path, target: Path) -> None:
    """Rename the draft to the target; an earlier packet is kept until the new one stands."""
    if not target.exists():
        draft.rename(target)
        return
    aside = Path(tempfile.mkdtemp(prefix=f".{target.name}-old-", dir=target.parent))
    try:
        target.rename(aside / "packet")
        draft.rename(target)
    except BaseException:
        if not target.exists():
            (aside / "packet").rename(target)
        aside.rmdir()
        raise
    shutil.rmtree(aside, ignore_errors=True)


def _mode_for(target: Path) -> int:
    """Return the rights of the folder that is replaced, or those that a new folder gets here."""
    if target.exists():
        return stat.S_IMODE(target.stat().st_mode)
    mask = os.umask(0)
    os.umask(mask)
    return 0o777 & ~mask


def _refused(folder: Path, rule: str, remedy: str) -> JobFaults:
    return JobFaults([Fault(str(folder), "", rule, remedy)])
