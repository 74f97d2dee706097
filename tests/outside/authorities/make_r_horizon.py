"""Make the kept outputs of GRASS r.horizon again, on matplotlib's real sample of SRTM.

python -m tests.outside.authorities.make_r_horizon

Needs `grass` (Debian: apt-get install grass-core; the kept files are of 8.2.1) and matplotlib.
Beside this file it writes `r_horizon_ROW_COLUMN.csv`, azimuth and horizon height in degrees, for
the centres of three cells. The commands are exactly those of COMMANDS below: -d degrees, -c
azimuths clockwise from true north, 720 of them; maxdistance lies beyond the sample, since the
module takes it in metres here.
"""

from __future__ import annotations

import subprocess
import tempfile
from pathlib import Path

from tests.benchmarks.horizon_rays import jacksboro

HERE = Path(__file__).parent
SPOTS = ((172, 202), (120, 300), (250, 110))  # rows and columns
COMMANDS = (
    "r.in.ascii input={ascii} output=ground --quiet",
    "g.region raster=ground",
    *(
        f"r.horizon -d -c elevation=ground coordinates={{x{i}}},{{y{i}}} step=0.5 direction=0 "
        f"maxdistance=40000 file={{out{i}}} --overwrite --quiet"
        for i in range(len(SPOTS))
    ),
)


def main() -> None:
    grid = jacksboro()
    rows, columns = grid.height_m.shape
    north, west = grid.y_first - grid.y_step / 2, grid.x_first - grid.x_step / 2
    with tempfile.TemporaryDirectory() as folder:
        ascii_grid = Path(folder, "ground.txt")
        header = (
            f"north: {north!r}\nsouth: {north + rows * grid.y_step!r}\n"
            f"east: {west + columns * grid.x_step!r}\nwest: {west!r}\n"
            f"rows: {rows}\ncols: {columns}\n"
        )
        lines = (" ".join(str(int(height)) for height in row) for row in grid.height_m)
        ascii_grid.write_text(header + "\n".join(lines) + "\n")
        names = {"ascii": str(ascii_grid)}
        for index, (row, column) in enumerate(SPOTS):
            names[f"x{index}"] = repr(grid.x_first + column * grid.x_step)
            names[f"y{index}"] = repr(grid.y_first + row * grid.y_step)
            names[f"out{index}"] = str(HERE / f"r_horizon_{row}_{column}.csv")
        job = Path(folder, "job.sh")
        job.write_text("set -e\n" + "\n".join(c.format(**names) for c in COMMANDS) + "\n")
        home = f"{folder}/place"
        subprocess.run(["grass", "-c", "EPSG:4326", "-e", home], check=True)
        subprocess.run(["grass", f"{home}/PERMANENT", "--exec", "bash", str(job)], check=True)


if __name__ == "__main__":
    main()
