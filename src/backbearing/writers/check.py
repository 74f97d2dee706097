"""What `check` and `backup` have to say, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from backbearing.writers.text import clean

if TYPE_CHECKING:
    from backbearing.records import Finding


def verdict(path: Path, findings: Sequence[Finding], counts: Mapping[str, int]) -> str:
    """One line where all is well; else a line for each finding, faults first, and the sum."""
    name = clean(str(path))
    if not findings:
        held = ", ".join(
            f"{count} {table.replace('_', ' ')}" for table, count in counts.items() if count
        )
        return f"{name}: nothing wrong ({held or 'nothing on record yet'})"
    ordered = sorted(findings, key=lambda finding: finding.grade != "fault")
    lines = [
        clean(f"{finding.grade}: {finding.where}: {finding.what}; {finding.remedy}")
        for finding in ordered
    ]
    faults = sum(finding.grade == "fault" for finding in findings)
    remarks = len(findings) - faults
    lines.append(f"{name}: {_count(faults, 'fault')}, {_count(remarks, 'remark')}")
    return "\n".join(lines)


def copied(path: Path, target: Path, size_bytes: int) -> str:
    """Where the copy is and how large."""
    return f"{clean(str(path))} is copied to {clean(str(target))} ({size_bytes / 1e6:.1f} MB)"


def _count(number: int, noun: str) -> str:
    return f"{number or 'no'} {noun}{'' if number == 1 else 's'}"
