"""Ground of a search without its water, which holds no chance for a thing that stands on land."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from backbearing.plans.approach.ground import water_at
from backbearing.records import Place
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.notebook import Notebook
    from backbearing.plans.search.ground import Plane, SearchGround
    from backbearing.records import MemoryClue

_LEAST_LAND = 0.2  # of the place's circle: with less it stands in the water
_LEAST_ERROR_M = 15.0
_AT = ("near a place", "inside an area")
_NOTHING = 1e-9  # of a size: as beyond the rim of a grid


def on_land(
    notebook: Notebook, ground: SearchGround, place: Place, told: Sequence[MemoryClue]
) -> tuple[SearchGround, tuple[str, ...]]:
    """The ground with pieces on water made as good as nothing, and what that rests on, in words.

    Water is what ways go round (`plans.approach.water`). It stays where the place on record has
    hardly any land within its error, or where a clue tells of a place or an
    area on the water. Pieces go
    by their middles. Raises NotebookError.
    """
    plane = ground.plane
    x, y = plane.at(np.array([place.latitude_deg]), np.array([place.longitude_deg]))
    middles = [_middle(plane, clue) for clue in told if clue.kind in _AT]
    latitude, longitude = plane.places(*np.array(middles).reshape(-1, 2).T)
    reach_m = float(np.max(np.hypot(ground.x_m, ground.y_m)))
    wet, said = water_at(
        notebook,
        Place(
            latitude_deg=plane.latitude_deg,
            longitude_deg=plane.longitude_deg,
            error_m=0.0,
            error_basis="middle of the search",
        ),
        np.concatenate([ground.latitude_deg, latitude]),
        np.concatenate([ground.longitude_deg, longitude]),
        reach_m,
    )
    wet, by_clue = wet[: len(ground.x_m)], wet[len(ground.x_m) :]
    if not wet.any():
        return ground, ()
    near = np.hypot(ground.x_m - x, ground.y_m - y) <= max(place.error_m, _LEAST_ERROR_M)
    if by_clue.any():
        return ground, (say("water counts as other ground: a clue puts it there"),)
    if wet.all() or (near.any() and (~wet[near]).mean() < _LEAST_LAND):
        return ground, (
            say("water counts as other ground: the place on record is on it, with hardly any land"),
        )
    size_m2 = np.where(wet, ground.size_m2 * _NOTHING, ground.size_m2)
    return replace(ground, size_m2=size_m2), (
        say(
            "{ha:.1f} ha of water hold no chance, for a thing that stands on land",
            ha=float(ground.size_m2[wet].sum()) / 10_000.0,
        ),
        *said,
    )


def _middle(plane: Plane, clue: MemoryClue) -> tuple[float, float]:
    """Where a clue of a place or an area puts the thing, on the plane."""
    told = clue.corners or ([clue.place] if clue.place is not None else [])
    x, y = plane.at(
        np.array([each.latitude_deg for each in told]),
        np.array([each.longitude_deg for each in told]),
    )
    return (float(x.mean()), float(y.mean())) if told else (0.0, 0.0)
