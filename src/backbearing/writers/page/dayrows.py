"""Rows for the labels of the day line, so that no label lies on another or on a stem.

A label over the line begins at its stem and runs right, so it stands higher than all whose stems
rise through it:                        label under the line, read leftwards from their hooks:

    │09:09 set up                            ──┬──────┬──
    │   │09:25 away                     turn back ◄┘  │
    ┴───┴──────────                          away by ◄┘
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Where a label stands: its row from the line on, its text's ends, its stem (x)."""

    row: int
    left: float
    right: float
    stem: float  # of a bar, where it begins


def rows_over(labels: Sequence[tuple[float, float]], wide: float) -> list[Row]:
    """Rows for labels (stem, width) in the order of their stems; they run right of these.

    A label that would leave the drawing at the right is moved left, and counts from there.
    """
    placed: list[Row] = []
    for stem, long in reversed(labels):
        left = min(stem, wide - long)
        row = 0
        for other in placed:  # every one of these has its stem right of this one's
            met = left < other.right and left + long > min(other.left, other.stem)
            if met:
                row = max(row, other.row + 1)
        placed.append(Row(row=row, left=left, right=left + long, stem=stem))
    return placed[::-1]


def rows_under(
    hooks: Sequence[tuple[float, float]],
    bars: Sequence[tuple[float, float, float]],
    wide: float,
) -> list[Row]:
    """Rows for hooks (stem, width), read leftwards, then for bars (from, to, width of the text).

    A bar keeps off the stems that run down past its row, and goes under them where it must.
    """
    hung: list[Row] = []
    for stem, long in hooks:
        left = max(stem - long, 0.0)
        row = 0
        for other in hung:
            if other.right > left and min(other.left, other.stem) < left + long:
                row = max(row, other.row + 1)
        hung.append(Row(row=row, left=left, right=left + long, stem=stem))
    laid: list[Row] = []
    for start, end, long in bars:
        left, right = start - 4.0, min(end + long, wide)
        row = 0
        while any(
            other.row == row and other.left < right and other.right > left for other in laid
        ) or any(
            (other.row == row and other.left < right and other.right > left)
            or (other.row > row and end < other.stem < right)
            for other in hung
        ):
            row += 1
        laid.append(Row(row=row, left=left, right=right, stem=start))
    return [*hung, *laid]
