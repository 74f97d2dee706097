"""Elevation rasters as files: which may be opened, how, and what tells one from another.

GDAL opens a hundred formats, follows names that stand inside files and reaches for the network.
Here it is given one driver of three, chosen by the file's first bytes, and one regular file:
nothing that lies beside it is read, and nothing is written there. A VRT never reaches GDAL
(see `vrt`).
"""

from __future__ import annotations

import hashlib
import itertools
import os
import re
import stat
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from backbearing.errors import BackbearingError, BadFile, BadInput, quoted

if TYPE_CHECKING:
    from rasterio import DatasetReader

Kind = Literal["GeoTIFF", "HGT", "ASCII grid"]

_DRIVERS: dict[Kind, str] = {"GeoTIFF": "GTiff", "HGT": "SRTMHGT", "ASCII grid": "AAIGrid"}
_OPTIONS: dict[Kind, dict[str, Any]] = {
    "GeoTIFF": {},
    "HGT": {},
    # told from the first cells alone it would be integers where decimals come later
    "ASCII grid": {"DATATYPE": "Float32"},
}
_SETTINGS = {
    "GDAL_PAM_ENABLED": "NO",  # no .aux.xml, neither read nor written
    "GDAL_DISABLE_READDIR_ON_OPEN": "EMPTY_DIR",  # no .ovr, .msk, .tfw
    "CPL_VSIL_CURL_ALLOWED_EXTENSIONS": ".none",  # no network, whatever a file asks for
    "GDAL_CACHEMAX": 64,  # MB
}
_TIFF = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")
_ASCII = re.compile(rb"\s*(ncols|nrows|[xy]ll(corner|center)|cellsize)\s", re.IGNORECASE)
_VRT = re.compile(rb"(\xef\xbb\xbf)?\s*(<\?xml[^>]*>\s*)?(<!--.*?-->\s*)*<VRTDataset", re.S)
_HGT_NAME = re.compile(r"[NS]\d{2}[EW]\d{3}", re.IGNORECASE)
_HGT_BYTES = {2 * rows * columns for rows, columns in ((1201, 1201), (3601, 3601), (3601, 1801))}
_ADDRESS = re.compile(r"[a-z][a-z0-9+.-]+:/", re.IGNORECASE)
_WHOLE_BYTES = 2**30  # a file up to this size is fingerprinted whole
_SAMPLES, _SAMPLE_BYTES = 1024, 2**16
MOST_FILES = 10_000
READ_HERE = "GeoTIFF, HGT, ASCII grid, a VRT of these, or a folder of them"


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundRaster:
    """A raster's file, and what the VRT that led to it says about it.

    placed: where the VRT lays it: corner x, corner y, step x, step y.
    """

    path: Path
    kind: Kind
    came_with: str = ""
    crs: str = ""
    void_value: float | None = None
    placed: tuple[float, float, float, float] | None = None


def local_path(path: Path | str) -> Path:
    """A path made absolute. Raises BadInput for a web address or one of GDAL's own paths."""
    text = os.fspath(path)
    if text.lower().startswith("/vsi"):
        raise BadInput(
            "terrain is read from plain files, not from archives or the network",
            where=quoted(text, 200),
            remedy="unpack or fetch it first and name the file",
        )
    if _ADDRESS.match(text) or "\0" in text:
        raise BadInput(
            "this is no path of a file",
            where=quoted(text, 200),
            remedy="fetch it first and name the file",
        )
    return Path(text).absolute()


def kind_of(path: Path) -> Kind:
    """What kind of raster is this file, by its content? Raises BadFile where it is none."""
    head = _head(path)
    if head.startswith(_TIFF):
        return "GeoTIFF"
    if path.suffix.lower() == ".hgt":
        _check_hgt(path)
        return "HGT"
    if _ASCII.match(head):
        _check_ascii(path, head)
        return "ASCII grid"
    if _VRT.match(head):
        raise BadFile(
            "is a VRT within another", path=path, remedy="add the tiles or the inner VRT itself"
        )
    raise BadFile(
        "is empty" if not head else "is no elevation raster that is read here",
        path=path,
        remedy=f"give {READ_HERE}",
    )


def is_vrt(path: Path) -> bool:
    """Whether a file is a VRT. Raises BadFile where it cannot be read."""
    return _VRT.match(_head(path)) is not None


def stamp_of(path: Path | str) -> str:
    """Size and time of change; while they stay, the content is taken to stay.

    Raises BadFile where the file is not there.
    """
    about = _regular(Path(path))
    return f"{about.st_size}:{about.st_mtime_ns}"


def fingerprint_of(path: Path | str) -> str:
    """What tells a file's content from any other: BLAKE2 of all of it up to 1 GB.

    Of a larger file its size, both ends and 1,024 samples of 64 KB between: who edits such a
    raster in place, uncompressed, may stay unnoticed. Where it lies does not matter, nor when
    it was copied, so that a raster on another drive is the same.
    Raises BadFile where it cannot be read.
    """
    path = Path(path)
    size = _regular(path).st_size
    digest = hashlib.blake2b(str(size).encode(), digest_size=16)
    try:
        with path.open("rb") as file:
            if size <= _WHOLE_BYTES:
                while piece := file.read(2**20):
                    digest.update(piece)
            else:
                for number in range(_SAMPLES + 1):
                    file.seek((size - _SAMPLE_BYTES) * number // _SAMPLES)
                    digest.update(file.read(_SAMPLE_BYTES))
    except OSError as error:
        raise _unreadable(path, error) from error
    return digest.hexdigest()


@contextmanager
def opened(path: Path | str, kind: Kind, **options: Any) -> Iterator[DatasetReader]:
    """A raster open for reading, with its own driver only.

    Raises BadFile where GDAL cannot open it, or cannot read it while it is open.
    """
    import rasterio
    from rasterio._err import CPLE_BaseError
    from rasterio.errors import NotGeoreferencedWarning, RasterioError

    path = local_path(path)
    _regular(path)
    with rasterio.Env(**_SETTINGS), warnings.catch_warnings():
        warnings.simplefilter("ignore", NotGeoreferencedWarning)
        try:
            with rasterio.open(path, driver=_DRIVERS[kind], **_OPTIONS[kind], **options) as dataset:
                yield dataset
        except BackbearingError:
            raise
        except (RasterioError, CPLE_BaseError, OSError, MemoryError, OverflowError) as error:
            raise BadFile(
                f"cannot be read as {kind}: it is cut short or damaged",
                path=path,
                remedy="copy it anew from where it came",
            ) from error


# ---------------------------------------------------------------- the first bytes


def _regular(path: Path) -> os.stat_result:
    try:
        about = path.stat()
    except FileNotFoundError as error:
        raise BadFile(
            "is not there", path=path, remedy="plug in the drive it is on, or name where it is now"
        ) from error
    except (OSError, ValueError) as error:
        raise _unreadable(path, error) from error
    if not stat.S_ISREG(about.st_mode):
        raise BadFile("is no regular file", path=path, remedy=f"give {READ_HERE}")
    return about


def _unreadable(path: Path, error: Exception) -> BadFile:
    reason = getattr(error, "strerror", None) or "no such name"
    return BadFile(f"cannot be read ({reason})", path=path, remedy="see that you may read it")


def _head(path: Path) -> bytes:
    _regular(path)
    try:
        with path.open("rb") as file:
            return file.read(4096)
    except OSError as error:
        raise _unreadable(path, error) from error


def _check_hgt(path: Path) -> None:
    if not _HGT_NAME.match(path.name):
        raise BadFile(
            "does not say where it lies: an HGT tile is named after its south-western corner",
            path=path,
            remedy="give it its name back, such as N47W021.hgt",
        )
    size = path.stat().st_size
    if size not in _HGT_BYTES:
        raise BadFile(
            f"has {size:,} bytes, which no HGT tile has: it is cut short or something else",
            path=path,
            remedy="copy it anew from where it came",
        )


def _check_ascii(path: Path, head: bytes) -> None:
    """Each cell takes two bytes at least: a grid that declares more than it holds is refused."""
    words = head.lower().split()
    declared = {}
    for name, value in itertools.pairwise(words):
        if name in (b"ncols", b"nrows") and value.isdigit() and len(value) < 10:
            declared[name] = int(value)
    if len(declared) < 2 or not all(declared.values()):
        raise BadFile("does not say how many columns and rows it has", path=path)
    cells = declared[b"ncols"] * declared[b"nrows"]
    if 2 * cells - 1 > path.stat().st_size:
        raise BadFile(
            f"declares {declared[b'ncols']:,} columns and {declared[b'nrows']:,} rows and holds "
            "fewer: it is cut short",
            path=path,
            remedy="copy it anew from where it came",
        )
