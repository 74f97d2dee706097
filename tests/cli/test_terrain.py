"""`terrain`: rasters on record from the command line, in words and as JSON."""

from __future__ import annotations

import json
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result
from tests.readers.rasters import WEST, spot, write_tif

from backbearing.cli.main import main

MAPS = Path(__file__).parents[2] / "maps"
SCHEMA = json.loads((files("backbearing.schemas") / "terrain.json").read_text("utf-8"))


@pytest.fixture
def run(tmp_path: Path):
    def call(*args: str | Path, code: int = 0) -> Result:
        done = CliRunner().invoke(
            main, ["--notebook", str(tmp_path / "notebook.gpkg"), *map(str, args)]
        )
        assert done.exit_code == code, (done.output, done.exception)
        return done

    return call


def test_the_demos_ground_covers_the_winding_house(run) -> None:
    latitude_deg, longitude_deg = 47.0, -21.0
    run("mark", "winding house", "--at", f"{latitude_deg:.6f}, {longitude_deg:.6f}")
    said = run("terrain", "add", MAPS / "ground_10m.tif", MAPS / "ground_30m.tif").stdout
    assert "added: ground_10m.tif" in said
    assert "660 × 600 cells of 10 m" in said
    assert "bare ground" in said
    assert "error 5 m (assumed from the cell size)" in said
    listed = run("terrain", "list").stdout
    assert "winding house: 10 m cells (ground_10m.tif) for" in listed
    assert "; beyond, 30 m cells (ground_30m.tif) for" in listed


def test_json_is_as_its_schema_says(run, tmp_path: Path) -> None:
    run("mark", "arch", "--at", "{:.6f}, {:.6f}".format(*spot(20, 10)))
    path = write_tif(tmp_path / "a.tif")
    added = json.loads(run("terrain", "add", path, "--json").stdout)
    listed = json.loads(run("terrain", "list", "--json").stdout)
    refused = json.loads(run("terrain", "add", "nope.tif", "--json", code=2).stdout)
    for answer in (added, listed, refused):
        jsonschema.validate(answer, SCHEMA)
    assert added["layers"][0]["outcome"] == "added"
    assert listed["layers"][0]["state"] == "there"
    assert listed["subjects"][0]["by"][0]["rasters"] == ["a.tif"]
    assert refused["refused"][0]["path"] == "nope.tif"


def test_what_the_user_says_of_it(run, tmp_path: Path) -> None:
    path = write_tif(tmp_path / "a.tif")
    said = run("terrain", "add", path).stdout
    assert "bare ground or surface model: not known" in said
    assert "read as metres (assumed)" in said
    said = run(
        "terrain", "add", path, "--ground", "surface", "--vertical-error", "10ft", "--units", "ft"
    ).stdout
    assert "brought up to date: a.tif" in said
    assert "surface model" in said
    assert "heights 30 to 167 m, read as feet (given); error 3 m (given)" in said
    run("terrain", "add", path, "--vertical-error", "much", code=1)  # BadInput, exit 2 in `run`
    run("terrain", "add", path, "--units", "fathoms", code=2)


def test_tiles_of_a_folder_are_told_as_one(run, tmp_path: Path) -> None:
    tiles = tmp_path / "tiles"
    tiles.mkdir()
    for number in range(12):
        write_tif(tiles / f"{number:02}.tif", west=WEST + 600 * number)
    said = run("terrain", "add", tiles).stdout
    assert "added: 12 tiles of tiles" in said
    assert said.count("GeoTIFF") == 1
    assert "12 tiles of tiles" in run("terrain", "list").stdout
    (tiles / "03.tif").unlink()
    assert "11 there and 1 not there" in run("terrain", "list").stdout
    forgotten = run("terrain", "forget", tiles).stdout
    assert "and 7 more (their files are left alone)" in forgotten
    assert "No terrain on record" in run("terrain", "list").stdout


def test_a_bad_raster_is_one_sentence_and_exit_2(tmp_path: Path) -> None:
    (tmp_path / "a\x1b[31m.tif").write_bytes((MAPS / "ground_10m.tif").read_bytes()[:90_000])
    done = subprocess.run(
        [sys.executable, "-m", "backbearing", "--notebook", "n.gpkg", "terrain", "add", "."],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1
    assert "\x1b" not in done.stderr + done.stdout
    assert not (tmp_path / "n.gpkg").exists()  # nothing came of it, and no notebook either


def test_listing_needs_neither_arrays_nor_the_rasters_library(run, tmp_path: Path) -> None:
    run("terrain", "add", write_tif(tmp_path / "a.tif"))
    code = (
        "import sys; from backbearing.cli.main import run\n"
        "sys.argv = ['backbearing', '--notebook', 'notebook.gpkg', 'terrain', 'list']\n"
        "try: run()\n"
        "except SystemExit: pass\n"
        "print([name for name in ('rasterio', 'numpy') if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=tmp_path, check=True
    )
    assert done.stdout.splitlines()[-1] == "[]"


def test_a_path_that_is_not_there_is_told_once_as_a_slip(tmp_path: Path) -> None:
    done = CliRunner().invoke(
        main, ["--notebook", str(tmp_path / "n.gpkg"), "terrain", "add", "maps/nix.tif"]
    )
    assert done.exit_code == 2
    assert done.stdout == "refused: maps/nix.tif\n"
    assert done.stderr.startswith("backbearing: 'maps/nix.tif': there is no such file or folder")


def test_light_and_exposure_say_that_a_raster_on_record_is_gone(run, tmp_path: Path) -> None:
    path = write_tif(tmp_path / "a.tif")
    run("terrain", "add", path, "--ground", "bare")
    run("mark", "arch", "--at", "{:.6f}, {:.6f}".format(*spot(20, 10)))
    path.unlink()
    said = run("light", "arch", "--on", "2027-05-20").stdout
    assert "Flat horizon assumed: a.tif is not there." in said
    exposed = run("expose", "arch", "--date", "2027-05-20").stdout
    assert "flat horizon assumed: a.tif is not there" in " ".join(exposed.split())
