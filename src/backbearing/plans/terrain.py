"""Terrain on record: adding rasters, and saying what covers which subject, and how far."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from backbearing.errors import BadInput, NotFound, quoted

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.plans.skyline import LayerState
    from backbearing.readers.terrain.files import FoundRaster
    from backbearing.records import GroundKind, TerrainLayer

Outcome = Literal["added", "brought up to date", "already on record"]
_NO_SUCH = "there is no such file or folder; look at how it is written"
_FARTHEST_M = 300_000.0  # how far a cover is followed from tile to tile


@dataclass(frozen=True, slots=True, kw_only=True)
class AddedLayer:
    """A raster that was given, as it is now on record."""

    layer: TerrainLayer
    outcome: Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class RefusedRaster:
    """A path that cannot be used, and the sentence that says why."""

    path: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TerrainReport:
    """What became of every raster that was given."""

    added: tuple[AddedLayer, ...]
    refused: tuple[RefusedRaster, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownLayer:
    """A raster on record, and how its file stands."""

    layer: TerrainLayer
    state: LayerState


@dataclass(frozen=True, slots=True, kw_only=True)
class Covering:
    """Cells of one size that hold a place, and how far they go from it without a gap.

    nearest_m, farthest_m: to their nearest and farthest edge, along the grid's own axes.
    """

    rasters: tuple[str, ...]
    cell_m: float
    ground: GroundKind
    vertical_error_m: float
    nearest_m: float
    farthest_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CoveredSubject:
    """Which terrain holds a subject, finest first; none where `by` is empty."""

    subject: str
    by: tuple[Covering, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TerrainList:
    """The rasters on record, finest first, and what they cover."""

    layers: tuple[KnownLayer, ...]
    subjects: tuple[CoveredSubject, ...]


def add_terrain(
    notebook: Notebook,
    paths: Sequence[str | Path],
    *,
    ground: GroundKind | None = None,
    vertical_error_m: float | None = None,
    unit: str | None = None,
    progress: Callable[[str], None] | None = None,
) -> TerrainReport:
    """Put elevation rasters on record by path and fingerprint; their heights stay where they are.

    paths: GeoTIFF, HGT, ASCII grid, a VRT of these, or folders of them. ground,
    vertical_error_m [95 %] and unit ('m', 'ft', 'us-ft') hold for all that are given; None
    takes what was said of a raster before, else what its file states, else what is commonly so.
    One bad raster stops no other; it is reported.
    Raises NotebookError where the notebook cannot be written.
    """
    from backbearing.notebook.terrain import list_layers, register_layer
    from backbearing.readers.terrain.finding import find_rasters

    before = {layer.path: layer for layer in list_layers(notebook)}
    added: list[AddedLayer] = []
    refused: list[RefusedRaster] = []
    layers: dict[str, TerrainLayer] = {}
    for path in paths:
        try:
            rasters = find_rasters(path)
        except BadInput as error:
            there = Path(path).exists() or str(Path(path).absolute()) in before
            why = str(error) if there else f"{quoted(path, 200)}: {_NO_SUCH}"
            refused.append(RefusedRaster(path=str(path), why=why))
            continue
        for found in rasters:
            if progress is not None:
                progress(f"terrain: {found.path.name}")
            try:
                layer = _described(found, before, ground, vertical_error_m, unit)
            except BadInput as error:
                refused.append(RefusedRaster(path=str(found.path), why=str(error)))
            else:
                layers[layer.path] = layer
    if layers:
        with notebook.writing():
            for layer in layers.values():
                known = before.get(layer.path)
                stored = register_layer(notebook, layer)
                outcome: Outcome = (
                    "added"
                    if known is None
                    else "already on record"
                    if known == stored
                    else "brought up to date"
                )
                added.append(AddedLayer(layer=stored, outcome=outcome))
    return TerrainReport(added=tuple(added), refused=tuple(refused))


def list_terrain(notebook: Notebook) -> TerrainList:
    """Which rasters are on record, which of their files are there, and what do they cover?"""
    from backbearing.notebook.subjects import list_subjects
    from backbearing.notebook.terrain import list_layers
    from backbearing.plans.skyline import layer_now

    layers = list_layers(notebook)
    subjects = list_subjects(notebook) if layers else []
    return TerrainList(
        layers=tuple(KnownLayer(layer=layer, state=layer_now(layer)[1]) for layer in layers),
        subjects=tuple(
            CoveredSubject(
                subject=subject.name,
                by=covering(layers, subject.place.latitude_deg, subject.place.longitude_deg),
            )
            for subject in subjects
        ),
    )


def covering(
    layers: Sequence[TerrainLayer], latitude_deg: float, longitude_deg: float
) -> tuple[Covering, ...]:
    """Which layers hold a place, finest first, and how far does each go? () where none does."""
    from backbearing.readers.terrain.lattice import covers

    return tuple(
        Covering(
            rasters=tuple(dict.fromkeys(Path(p.layer.path).name for p in cover.sheet.pieces)),
            cell_m=cover.sheet.first.cell_m,
            ground=cover.sheet.first.ground,
            vertical_error_m=cover.sheet.first.vertical_error_m,
            nearest_m=min(cover.up_m, cover.right_m, cover.down_m, cover.left_m),
            farthest_m=max(cover.up_m, cover.right_m, cover.down_m, cover.left_m),
        )
        for cover in covers(layers, latitude_deg, longitude_deg, _FARTHEST_M)
    )


def forget_terrain(notebook: Notebook, names: Sequence[str]) -> tuple[TerrainLayer, ...]:
    """Take rasters off the record, by number, path, file name, or the folder or VRT they came with.

    Their files are left alone. All are taken off, or none.
    Raises NotFound for a name that is not on record.
    """
    from backbearing.notebook.terrain import forget_layer, list_layers

    layers = list_layers(notebook)
    chosen: dict[int | None, TerrainLayer] = {}
    for name in names:
        path = str(Path(name).absolute())
        meant = [
            layer
            for layer in layers
            if name == str(layer.id)
            or path in (layer.path, layer.came_with)
            or name == Path(layer.path).name
        ]
        if not meant:
            raise NotFound(
                f"no terrain on record is called {quoted(name)}",
                remedy="'backbearing terrain list' shows what is on record",
            )
        chosen |= {layer.id: layer for layer in meant}
    with notebook.writing():
        for layer in chosen.values():
            if layer.id is not None:
                forget_layer(notebook, layer.id)
    return tuple(chosen.values())


def _described(
    found: FoundRaster,
    before: dict[str, TerrainLayer],
    ground: GroundKind | None,
    vertical_error_m: float | None,
    unit: str | None,
) -> TerrainLayer:
    from backbearing.readers.terrain.layer import METRES_IN, describe_layer

    known = before.get(str(found.path))
    if known is not None:
        if ground is None and known.ground != "not known":
            ground = known.ground
        if vertical_error_m is None and known.vertical_error_basis == "given":
            vertical_error_m = known.vertical_error_m
        if unit is None and known.unit_basis == "given":
            unit = next((u for u, size in METRES_IN.items() if size == known.unit_m), None)
    return describe_layer(found, ground=ground, vertical_error_m=vertical_error_m, unit=unit)
