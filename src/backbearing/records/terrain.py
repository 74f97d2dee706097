"""Ground heights: a window of numbers, and a raster by its description."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


GroundKind = Literal["bare ground", "surface", "not known"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Grid:
    """A window of ground heights, read and masked: numbers only, in the raster's own projection."""

    height_m: NDArray[np.float32]  # (rows, columns), row 0 northernmost, nan where void
    x_first: float  # centre of the cell in row 0, column 0, in units of the projection
    y_first: float
    x_step: float  # to the next column
    y_step: float  # to the next row, negative
    crs: str  # anything pyproj reads
    cell_m: float  # size of a cell over the ground
    vertical_error_m: float  # 95 %
    ground: GroundKind
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TerrainLayer:
    """A raster of ground heights by its description; its numbers stay in its own file."""

    path: str  # absolute
    came_with: str = ""  # the folder or VRT it was added with, '' where it was named itself
    kind: Literal["GeoTIFF", "HGT", "ASCII grid"]
    crs: str  # anything pyproj reads
    columns: int
    rows: int
    x_first: float  # centre of the north-western cell, in units of the projection
    y_first: float
    x_step: float  # to the next column, positive
    y_step: float  # to the next row, negative
    cell_m: float  # longer side of a cell over the ground, amid the raster
    ground: GroundKind
    vertical_error_m: float  # 95 %
    vertical_error_basis: Literal["given", "assumed from the cell size"]
    unit_m: float  # metres in one unit of its heights
    unit_basis: Literal["given", "stated in the file", "assumed"]
    void_value: float | None = None  # marks a void, beside what the file itself declares
    voids: float  # share of the cells looked at that hold no height
    lowest_m: float  # of the cells looked at
    highest_m: float
    bounds_deg: tuple[float, float, float, float]  # west, south, east, north; west > east at 180°
    fingerprint: str  # of its content
    stamp: str  # size and time of change, as last seen: equal stamps spare a new fingerprint
    id: int | None = None  # its number in the notebook
