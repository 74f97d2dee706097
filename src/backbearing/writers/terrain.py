"""Terrain on record, in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

from backbearing.places.words import metres_text
from backbearing.writers.plain import plain
from backbearing.writers.text import clean, table

if TYPE_CHECKING:
    from backbearing.plans.terrain import Covering, KnownLayer, TerrainList, TerrainReport
    from backbearing.records import TerrainLayer

_UNITS = {1.0: "metres", 0.3048: "feet"}
_GROUND_NOT_KNOWN = (
    "bare ground or surface model: not known. Tree-tops and roofs in a surface model hide the "
    "sun where it shines through or over: say --ground bare or --ground surface"
)
_STATES = {"there": "there", "changed": "changed, read anew", "gone": "not there"}


def terrain_json(
    *, report: TerrainReport | None = None, found: TerrainList | None = None
) -> dict[str, Any]:
    """What `terrain add` and `terrain list` print with --json."""
    layers: list[dict[str, Any]] = []
    if report is not None:
        layers = [{**plain(a.layer), "outcome": a.outcome, "state": "there"} for a in report.added]
    if found is not None:
        layers = [{**plain(k.layer), "outcome": None, "state": k.state} for k in found.layers]
    for layer in layers:
        del layer["stamp"]
    return {
        "layers": layers,
        "refused": [] if report is None else plain(report.refused),
        "subjects": [] if found is None else plain(found.subjects),
    }


def report_text(report: TerrainReport) -> str:
    """Raster by raster, tiles that came together as one, what is now on record."""
    lines: list[str] = []
    for tiles in _together(added.layer for added in report.added):
        outcomes = {a.outcome for a in report.added if a.layer in tiles}
        outcome = outcomes.pop() if len(outcomes) == 1 else "added or brought up to date"
        lines.append(clean(f"{outcome}: {_name(tiles)}"))
        lines += [clean(f"  {line}") for line in _described(tiles)]
    lines += [clean(f"refused: {refused.path}") for refused in report.refused]
    return "\n".join(lines)


def list_text(found: TerrainList) -> str:
    """A table of the rasters, and what covers each subject and how far."""
    if not found.layers:
        return (
            "No terrain on record: every answer assumes a flat horizon.\n"
            "'backbearing terrain add FILE' puts elevation data on record."
        )
    states = {known.layer.path: known for known in found.layers}
    rows = [
        _row(tiles, [states[tile.path] for tile in tiles])
        for tiles in _together(known.layer for known in found.layers)
    ]
    head = ("no.", "terrain", "cells", "ground", "heights", "error", "voids", "file")
    lines = [table(head, rows, right=(0, 2))]
    if found.subjects:
        lines.append("")
    lines += [clean(f"{one.subject}: {covering_text(one.by)}") for one in found.subjects]
    return "\n".join(lines)


def covering_text(by: Sequence[Covering]) -> str:
    """`10 m cells (ground_10m.tif) for 2.3 to 4.1 km around; beyond, 30 m cells …`"""
    if not by:
        return "no terrain on record holds it: a flat horizon is assumed"
    parts = []
    for cover in by:
        rasters = cover.rasters[0] if len(cover.rasters) == 1 else f"{len(cover.rasters)} tiles"
        near, far = metres_text(cover.nearest_m), metres_text(cover.farthest_m)
        span = near if near == far else f"{near} to {far}"
        parts.append(f"{metres_text(cover.cell_m)} cells ({rasters}) for {span} around")
    return "; beyond, ".join(parts)


def forgotten_text(layers: Sequence[TerrainLayer]) -> str:
    names = ", ".join(PurePath(layer.path).name for layer in layers[:5])
    if len(layers) > 5:
        names += f" and {len(layers) - 5} more"
    them = "its file is left alone" if len(layers) == 1 else "their files are left alone"
    return clean(f"no longer on record: {names} ({them})")


# ---------------------------------------------------------------- tiles together


def _together(layers: Iterable[TerrainLayer]) -> list[list[TerrainLayer]]:
    """Tiles that came with one folder or VRT and are alike, as one; others alone."""
    groups: dict[object, list[TerrainLayer]] = {}
    for layer in layers:
        alike = (round(layer.cell_m, 1), layer.ground, layer.vertical_error_m, layer.unit_m)
        key = (layer.came_with, alike) if layer.came_with else layer.path
        groups.setdefault(key, []).append(layer)
    return list(groups.values())


def _name(tiles: Sequence[TerrainLayer]) -> str:
    if len(tiles) == 1:
        return PurePath(tiles[0].path).name
    return f"{len(tiles)} tiles of {PurePath(tiles[0].came_with).name}"


def _described(tiles: Sequence[TerrainLayer]) -> list[str]:
    first = tiles[0]
    size = f"{first.columns:,} × {first.rows:,} cells of {metres_text(first.cell_m)}"
    crs = first.crs if first.crs.startswith("EPSG:") else "a projection without EPSG number"
    lines = [f"{first.kind}, {'each ' if len(tiles) > 1 else ''}{size}, {crs}"]
    if len(tiles) == 1:
        west, south, east, north = first.bounds_deg
        lines.append(
            f"latitude {south:.4f} to {north:.4f}, longitude {west:.4f} to {east:.4f} degrees"
        )
    unit = _UNITS.get(first.unit_m, "US survey feet")
    lines.append(
        f"heights {_heights(tiles)}, read as {unit} ({first.unit_basis}); "
        f"error {metres_text(first.vertical_error_m)} ({first.vertical_error_basis})"
    )
    ground = _GROUND_NOT_KNOWN if first.ground == "not known" else _ground(first)
    lines.append(f"voids: {_voids(tiles)}; {ground}")
    return lines


def _row(tiles: Sequence[TerrainLayer], known: Sequence[KnownLayer]) -> tuple[str, ...]:
    first = tiles[0]
    states = [one.state for one in known]
    state = " and ".join(
        f"{states.count(key)} {words}" if len(states) > 1 else words
        for key, words in _STATES.items()
        if key in states
    )
    if set(states) == {"there"}:
        state = "there"
    numbers = sorted(tile.id for tile in tiles if tile.id is not None)
    number = f"{numbers[0]}" if len(numbers) == 1 else f"{numbers[0]}–{numbers[-1]}"
    given = "" if first.vertical_error_basis == "given" else " (assumed)"
    return (
        number,
        _name(tiles),
        metres_text(first.cell_m),
        _ground(first),
        _heights(tiles),
        f"{metres_text(first.vertical_error_m)}{given}",
        _voids(tiles),
        state,
    )


def _ground(layer: TerrainLayer) -> str:
    return "surface model" if layer.ground == "surface" else layer.ground


def _heights(tiles: Sequence[TerrainLayer]) -> str:
    lowest, highest = min(t.lowest_m for t in tiles), max(t.highest_m for t in tiles)
    return f"{lowest:.0f} to {highest:.0f} m"


def _voids(tiles: Sequence[TerrainLayer]) -> str:
    cells = sum(tile.columns * tile.rows for tile in tiles)
    share = sum(tile.voids * tile.columns * tile.rows for tile in tiles) / cells
    if share == 0:
        return "none"
    return "under 0.1 %" if share < 0.001 else f"{100 * share:.1f} %"
