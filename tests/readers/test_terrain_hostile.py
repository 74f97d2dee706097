"""Elevation rasters that are faulty, lying or hostile: one sentence each, in bounded time."""

from __future__ import annotations

import os
import socket
import struct
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
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

from backbearing.errors import BadFile, BadInput
from backbearing.readers.terrain import open_terrain
from backbearing.readers.terrain.files import kind_of, opened

TILES = {"compress": "deflate", "tiled": True, "blockxsize": 128, "blockysize": 128}


def refused(path: Path | str, words: str) -> None:
    with pytest.raises(BadInput, match=words) as caught:
        open_terrain(path)
    assert "\n" not in str(caught.value)


# ---------------------------------------------------------------- paths


@pytest.mark.parametrize(
    "path",
    [
        "/vsicurl/http://127.0.0.1/a.tif",
        "/VSIZIP/a.zip/a.tif",
        "/vsimem/a.tif",
        "/vsistdin/",
        "http://127.0.0.1/a.tif",
        "https:/127.0.0.1/a.tif",
        "s3://bucket/a.tif",
        "zip://a.zip!a.tif",
        "GTIFF_DIR:/1:a.tif",
        "vrt:///tmp/a.tif?bands=1",
        "a\0.tif",
    ],
)
def test_what_is_no_path_of_a_file_is_refused(path: str) -> None:
    refused(path, "plain files|no path of a file|is not there")


def test_gdals_spellings_for_datasets_are_only_file_names_here(tmp_path: Path) -> None:
    """A name GDAL or rasterio would take for a subdataset or an archive is a plain name."""
    for name in ("a#b?c.tif", "zip+file.tif", "100%.tif", "ground!x.tif", "ä ö.tif"):
        path = write_tif(tmp_path / "plain.tif").rename(tmp_path / name)
        assert open_terrain(path).height_at(*spot(3, 2)) == pytest.approx(123, abs=0.01)


def test_a_path_that_vanished(tmp_path: Path) -> None:
    path = write_tif(tmp_path / "a.tif")
    terrain = open_terrain(path)
    path.unlink()
    with pytest.raises(BadFile, match="is not there; plug in the drive"):
        terrain.grids_around(*spot(30, 20), 100.0)
    refused(path, "is not there")


def test_what_is_no_regular_file(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.tif")
    refused(tmp_path / "pipe.tif", "no regular file")
    refused(tmp_path, "no regular file")  # the folder with the pipe in it
    (tmp_path / "empty").mkdir()
    refused(tmp_path / "empty", "holds no elevation raster")
    (tmp_path / "loop.tif").symlink_to(tmp_path / "loop.tif")
    refused(tmp_path / "loop.tif", "cannot be read")


# ---------------------------------------------------------------- contents


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\x89PNG\r\n\x1a\n" + bytes(50),
        b"SQLite format 3\0" + bytes(100),
        b"<html><body>not found</body></html>",
        b"<!DOCTYPE html><VRTDataset/>",
        b"CDF\x01" + bytes(60),
        b"MM\0*",
        b"II*\0\xff\xff\xff\xff",
        b"<GDAL_WMS><Service name='TMS'/></GDAL_WMS>",
        b"ncols banana\nnrows 2\n",
    ],
)
def test_what_is_no_raster_of_the_three_kinds(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "a.tif"
    path.write_bytes(content)
    refused(path, "is empty|no elevation raster|cannot be read as GeoTIFF|how many columns")


def test_without_a_reference_system_or_a_place(tmp_path: Path) -> None:
    refused(write_tif(tmp_path / "a.tif", crs=None), "which coordinate reference system")
    refused(write_asc(tmp_path / "a.asc", slope(), prj=""), "which coordinate reference system")
    import rasterio
    from rasterio import Affine

    with pytest.warns(rasterio.errors.NotGeoreferencedWarning):
        nowhere = write_tif(tmp_path / "b.tif", transform=None)
    refused(nowhere, "where it lies")
    turned = write_tif(tmp_path / "c.tif", transform=Affine(10, 3, WEST, 3, -10, NORTH))
    refused(turned, "turned or mirrored")
    mirrored = write_tif(tmp_path / "d.tif", transform=Affine(-10, 0, WEST, 0, -10, NORTH))
    refused(mirrored, "turned or mirrored")


def test_a_reference_system_that_is_not_of_the_earths_surface(tmp_path: Path) -> None:
    local = 'LOCAL_CS["site",UNIT["metre",1]]'
    refused(write_tif(tmp_path / "a.tif", crs=local), "not tied to the Earth")
    path = write_asc(tmp_path / "a.asc", slope(), prj="")
    path.with_suffix(".prj").write_text("PROJCS[" * 1000)
    refused(path, "not tied to the Earth")
    far_off = write_tif(tmp_path / "b.tif", crs="EPSG:4326", west=0.0, north=5000.0, cell=1.0)
    refused(far_off, "lies outside the ground")


def test_all_voids(tmp_path: Path) -> None:
    void = np.full((40, 60), -32768, "int16")
    refused(write_tif(tmp_path / "a.tif", void, nodata=-32768), "no height in any of the 2,400")
    refused(write_tif(tmp_path / "b.tif", np.full((40, 60), np.nan, "float32")), "no height")
    large = np.full((2500, 2000), np.nan, "float32")
    refused(write_tif(tmp_path / "c.tif", large, compress="deflate"), "no height")
    large[1234, 567] = 5.0  # found though no sample held it
    assert open_terrain(write_tif(tmp_path / "c.tif", large)).layers[0].highest_m == 5.0


@pytest.mark.parametrize("wrong", [14_505.0, 30_000.0, -13_000.0, 60_000.0])
def test_heights_that_no_ground_has(tmp_path: Path, wrong: float) -> None:
    """14,505 feet are the highest summit of the Sierra Nevada, read as metres (memory)."""
    ground = slope()
    ground[0, 0] = wrong
    refused(write_tif(tmp_path / "a.tif", ground), "which no ground has; say --units ft")


def test_feet_given_as_feet_pass(tmp_path: Path) -> None:
    ground = slope()
    ground[0, 0] = 14_505.0
    path = write_tif(tmp_path / "a.tif", ground)
    assert open_terrain(path, unit="ft").layers[0].highest_m == pytest.approx(4421.1, abs=0.1)


def test_cells_too_small_for_any_survey(tmp_path: Path) -> None:
    refused(write_tif(tmp_path / "a.tif", cell=1e-9), "less than the 0.01 m")


def test_an_unknown_unit_is_asked_about(tmp_path: Path) -> None:
    path = write_tif(tmp_path / "a.tif", unit="fathom\x1b[31m")
    refused(path, "states heights in the unit 'fathom.*--units")
    assert open_terrain(path, unit="m").layers[0].unit_basis == "given"


def test_pictures_and_stacks_are_no_heights(tmp_path: Path) -> None:
    import rasterio
    from rasterio import Affine

    refused(write_tif(tmp_path / "a.tif", np.zeros((4, 4), "uint8")), "as in a picture")
    refused(write_tif(tmp_path / "b.tif", np.zeros((4, 4), "complex64")), "holds cells of the type")
    with rasterio.open(
        tmp_path / "c.tif", "w", driver="GTiff", width=4, height=4, count=3, dtype="int16",
        crs="EPSG:32627", transform=Affine(10, 0, WEST, 0, -10, NORTH),
    ) as raster:  # fmt: skip
        raster.write(np.zeros((3, 4, 4), "int16"))
    refused(tmp_path / "c.tif", "has 3 bands")


# ---------------------------------------------------------------- cut short, or declared too large


def test_a_file_cut_short_is_told_before_it_is_on_record(tmp_path: Path) -> None:
    rng = np.random.default_rng(5)
    ground = rng.uniform(0, 500, (300, 300)).astype("float32")
    path = write_tif(tmp_path / "a.tif", ground, **TILES)
    content = path.read_bytes()
    for share in (0.02, 0.3, 0.7, 0.98, 0.9999):
        path.write_bytes(content[: int(len(content) * share)])
        refused(path, "cut short|cannot be read|which coordinate reference system")


def test_tiles_of_text_and_bytes_cut_short(tmp_path: Path) -> None:
    path = write_asc(tmp_path / "a.asc", slope())
    text = path.read_text()
    path.write_text(text[: len(text) // 3])
    refused(path, "declares 60 columns and 40 rows and holds fewer|cut short or damaged")
    tile = write_hgt(tmp_path, np.zeros((1201, 1201)))
    tile.write_bytes(tile.read_bytes()[:-2])
    refused(tile, "which no HGT tile has")
    refused(write_hgt(tmp_path, np.zeros((1201, 1201)), "ground.hgt"), "named after")


def test_damage_within_is_told_when_it_is_met(tmp_path: Path) -> None:
    rng = np.random.default_rng(5)
    ground = rng.uniform(0, 500, (3000, 2000)).astype("float32")
    path = write_tif(tmp_path / "a.tif", ground, **TILES)
    content = bytearray(path.read_bytes())
    middle = len(content) // 2
    content[middle : middle + 300_000] = bytes(300_000)
    path.write_bytes(content)
    with pytest.raises(BadFile, match="cut short or damaged"):
        open_terrain(path).grids_around(*spot(1000, 1500), 50_000.0)


def huge_tif(path: Path, side: int, tile: int) -> None:
    """A GeoTIFF of a few hundred bytes that declares `side` × `side` cells and holds none."""
    keys = struct.pack("<16H", 1, 1, 0, 3, 1024, 0, 1, 1, 1025, 0, 1, 1, 3072, 0, 1, 32627)
    entries = [
        (256, 4, 1, side), (257, 4, 1, side), (258, 3, 1, 16), (259, 3, 1, 8), (262, 3, 1, 1),
        (277, 3, 1, 1), (322, 4, 1, tile), (323, 4, 1, tile), (324, 4, 1, 0), (325, 4, 1, 0),
        (339, 3, 1, 2), (33550, 12, 3, "scale"), (33922, 12, 6, "tie"), (34735, 3, 16, "keys"),
    ]  # fmt: skip
    extra = {
        "scale": struct.pack("<3d", 10, 10, 0),
        "tie": struct.pack("<6d", 0, 0, 0, WEST, NORTH, 0),
        "keys": keys,
    }
    at = 8 + 2 + 12 * len(entries) + 4
    body, tail = b"", b""
    for tag, kind, count, value in entries:
        if isinstance(value, str):
            body += struct.pack("<HHII", tag, kind, count, at + len(tail))
            tail += extra[value]
        else:
            body += struct.pack("<HHII", tag, kind, count, value)
    path.write_bytes(b"II*\0" + struct.pack("<IH", 8, len(entries)) + body + bytes(4) + tail)


@pytest.mark.parametrize(
    ("side", "tile", "words"),
    [
        (100_000_000, 512, "more than any map has|cannot be read"),
        (200_000, 131_072, "packed in blocks|cannot be read"),
        (200_000, 512, "no height in any|cannot be read"),
    ],
)
def test_huge_declared_sizes_cost_nothing(tmp_path: Path, side: int, tile: int, words: str) -> None:
    path = tmp_path / "huge.tif"
    huge_tif(path, side, tile)
    code = (
        "import resource, sys\n"
        "resource.setrlimit(resource.RLIMIT_AS, (3_000_000_000, 3_000_000_000))\n"
        "from backbearing.errors import BadFile\n"
        "from backbearing.readers.terrain import open_terrain\n"
        "try: open_terrain(sys.argv[1])\n"
        "except BadFile as error: print(error)\n"
        # not ru_maxrss: a child's begins at what its parent, here pytest, once held
        "print(next(x.split()[1] for x in open('/proc/self/status') if x.startswith('VmHWM')))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(path)], capture_output=True, text=True, timeout=60,
        check=True,
    )  # fmt: skip
    *said, peak_kb = done.stdout.splitlines()
    import re

    assert re.search(words, said[0])
    assert int(peak_kb) < 300_000


def test_a_text_grid_that_declares_the_world_holds_too_little(tmp_path: Path) -> None:
    path = tmp_path / "a.asc"
    path.write_text("ncols 999999999\nnrows 999999999\nxllcorner 0\nyllcorner 0\ncellsize 1\n1 2\n")
    refused(path, "declares 999,999,999 columns")
    path.write_text("ncols 99999999999\nnrows 1\nxllcorner 0\nyllcorner 0\ncellsize 1\n1 2\n")
    refused(path, "how many columns")


# ---------------------------------------------------------------- nothing outside is touched


@pytest.fixture
def listener() -> Iterator[tuple[str, list[bytes]]]:
    """An address on this machine, and what was asked of it."""
    asked: list[bytes] = []
    server = socket.create_server(("127.0.0.1", 0))
    server.settimeout(0.2)
    stop = threading.Event()

    def serve() -> None:
        while not stop.is_set():
            try:
                connection, _ = server.accept()
            except TimeoutError:
                continue
            with connection:
                asked.append(b"called")

    thread = threading.Thread(target=serve)
    thread.start()
    yield f"http://127.0.0.1:{server.getsockname()[1]}/a.tif", asked
    stop.set()
    thread.join()
    server.close()


def test_what_lies_beside_a_raster_is_not_followed(
    tmp_path: Path, listener: tuple[str, list[bytes]]
) -> None:
    """Overviews, masks and metadata beside it may be of another maker's and point anywhere."""
    address, asked = listener
    path = write_tif(tmp_path / "a.tif", np.zeros((600, 600), "int16"))
    elsewhere = source(f"/vsicurl/{address}", relative=0)
    for name in ("a.tif.ovr", "a.tif.msk", "a.ovr"):
        write_vrt(tmp_path / name, elsewhere)
    (tmp_path / "a.tif.aux.xml").write_text(
        '<PAMDataset><Metadata domain="OVERVIEWS">'
        f'<MDI key="OVERVIEW_FILE">/vsicurl/{address}</MDI></Metadata></PAMDataset>'
    )
    terrain = open_terrain(path)
    terrain.grids_around(*spot(300, 300), 50_000.0)
    with opened(path, "GeoTIFF") as raster:
        assert raster.overviews(1) == []
    assert terrain.layers[0].voids == 0.0
    assert asked == []


def test_a_tag_within_a_raster_does_not_reach_the_network(
    tmp_path: Path, listener: tuple[str, list[bytes]], monkeypatch: pytest.MonkeyPatch
) -> None:
    import rasterio

    from backbearing.readers.terrain import windows

    address, asked = listener
    path = write_tif(tmp_path / "a.tif", np.zeros((600, 600), "int16"))
    with rasterio.open(path, "r+") as raster:
        raster.update_tags(ns="OVERVIEWS", OVERVIEW_FILE=f"/vsicurl/{address}")
    monkeypatch.setattr(windows, "_HALF_WIDTH", 100)
    monkeypatch.setattr(windows, "_OVERVIEW_FROM", 100)
    open_terrain(path).grids_around(*spot(300, 300), 50_000.0)
    assert asked == []


# ---------------------------------------------------------------- VRT


def test_a_vrt_that_points_outside_its_folder(tmp_path: Path) -> None:
    folder = tmp_path / "tiles"
    folder.mkdir()
    outside = write_tif(tmp_path / "a.tif")
    (folder / "link.tif").symlink_to(outside)
    (folder / "sub").mkdir()
    write_tif(folder / "sub" / "a.tif")
    for name, relative in (
        ("../a.tif", 1),
        (str(outside), 0),
        ("link.tif", 1),
        ("sub/a.tif", 1),
        ("sub/../../a.tif", 1),
        ("/vsicurl/http://127.0.0.1/a.tif", 0),
        ("/vsizip/a.zip/a.tif", 0),
        ("http://127.0.0.1/a.tif", 0),
        ("vrt://a.tif", 1),
        ("", 1),
        (".", 1),
    ):
        vrt = write_vrt(folder / "all.vrt", source(name, relative=relative))
        refused(vrt, "not in its own folder")


def test_a_vrt_of_its_own_folder_by_absolute_path_is_good(tmp_path: Path) -> None:
    tile = write_tif(tmp_path / "a.tif")
    assert open_terrain(write_vrt(tmp_path / "all.vrt", source(str(tile), relative=0))).layers


def test_a_vrt_within_a_vrt_and_tiles_that_are_gone(tmp_path: Path) -> None:
    write_tif(tmp_path / "a.tif")
    write_vrt(tmp_path / "inner.vrt", source("a.tif"))
    write_vrt(tmp_path / "self.vrt", source("self.vrt"))
    refused(write_vrt(tmp_path / "outer.vrt", source("inner.vrt")), "a VRT within another")
    refused(tmp_path / "self.vrt", "a VRT within another")
    refused(write_vrt(tmp_path / "gone.vrt", source("b.tif")), "'b.tif', which is not there")
    refused(write_vrt(tmp_path / "none.vrt"), "names no tile")


@pytest.mark.parametrize(
    ("band", "head", "words"),
    [
        ("<PixelFunctionType>import os</PixelFunctionType>", "", "PixelFunctionType"),
        ("<ImageOffset>0</ImageOffset>", "", "ImageOffset"),
        ("<Scale>0.3048</Scale>", "", "scaled heights"),
        ("<UnitType>ft</UnitType>", "", "states the unit 'ft'"),
        ("", "<GDALWarpOptions/>", "GDALWarpOptions"),
        ("", "<MaskBand/>", "MaskBand"),
        ("", "<GCPList/>", "GCPList"),
    ],
)
def test_a_vrt_that_does_more_than_lay_tiles(
    tmp_path: Path, band: str, head: str, words: str
) -> None:
    write_tif(tmp_path / "a.tif")
    refused(write_vrt(tmp_path / "a.vrt", source("a.tif"), head=head, band=band), words)


def test_tiles_that_a_vrt_lays_otherwise_than_they_lie(tmp_path: Path) -> None:
    write_tif(tmp_path / "a.tif")
    shifted = source("a.tif").replace('DstRect xOff="0"', 'DstRect xOff="3"')
    refused(write_vrt(tmp_path / "a.vrt", shifted), "is laid elsewhere")
    smaller = source("a.tif").replace('ySize="40"/></Simple', 'ySize="20"/></Simple')
    refused(write_vrt(tmp_path / "b.vrt", smaller), "another cell size")
    refused(write_vrt(tmp_path / "c.vrt", source("a.tif"), crs="EPSG:32626"), "another reference")
    second = source("a.tif").replace("<SourceBand>1", "<SourceBand>2")
    refused(write_vrt(tmp_path / "d.vrt", second), "other than the first")


def test_xml_that_is_none_or_would_grow(tmp_path: Path) -> None:
    path = tmp_path / "a.vrt"
    path.write_text("<VRTDataset>" + "<Metadata>" * 100_000)
    refused(path, "too many elements")
    path.write_text("<VRTDataset rasterXSize='1'><SRS>")
    refused(path, "no whole XML")
    path.write_text("<VRTDataset><VRTRasterBand/></VRTDataset>")
    refused(path, "GeoTransform that cannot be read")
    path.write_text("<VRTDataset>&lol;</VRTDataset>")
    refused(path, "no whole XML")
    path.write_bytes(b"<?xml version='1.0' encoding='zip'?><VRTDataset/>")
    refused(path, "no whole XML")


# ---------------------------------------------------------------- anything at all


@given(
    content=st.binary(max_size=400),
    head=st.sampled_from([b"", b"II*\0", b"<VRTDataset", b"ncols 2\nnrows 2\n"]),
)
def test_no_bytes_bring_more_than_a_sentence(
    tmp_path_factory: pytest.TempPathFactory, content: bytes, head: bytes
) -> None:
    path = tmp_path_factory.getbasetemp() / "any.bin"
    path.write_bytes(head + content)
    with pytest.raises(BadInput):
        open_terrain(path)


@given(at=st.integers(0, 5000), byte=st.integers(0, 255))
def test_one_wrong_byte_in_a_raster_brings_no_more_than_a_sentence(
    tmp_path_factory: pytest.TempPathFactory, at: int, byte: int
) -> None:
    folder = tmp_path_factory.getbasetemp()
    good = folder / "good.tif"
    if not good.exists():
        write_tif(good, slope(dtype="int16"))
    content = bytearray(good.read_bytes())
    content[at % len(content)] = byte
    path = folder / "wrong.tif"
    path.write_bytes(content)
    try:
        terrain = open_terrain(path)
        terrain.grids_around(*spot(30, 20), 1000.0)
    except BadInput:
        pass
    else:
        assert kind_of(path) == "GeoTIFF"
