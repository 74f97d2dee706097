"""The ground around a place as grids of numbers, from the terrain on record that is there now."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.saying import say

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.records import Grid


def grids_round(
    notebook: Notebook, latitude_deg: float, longitude_deg: float, reach_m: float
) -> tuple[tuple[Grid, ...], str]:
    """The ground within reach of a place, finest first, and '' or why there is none.

    A raster that is gone or damaged is left out where others remain.
    Raises NotebookError.
    """
    from backbearing.errors import BadFile, BadInput
    from backbearing.notebook.terrain import list_layers
    from backbearing.plans.skyline import layer_now
    from backbearing.readers.terrain import Terrain
    from backbearing.readers.terrain.opening import finest_first

    layers = list_layers(notebook)
    if not layers:
        return (), say("no terrain is on record")
    near = Terrain(finest_first(layers)).within(latitude_deg, longitude_deg, reach_m)
    there = [layer for layer, state in map(layer_now, near) if state != "gone"]
    if not there:
        return (), say("the terrain on record is not there") if near else say(
            "no terrain reaches here"
        )
    try:
        grids = Terrain(finest_first(there)).grids_around(latitude_deg, longitude_deg, reach_m)
    except (BadFile, BadInput) as error:
        return (), say("the terrain cannot be read: {what}", what=error.what)
    grids = tuple(grid for grid in grids if min(grid.height_m.shape) >= 2)
    return grids, "" if grids else say("no terrain reaches here")


def missing_round(
    notebook: Notebook, latitude_deg: float, longitude_deg: float, reach_m: float
) -> str:
    """Which files of the terrain on record round a place are not there, as a sentence; '' for none.

    Raises NotebookError.
    """
    from pathlib import Path

    from backbearing.notebook.terrain import list_layers
    from backbearing.plans.skyline import layer_now
    from backbearing.readers.terrain import Terrain
    from backbearing.readers.terrain.opening import finest_first

    layers = list_layers(notebook)
    if not layers:
        return ""
    near = Terrain(finest_first(layers)).within(latitude_deg, longitude_deg, reach_m)
    gone = [Path(layer.path).name for layer, state in map(layer_now, near) if state == "gone"]
    if not gone:
        return ""
    if len(gone) < len(near):
        return say(
            "Part of the terrain on record is not there ({files}): the rest of it counts alone. "
            "Plug in the drive it is on, or name it anew with 'terrain add'.",
            files=", ".join(gone),
        )
    return say(
        "The terrain on record is not there ({files}): without it no way over open ground is known "
        "and nothing of the ground's shape counts. Plug in the drive it is on, or name it anew "
        "with 'terrain add'.",
        files=", ".join(gone),
    )
