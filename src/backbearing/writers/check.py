"""What `check` and `backup` have to say, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from backbearing.writers.text import clean, counted

if TYPE_CHECKING:
    from backbearing.records import Finding


def verdict(path: Path, findings: Sequence[Finding], counts: Mapping[str, int]) -> str:
    """One line where all is well; else a line for each finding, faults first, and the sum."""
    name = clean(str(path))
    if not findings:
        held = ", ".join(_held(table, count) for table, count in counts.items() if count)
        return f"{name}: nothing wrong ({held or 'nothing on record yet'})"
    ordered = sorted(findings, key=lambda finding: finding.grade != "fault")
    lines = [
        clean(f"{finding.grade}: {finding.where}: {finding.what}; {finding.remedy}")
        for finding in ordered
    ]
    faults = sum(finding.grade == "fault" for finding in findings)
    remarks = len(findings) - faults
    lines.append(f"{name}: {_or_no(faults, 'fault')}, {_or_no(remarks, 'remark')}")
    return "\n".join(lines)


def copied(path: Path, target: Path, size_bytes: int, left_out: Sequence[str]) -> str:
    """Where the copy is, how large, and what of the notebook is not in it."""
    size = f"{size_bytes / 1e6:.1f} MB"
    lines = [f"{clean(str(path))} is copied to {clean(str(target))} ({size})"]
    lines += [clean(f"not copied: {what}, which Backbearing did not make") for what in left_out]
    return "\n".join(lines)


def _held(table: str, count: int) -> str:
    if table == "bin":
        return f"{count:,} in the bin"
    kind = "file kept" if table == "originals" else table.replace("_", " ").removesuffix("s")
    return counted(count, kind, "files kept" if table == "originals" else "")


def _or_no(number: int, noun: str) -> str:
    return counted(number, noun) if number else f"no {noun}s"
