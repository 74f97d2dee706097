"""Make gdal_viewshed_*.csv again: what GDAL 3.6.2's `gdal_viewshed` sees over made ground.

    python tests/outside/authorities/make_gdal_viewshed.py

needs `gdal_viewshed` on the path (Debian: gdal-bin). Its options here:

    -om GROUND  how high a thing must stand on the ground of each cell to be seen [m]
    -oz 1.5     height of the eye over the ground of its cell
    -cc c       the ground is lowered by c d² / 2R at distance d: 0 is a flat Earth without air,
                1 the round Earth without air, 1 − k with light bent by k. (R: the ellipsoid's
                larger half axis, 6,378,137 m; ours is the mean radius, 6,371 km: 0.1 % less.)

It takes cells as points and draws the line of sight of a cell through the two cells before it
(Wang, Robinson & White 2000, by its documentation), so it differs from a straight line over the
bilinear ground by what the ground does within a cell.
"""

from __future__ import annotations

import subprocess
import tempfile
from pathlib import Path

import numpy as np

HERE = Path(__file__).parent
CELLS, EYE, EYE_HEIGHT_M = 81, (40, 30), 1.5
GROUNDS = {"near": (10.0, 0.0), "far": (400.0, 0.87)}  # cell [m], -cc


def made_ground(name: str) -> np.ndarray:
    """Hills of two sizes, in closed form; over the far ground the Earth's curve takes 34 m."""
    row, column = np.mgrid[0:CELLS, 0:CELLS].astype(float)
    hills = 30.0 * np.sin(column / 9.0) * np.cos(row / 11.0) + 8.0 * np.sin(
        row / 3.1 + column / 4.3
    )
    return np.asarray(hills if name == "near" else 1.5 * hills + 60.0)


def main() -> None:
    import rasterio
    from rasterio.transform import from_origin

    for name, (cell_m, curve) in GROUNDS.items():
        with tempfile.TemporaryDirectory() as folder:
            source, target = Path(folder) / "ground.tif", Path(folder) / "seen.tif"
            with rasterio.open(
                source,
                "w",
                driver="GTiff",
                width=CELLS,
                height=CELLS,
                count=1,
                dtype="float64",
                crs="EPSG:32627",
                transform=from_origin(500_000.0, 5_200_000.0, cell_m, cell_m),
            ) as file:
                file.write(made_ground(name), 1)
            x = 500_000.0 + (EYE[1] + 0.5) * cell_m
            y = 5_200_000.0 - (EYE[0] + 0.5) * cell_m
            words = ["gdal_viewshed", "-q", "-om", "GROUND", "-oz", str(EYE_HEIGHT_M)]
            words += ["-cc", str(curve), "-ox", str(x), "-oy", str(y), str(source), str(target)]
            subprocess.run(words, check=True)
            with rasterio.open(target) as file:
                needed = file.read(1)
        np.savetxt(HERE / f"gdal_viewshed_{name}.csv", needed, fmt="%.2f", delimiter=",")


if __name__ == "__main__":
    main()
