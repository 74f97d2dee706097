"""Nine in ten: windows over ground, places and air that stray as far as they are said to.

Monte Carlo over one true world: a hilly ground whose heights a raster gives only within its
stated accuracy (95 %), a spot known within its stated radius (95 %) and refraction that varies.
Each draw is a user with a raster and a position of their own; the answer printed for them must
hold the true first sun within its ± at least nine times in ten. The true first sun is found
from the true ground's skyline, as `models.skyline` casts it (tests/outside holds that to closed
forms and fine rays), so what is tested here is the ± alone.
"""

from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import pytest
import rasterio
from rasterio.transform import Affine
from scipy.ndimage import gaussian_filter

from backbearing.models.skyline import skyline
from backbearing.models.sunlight import sunlit_spans
from backbearing.notebook import open_notebook
from backbearing.notebook.subjects import add_subject
from backbearing.places.utm import outwards
from backbearing.plans.light import best_light
from backbearing.plans.terrain import add_terrain
from backbearing.records import Grid, Place, Skyline, Subject, WantedLight

LATITUDE, LONGITUDE = 47.0, -21.0
EAST_M, NORTH_M = 500_000.0, 5_205_164.6  # the same place in UTM zone 27
CELL_M, CELLS = 20.0, 240
WEST_M, TOP_M = EAST_M - CELL_M * CELLS / 2, NORTH_M + CELL_M * CELLS / 2  # first cell, centre
DAY = date(2026, 3, 10)
DRAWS = 40
HOLDS = 0.9
VERTICAL_M, POSITION_M = 5.0, 20.0  # 95 %, as stated to the program
TWO_SIGMA = 1.96  # a height's 95 % in sigmas
CIRCLE_95 = 2.448  # of a place's circle, in sigmas of each axis
REFRACTION_DEG = 0.05  # one sigma right at the horizon, common practice


def grid(height_m: np.ndarray) -> Grid:
    return Grid(
        height_m=height_m.astype(np.float32),
        x_first=WEST_M,
        y_first=TOP_M,
        x_step=CELL_M,
        y_step=-CELL_M,
        crs="EPSG:32627",
        cell_m=CELL_M,
        vertical_error_m=VERTICAL_M,
        ground="bare ground",
        name="true",
    )


def ground() -> np.ndarray:
    """Slopes that rise to a ridge in the east, with hills on it."""
    rough = gaussian_filter(np.random.default_rng(5).normal(0.0, 1.0, (CELLS, CELLS)), 8.0)
    x = (np.arange(CELLS) - CELLS / 2) * CELL_M
    ridge = 180.0 * np.exp(-(((x - 900.0) / 300.0) ** 2))
    return 100.0 + ridge[None, :] + 25.0 * rough / rough.std()


def first_sun(ground_skyline: Skyline, latitude: float, longitude: float) -> datetime:
    start, end = datetime(2026, 3, 10, 6, tzinfo=UTC), datetime(2026, 3, 10, 14, tzinfo=UTC)
    spans = sunlit_spans(ground_skyline, latitude, longitude, start, end, height_m=100.0)
    return spans[0, 0].item().replace(tzinfo=UTC)


@pytest.mark.parametrize("smooth_cells", [0.0, 6.0])
def test_first_sun_lies_within_its_error_nine_times_in_ten(
    tmp_path: Path, smooth_cells: float
) -> None:
    """smooth_cells: how far a raster's errors go together; real ones err by whole slopes."""
    rng = np.random.default_rng(17)
    true_ground = ground()
    true = skyline([grid(true_ground)], LATITUDE, LONGITUDE, eye_height_m=1.5, reach_m=2_000.0)
    held, widths = 0, []
    for draw in range(DRAWS):
        noise = rng.normal(0.0, 1.0, (CELLS, CELLS))
        if smooth_cells:
            noise = gaussian_filter(noise, smooth_cells)
            noise /= noise.std()
        raster = tmp_path / f"{draw}.tif"
        strayed = true_ground + noise * VERTICAL_M / TWO_SIGMA
        write(raster, strayed)
        off_m = float(rng.rayleigh(POSITION_M / CIRCLE_95))
        latitude, longitude = outwards(
            LATITUDE, LONGITUDE, np.array([rng.uniform(0.0, 360.0)]), np.array([off_m])
        )
        lifted = rng.normal(0.0, REFRACTION_DEG) * np.exp(-np.maximum(true.altitude_deg, 0.0))
        air = Skyline(
            azimuth_deg=true.azimuth_deg,
            altitude_deg=true.altitude_deg - lifted,
            distance_m=true.distance_m,
            reach_m=true.reach_m,
            basis="true",
        )
        place = Place(
            latitude_deg=float(latitude[0]),
            longitude_deg=float(longitude[0]),
            error_m=POSITION_M,
            error_basis="given",
        )
        with open_notebook(tmp_path / f"{draw}.gpkg", create=True) as notebook:
            wanted = WantedLight(direct_sun=True)
            with notebook.writing():
                add_subject(notebook, Subject(name="sluice", place=place, wanted=wanted))
            add_terrain(notebook, [raster], ground="bare ground", vertical_error_m=VERTICAL_M)
            windows = best_light(notebook, ["sluice"], start=DAY, end=DAY).windows
        soonest = min(windows, key=lambda window: window.start)
        off_min = (soonest.start - first_sun(air, LATITUDE, LONGITUDE)).total_seconds() / 60.0
        # the start is the first whole minute inside, so up to a minute later than first sun
        held += -soonest.plus_minus_min <= off_min <= soonest.plus_minus_min + 1.0
        widths.append(soonest.plus_minus_min)
    print(f"held {held} of {DRAWS}, ± {np.median(widths):.0f} min in the median")
    assert held >= HOLDS * DRAWS
    assert np.median(widths) < 60.0, "an error that holds everything says nothing"


def write(path: Path, height_m: np.ndarray) -> None:

    with rasterio.open(
        path,
        "w",
        driver="GTiff",
        width=CELLS,
        height=CELLS,
        count=1,
        dtype="float32",
        crs="EPSG:32627",
        transform=Affine(CELL_M, 0.0, WEST_M - CELL_M / 2, 0.0, -CELL_M, TOP_M + CELL_M / 2),
    ) as out:
        out.write(height_m.astype(np.float32), 1)
