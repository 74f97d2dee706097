"""Rasters and skylines in the notebook: kept whole, read tolerantly, hidden from a GIS."""

from __future__ import annotations

import dataclasses
import json
import sqlite3
import zlib
from pathlib import Path

import numpy as np
import pytest

from backbearing.notebook import Notebook, open_notebook, schema
from backbearing.notebook import terrain as shelf
from backbearing.notebook.integrity import check
from backbearing.records import Skyline, TerrainLayer

LAYER = TerrainLayer(
    path="/drive/ground_10m.tif",
    kind="GeoTIFF",
    crs="EPSG:32627",
    columns=660,
    rows=600,
    x_first=497005.0,
    y_first=5208595.0,
    x_step=10.0,
    y_step=-10.0,
    cell_m=10.004,
    ground="bare ground",
    vertical_error_m=2.0,
    vertical_error_basis="given",
    unit_m=0.3048,
    unit_basis="stated in the file",
    void_value=-1.0,
    voids=0.25,
    lowest_m=-0.5,
    highest_m=868.6,
    bounds_deg=(179.9, 46.97, -179.9, 47.03),
    fingerprint="ab" * 16,
    stamp="12:34",
)


def skyline(seed: int = 0) -> Skyline:
    rng = np.random.default_rng(seed)
    distance = rng.uniform(10, 5e4, 720)
    distance[::7] = np.nan
    return Skyline(
        azimuth_deg=np.arange(0.0, 360.0, 0.5),
        altitude_deg=rng.uniform(-2, 60, 720),
        distance_m=distance,
        reach_m=rng.uniform(1e3, 5e4, 720),
        basis="terrain of 10 m cells",
        eye_height_m=123.4,
        cell_m=np.full(720, 10.0),
    )


def same(one: Skyline, other: Skyline) -> bool:
    def equal(a: object, b: object) -> bool:
        if isinstance(a, np.ndarray):
            return isinstance(b, np.ndarray) and np.array_equal(a, b, equal_nan=True)
        return a == b or (a != a and b != b)  # nan

    return all(
        equal(getattr(one, field.name), getattr(other, field.name))
        for field in dataclasses.fields(Skyline)
    )


def test_a_layer_comes_back_as_it_was(notebook: Notebook) -> None:
    with notebook.writing():
        stored = shelf.register_layer(notebook, LAYER)
    assert stored == dataclasses.replace(LAYER, id=stored.id)
    assert shelf.list_layers(notebook) == [stored]


def test_one_path_is_one_layer(notebook: Notebook) -> None:
    changed = dataclasses.replace(LAYER, fingerprint="cd" * 16, ground="surface")
    with notebook.writing():
        first = shelf.register_layer(notebook, LAYER)
        second = shelf.register_layer(notebook, changed)
    assert first.id == second.id
    assert shelf.list_layers(notebook) == [second]


def test_the_finest_comes_first_and_a_forgotten_one_is_gone(notebook: Notebook) -> None:
    coarse = dataclasses.replace(LAYER, path="/drive/a.tif", cell_m=30.0)
    with notebook.writing():
        first = shelf.register_layer(notebook, coarse)
        shelf.register_layer(notebook, LAYER)
    assert [layer.cell_m for layer in shelf.list_layers(notebook)] == [10.004, 30.0]
    with notebook.writing():
        shelf.forget_layer(notebook, first.id or 0)
    assert [layer.path for layer in shelf.list_layers(notebook)] == [LAYER.path]


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("bounds_deg", "not JSON"),
        ("bounds_deg", "[" * 100_000),
        ("bounds_deg", "[1, 2]"),
        ("x_step", 0),
        ("y_step", 10),
        ("cell_m", "wide"),
        ("columns", -1),
        ("kind", "WMS"),
        ("ground", "lava"),
        ("unit_m", 9e999),
    ],
)
def test_a_row_that_another_program_spoilt_is_left_out(
    notebook: Notebook, column: str, value: object
) -> None:
    with notebook.writing():
        shelf.register_layer(notebook, LAYER)
        notebook.run(f"UPDATE terrain_layers SET {column} = ?", (value,))
    assert shelf.list_layers(notebook) == []
    (found,) = [each for each in check(notebook) if each.where == "terrain_layers, row 1"]
    assert found.grade == "fault"


def test_a_spoilt_skyline_is_remarked_and_a_whole_one_is_not(notebook: Notebook) -> None:
    with notebook.writing():
        for key in ("whole", "spoilt"):
            shelf.store_skyline(notebook, key, 47.0, -21.0, skyline())
        notebook.run("UPDATE skylines SET numbers = ? WHERE key = 'spoilt'", (b"no zip",))
    assert [(each.grade, each.where) for each in check(notebook)] == [("remark", "skylines, row 2")]


def test_a_skyline_comes_back_bit_by_bit(notebook: Notebook) -> None:
    kept = skyline()
    with notebook.writing():
        shelf.store_skyline(notebook, "key", 47.0, -21.0, kept)
    found = shelf.find_skyline(notebook, "key")
    assert found is not None
    assert same(found, kept)
    assert shelf.find_skyline(notebook, "another") is None


def test_a_flat_skyline_with_no_figures_of_terrain_comes_back_too(notebook: Notebook) -> None:
    kept = dataclasses.replace(skyline(), eye_height_m=float("nan"), cell_m=None)
    with notebook.writing():
        shelf.store_skyline(notebook, "key", 47.0, -21.0, kept)
    found = shelf.find_skyline(notebook, "key")
    assert found is not None
    assert same(found, kept)


def test_a_key_holds_one_skyline_and_the_oldest_give_way(
    notebook: Notebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shelf, "MOST_SKYLINES", 3)
    with notebook.writing():
        for number in range(5):
            shelf.store_skyline(notebook, f"key {number}", 47.0, -21.0, skyline(number))
        shelf.store_skyline(notebook, "key 3", 47.0, -21.0, skyline(9))
    kept = [shelf.find_skyline(notebook, f"key {number}") for number in range(5)]
    assert [one is not None for one in kept] == [False, False, True, True, True]
    assert kept[3] is not None
    assert same(kept[3], skyline(9))


def packed(*values: float) -> bytes:
    return zlib.compress(np.array(values).tobytes())


@pytest.mark.parametrize(
    ("fields", "numbers"),
    [
        ("not JSON", packed(1.0)),
        ("[1]", packed(1.0)),
        ('{"arrays": [], "rest": {}}', packed(1.0)),
        ('{"arrays": ["azimuth_deg"], "rest": {"basis": "x"}}', packed(1.0)),
        (
            json.dumps(
                {
                    "arrays": ["azimuth_deg", "altitude_deg", "distance_m", "reach_m"],
                    "rest": {"basis": "x"},
                }
            ),
            packed(0.0, float("nan"), 1.0, 1.0),
        ),
        (json.dumps({"arrays": ["azimuth_deg"] * 4, "rest": {"basis": "x"}}), b"no zlib"),
        (json.dumps({"arrays": ["azimuth_deg"], "rest": {}}), zlib.compress(bytes(40 * 2**20))),
        (json.dumps({"arrays": ["azimuth_deg"], "rest": {}}), "text"),
    ],
)
def test_a_spoilt_skyline_is_none_and_cannot_grow(
    notebook: Notebook, fields: str, numbers: object
) -> None:
    with notebook.writing():
        shelf.store_skyline(notebook, "key", 47.0, -21.0, skyline())
        notebook.run("UPDATE skylines SET fields = ?, numbers = ?", (fields, numbers))
    assert shelf.find_skyline(notebook, "key") is None


def test_fields_of_a_later_program_are_passed_over(notebook: Notebook) -> None:
    with notebook.writing():
        shelf.store_skyline(notebook, "key", 47.0, -21.0, skyline())
        (row,) = notebook.rows("SELECT fields FROM skylines")
        fields = json.loads(row["fields"])
        fields["rest"]["canopy"] = "solid"
        notebook.run("UPDATE skylines SET fields = ?", (json.dumps(fields),))
    found = shelf.find_skyline(notebook, "key")
    assert found is not None
    assert same(found, skyline())


def test_a_notebook_of_the_first_schema_takes_terrain(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as older:
        older.setattr(schema, "MIGRATIONS", schema.MIGRATIONS[:1])
        made = sqlite3.connect(path, isolation_level=None)
        schema.migrate(made)
        made.close()
    with open_notebook(path) as notebook:
        with notebook.writing():
            shelf.register_layer(notebook, LAYER)
            shelf.store_skyline(notebook, "key", 47.0, -21.0, skyline())
        assert check(notebook) == []


def test_a_gis_lists_neither_table(notebook: Notebook) -> None:
    listed = {row["table_name"] for row in notebook.rows("SELECT table_name FROM gpkg_contents")}
    assert not listed & {"terrain_layers", "skylines"}
    assert check(notebook) == []
