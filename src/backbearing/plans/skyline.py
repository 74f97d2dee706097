"""The skyline of a spot from the terrain on record: worked out once, kept, and found again.

A kept skyline answers while the raster it came from is unplugged. Its key holds all it rests
on: the spot to a centimetre, the settings, and of each raster within reach its content's
fingerprint and how it is read. So a raster that changes, or a new one within reach, makes a
new skyline; one far away changes nothing.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import isnan
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from backbearing.errors import BadFile, BadInput
from backbearing.saying import language_stamp, say, say_n

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.readers.terrain import Terrain
    from backbearing.records import Grid, Skyline, TerrainLayer

METHOD = 1  # to be raised whenever skylines come out otherwise than before
REACH_M = 50_000.0
EYE_HEIGHT_M = 1.5
STEP_DEG = 0.5
_SHARED_M = 250.0  # spots no farther apart than this share the ground that was read for one
_KEPT_AT_ONCE = 20  # skylines in one transaction

LayerState = Literal["there", "changed", "gone"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Footing:
    """What is known of a spot besides where it lies; `Footing()` is nothing.

    water: latitude, longitude and radius [m] of ground whose lowest the spot stands on.
    trees: how tall they are [m], and beyond what distance they stand [m].
    """

    water: tuple[float, float, float] | None = None
    trees: tuple[float, float] | None = None


NO_FOOTING = Footing()
MadeSkyline = tuple[str, float, float, "Skyline"]  # key, latitude, longitude


def skyline_at(
    terrain: Terrain,
    latitude_deg: float,
    longitude_deg: float,
    *,
    eye_height_m: float = EYE_HEIGHT_M,
    step_deg: float = STEP_DEG,
    reach_m: float = REACH_M,
) -> Skyline:
    """How high does the ground stand in each true azimuth, as seen from a spot?

    terrain: of `readers.terrain.open_terrain`; windows of it are read, nothing is kept.
    The spot's height is the terrain's own at that very spot. Method: `models.skyline`.
    Raises BadInput where no terrain has a height for the spot, BadFile where a raster that is
    needed is gone or damaged.
    """
    from backbearing.models.skyline import skyline

    grids = terrain.grids_around(latitude_deg, longitude_deg, reach_m)
    grids = tuple(grid for grid in grids if min(grid.height_m.shape) >= 2)
    if not grids:
        raise BadInput(
            say(
                "no terrain has a height for {latitude_deg:.5f}, {longitude_deg:.5f} or near it",
                latitude_deg=latitude_deg,
                longitude_deg=longitude_deg,
            ),
            where="terrain",
            remedy=say("add terrain that covers the spot"),
        )
    return skyline(
        grids,
        latitude_deg,
        longitude_deg,
        eye_height_m=eye_height_m,
        step_deg=step_deg,
        reach_m=reach_m,
    )


def skylines_for(
    notebook: Notebook,
    spots: Sequence[tuple[float, float]],
    *,
    eye_height_m: float = EYE_HEIGHT_M,
    step_deg: float | Sequence[float] = STEP_DEG,
    reach_m: float = REACH_M,
    footings: Sequence[Footing] = (),
    made: list[MadeSkyline] | None = None,
    progress: Callable[[str], None] | None = None,
) -> list[Skyline]:
    """The skylines of spots (latitude, longitude) from the terrain on record, in their order.

    step_deg: between azimuths, one for all or one for each spot. Spots that lie beside one
    another are best given in a row: the ground around them is then read once.
    footings: one for each spot, or none at all. made: takes what was worked out, in place of the
    notebook; `keep_skylines` keeps it.

    One that was kept is taken; others are worked out and, where the notebook may be written,
    kept. Where no terrain on record answers, the horizon is taken to be flat and `basis` says
    why: there is none, none reaches the spot, it lies in a void, or the raster is gone. Where
    only a part of the rasters within reach is gone, `basis` names them.
    Raises NotebookError.
    """
    from backbearing.notebook.terrain import list_layers

    layers = list_layers(notebook)
    desk = _Desk(notebook, layers, eye_height_m, reach_m, made)
    steps = [step_deg] * len(spots) if isinstance(step_deg, float | int) else step_deg
    found = []
    for number, ((latitude_deg, longitude_deg), step, footing) in enumerate(
        zip(spots, steps, footings or [NO_FOOTING] * len(spots), strict=True), start=1
    ):
        if progress is not None and layers and len(spots) > 1:
            progress(f"skylines: {number} of {len(spots)}")
        found.append(desk.skyline(latitude_deg, longitude_deg, step, footing))
    if made is None:
        desk.keep()
    return found


def keep_skylines(notebook: Notebook, made: Sequence[MadeSkyline]) -> None:
    """Keep skylines that were worked out elsewhere, where the notebook may be written.

    Raises NotebookError.
    """
    from backbearing.notebook.terrain import store_skyline

    if made and not notebook.readonly:
        with notebook.writing():
            for one in made:
                store_skyline(notebook, *one)


def bring_layers_up_to_date(notebook: Notebook) -> None:
    """See once, for all that ask next, which rasters changed, where the notebook may be written.

    Raises NotebookError.
    """
    from backbearing.notebook.terrain import list_layers

    desk = _Desk(notebook, list_layers(notebook), EYE_HEIGHT_M, REACH_M, None)
    for layer in desk.layers:
        desk.now(layer)
    desk.keep()


def skyline_for(
    notebook: Notebook,
    latitude_deg: float,
    longitude_deg: float,
    *,
    eye_height_m: float = EYE_HEIGHT_M,
    step_deg: float = STEP_DEG,
    reach_m: float = REACH_M,
) -> Skyline:
    """The skyline of one spot from the terrain on record; see `skylines_for`."""
    (found,) = skylines_for(
        notebook,
        [(latitude_deg, longitude_deg)],
        eye_height_m=eye_height_m,
        step_deg=step_deg,
        reach_m=reach_m,
    )
    return found


def layer_now(layer: TerrainLayer) -> tuple[TerrainLayer, LayerState]:
    """A layer as its file is now: described anew where its content has changed.

    A file whose size and time of change are as they were is taken to be as it was.
    """
    from backbearing.readers.terrain.files import fingerprint_of, stamp_of

    try:
        stamp = stamp_of(layer.path)
        if stamp == layer.stamp:
            return layer, "there"
        if fingerprint_of(layer.path) == layer.fingerprint:
            return dataclasses.replace(layer, stamp=stamp), "there"
    except BadInput:
        return layer, "gone"
    try:
        return described_again(layer), "changed"
    except BadInput:
        return layer, "gone"


def described_again(layer: TerrainLayer) -> TerrainLayer:
    """A layer described anew from its file, with what the user said of it kept.

    Raises BadFile where it cannot be used any more.
    """
    from backbearing.readers.terrain.finding import find_rasters
    from backbearing.readers.terrain.layer import METRES_IN, describe_layer

    given = layer.unit_basis == "given"
    unit = next((u for u, size in METRES_IN.items() if size == layer.unit_m), None)
    path = Path(layer.path)
    together = layer.came_with and Path(layer.came_with).exists()
    among = find_rasters(layer.came_with if together else path)
    for found in among:
        if found.path == path:
            new = describe_layer(
                found,
                ground=layer.ground if layer.ground != "not known" else None,
                vertical_error_m=(
                    layer.vertical_error_m if layer.vertical_error_basis == "given" else None
                ),
                unit=unit if given else None,
            )
            return dataclasses.replace(new, id=layer.id)
    raise BadFile(say("is no longer part of what it was added with"), path=layer.path)


class _Desk:
    """What is looked up once for all spots of one question."""

    def __init__(
        self,
        notebook: Notebook,
        layers: Sequence[TerrainLayer],
        eye_height_m: float,
        reach_m: float,
        given: list[MadeSkyline] | None,
    ) -> None:
        self.notebook = notebook
        self.layers = list(layers)
        self.eye_height_m = eye_height_m
        self.reach_m = reach_m
        self.read: tuple[tuple[str, ...], float, float, tuple[Grid, ...]] | None = None
        self.states: dict[str, tuple[TerrainLayer, LayerState]] = {}
        self.kept_elsewhere = given is not None
        self.made: list[MadeSkyline] = [] if given is None else given

    def skyline(
        self, latitude_deg: float, longitude_deg: float, step_deg: float, footing: Footing
    ) -> Skyline:
        from backbearing.notebook.terrain import find_skyline
        from backbearing.readers.terrain import Terrain

        if not self.layers:
            return _flat("", step_deg)
        near = Terrain(tuple(self.layers)).within(latitude_deg, longitude_deg, self.reach_m)
        if not near:
            return _flat(say("no terrain on record reaches the spot"), step_deg)
        now = [self.now(layer) for layer in near]
        key = self.key(latitude_deg, longitude_deg, step_deg, footing, [each for each, _ in now])
        kept = find_skyline(self.notebook, key)
        if kept is not None:
            return kept
        there = [layer for layer, state in now if state != "gone"]
        held = {layer.fingerprint for layer in there}  # a copy elsewhere does as well
        gone = sorted(
            {
                Path(layer.path).name
                for layer, state in now
                if state == "gone" and layer.fingerprint not in held
            }
        )
        if not there:
            return _flat(_missing(gone), step_deg)
        if gone:
            key = self.key(latitude_deg, longitude_deg, step_deg, footing, there)
            kept = find_skyline(self.notebook, key)
        if kept is None:
            try:
                grids = self.grids(Terrain(tuple(there)), latitude_deg, longitude_deg)
                kept = self.made_from(grids, latitude_deg, longitude_deg, step_deg, footing)
            except BadFile as error:
                return _flat(f"{Path(str(error.path)).name} {error.what}", step_deg)
            except BadInput as error:
                return _flat(error.what, step_deg)
            self.made.append((key, latitude_deg, longitude_deg, kept))
            if len(self.made) >= _KEPT_AT_ONCE and not self.kept_elsewhere:
                self.keep()
        if gone:
            return dataclasses.replace(kept, basis=f"{kept.basis}; {_missing(gone)}")
        return kept

    def made_from(
        self,
        grids: Sequence[Grid],
        latitude_deg: float,
        longitude_deg: float,
        step_deg: float,
        footing: Footing,
    ) -> Skyline:
        from backbearing.models.canopy import with_trees
        from backbearing.models.skyline import ground_height_m, lowest_ground_m, skyline

        height_m, said = float("nan"), ""
        if footing.water is not None:
            *around, within_m = footing.water
            height_m = lowest_ground_m(grids, around[0], around[1], within_m=within_m)
            said += say(
                "; at the water, so on the lowest ground within {within_m:.0f} m", within_m=within_m
            )
        if footing.trees is not None:
            tall_m, beyond_m = footing.trees
            if isnan(height_m):  # the spot itself stays on the ground
                height_m = ground_height_m(grids, latitude_deg, longitude_deg)
            grids, raised = with_trees(
                grids, latitude_deg, longitude_deg, tall_m=tall_m, beyond_m=beyond_m
            )
            said += f"; {trees_words(tall_m, beyond_m)}"
            if not raised:
                said += say(" not added: the terrain is not known to be bare ground")
        made = skyline(
            grids,
            latitude_deg,
            longitude_deg,
            height_m=None if isnan(height_m) else height_m,
            eye_height_m=self.eye_height_m,
            step_deg=step_deg,
            reach_m=self.reach_m,
        )
        return dataclasses.replace(made, basis=made.basis + said)

    def now(self, layer: TerrainLayer) -> tuple[TerrainLayer, LayerState]:
        if layer.path not in self.states:
            self.states[layer.path] = layer_now(layer)
        return self.states[layer.path]

    def grids(
        self, terrain: Terrain, latitude_deg: float, longitude_deg: float
    ) -> tuple[Grid, ...]:
        """The ground around a spot, as it was read for one beside it where that was the last."""
        import numpy as np

        from backbearing.places.geodesy import path_lengths_m

        paths = tuple(layer.path for layer in terrain.layers)
        if self.read is not None and self.read[0] == paths:
            (away_m,) = path_lengths_m(
                np.array([self.read[2], longitude_deg]), np.array([self.read[1], latitude_deg])
            )
            if away_m <= _SHARED_M:
                return self.read[3]
        grids = _whole_cells(
            terrain.grids_around(latitude_deg, longitude_deg, self.reach_m + _SHARED_M)
        )
        self.read = (paths, latitude_deg, longitude_deg, grids)
        return grids

    def key(
        self,
        latitude_deg: float,
        longitude_deg: float,
        step_deg: float,
        footing: Footing,
        layers: Sequence[TerrainLayer],
    ) -> str:
        import hashlib
        import json

        rests_on: list[object] = [
            METHOD,
            *filter(None, [language_stamp()]),  # its basis is in words
            round(latitude_deg, 7),
            round(longitude_deg, 7),
            *(self.eye_height_m, step_deg, self.reach_m),
            sorted(
                {
                    (
                        layer.fingerprint,
                        layer.crs,
                        layer.x_first,
                        layer.y_first,
                        layer.ground,
                        layer.vertical_error_m,
                        layer.unit_m,
                        str(layer.void_value),
                    )
                    for layer in layers
                }
            ),
        ]
        if footing != NO_FOOTING:
            rests_on.append([footing.water, footing.trees])
        return hashlib.sha256(json.dumps(rests_on).encode()).hexdigest()

    def keep(self) -> None:
        """Keep what was made and what was seen of the rasters, where the notebook takes it."""
        from backbearing.notebook.terrain import register_layer, store_skyline

        before = {layer.path: layer for layer in self.layers}
        seen = [new for path, (new, _) in self.states.items() if new != before[path]]
        if self.notebook.readonly or not (seen or self.made):
            self.made.clear()
            return
        with self.notebook.writing():
            for layer in seen:
                register_layer(self.notebook, layer)
            for made in self.made:
                store_skyline(self.notebook, *made)
        self.layers = [self.states.get(one.path, (one, "there"))[0] for one in self.layers]
        self.made.clear()


def _flat(why: str, step_deg: float) -> Skyline:
    from backbearing.models.sunlight import flat_skyline

    flat = flat_skyline(step_deg)
    return dataclasses.replace(flat, basis=f"{say(flat.basis)}: {why}") if why else flat


def _whole_cells(grids: Sequence[Grid]) -> tuple[Grid, ...]:
    """Grids that have at least one cell with four corners."""
    return tuple(grid for grid in grids if min(grid.height_m.shape) >= 2)


def trees_words(tall_m: float, beyond_m: float) -> str:
    """'trees 12 m tall from 15 m away on'."""
    return say(
        "trees {tall_m:g} m tall from {beyond_m:g} m away on", tall_m=tall_m, beyond_m=beyond_m
    )


def _missing(names: Sequence[str]) -> str:
    shown = ", ".join(names[:3])
    if len(names) > 3:
        shown += say(" and {names} more", names=len(names) - 3)
    return say_n("{shown} is not there", "{shown} are not there", len(names), shown=shown)
