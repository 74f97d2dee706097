"""What a raster of heights is: its projection, cells, units, voids and how far to trust it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from backbearing.errors import BadFile, quoted
from backbearing.readers.terrain.files import FoundRaster, Kind, fingerprint_of, opened, stamp_of
from backbearing.readers.terrain.heights import BLOCK_CELLS
from backbearing.readers.terrain.looking import look
from backbearing.records import TerrainLayer

if TYPE_CHECKING:
    from pathlib import Path

    from pyproj import CRS
    from rasterio import DatasetReader

    from backbearing.records import GroundKind

METRES_IN: dict[str, float] = {"m": 1.0, "ft": 0.3048, "us-ft": 1200 / 3937}
_SPELLINGS = {
    "m": "m", "metre": "m", "meter": "m", "metres": "m", "meters": "m",
    "ft": "ft", "foot": "ft", "feet": "ft", "international foot": "ft", "ft (intl)": "ft",
    "us-ft": "us-ft", "ftus": "us-ft", "us survey foot": "us-ft", "us_survey_foot": "us-ft",
    "us survey feet": "us-ft", "foot_us": "us-ft", "us foot": "us-ft",
}  # fmt: skip
_VERTICAL_ERROR_M = ((2.5, 1.0), (15.0, 5.0), (math.inf, 10.0))
"""Up to a cell size [m], the error [m, 95 %] assumed where none is given: lidar, national photo
models, radar models in hills; common practice, no source."""
_LEAST_CELL_M = 0.01
_MOST_SIDE = 4_000_000
_MOST_CELLS = 10**12
_BLOCKS_CHECKED = 50_000


def describe_layer(
    found: FoundRaster,
    *,
    ground: GroundKind | None = None,
    vertical_error_m: float | None = None,
    unit: str | None = None,
) -> TerrainLayer:
    """What a raster holds, without loading it whole.

    ground, vertical_error_m, unit ('m', 'ft', 'us-ft'): as the user knows them; None takes what
    the file states, else what is commonly so, and the layer says which.
    Voids, lowest and highest are of all cells up to four million, else of 64 windows spread
    over the raster.
    Raises BadFile where it has no projection, no place, no height at all, heights that cannot
    be in its unit, more than one band, a turned grid, or is cut short.
    """
    path = found.path
    with opened(path, found.kind) as dataset:
        _check_shape(path, dataset)
        _check_whole(path, found.kind, dataset)
        crs = _projection(found, dataset)
        x_first, y_first, x_step, y_step = _placed(found, dataset)
        unit_m, unit_basis = _unit(path, dataset, unit)
        looked = look(path, dataset, found.void_value, unit_m)
        stated = _stated_ground(dataset)
    shape = (dataset.height, dataset.width)
    cell_m, bounds = _extent(path, crs, x_first, y_first, x_step, y_step, shape)
    if not cell_m >= _LEAST_CELL_M:
        raise BadFile(
            f"has cells of {cell_m:.3g} m, less than the {_LEAST_CELL_M:g} m that ground is "
            "surveyed in",
            path=path,
            remedy="see that its reference system and unit are the right ones",
        )
    assumed_m = next(error for size, error in _VERTICAL_ERROR_M if cell_m <= size)
    return TerrainLayer(
        path=str(path),
        came_with=found.came_with,
        kind=found.kind,
        crs=_crs_text(crs),
        columns=dataset.width,
        rows=dataset.height,
        x_first=x_first,
        y_first=y_first,
        x_step=x_step,
        y_step=y_step,
        cell_m=cell_m,
        ground=ground or stated,
        vertical_error_m=assumed_m if vertical_error_m is None else vertical_error_m,
        vertical_error_basis=(
            "assumed from the cell size" if vertical_error_m is None else "given"
        ),
        unit_m=unit_m,
        unit_basis=unit_basis,
        void_value=found.void_value,
        voids=looked.voids / looked.cells,
        lowest_m=looked.lowest_m,
        highest_m=looked.highest_m,
        bounds_deg=bounds,
        fingerprint=fingerprint_of(path),
        stamp=stamp_of(path),
    )


# ---------------------------------------------------------------- shape and place


def _check_shape(path: Path, dataset: DatasetReader) -> None:
    if dataset.count != 1:
        raise BadFile(
            f"has {dataset.count} bands where one of heights is expected",
            path=path,
            remedy="save the band of heights as a raster of its own",
        )
    kind = np.dtype(dataset.dtypes[0])
    if kind.kind not in "iuf" or kind.itemsize == 1:
        raise BadFile(
            f"holds cells of the type {dataset.dtypes[0]}, as in a picture, and no heights",
            path=path,
            remedy="give the elevation model, with cells of 16 or 32 bits",
        )
    cells = dataset.width * dataset.height
    if max(dataset.width, dataset.height) > _MOST_SIDE or cells > _MOST_CELLS:
        raise BadFile(
            f"declares {dataset.width:,} by {dataset.height:,} cells, more than any map has",
            path=path,
            remedy="cut out the area you walk in",
        )
    block_rows, block_columns = dataset.block_shapes[0]
    if block_rows * block_columns > BLOCK_CELLS:
        raise BadFile(
            f"is packed in blocks of {block_columns:,} by {block_rows:,} cells, which cannot be "
            "read in parts",
            path=path,
            remedy="save it again in tiles of 256 or 512 cells",
        )


def _check_whole(path: Path, kind: Kind, dataset: DatasetReader) -> None:
    """Each block of a GeoTIFF must end within the file."""
    if kind != "GeoTIFF":
        return
    size = path.stat().st_size
    rows, columns = dataset.block_shapes[0]
    down, across = -(-dataset.height // rows), -(-dataset.width // columns)
    stride = max(1, down * across // _BLOCKS_CHECKED)
    for number in range(0, down * across, stride):
        place = f"{number % across}_{number // across}"
        offset = dataset.get_tag_item(f"BLOCK_OFFSET_{place}", "TIFF", 1)
        length = dataset.get_tag_item(f"BLOCK_SIZE_{place}", "TIFF", 1)
        if offset and length and int(offset) + int(length) > size:
            raise BadFile(
                "is cut short: it declares more than it holds",
                path=path,
                remedy="copy it anew from where it came",
            )


def _placed(found: FoundRaster, dataset: DatasetReader) -> tuple[float, float, float, float]:
    """Centre of the north-western cell, and the steps; a raster stored south up is turned."""
    to = dataset.transform
    if to.is_identity or not all(map(math.isfinite, to[:6])):
        raise BadFile(
            "does not say where it lies",
            path=found.path,
            remedy="save it again with its geographic reference",
        )
    if to.b or to.d or to.a <= 0 or to.e == 0:
        raise BadFile(
            "is turned or mirrored against its projection's axes",
            path=found.path,
            remedy="warp it north up",
        )
    if found.placed is not None:
        own = (to.c, to.f, to.a, to.e)
        if any(
            abs(a - b) > limit
            for a, b, limit in zip(
                found.placed, own, (to.a / 2, abs(to.e) / 2, to.a / 1e4, abs(to.e) / 1e4),
                strict=True,
            )
        ):  # fmt: skip
            raise BadFile(
                f"is laid elsewhere by {quoted(found.came_with, 200)} than it says itself",
                path=found.path,
                remedy="make the VRT anew, or add the tile itself",
            )
    south_up_by = to.e * (dataset.height - 1) if to.e > 0 else 0.0
    return to.c + to.a / 2, to.f + to.e / 2 + south_up_by, to.a, -abs(to.e)


# ---------------------------------------------------------------- projection


def _projection(found: FoundRaster, dataset: DatasetReader) -> CRS:
    from pyproj import CRS
    from pyproj.exceptions import CRSError

    text = dataset.crs.to_wkt() if dataset.crs else _beside(found) or found.crs
    if not text:
        raise BadFile(
            "does not say which coordinate reference system it is in",
            path=found.path,
            remedy="save it again with its EPSG number",
        )
    try:
        crs = CRS.from_user_input(text)
        if found.crs and not crs.equals(CRS.from_user_input(found.crs), ignore_axis_order=True):
            raise BadFile(
                f"is in another reference system than {quoted(found.came_with, 200)} says",
                path=found.path,
                remedy="make the VRT anew, or add the tile itself",
            )
    except CRSError as error:
        raise _no_ground_system(found.path) from error
    return crs


def _beside(found: FoundRaster) -> str:
    """The .prj beside an ASCII grid, which has no other place to say it."""
    if found.kind != "ASCII grid":
        return ""
    beside = found.path.with_suffix(".prj")
    try:
        if not beside.is_file():
            return ""
        with beside.open("rb") as file:
            return file.read(65_536).decode("utf-8", "replace").strip()
    except OSError:
        return ""


def _no_ground_system(path: Path) -> BadFile:
    return BadFile(
        "is in a coordinate reference system that is not tied to the Earth's surface",
        path=path,
        remedy="save it again in a map projection or in longitude and latitude",
    )


def _crs_text(crs: CRS) -> str:
    plane = crs.sub_crs_list[0] if crs.is_compound else crs
    authority = plane.to_authority(min_confidence=100)
    return ":".join(authority) if authority else plane.to_wkt()


def _extent(
    path: Path,
    crs: CRS,
    x_first: float,
    y_first: float,
    x_step: float,
    y_step: float,
    shape: tuple[int, int],
) -> tuple[float, tuple[float, float, float, float]]:
    """Longer side of a cell amid the raster [m], and its bounds [deg]."""
    from pyproj import Geod, Transformer
    from pyproj.exceptions import ProjError

    if crs.is_compound:
        crs = crs.sub_crs_list[0]
    if not (crs.is_geographic or crs.is_projected) or (
        crs.is_geographic
        and not math.isclose(crs.axis_info[0].unit_conversion_factor, math.pi / 180, rel_tol=1e-6)
    ):
        raise _no_ground_system(path)
    try:
        out = Transformer.from_crs(crs, "EPSG:4326", always_xy=True)
    except ProjError as error:
        raise _no_ground_system(path) from error
    rows, columns = shape
    side = np.linspace(-0.5, 0.5, 21)
    x_mid, y_mid = x_first + x_step * (columns - 1) / 2, y_first + y_step * (rows - 1) / 2
    x = x_mid + x_step * columns * np.concatenate((side, side, 0 * side - 0.5, 0 * side + 0.5))
    y = y_mid + y_step * rows * np.concatenate((0 * side - 0.5, 0 * side + 0.5, side, side))
    around_lon, around_lat = out.transform(x, y)
    cross_x = x_mid + np.array([0.0, x_step, 0.0])
    lon, lat = out.transform(cross_x, y_mid + np.array([0.0, 0.0, y_step]))
    if not (np.isfinite(lon).all() and np.isfinite(lat).all() and np.abs(lat).max() <= 90):
        raise BadFile(
            "lies outside the ground its coordinate reference system is made for",
            path=path,
            remedy="see that its reference system is the right one",
        )
    _, _, sides = Geod(ellps="WGS84").inv(lon[[0, 0]], lat[[0, 0]], lon[1:], lat[1:])
    good = np.isfinite(around_lon) & np.isfinite(around_lat)
    turns = np.remainder(around_lon[good] - lon[0] + 180.0, 360.0) - 180.0
    if crs.is_geographic:  # as many degrees as it has, also beyond half the globe
        turns = x[good] - x_mid
    west, east = lon[0] + turns.min(), lon[0] + turns.max()
    south, north = float(around_lat[good].min()), float(around_lat[good].max())
    into = Transformer.from_crs("EPSG:4326", crs, always_xy=True)
    if crs.is_projected:
        for pole in (-90.0, 90.0):
            px, py = into.transform(0.0, pole, errcheck=False)
            inside = abs(px - x_mid) <= x_step * columns / 2
            if inside and abs(py - y_mid) <= -y_step * rows / 2:
                west, east = -180.0, 180.0
                south, north = min(south, pole), max(north, pole)
    if east - west >= 360.0 - 1e-9:
        west, east = -180.0, 180.0
    bounds = (_wrapped(west), south, _wrapped(east) if east != 180.0 else 180.0, north)
    return float(sides.max()), tuple(round(edge, 7) for edge in bounds)  # type: ignore[return-value]


def _wrapped(longitude_deg: float) -> float:
    return float((longitude_deg + 180.0) % 360.0 - 180.0)


# ---------------------------------------------------------------- units and ground


def _unit(path: Path, dataset: DatasetReader, given: str | None) -> tuple[float, Any]:
    if given is not None:
        return METRES_IN[given], "given"
    stated = (dataset.units[0] or "").strip()
    if stated:
        unit = _SPELLINGS.get(stated.lower())
        if unit is None:
            raise BadFile(
                f"states heights in the unit {quoted(stated)}, which is not known here",
                path=path,
                remedy="say which it is with --units m or --units ft",
            )
        return METRES_IN[unit], "stated in the file"
    if dataset.crs:
        from pyproj import CRS

        crs = CRS.from_user_input(dataset.crs.to_wkt())
        for part in crs.sub_crs_list:
            if part.is_vertical:
                return float(part.axis_info[0].unit_conversion_factor), "stated in the file"
    return 1.0, "assumed"


def _stated_ground(dataset: DatasetReader) -> GroundKind:
    """Bare ground or surface, where a tag of the file says so in words."""
    said = " ".join(str(value) for value in dataset.tags().values())[:10_000].lower()
    if "bare ground" in said or "bare earth" in said or "terrain model" in said:
        return "bare ground"
    return "surface" if "surface model" in said else "not known"
