"""Elevation rasters in: what they are said to be, and the ground round a spot out of them."""

from __future__ import annotations

import math
import shutil
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Transformer
from rasterio import Affine
from tests.readers.rasters import (
    NORTH,
    WEST,
    slope,
    source,
    spot,
    write_asc,
    write_hgt,
    write_tif,
    write_vrt,
)

from backbearing.errors import BadFile
from backbearing.readers.terrain import Terrain, open_terrain, windows
from backbearing.readers.terrain.files import fingerprint_of, stamp_of
from backbearing.readers.terrain.heights import coarser

# ---------------------------------------------------------------- what a raster is


def test_a_layer_says_what_its_file_says(tmp_path: Path) -> None:
    path = write_tif(tmp_path / "a.tif", nodata=-9999.0, tags={"SURFACE": "bare ground"})
    (layer,) = open_terrain(path).layers
    assert (layer.path, layer.kind, layer.crs) == (str(path), "GeoTIFF", "EPSG:32627")
    assert (layer.columns, layer.rows) == (60, 40)
    assert (layer.x_first, layer.y_first) == (WEST + 5, NORTH - 5)
    assert (layer.x_step, layer.y_step) == (10.0, -10.0)
    assert (layer.lowest_m, layer.highest_m, layer.voids) == (100.0, 549.0, 0.0)
    assert layer.ground == "bare ground"
    # UTM's scale at its central meridian is 0.9996, so 10 m of grid are 10.004 m of ground
    assert layer.cell_m == pytest.approx(10 / 0.9996, abs=1e-4)


def test_what_is_not_stated_is_assumed_and_said_so(tmp_path: Path) -> None:
    (layer,) = open_terrain(write_tif(tmp_path / "a.tif")).layers
    assert layer.ground == "not known"
    assert (layer.unit_m, layer.unit_basis) == (1.0, "assumed")
    assert layer.vertical_error_basis == "assumed from the cell size"
    (layer,) = open_terrain(
        tmp_path / "a.tif", ground="surface", vertical_error_m=2.0, unit="m"
    ).layers
    assert (layer.ground, layer.vertical_error_m, layer.vertical_error_basis) == (
        "surface",
        2.0,
        "given",
    )
    assert layer.unit_basis == "given"


@pytest.mark.parametrize(
    ("unit", "metres"),
    [("ft", 0.3048), ("foot", 0.3048), ("US survey foot", 1200 / 3937), ("metre", 1.0)],
)
def test_heights_in_feet_become_metres(tmp_path: Path, unit: str, metres: float) -> None:
    """The international foot is 0.3048 m, the US survey foot 1200/3937 m (NIST, 1959; memory)."""
    terrain = open_terrain(write_tif(tmp_path / "a.tif", unit=unit))
    assert terrain.layers[0].unit_basis == "stated in the file"
    assert terrain.height_at(*spot(3, 2)) == pytest.approx((100 + 20 + 3) * metres, rel=1e-6)


def test_a_vertical_reference_in_feet_counts_as_stated(tmp_path: Path) -> None:
    """EPSG:6360 is NAVD88 height in US survey feet."""
    path = write_tif(tmp_path / "a.tif", crs="EPSG:32611+6360")
    (layer,) = open_terrain(path).layers
    assert layer.unit_m == pytest.approx(1200 / 3937)
    assert layer.crs == "EPSG:32611"  # heights apart, the plane alone


def test_the_user_is_believed_before_the_file(tmp_path: Path) -> None:
    terrain = open_terrain(write_tif(tmp_path / "a.tif", unit="m"), unit="ft")
    assert terrain.height_at(*spot(0, 0)) == pytest.approx(30.48, rel=1e-5)


def test_scale_and_offset_of_the_band_are_applied(tmp_path: Path) -> None:
    import rasterio

    path = write_tif(tmp_path / "a.tif", slope(dtype="int16"))
    with rasterio.open(path, "r+") as raster:
        raster.scales, raster.offsets = (0.1,), (50.0,)
    assert open_terrain(path).height_at(*spot(3, 2)) == pytest.approx(62.3, abs=1e-3)


def test_bounds_cross_the_antimeridian_and_hold_a_pole(tmp_path: Path) -> None:
    ground = np.full((20, 20), 5.0, "float32")
    fiji = write_tif(tmp_path / "f.tif", ground, crs="EPSG:4326", west=179.9, north=-17, cell=0.01)
    west, south, east, north = open_terrain(fiji).layers[0].bounds_deg
    assert west == pytest.approx(179.9)
    assert east == pytest.approx(-179.9)
    assert (south, north) == pytest.approx((-17.2, -17.0))
    pole = write_tif(tmp_path / "p.tif", ground, crs="EPSG:3995", west=-1e4, north=1e4, cell=1e3)
    assert open_terrain(pole).layers[0].bounds_deg[::2] == (-180.0, 180.0)
    assert open_terrain(pole).layers[0].bounds_deg[3] == 90.0


# ---------------------------------------------------------------- other kinds of files


def test_an_hgt_tile_lies_where_its_name_says(tmp_path: Path) -> None:
    """Rows from north to south, each edge a sample of its own; −32768 is a void (memory)."""
    heights = np.zeros((1201, 1201), int)
    heights[0, 0], heights[-1, -1] = 700, 300
    heights[600:, :600] = -32768
    terrain = open_terrain(write_hgt(tmp_path, heights))
    (layer,) = terrain.layers
    assert layer.kind == "HGT"
    assert (layer.x_first, layer.y_first) == pytest.approx((-21.0, 48.0))
    assert layer.voids == pytest.approx(601 * 600 / 1201**2)
    assert (layer.lowest_m, layer.highest_m) == (0.0, 700.0)
    assert terrain.height_at(48.0, -21.0) == pytest.approx(700, abs=0.01)
    assert terrain.height_at(47.0, -20.0) == pytest.approx(300, abs=0.01)
    assert math.isnan(terrain.height_at(47.2, -20.9))


def test_an_ascii_grid_takes_its_projection_from_the_file_beside_it(tmp_path: Path) -> None:
    ground = slope()
    ground[30:, 50:] += 0.5  # decimals only far from the first cells
    ground[5, 5] = -9999
    terrain = open_terrain(write_asc(tmp_path / "a.asc", ground))
    assert (terrain.layers[0].kind, terrain.layers[0].crs) == ("ASCII grid", "EPSG:32627")
    assert terrain.height_at(*spot(55, 35)) == pytest.approx(ground[35, 55], abs=1e-3)
    assert math.isnan(terrain.height_at(*spot(5, 5)))


def test_a_folder_is_searched_for_tiles_and_its_vrt_passed_over(tmp_path: Path) -> None:
    (tmp_path / "east").mkdir()
    write_tif(tmp_path / "w.tif")
    write_tif(tmp_path / "east" / "e.TIF", west=WEST + 600)
    write_vrt(tmp_path / "all.vrt", source("w.tif"))
    (tmp_path / "readme.txt").write_text("tiles")
    layers = open_terrain(tmp_path).layers
    assert sorted(Path(layer.path).name for layer in layers) == ["e.TIF", "w.tif"]
    assert {layer.came_with for layer in layers} == {str(tmp_path)}


def test_a_vrt_is_its_tiles(tmp_path: Path) -> None:
    write_tif(tmp_path / "w.tif")
    write_tif(tmp_path / "e.tif", west=WEST + 600)
    vrt = write_vrt(tmp_path / "all.vrt", source("w.tif"), source("e.tif", 1))
    terrain = open_terrain(vrt)
    assert {Path(layer.path).name for layer in terrain.layers} == {"w.tif", "e.tif"}
    (grid,) = terrain.grids_around(*spot(59.5, 20), 250.0)
    assert not np.isnan(grid.height_m).any()  # no seam between the tiles


def test_a_void_value_of_the_vrt_holds_for_its_tiles(tmp_path: Path) -> None:
    ground = slope()
    ground[3, 3] = 0
    write_tif(tmp_path / "w.tif", ground)
    tile = source("w.tif", extra="<NODATA>0</NODATA>").replace("Simple", "Complex")
    (layer,) = open_terrain(write_vrt(tmp_path / "all.vrt", tile)).layers
    assert layer.void_value == 0.0
    assert layer.voids == pytest.approx(1 / 2400)


# ---------------------------------------------------------------- heights


@given(
    column=st.floats(0.0, 58.9),
    row=st.floats(0.0, 38.9),
)
def test_a_height_is_bilinear_at_the_very_spot(
    tmp_path_factory: pytest.TempPathFactory, column: float, row: float
) -> None:
    """A plane is its own bilinear interpolation."""
    path = tmp_path_factory.getbasetemp() / "plane.tif"
    if not path.exists():
        write_tif(path)
    height_m = open_terrain(path).height_at(*spot(column, row))
    assert height_m == pytest.approx(100 + 10 * row + column, abs=2e-3)


@pytest.mark.parametrize("turned", [False, True])
def test_a_raster_stored_south_up_is_the_same_ground(tmp_path: Path, turned: bool) -> None:
    from rasterio import Affine

    ground = slope()
    path = write_tif(
        tmp_path / "a.tif",
        ground[::-1] if turned else ground,
        transform=Affine(10, 0, WEST, 0, 10, NORTH - 400)
        if turned
        else Affine(10, 0, WEST, 0, -10, NORTH),
    )
    terrain = open_terrain(path)
    assert terrain.layers[0].y_first == NORTH - 5
    assert terrain.height_at(*spot(7, 33)) == pytest.approx(100 + 330 + 7, abs=1e-2)
    (grid,) = terrain.grids_around(*spot(30, 20), 100.0)
    assert grid.height_m[1, 0] - grid.height_m[0, 0] == 10.0


def test_outside_and_in_a_void_is_nan_never_nought(tmp_path: Path) -> None:
    ground = slope(dtype="int16")
    ground[10:20, 10:20] = -32768
    terrain = open_terrain(write_tif(tmp_path / "a.tif", ground, nodata=-32768))
    assert math.isnan(terrain.height_at(*spot(15, 15)))
    assert math.isnan(terrain.height_at(*spot(9.5, 15)))  # a void among the four around it
    assert math.isnan(terrain.height_at(*spot(-3, 5)))
    assert math.isnan(terrain.height_at(0.0, 0.0))
    assert terrain.height_at(*spot(8, 8)) == pytest.approx(188, abs=1e-2)


@pytest.mark.parametrize(
    ("filling", "dtype", "nodata"),
    [
        (-32768, "int16", -32768),
        (-32768, "int16", None),  # undeclared
        (-9999, "float32", None),
        (-3.4028234663852886e38, "float32", None),
        (np.nan, "float32", None),
        (np.inf, "float32", None),
        (65535, "uint16", 65535),
        (-2147483648, "int32", None),
        (0, "int16", 0),
    ],
)
def test_voids_are_masked_before_any_cast(
    tmp_path: Path, filling: float, dtype: str, nodata: float | None
) -> None:
    ground = slope(dtype=dtype)
    ground[10:20, 10:20] = filling
    (layer,) = open_terrain(write_tif(tmp_path / "a.tif", ground, nodata=nodata, unit="ft")).layers
    assert layer.voids == pytest.approx(100 / 2400)
    assert layer.lowest_m == pytest.approx(30.48, abs=1e-3)
    (grid,) = Terrain((layer,)).grids_around(*spot(15, 15), 40.0)
    assert np.isnan(grid.height_m).sum() == 100 - (
        100 - grid.height_m.size if grid.height_m.size < 100 else 0
    )


def test_a_mask_of_the_files_own_counts(tmp_path: Path) -> None:
    import rasterio

    path = write_tif(tmp_path / "a.tif", slope(dtype="int16"))
    mask = np.full((40, 60), 255, "uint8")
    mask[:, :30] = 0
    with rasterio.Env(GDAL_TIFF_INTERNAL_MASK=True), rasterio.open(path, "r+") as raster:
        raster.write_mask(mask)
    assert open_terrain(path).layers[0].voids == 0.5


def test_blocks_that_a_sparse_file_leaves_out_are_void_and_not_sea(tmp_path: Path) -> None:
    import rasterio
    from rasterio.windows import Window

    path = tmp_path / "a.tif"
    with rasterio.open(
        path, "w", driver="GTiff", width=256, height=256, count=1, dtype="int16", crs="EPSG:32627",
        transform=Affine(10, 0, WEST, 0, -10, NORTH), tiled=True, blockxsize=64, blockysize=64,
        SPARSE_OK=True,
    ) as raster:  # fmt: skip
        raster.write(np.full((64, 64), 80, "int16"), 1, window=Window(64, 128, 64, 64))
    terrain = open_terrain(path)
    assert terrain.layers[0].voids == pytest.approx(15 / 16)
    assert terrain.layers[0].lowest_m == 80.0
    assert math.isnan(terrain.height_at(*spot(5, 5)))
    assert terrain.height_at(*spot(100, 150)) == 80.0


# ---------------------------------------------------------------- the ground round a spot


def test_the_finest_comes_first_and_fills_nothing_of_the_others(tmp_path: Path) -> None:
    coarse = write_tif(tmp_path / "coarse.tif", np.full((100, 100), 7, "int16"), cell=30)
    fine = write_tif(tmp_path / "fine.tif", np.full((40, 60), 9, "int16"))
    terrain = open_terrain([coarse, fine])
    grids = terrain.grids_around(*spot(30, 20), 5000.0)
    assert [grid.name for grid in grids] == ["fine.tif", "coarse.tif"]
    assert [round(grid.cell_m) for grid in grids] == [10, 30]
    assert terrain.height_at(*spot(30, 20)) == 9.0
    assert terrain.height_at(*spot(100, 60)) == 7.0


def test_a_void_in_the_finest_is_answered_by_the_coarser(tmp_path: Path) -> None:
    ground = np.full((40, 60), 9, "float32")
    ground[15:25, 25:35] = np.nan
    fine = write_tif(tmp_path / "fine.tif", ground)
    coarse = write_tif(tmp_path / "coarse.tif", np.full((40, 40), 7, "int16"), cell=30)
    assert open_terrain([fine, coarse]).height_at(*spot(30, 20)) == 7.0


def test_only_a_window_is_read(tmp_path: Path) -> None:
    path = write_tif(tmp_path / "a.tif", np.zeros((2000, 2000), "int16"))
    (grid,) = open_terrain(path).grids_around(*spot(1000, 1000), 500.0)
    assert max(grid.height_m.shape) < 110


def test_a_grid_lies_where_its_cells_lie(tmp_path: Path) -> None:
    ground = slope(400, 600)
    (grid,) = open_terrain(write_tif(tmp_path / "a.tif", ground)).grids_around(*spot(301, 201), 300)
    column = round((WEST + 5 + 3010 - grid.x_first) / grid.x_step)
    row = round((NORTH - 5 - 2010 - grid.y_first) / grid.y_step)
    assert grid.height_m[row, column] == ground[201, 301]


def test_far_ground_comes_in_coarser_cells_of_the_same_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a plane the mean of a joined cell is the height at its centre."""
    monkeypatch.setattr(windows, "_HALF_WIDTH", 40)
    monkeypatch.setattr("backbearing.readers.terrain.heights.CREST", 0.0)
    write_tif(tmp_path / "w.tif", slope(403, 301))
    write_tif(tmp_path / "e.tif", slope(403, 301) + 301, west=WEST + 3010)
    terrain = open_terrain(tmp_path)
    grids = terrain.grids_around(*spot(300, 200), 10_000.0)
    assert [round(grid.cell_m) for grid in grids] == [10, 40, 160]
    for grid in grids:
        rows, columns = np.indices(grid.height_m.shape)
        column = (grid.x_first + columns * grid.x_step - WEST) / 10 - 0.5
        row = (NORTH - grid.y_first - rows * grid.y_step) / 10 - 0.5
        off = np.abs(grid.height_m - (100 + 10 * row + column))
        inner = off[1:-1, 1:-1]
        # a cell that straddles two tiles or the edge may be of a part of its cells only
        assert np.nanquantile(inner, 0.9) < 0.01
        assert np.isfinite(inner).all()


def test_joined_cells_keep_crests_between_mean_and_highest() -> None:
    ground = np.zeros((8, 8), "float32")
    ground[:, 3] = 100.0
    assert coarser(ground, 4)[0, 0] == pytest.approx((25 + 100) / 2)
    ground[0:4, 4:8] = np.nan
    ground[4, 4] = np.nan
    assert np.isnan(coarser(ground, 4)[0, 1])
    assert coarser(ground, 4)[1, 1] == 0.0


def test_a_large_files_own_overviews_are_used_far_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import rasterio
    from rasterio.enums import Resampling

    path = write_tif(
        tmp_path / "a.tif", slope(1024, 1024) / 2, tiled=True, blockxsize=256, blockysize=256
    )
    with rasterio.open(path, "r+") as raster:
        raster.build_overviews([2, 4, 8], Resampling.average)
    terrain = open_terrain(path)
    monkeypatch.setattr(windows, "_HALF_WIDTH", 60)
    monkeypatch.setattr("backbearing.readers.terrain.heights.CREST", 0.0)
    whole = terrain.grids_around(*spot(512, 512), 20_000.0)
    monkeypatch.setattr(windows, "_OVERVIEW_FROM", 1000)
    quick = terrain.grids_around(*spot(512, 512), 20_000.0)
    assert [grid.height_m.shape for grid in whole] == [grid.height_m.shape for grid in quick]
    for one, other in zip(whole, quick, strict=True):
        assert np.nanmax(np.abs(one.height_m - other.height_m)) < 0.01


def test_what_is_kept_is_bounded_whatever_the_rasters_hold(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(windows, "_MOST_KEPT", 200_000)
    path = write_tif(tmp_path / "a.tif", np.zeros((1000, 1000), "int16"))
    grids = open_terrain(path).grids_around(*spot(500, 500), 50_000.0)
    assert 0 < sum(grid.height_m.size for grid in grids) <= 200_000


def test_where_reading_would_never_end_the_ground_ends_nearer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(windows, "_HALF_WIDTH", 50)
    monkeypatch.setattr(windows, "_MOST_READ", 60_000)
    path = write_tif(tmp_path / "a.tif", np.zeros((1000, 1000), "int16"))
    grids = open_terrain(path).grids_around(*spot(500, 500), 50_000.0)
    widest_m = max(grid.height_m.shape[1] * grid.cell_m for grid in grids)
    assert 1000 < widest_m < 3000


def test_tiles_on_both_sides_of_the_antimeridian_are_one_ground(tmp_path: Path) -> None:
    ground = np.tile(np.arange(100.0, 200.0, dtype="float32"), (100, 1))
    east = write_tif(tmp_path / "a.tif", ground, crs="EPSG:4326", west=179.0, north=-16, cell=0.01)
    west = write_tif(
        tmp_path / "b.tif", ground + 100, crs="EPSG:4326", west=-180, north=-16, cell=0.01
    )
    terrain = open_terrain([east, west])
    for longitude_deg in (179.996, -179.996, 180.0, -180.0):
        (grid,) = terrain.grids_around(-16.5, longitude_deg, 5000.0)
        assert not np.isnan(grid.height_m).any()
        assert grid.height_m.max() > 200 > grid.height_m.min()
        nearest = grid.x_first + grid.x_step * np.arange(grid.height_m.shape[1])
        assert np.abs(nearest - longitude_deg).min() < 0.01
    assert terrain.height_at(-16.5, 179.995) == pytest.approx(199.0, abs=0.01)
    assert terrain.height_at(-16.5, -179.995) == pytest.approx(200.0, abs=0.01)
    assert terrain.height_at(-16.5, 180.0) == pytest.approx(199.5, abs=0.01)


def test_longitudes_from_0_to_360_are_found_too(tmp_path: Path) -> None:
    ground = np.full((18, 36), 42, "int16")
    path = write_tif(tmp_path / "a.tif", ground, crs="EPSG:4326", west=0, north=90, cell=10.0)
    terrain = open_terrain(path)
    assert terrain.layers[0].bounds_deg == (-180.0, -90.0, 180.0, 90.0)
    assert terrain.height_at(47.0, -21.0) == 42.0
    assert terrain.height_at(47.0, 0.0) == 42.0  # between the last column and the first


# ---------------------------------------------------------------- telling files apart


def test_a_fingerprint_is_of_the_content_alone(tmp_path: Path) -> None:
    path = write_tif(tmp_path / "a.tif")
    copy = Path(shutil.copy(path, tmp_path / "elsewhere.tif"))
    import os

    os.utime(copy, ns=(1, 1))
    assert fingerprint_of(copy) == fingerprint_of(path)
    assert stamp_of(copy) != stamp_of(path)
    content = bytearray(copy.read_bytes())
    content[-1] ^= 1
    copy.write_bytes(content)
    assert fingerprint_of(copy) != fingerprint_of(path)


def test_nothing_is_written_beside_a_raster(tmp_path: Path) -> None:
    path = write_tif(tmp_path / "a.tif", nodata=-1)
    terrain = open_terrain(path)
    terrain.grids_around(*spot(30, 20), 1000.0)
    assert list(tmp_path.iterdir()) == [path]


def test_a_raster_that_changed_its_shape_is_not_read_as_it_was(tmp_path: Path) -> None:
    terrain = open_terrain(write_tif(tmp_path / "a.tif"))
    write_tif(tmp_path / "a.tif", slope(50, 50))
    with pytest.raises(BadFile, match="not the raster it was"):
        terrain.grids_around(*spot(30, 20), 100.0)


@pytest.mark.parametrize("crs", ["EPSG:4326", "EPSG:3857", "EPSG:5321", "EPSG:27700"])
def test_any_projection_finds_its_own_ground(tmp_path: Path, crs: str) -> None:
    """Transformed there and back by PROJ: the cell that holds a spot is the one that is read."""
    latitude_deg, longitude_deg = (51.0, -2.0) if crs != "EPSG:5321" else (46.0, -80.0)
    into = Transformer.from_crs("EPSG:4326", crs, always_xy=True)
    x, y = into.transform(longitude_deg, latitude_deg)
    cell = 1e-4 if crs == "EPSG:4326" else 10.0
    ground = slope(200, 200)
    path = write_tif(
        tmp_path / "a.tif", ground, crs=crs, west=x - 100 * cell, north=y + 80 * cell, cell=cell
    )
    terrain = open_terrain(path)
    # the spot is the corner between columns 99 and 100, rows 79 and 80
    assert terrain.height_at(latitude_deg, longitude_deg) == pytest.approx(
        100 + 795 + 99.5, abs=0.05
    )
    (grid,) = terrain.grids_around(latitude_deg, longitude_deg, 300.0)
    assert not np.isnan(grid.height_m).any()
    assert min(grid.height_m.shape) * grid.cell_m >= 580
