"""Which moves over a grid's cells cross a line that bars the way: a stream, a shore, a wall."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.leasttime import LONGEST_MOVE, MOVES

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from backbearing.records import Floats

_PIECE, _PIECES_AT_ONCE = 2.0, 2048  # a line is looked at in pieces of so many cells


def barred_by_lines(
    shape: tuple[int, int], lines: Iterable[tuple[Floats, Floats]]
) -> NDArray[np.uint16]:
    """Which moves cross one of some lines, as a bit for each of MOVES in each cell?

    lines: rows and columns (n,) of each one's corners in cells, whole numbers at cell centres. A
    move that only touches a line counts as crossing it.
    """
    barred = np.zeros(shape, dtype=np.uint16)
    pieces = [_short_pieces(row, column) for row, column in lines]
    if not pieces:
        return barred
    start_row, start_column, end_row, end_column = map(np.concatenate, zip(*pieces, strict=True))
    near = np.ones(start_row.size, dtype=bool)  # the grid; no move meets the others
    for start, end, count in (
        (start_row, end_row, shape[0]),
        (start_column, end_column, shape[1]),
    ):
        near &= np.maximum(start, end) > -1.0 - LONGEST_MOVE
        near &= np.minimum(start, end) < count + LONGEST_MOVE
    start_row, start_column = start_row[near], start_column[near]
    end_row, end_column = end_row[near], end_column[near]
    for first in range(0, len(start_row), _PIECES_AT_ONCE):
        part = slice(first, first + _PIECES_AT_ONCE)
        _bar_pieces(
            barred, (start_row[part], start_column[part]), (end_row[part], end_column[part])
        )
    return barred


def _short_pieces(row: Floats, column: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """A line in straight pieces of _PIECE cells at most: their first and last rows and columns."""
    down, across = np.diff(row), np.diff(column)
    pieces = np.maximum(np.maximum(abs(down), abs(across)) / _PIECE, 1.0)
    # halves of halves: between whole cells they lie exactly on the line
    count = 1 << np.ceil(np.log2(pieces)).astype(np.int64)
    number = np.repeat(np.arange(count.size), count)
    step = np.arange(number.size) - np.repeat(np.cumsum(count) - count, count)
    begin, end = step / count[number], (step + 1) / count[number]
    return (
        row[number] + begin * down[number],
        column[number] + begin * across[number],
        row[number] + end * down[number],
        column[number] + end * across[number],
    )


def _bar_pieces(
    barred: NDArray[np.uint16], start: tuple[Floats, Floats], end: tuple[Floats, Floats]
) -> None:
    """Mark the moves that cross short straight pieces (n,), all looked at in boxes of one size."""
    wide = int(_PIECE) + 2 * LONGEST_MOVE + 2
    box = np.arange(wide * wide)
    corner = [np.floor(np.minimum(a, b)) - LONGEST_MOVE for a, b in zip(start, end, strict=True)]
    rows = corner[0][:, None] + box // wide
    columns = corner[1][:, None] + box % wide
    inside = (rows >= 0) & (rows < barred.shape[0]) & (columns >= 0) & (columns < barred.shape[1])
    start_row, start_column, end_row, end_column = (each[:, None] for each in (*start, *end))
    along = (end_row - start_row, end_column - start_column)
    # which side of the line's piece a cell lies on; a move changes it by a constant
    side = along[0] * (columns - start_column) - along[1] * (rows - start_row)
    for bit, (down, across) in enumerate(MOVES):
        other = side + along[0] * across - along[1] * down
        first = down * (start_column - columns) - across * (start_row - rows)
        last = down * (end_column - columns) - across * (end_row - rows)
        crossed = inside & (side * other <= 0.0) & (first * last <= 0.0)
        # all four products are 0 on one straight line: there the boxes decide
        crossed &= rows + min(0, down) <= np.maximum(start_row, end_row)
        crossed &= rows + max(0, down) >= np.minimum(start_row, end_row)
        crossed &= columns + min(0, across) <= np.maximum(start_column, end_column)
        crossed &= columns + max(0, across) >= np.minimum(start_column, end_column)
        cells = rows[crossed].astype(np.int64), columns[crossed].astype(np.int64)
        barred[cells] |= np.uint16(1 << bit)  # the same bit for each: none is lost
