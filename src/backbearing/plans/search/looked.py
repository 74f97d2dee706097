"""How likely the subject would have been seen in each piece, were it there: by the looks on record.

Of a walk past, the strip that is swept lies on both sides of the walker; what of it falls on a
piece, times the length walked, over the piece's area, is the coverage (`models.detection`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import NotebookError, NotFound
from backbearing.models.detection import SNOW_SHARE, chance_seen, seen_again, sweep_width_m
from backbearing.plans.search.ground import along

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.notebook import Notebook
    from backbearing.plans.search.ground import SearchGround
    from backbearing.records import Floats, Look, LookLaw

THROUGH_SHARE = 0.3  # of the width, where one only walked through; common practice, no source
FIX_ERROR_M = 10.0  # of a track's fixes, 95 %: nearer the line than this it tells no side
STEP_M = 5.0
_GAP_M = 200.0  # a longer jump between fixes was not walked straight


def seen_chances(
    notebook: Notebook, ground: SearchGround, looks: Sequence[Look]
) -> tuple[Floats, tuple[str, ...]]:
    """The chance to have seen it in each piece (n,), and what is to be said of looks left out."""
    coverages, said = [], []
    for look in looks:
        if look.found:
            continue
        walked = walked_points(notebook, look, ground)
        if walked is None:
            said.append(f"the look of {look.on or 'no day'} has no track any more: not counted")
            continue
        covered = coverage(ground, look, *walked)
        if not covered.any():
            said.append(f"the look of {look.on or 'no day'} never enters this ground")
        coverages.append(covered)
    if not coverages:
        return np.zeros(ground.x_m.shape), tuple(said)
    law: LookLaw = "inverse cube" if all(look.law == "inverse cube" for look in looks) else "random"
    return chance_seen(seen_again(np.stack(coverages)), law), tuple(said)


def sweep_of(look: Look) -> float:
    """How wide a strip a look sweeps [m], both sides together."""
    width = float(sweep_width_m(look.range_m))
    return width * (1.0 if look.looking else THROUGH_SHARE) * (SNOW_SHARE if look.snow else 1.0)


def walked_points(
    notebook: Notebook, look: Look, ground: SearchGround
) -> tuple[Floats, Floats] | None:
    """Points STEP_M apart along the track of a look, on the ground's plane; None without one."""
    from backbearing.notebook.tracks import load_track

    if look.track_id is None:
        return None
    try:
        track = load_track(notebook, look.track_id)
    except (NotFound, NotebookError):
        return None
    xs, ys = [], []
    for segment in track.segments:
        known = np.isfinite(segment.latitude_deg) & np.isfinite(segment.longitude_deg)
        x, y = ground.plane.at(segment.latitude_deg[known], segment.longitude_deg[known])
        if len(x) < 2:
            continue
        step = np.hypot(np.diff(x), np.diff(y))
        step = np.where(step > _GAP_M, 0.0, step)  # nothing is walked over a gap
        way = np.concatenate([[0.0], np.cumsum(step)])
        at = np.arange(STEP_M / 2, way[-1], STEP_M)
        keep = np.concatenate([[True], np.diff(way) > 0.0])
        xs.append(np.interp(at, way[keep], x[keep]))
        ys.append(np.interp(at, way[keep], y[keep]))
    if not xs:
        return None
    return np.concatenate(xs), np.concatenate(ys)


def coverage(ground: SearchGround, look: Look, x_m: Floats, y_m: Floats) -> Floats:
    """The coverage of each piece by a walk through these points, STEP_M apart."""
    if ground.kind == "line":
        return _along_line(ground, look, x_m, y_m)
    return _over_cells(ground, look, x_m, y_m)


def sides_unclear(ground: SearchGround, x_m: Floats, y_m: Floats) -> bool:
    """Whether a walk keeps so near the line that its fixes do not tell the side."""
    if ground.line_m is None:
        return False
    _chainage, away, _side = along(ground.line_m, x_m, y_m)
    near = away <= ground.width_m
    return bool(near.any()) and float(np.mean(away[near] < FIX_ERROR_M)) > 0.5


def _along_line(ground: SearchGround, look: Look, x_m: Floats, y_m: Floats) -> Floats:
    assert ground.line_m is not None  # noqa: S101 - so it is along a line
    assert ground.from_m is not None  # noqa: S101
    assert ground.to_m is not None  # noqa: S101
    assert ground.side is not None  # noqa: S101
    chainage, away, side = along(ground.line_m, x_m, y_m)
    half = sweep_of(look) / 2.0
    near = away <= ground.width_m + half
    offset = (away * side)[near]
    low, high = offset - half, offset + half  # the strip swept, left of the line below 0
    count = int((ground.side == ground.side[0]).sum())
    edges = np.append(ground.from_m[:count], ground.to_m[count - 1])
    number = np.clip(np.searchsorted(edges, chainage[near], side="right") - 1, 0, count - 1)
    found = np.zeros(ground.x_m.shape)
    for name, sign in (("left", -1), ("right", 1)):
        if look.side not in ("", "both", name):
            continue
        first, last = (-ground.width_m, 0.0) if sign < 0 else (0.0, ground.width_m)
        swept = np.clip(np.minimum(high, last) - np.maximum(low, first), 0.0, None)
        pieces = np.flatnonzero(ground.side == sign)
        found[pieces] += np.bincount(number, weights=swept * STEP_M, minlength=count)[:count]
    return found / ground.size_m2


def _over_cells(ground: SearchGround, look: Look, x_m: Floats, y_m: Floats) -> Floats:
    from scipy.ndimage import uniform_filter

    left, top = float(ground.x_m.min()), float(ground.y_m.max())
    column = np.rint((x_m - left) / ground.cell_m).astype(int)
    row = np.rint((top - y_m) / ground.cell_m).astype(int)
    inside = (column >= 0) & (column < ground.columns) & (row >= 0) & (row < ground.rows)
    length = np.zeros((ground.rows, ground.columns))
    np.add.at(length, (row[inside], column[inside]), STEP_M)
    width = sweep_of(look)
    cells = max(1, round(width / ground.cell_m))
    # length walked a square metre, over a window as wide as what is swept, times that width
    density = uniform_filter(length, size=cells, mode="constant") / ground.cell_m**2
    return np.asarray(np.maximum(density, 0.0) * width).ravel()  # the filter rounds below 0
