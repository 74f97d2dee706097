"""Elevation rasters made for a test: small, invented, and faulty where asked."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import rasterio
from numpy.typing import ArrayLike
from rasterio import Affine

UTM_27 = "EPSG:32627"
WEST, NORTH = 500_000.0, 5_206_000.0  # of the island's zone, near 47.0 N 21.0 W


def slope(rows: int = 40, columns: int = 60, dtype: str = "float32") -> Any:
    """Ground that rises 10 m a row to the south and 1 m a column to the east, from 100 m."""
    return (100 + 10 * np.arange(rows)[:, None] + np.arange(columns)).astype(dtype)


def write_tif(
    path: Path,
    heights: ArrayLike | None = None,
    *,
    crs: str | None = UTM_27,
    west: float = WEST,
    north: float = NORTH,
    cell: float = 10.0,
    unit: str = "",
    tags: dict[str, str] | None = None,
    **profile: Any,
) -> Path:
    cells = np.asarray(slope() if heights is None else heights)
    rows, columns = cells.shape
    profile = {"transform": Affine(cell, 0, west, 0, -cell, north), **profile}
    with rasterio.open(
        path,
        "w",
        driver="GTiff",
        width=columns,
        height=rows,
        count=1,
        dtype=cells.dtype,
        crs=crs,
        **profile,
    ) as raster:
        raster.write(cells, 1)
        if unit:
            raster.units = (unit,)
        raster.update_tags(**(tags or {}))
    return path


def write_hgt(folder: Path, heights: ArrayLike, name: str = "N47W021.hgt") -> Path:
    """1201 × 1201 big-endian 16-bit heights, north first, named after the south-western corner."""
    path = folder / name
    path.write_bytes(np.asarray(heights).astype(">i2").tobytes())
    return path


def write_asc(path: Path, heights: ArrayLike, *, cell: float = 10.0, prj: str = UTM_27) -> Path:
    cells = np.asarray(heights)
    rows, columns = cells.shape
    head = (
        f"ncols {columns}\nnrows {rows}\nxllcorner {WEST}\nyllcorner {NORTH - rows * cell}\n"
        f"cellsize {cell}\nNODATA_value -9999\n"
    )
    path.write_text(head + "\n".join(" ".join(f"{v:g}" for v in row) for row in cells) + "\n")
    if prj:
        path.with_suffix(".prj").write_text(rasterio.CRS.from_string(prj).to_wkt())
    return path


def write_vrt(path: Path, *sources: str, head: str = "", band: str = "", crs: str = "") -> Path:
    """A mosaic of tiles of 60 × 40 cells laid from west to east, as `source` elements."""
    width = 60 * max(1, len(sources))
    path.write_text(
        f'<VRTDataset rasterXSize="{width}" rasterYSize="40">'
        f"<SRS>{crs or rasterio.CRS.from_string(UTM_27).to_wkt()}</SRS>"
        f"<GeoTransform>{WEST}, 10, 0, {NORTH}, 0, -10</GeoTransform>{head}"
        f'<VRTRasterBand dataType="Float32" band="1">{band}{"".join(sources)}</VRTRasterBand>'
        "</VRTDataset>"
    )
    return path


def source(name: str, number: int = 0, *, relative: int = 1, extra: str = "") -> str:
    return (
        f'<SimpleSource><SourceFilename relativeToVRT="{relative}">{name}</SourceFilename>'
        f'<SourceBand>1</SourceBand><SrcRect xOff="0" yOff="0" xSize="60" ySize="40"/>'
        f'<DstRect xOff="{60 * number}" yOff="0" xSize="60" ySize="40"/>{extra}</SimpleSource>'
    )


def spot(column: float, row: float, *, cell: float = 10.0) -> tuple[float, float]:
    """Latitude and longitude of a cell's centre in a raster laid at WEST, NORTH."""
    from pyproj import Transformer

    out = Transformer.from_crs(UTM_27, "EPSG:4326", always_xy=True)
    longitude, latitude = out.transform(WEST + (column + 0.5) * cell, NORTH - (row + 0.5) * cell)
    return latitude, longitude
