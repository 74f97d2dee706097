"""Ground along a line cut into pieces, left and right: where most remembered places lie.

chainage 0 ──┬── 50 ──┬── 100 ──┬── …      looking along the line, as it was drawn:
  left   a   │   b    │    c    │           a stream's own way is downstream
  right  d   │   e    │    f    │
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from backbearing.records import Floats

PIECE_M = 50.0
MOST_PIECES = 20_000
LEFT, RIGHT = -1, 1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LinePieces:
    """Pieces along a line, the left ones first: arrays of one length."""

    from_m: Floats  # chainage, from the line's beginning
    to_m: Floats
    side: NDArray[np.int64]  # LEFT or RIGHT, looking along the line
    x_m: Floats  # of the piece's middle, out from the line by half its width
    y_m: Floats
    size_m2: Floats


def line_pieces(line_m: Floats, *, width_m: float, piece_m: float = PIECE_M) -> LinePieces:
    """The ground on both sides of a line, in pieces.

    line_m: (n, 2) east and north in metres. width_m: how far out to each side. Pieces are of equal
    length, about piece_m. Raises BadInput for a line of no length, a width or piece not above 0,
    and a line of more than MOST_PIECES.
    """
    lengths = np.hypot(*np.diff(np.asarray(line_m, dtype=float), axis=0).T)
    way = np.concatenate([[0.0], np.cumsum(lengths)])
    if not (len(line_m) >= 2 and way[-1] > 0.0):
        raise BadInput("the line has no length", where="line")
    if not (width_m > 0.0 and piece_m > 0.0):
        raise BadInput("widths and pieces must be above 0 m", where="line", remedy="give metres")
    count = max(1, round(way[-1] / piece_m))
    if 2 * count > MOST_PIECES:
        raise BadInput(
            f"the line is {way[-1] / 1000:.0f} km long",
            where="line",
            remedy="cut it to the stretch that is meant, or take larger pieces",
        )
    edge = np.linspace(0.0, way[-1], count + 1)
    middle = (edge[1:] + edge[:-1]) / 2.0
    x, y = (np.interp(middle, way, line_m[:, i]) for i in (0, 1))
    # the way the line runs there, over the piece as a whole
    ahead = [np.diff(np.interp(edge, way, line_m[:, i])) for i in (0, 1)]
    length = np.maximum(np.hypot(*ahead), 1e-9)
    left_x, left_y = -ahead[1] / length, ahead[0] / length
    out = width_m / 2.0
    size = np.full(count, (edge[1] - edge[0]) * width_m)
    return LinePieces(
        from_m=np.tile(edge[:-1], 2),
        to_m=np.tile(edge[1:], 2),
        side=np.repeat([LEFT, RIGHT], count),
        x_m=np.concatenate([x + out * left_x, x - out * left_x]),
        y_m=np.concatenate([y + out * left_y, y - out * left_y]),
        size_m2=np.tile(size, 2),
    )


def chainage(line_m: Floats, x_m: Floats, y_m: Floats) -> tuple[Floats, Floats, Floats]:
    """Where along a line is it nearest to points (k,), how far off are they, and on which side?

    Returns chainage [m], distance [m] and side (−1 left, 1 right, 0 on it) of each.
    """
    points = np.stack([np.atleast_1d(x_m), np.atleast_1d(y_m)], axis=1).astype(float)
    start, step = line_m[:-1], np.diff(line_m, axis=0)
    lengths = np.hypot(*step.T)
    way = np.concatenate([[0.0], np.cumsum(lengths)])
    offset = points[:, None, :] - start[None]
    share = np.clip((offset * step).sum(axis=2) / np.maximum(lengths**2, 1e-12), 0.0, 1.0)
    away = np.hypot(*np.moveaxis(offset - share[..., None] * step, 2, 0))
    piece = np.argmin(away, axis=1)
    row = np.arange(len(points))
    along = way[piece] + share[row, piece] * lengths[piece]
    turn = step[piece, 0] * offset[row, piece, 1] - step[piece, 1] * offset[row, piece, 0]
    return along, away[row, piece], -np.sign(turn)
