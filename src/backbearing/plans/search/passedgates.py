"""What a look tells of the passages on record: those it went through were open that day."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from backbearing.models.passedthrough import passed
from backbearing.plans.search.ground import Plane, on_plane
from backbearing.plans.search.looked import FIX_ERROR_M

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.records import Floats, GroundLine, Passage, Track

LEAST_ERROR_M, MOST_ERROR_M = 15.0, 40.0  # as a way is let through around a passage
_APART_M = 5.0
_NEAR_DEG = 0.01  # of latitude: a kilometre, to leave out most before any plane


def passages_passed(
    notebook: Notebook, track: Track
) -> tuple[tuple[Passage, ...], tuple[Passage, ...]]:
    """The passages a walk went through, and those it only came near: nobody can tell of these.

    Within the error of the track and of the passage's place, 15 to 40 m; by the nearest line on
    record within that of it, which is neither path nor ridge.
    """
    from backbearing.notebook.lines import list_lines, list_passages

    through, near = [], []
    lines = [line for line in list_lines(notebook) if line.kind not in ("path", "ridge")]
    for passage in list_passages(notebook):
        place = passage.place
        plane = Plane(latitude_deg=place.latitude_deg, longitude_deg=place.longitude_deg)
        runs = _runs(track, plane)
        if not runs:
            continue
        error_m = float(np.hypot(FIX_ERROR_M, place.error_m))
        error_m = min(max(error_m, LEAST_ERROR_M), MOST_ERROR_M)
        how = passed(runs, error_m, _line_there(lines, plane, error_m))
        if how == "through":
            through.append(passage)
        elif how == "near":
            near.append(passage)
    return tuple(through), tuple(near)


def _runs(track: Track, plane: Plane) -> list[tuple[Floats, Floats]]:
    """The walk on the plane, points a few metres apart; only where it comes within a kilometre."""
    found = []
    for segment in track.segments:
        known = np.isfinite(segment.latitude_deg) & np.isfinite(segment.longitude_deg)
        latitude, longitude = segment.latitude_deg[known], segment.longitude_deg[known]
        if len(latitude) < 2 or not (np.abs(latitude - plane.latitude_deg) < _NEAR_DEG).any():
            continue
        x, y = plane.at(latitude, longitude)
        way = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
        at = np.append(np.arange(0.0, way[-1], _APART_M), way[-1])
        found.append((np.interp(at, way, x), np.interp(at, way, y)))
    return found


def _line_there(lines: list[GroundLine], plane: Plane, error_m: float) -> Floats | None:
    here, best, nearest = shapely.Point(0.0, 0.0), None, error_m
    for line in lines:
        line_m = on_plane(plane, line)
        away = float(shapely.distance(here, shapely.LineString(line_m)))
        if away <= nearest:
            best, nearest = line_m, away
    return best
