"""Make all invented demo data again: the ground, its water, the walks over it and the notes.

    python demo_routes/make_demo.py            writes into maps/ and demo_routes/
    python demo_routes/make_demo.py --out DIR  writes into DIR/maps and DIR/demo_routes

Needs numpy, Pillow, pyproj and rasterio (the `test` extra). The same numbers come out every time.
"""

from __future__ import annotations

import argparse
import gzip
import json
import warnings
from pathlib import Path
from typing import TYPE_CHECKING, Any

import island
import numpy as np
import outings
import photos
import rasterio
from lines import Line, thinned
from pyproj import Transformer
from rasterio.transform import from_origin

if TYPE_CHECKING:
    from ground import Floats, Frame

# UTM zone 27 north: its central meridian is 21° W, so its north is true there
GRID = "EPSG:32627"
EAST, NORTH = 500_000, 5_205_000
TO_DEGREES = Transformer.from_crs(GRID, "EPSG:4326", always_xy=True)


def degrees(x: Floats, y: Floats) -> tuple[Floats, Floats]:
    """Longitude and latitude of metres east and north of the origin, to a decimetre."""
    longitude, latitude = TO_DEGREES.transform(np.asarray(x) + EAST, np.asarray(y) + NORTH)
    return np.round(longitude, 6), np.round(latitude, 6)


def write_ground(path: Path, frame: Frame, height: Floats) -> None:
    """One elevation raster: metres, float, sea 0, no voids, deflate with the float predictor."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        file = rasterio.open(
            path,
            "w",
            driver="GTiff",
            width=frame.columns,
            height=frame.rows,
            count=1,
            dtype="float32",
            crs=GRID,
            compress="deflate",
            predictor=3,
            zlevel=9,
            tiled=True,
            blockxsize=256,
            blockysize=256,
            transform=from_origin(EAST + frame.west, NORTH + frame.north, frame.cell, frame.cell),
        )
    with file:
        file.write(height.astype("float32"), 1)
        file.update_tags(
            TITLE="Invented ground near 47 N 21 W: there is only sea",
            SURFACE="bare ground, sea 0 m, water surfaces as they stand",
        )
        file.set_band_description(1, "height above sea level, m")


def water_json(made: island.Island) -> str:
    """The leat, the brooks (all drawn downstream) and the tarn, as RFC 7946 GeoJSON."""

    def ring(line: Line) -> list[list[float]]:
        longitude, latitude = degrees(*np.array(line).T)
        return [[a, b] for a, b in zip(longitude.tolist(), latitude.tolist(), strict=True)]

    def feature(kind: str, name: str, geometry: dict[str, Any], **more: Any) -> dict[str, Any]:
        properties = {"name": name, "kind": kind, **more}
        return {"type": "Feature", "properties": properties, "geometry": geometry}

    features = [
        feature(
            "leat",
            "the leat",
            {"type": "LineString", "coordinates": ring(made.leat)},
            intake_height_m=round(made.leat_m[0], 1),
            wheel_height_m=round(made.leat_m[1], 1),
        ),
        *(
            feature(
                "brook", name, {"type": "LineString", "coordinates": ring(thinned(line, 25, 5))}
            )
            for name, line in made.brooks.items()
        ),
        feature("tarn", "quarry tarn", {"type": "Polygon", "coordinates": [ring(made.tarn)]}),
    ]
    lines = ",\n".join(json.dumps(f) for f in features)
    return f'{{"type": "FeatureCollection", "features": [\n{lines}\n]}}\n'


def walls_json(made: island.Island) -> str:
    """The sheep wall along the corrie's northern arm, as RFC 7946 GeoJSON."""
    longitude, latitude = degrees(*np.array(made.wall).T)
    feature = {
        "type": "Feature",
        "properties": {"name": "sheep wall", "kind": "wall"},
        "geometry": {
            "type": "LineString",
            "coordinates": [
                [a, b] for a, b in zip(longitude.tolist(), latitude.tolist(), strict=True)
            ],
        },
    }
    return f'{{"type": "FeatureCollection", "features": [\n{json.dumps(feature)}\n]}}\n'


def places_json(made: island.Island) -> str:
    """Where the named things truly are, for tests and for later chapters of the demo."""
    places = {}
    for name, (x, y) in made.places.items():
        longitude, latitude = degrees(np.array(x), np.array(y))
        height = island.NEAR.sample(made.near, np.array(x), np.array(y))
        places[name] = {
            "latitude_deg": float(latitude),
            "longitude_deg": float(longitude),
            "height_m": round(float(height), 1),
        }
    return json.dumps(places, indent=1) + "\n"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=Path(__file__).resolve().parent.parent)
    out = parser.parse_args().out
    maps, routes = out / "maps", out / "demo_routes"
    maps.mkdir(parents=True, exist_ok=True)
    routes.mkdir(parents=True, exist_ok=True)
    made = island.build()
    write_ground(maps / "ground_10m.tif", island.NEAR, made.near)
    write_ground(maps / "ground_30m.tif", island.FAR, made.far)
    (maps / "water.geojson").write_text(water_json(made), encoding="utf-8")
    (routes / "walls.geojson").write_text(walls_json(made), encoding="utf-8")
    (routes / "places.json").write_text(places_json(made), encoding="utf-8")
    for name, text in outings.files(made, degrees).items():
        content = text.encode("utf-8")
        if name.endswith(".gz"):
            content = gzip.compress(content, 9, mtime=0)
        (routes / name).write_bytes(content)
    for name, picture in photos.files(made, degrees).items():
        (routes / name).write_bytes(picture)


if __name__ == "__main__":
    main()
