"""The demo's invented ground and walks: made by the script, and what their README says they are."""

from __future__ import annotations

import gzip
import itertools
import json
import re
import subprocess
import sys
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest
import rasterio
from PIL import Image
from pyproj import Transformer

ROOT = Path(__file__).parent.parent
MAPS, ROUTES = ROOT / "maps", ROOT / "demo_routes"
GPX = sorted([*ROUTES.glob("*.gpx"), *ROUTES.glob("*.gpx.gz")])
TO_GRID = Transformer.from_crs("EPSG:4326", "EPSG:32627", always_xy=True)


class Ground:
    """One of the rasters, and its heights anywhere on it (bilinear)."""

    def __init__(self, name: str) -> None:
        with rasterio.open(MAPS / name) as file:
            self.height = file.read(1).astype(float)
            self.cell = file.res[0]
            self.west, self.north = file.bounds.left, file.bounds.top
            self.crs, self.nodata = file.crs, file.nodata

    def at(self, east: np.ndarray, north: np.ndarray) -> np.ndarray:
        c, r = (east - self.west) / self.cell - 0.5, (self.north - north) / self.cell - 0.5
        i, j = np.floor(r).astype(int), np.floor(c).astype(int)
        u, v, z = r - i, c - j, self.height
        return (z[i, j] * (1 - v) + z[i, j + 1] * v) * (1 - u) + (
            z[i + 1, j] * (1 - v) + z[i + 1, j + 1] * v
        ) * u

    def slope_deg(self) -> np.ndarray:
        """Horn's slope over 3 × 3 cells (Proc. IEEE 69, 1981)."""
        z = self.height
        w = (1, 2, 1)
        east = sum(
            k * (z[a : a + len(z) - 2, 2:] - z[a : a + len(z) - 2, :-2]) for a, k in enumerate(w)
        )
        width = z.shape[1] - 2
        north = sum(k * (z[:-2, b : b + width] - z[2:, b : b + width]) for b, k in enumerate(w))
        return np.pad(np.degrees(np.arctan(np.hypot(east, north) / (8 * self.cell))), 1)


@pytest.fixture(scope="module")
def near() -> Ground:
    return Ground("ground_10m.tif")


@pytest.fixture(scope="module")
def far() -> Ground:
    return Ground("ground_30m.tif")


@pytest.fixture(scope="module")
def places() -> dict[str, tuple[float, float]]:
    """Name → easting and northing."""
    known = json.loads((ROUTES / "places.json").read_text())
    return {
        name: TO_GRID.transform(p["longitude_deg"], p["latitude_deg"]) for name, p in known.items()
    }


def water() -> list[dict]:
    return json.loads((MAPS / "water.geojson").read_text())["features"]


def line_of(feature: dict) -> tuple[np.ndarray, np.ndarray]:
    """A line's easting and northing every 5 m."""
    e, n = TO_GRID.transform(*np.array(feature["geometry"]["coordinates"]).T)
    s = np.concatenate([[0], np.cumsum(np.hypot(np.diff(e), np.diff(n)))])
    at = np.arange(0, s[-1], 5)
    return np.interp(at, s, e), np.interp(at, s, n)


def text_of(path: Path) -> str:
    raw = path.read_bytes()
    return (gzip.decompress(raw) if path.suffix == ".gz" else raw).decode()


# ---------------------------------------------------------------- the script


def test_the_script_makes_the_committed_files_again(tmp_path: Path) -> None:
    subprocess.run(
        [sys.executable, str(ROUTES / "make_demo.py"), "--out", str(tmp_path)], check=True
    )
    made = sorted(p for p in tmp_path.rglob("*") if p.is_file())
    assert {p.name for p in made} >= {p.name for p in GPX} | {
        "notes.txt",
        "water.geojson",
        "walls.geojson",
    }
    for path in made:
        kept = ROOT / path.relative_to(tmp_path)
        if path.suffix == ".tif":  # GDAL's version may pack the same heights differently
            with rasterio.open(path) as new, rasterio.open(kept) as old:
                assert np.array_equal(new.read(1), old.read(1)), path.name
                assert (new.crs, new.transform) == (old.crs, old.transform)
        elif path.suffix == ".jpg":  # another libjpeg rounds otherwise
            with Image.open(path) as new, Image.open(kept) as old:
                assert new.getexif().tobytes() == old.getexif().tobytes(), path.name
                apart = np.subtract(np.asarray(new, dtype=float), np.asarray(old, dtype=float))
                assert np.abs(apart).mean() < 2.0, path.name
        elif path.suffix == ".gz":
            assert gzip.decompress(path.read_bytes()) == gzip.decompress(kept.read_bytes())
        else:
            assert path.read_bytes() == kept.read_bytes(), path.name


# ---------------------------------------------------------------- the ground


def test_rasters_are_small_in_metres_and_without_voids(near: Ground, far: Ground) -> None:
    assert sum(p.stat().st_size for p in MAPS.glob("*.tif")) <= 3_000_000
    for ground, cell in ((near, 10), (far, 30)):
        assert ground.cell == cell
        assert ground.crs.to_epsg() == 32627
        assert ground.nodata is None
        assert np.isfinite(ground.height).all()
        assert ground.height.min() == 0  # the sea
        assert np.array_equal(ground.height * 8, np.round(ground.height * 8))


def test_both_rasters_tell_of_the_same_ground(near: Ground, far: Ground) -> None:
    rows, columns = np.mgrid[100:500:7, 100:560:7]
    e = near.west + (columns + 0.5) * 10
    n = near.north - (rows + 0.5) * 10
    apart = np.abs(near.at(e, n) - far.at(e, n))
    assert np.median(apart) < 2
    assert np.percentile(apart, 99) < 25  # terraces and walls that 30 m cells cannot hold


def test_the_headwall_is_50_to_70_degrees_steep(
    near: Ground, places: dict[str, tuple[float, float]]
) -> None:
    e, n = np.meshgrid(
        near.west + (np.arange(near.height.shape[1]) + 0.5) * 10,
        near.north - (np.arange(near.height.shape[0]) + 0.5) * 10,
    )
    # the corrie's head: south-west of its tarn, above the scree and under the rim
    x, y = e - 500_135, n - 5_205_060
    head = (np.hypot(x, y) < 620) & (x + y < -120) & (near.height > 415) & (near.height < 560)
    slope = near.slope_deg()
    wall = head & (slope > 42)
    assert wall.sum() > 300
    assert np.mean((slope[wall] > 48) & (slope[wall] < 72)) > 0.85
    assert 50 < np.median(slope[wall]) < 70


def test_terraces_are_benches_and_risers(
    near: Ground, places: dict[str, tuple[float, float]]
) -> None:
    # across the five terraces, from the corrie's floor up to the raw face
    e0, n0 = places["winding house"]
    out = np.arange(-215, 35, 5)
    e, n = e0 - 0.670 * out - 0.742 * 140, n0 + 0.742 * out - 0.670 * 140
    height = near.at(e, n)
    benches = [372, 388, 404, 420, 436]
    for level in benches[1:]:
        flat = np.abs(height - level) < 1.0
        assert flat.sum() * 5 >= 15, level  # metres of bench
    assert height[0] < 372 < 436 < height[-1]


def test_the_incline_is_a_straight_ramp_of_18_to_22_degrees(
    near: Ground, places: dict[str, tuple[float, float]]
) -> None:
    (e0, n0), (e1, n1) = (
        places["incline foot"],
        (
            500_120 + 176 * 0.742 - 418 * 0.670,
            5_205_090 + 176 * 0.670 + 418 * 0.742,
        ),
    )
    t = np.linspace(0.04, 0.96, 40)
    height = near.at(e0 + t * (e1 - e0), n0 + t * (n1 - n0))
    run = t * np.hypot(e1 - e0, n1 - n0)
    slope, offset = np.polyfit(run, height, 1)
    assert 18 <= np.degrees(np.arctan(slope)) <= 22
    assert np.abs(height - slope * run - offset).max() < 2.5


def test_the_leat_falls_one_in_two_hundred_all_the_way(near: Ground) -> None:
    (leat,) = [f for f in water() if f["properties"]["kind"] == "leat"]
    e, n = line_of(leat)
    height = near.at(e, n)
    length = 5.0 * (len(e) - 1)
    assert 1_500 < length < 2_500
    (arch,) = [json.loads((ROUTES / "places.json").read_text())["arch"]]
    ae, an = TO_GRID.transform(arch["longitude_deg"], arch["latitude_deg"])
    open_air = np.hypot(e - ae, n - an) > 35  # there the incline's bank stands over it
    fall = np.polyfit(np.arange(len(e))[open_air] * 5.0, height[open_air], 1)[0]
    assert 1 / -fall == pytest.approx(200, rel=0.05)
    low_so_far = np.minimum.accumulate(height[open_air])
    assert (height[open_air] - low_so_far).max() < 0.4  # what bilinear cells make of its banks
    told = leat["properties"]
    assert told["intake_height_m"] - told["wheel_height_m"] == pytest.approx(length / 200, abs=0.3)


def test_brooks_run_downhill_to_the_sea_or_a_larger_one(near: Ground) -> None:
    for feature in water():
        if feature["properties"]["kind"] != "brook":
            continue
        e, n = line_of(feature)
        height = near.at(e, n)
        assert height[0] > height[-1], feature["properties"]["name"]
        climbed = np.diff(height)[np.diff(height) > 0].sum()
        assert climbed < 0.2 * (height[0] - height[-1]) + 5, feature["properties"]["name"]


def test_the_gap_path_and_those_who_walked_it_go_through_the_hole_in_the_wall() -> None:
    from shapely import LineString, Point

    (wall,) = json.loads((ROUTES / "walls.geojson").read_text())["features"]
    assert wall["properties"] == {"name": "sheep wall", "kind": "wall"}
    east, north = line_of(wall)
    known = json.loads((ROUTES / "places.json").read_text())["wall hole"]
    hole = Point(TO_GRID.transform(known["longitude_deg"], known["latitude_deg"]))
    drawn = LineString(np.stack([east, north], axis=1))
    assert drawn.distance(hole) < 3.0
    fixes = re.findall(
        r'<trkpt lat="([-.\d]+)" lon="([-.\d]+)"',
        text_of(ROUTES / "2025-05-17-over-the-gap.gpx"),
    )
    walked = LineString(
        [TO_GRID.transform(float(longitude), float(latitude)) for latitude, longitude in fixes]
    )
    assert walked.intersection(drawn).distance(hole) < 15.0


def test_water_lines_are_rfc_7946() -> None:
    """RFC 7946, sections 3.1.6, 3.3 and 4: closed rings counter-clockwise, lon/lat, no crs."""
    whole = json.loads((MAPS / "water.geojson").read_text())
    assert whole["type"] == "FeatureCollection"
    assert "crs" not in whole
    for feature in whole["features"]:
        assert feature["type"] == "Feature"
        kind, coordinates = feature["geometry"]["type"], feature["geometry"]["coordinates"]
        ring = np.array(coordinates[0] if kind == "Polygon" else coordinates)
        assert len(ring) >= (4 if kind == "Polygon" else 2)
        assert ((ring[:, 0] > -21.1) & (ring[:, 0] < -20.9)).all()
        assert ((ring[:, 1] > 46.9) & (ring[:, 1] < 47.1)).all()
        if kind == "Polygon":
            assert (ring[0] == ring[-1]).all()
            x, y = ring[:, 0], ring[:, 1]
            assert np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]) > 0


def test_the_ridge_takes_the_afternoon_and_the_second_island_the_lowest_sun(
    near: Ground, far: Ground, places: dict[str, tuple[float, float]]
) -> None:
    """Altitude angles from the winding house by plain rays, k = 0.13."""
    e0, n0 = places["winding house"]
    eye = near.at(np.array([e0]), np.array([n0]))[0] + 1.5

    def blocked_deg(azimuth: float, least: float, most: float, ground: Ground) -> float:
        d = np.arange(least, most, 10.0)
        e, n = e0 + d * np.sin(np.radians(azimuth)), n0 + d * np.cos(np.radians(azimuth))
        rise = ground.at(e, n) - eye - 0.87 * d**2 / (2 * 6_371_000)
        return float(np.degrees(np.arctan2(rise, d)).max())

    for azimuth in (200, 210, 220, 230):
        assert 12 < blocked_deg(azimuth, 300, 2_300, near) < 25
    assert 1 < max(blocked_deg(a, 8_000, 14_000, far) for a in (100, 110, 120)) < 3


def test_passages_are_in_the_ground(near: Ground, places: dict[str, tuple[float, float]]) -> None:
    slope = near.slope_deg()

    def steepest(name: str, within: float) -> float:
        e, n = places[name]
        r, c = int((near.north - n) / 10), int((e - near.west) / 10)
        k = int(within / 10)
        return float(slope[r - k : r + k + 1, c - k : c + k + 1].max())

    assert steepest("bridge", 40) > 28  # a gorge: not crossed beside the bridge
    assert steepest("ford", 30) < 25  # low banks
    # the gap lies well under the arm on either side of it
    (e, n), z = places["gap"], near.at(*(np.array([v]) for v in places["gap"]))[0]
    sides = [
        near.at(np.array([e + k * 0.742 * 60]), np.array([n + k * 0.670 * 60]))[0] - z
        for k in (-1, 1)
    ]
    assert min(sides) > 10


# ---------------------------------------------------------------- the walks


@pytest.mark.parametrize("path", GPX, ids=lambda p: p.name)
def test_walks_are_on_land_at_walking_speed(path: Path, near: Ground) -> None:
    text = text_of(path)
    assert 'creator="invented for Backbearing"' in text
    speeds, east, north, bad = [], [], [], 0
    for segment in text.split("<trkseg>")[1:]:
        found = re.findall(r'lat="(.+?)" lon="(.+?)">.*?<time>(.+?)</time>', segment)
        lat, lon = np.array([(float(a), float(b)) for a, b, _ in found]).T
        e, n = TO_GRID.transform(lon, lat)
        t = np.array([datetime.fromisoformat(w).timestamp() for *_, w in found])
        assert (np.diff(t) >= 0).all()
        moved = np.diff(t) > 0
        speed = np.hypot(np.diff(e), np.diff(n))[moved] / np.diff(t)[moved]
        bad += int((speed > 3).sum())
        speeds.extend(speed[speed <= 3])
        east.extend(e)
        north.extend(n)
    assert bad <= 2  # one wild fix, there and back
    assert 0.4 < np.median(speeds) < 1.5
    assert np.percentile(speeds, 99) < 2.2
    assert (near.at(np.array(east), np.array(north)) > 0).mean() > 0.98


def test_the_faults_of_real_tracks_are_there() -> None:
    texts = {p.name: text_of(p) for p in GPX}
    assert {p.suffix for p in GPX} == {".gpx", ".gz"}
    assert {re.search(r'<gpx version="(.+?)"', t)[1] for t in texts.values()} == {"1.0", "1.1"}
    assert any(t.count("<trkseg>") > 1 for t in texts.values())
    assert any("+01:00</time>" in t for t in texts.values())
    assert any("<rte>" in t for t in texts.values())
    assert any("<wpt " in t for t in texts.values())
    for text in texts.values():
        points = re.findall(r"<trkpt .*", text)
        assert any(a == b for a, b in itertools.pairwise(points))
        assert any("<ele>" not in p for p in points)


def test_every_record_falls_into_a_walk() -> None:
    spans = []
    for path in GPX:
        times = [
            datetime.fromisoformat(w) for w in re.findall(r"<time>(.+?)</time>", text_of(path))
        ]
        spans.append((min(times), max(times)))
    from zoneinfo import ZoneInfo

    for line in (ROUTES / "notes.txt").read_text().splitlines():
        when = datetime.fromisoformat(line[:16]).replace(tzinfo=ZoneInfo("Atlantic/Azores"))
        assert any(a <= when <= b for a, b in spans), line
