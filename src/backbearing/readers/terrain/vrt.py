"""A VRT read as what it mostly is: a list of tiles laid side by side.

GDAL's own reading of a VRT follows any path, runs pixel functions and gives 0 where no tile
lies. So only a plain mosaic is taken, of regular files in the VRT's own folder, and each tile
then stands for itself; all else a VRT can say is refused by name.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING
from xml.parsers import expat

from backbearing.errors import BadFile, quoted
from backbearing.readers.terrain.files import MOST_FILES, FoundRaster, kind_of

if TYPE_CHECKING:
    from collections.abc import Iterator

_MOST_BYTES = 16 * 2**20
_DEEPEST = 20
_MOST_ELEMENTS = 40 * MOST_FILES
_PASSED_OVER = {  # say nothing that changes a height or its place
    "Metadata", "BlockXSize", "BlockYSize", "OverviewList", "ColorInterp", "Description",
    "Histograms", "HideNoDataValue", "Overview", "NoDataValue", "CategoryNames",
}  # fmt: skip
_SOURCE_PARTS = {
    "SourceFilename", "SourceBand", "SourceProperties", "SrcRect", "DstRect", "NODATA"
}  # fmt: skip
_PREFIX = re.compile(r"/vsi|[a-z][a-z0-9_+.-]+:", re.IGNORECASE)


@dataclass(slots=True)
class _Element:
    name: str
    attributes: dict[str, str]
    text: str = ""
    parts: list[_Element] = field(default_factory=list)

    def part(self, name: str) -> _Element | None:
        return next((part for part in self.parts if part.name == name), None)

    def said(self, name: str) -> str:
        part = self.part(name)
        return "" if part is None else part.text.strip()


def read_vrt(path: Path) -> list[FoundRaster]:
    """The tiles of a VRT, in its order, each with where the VRT lays it.

    Raises BadFile where it does more than lay tiles side by side, or names anything but regular
    GeoTIFF, HGT or ASCII grid files in its own folder.
    """
    root = _parsed(path)
    _refuse_others(path, root, {"SRS", "GeoTransform", "VRTRasterBand"} | _PASSED_OVER)
    if root.name != "VRTDataset" or "subClass" in root.attributes:
        raise _too_much(path, "a warped or derived raster")
    corner = _numbers(path, root.said("GeoTransform"), 6, "GeoTransform")
    if corner[2] or corner[4]:
        raise _too_much(path, "a turned raster")
    bands = [part for part in root.parts if part.name == "VRTRasterBand"]
    if len(bands) != 1:
        raise BadFile(f"has {len(bands)} bands where one of heights is expected", path=path)
    (band,) = bands
    if "subClass" in band.attributes:
        raise _too_much(path, f"a band of the kind {quoted(band.attributes['subClass'])}")
    changing = {"UnitType", "Offset", "Scale"}
    _refuse_others(path, band, {"SimpleSource", "ComplexSource"} | changing | _PASSED_OVER)
    if (band.said("Scale") or "1", band.said("Offset") or "0") != ("1", "0"):
        raise _too_much(path, "scaled heights")
    if band.said("UnitType").lower() not in ("", "m", "metre", "meter"):
        raise BadFile(
            f"states the unit {quoted(band.said('UnitType'))} for all its tiles",
            path=path,
            remedy="add the tiles themselves, with --units",
        )
    crs = root.said("SRS")
    found = [
        _source(path, part, corner, crs)
        for part in band.parts
        if part.name in ("SimpleSource", "ComplexSource")
    ]
    if not found:
        raise BadFile("names no tile", path=path)
    if len(found) > MOST_FILES:
        raise BadFile(f"names more than {MOST_FILES:,} tiles", path=path)
    return found


def _source(path: Path, source: _Element, corner: list[float], crs: str) -> FoundRaster:
    _refuse_others(path, source, _SOURCE_PARTS)
    if source.said("SourceBand") not in ("", "1"):
        raise _too_much(path, "a band other than the first")
    tile = _own_tile(path, source.said("SourceFilename"))
    placed = None
    rects = [source.part(name) for name in ("SrcRect", "DstRect")]
    if all(rects):
        (sx, sy, sw, sh), (dx, dy, dw, dh) = (_rect(path, rect) for rect in rects if rect)
        if not (math.isclose(sw, dw, rel_tol=1e-3) and math.isclose(sh, dh, rel_tol=1e-3)):
            raise _too_much(path, "a tile at another cell size")
        placed = (
            corner[0] + (dx - sx) * corner[1],
            corner[3] + (dy - sy) * corner[5],
            corner[1],
            corner[5],
        )
    void = source.said("NODATA")
    return FoundRaster(
        path=tile,
        kind=kind_of(tile),
        came_with=str(path),
        crs=crs,
        void_value=_numbers(path, void, 1, "NODATA")[0] if void else None,
        placed=placed,
    )


def _own_tile(path: Path, name: str) -> Path:
    """The tile a VRT names, which must be a regular file in the VRT's own folder."""
    outside = BadFile(
        f"names {quoted(name, 200)}, which is not in its own folder",
        path=path,
        remedy="put the tiles beside the VRT and make it anew there",
    )
    if not name or "\0" in name or _PREFIX.match(name):
        raise outside
    tile = path.parent / name
    try:
        inside = tile.resolve().parent == path.parent.resolve()
    except (OSError, RuntimeError):
        inside = False
    if not inside:
        raise outside
    if not tile.is_file():
        raise BadFile(f"names the tile {quoted(name, 200)}, which is not there", path=path)
    return tile


# ---------------------------------------------------------------- XML


def _parsed(path: Path) -> _Element:
    """The elements of a small XML file; document types and entities are refused."""
    try:
        with path.open("rb") as file:
            content = file.read(_MOST_BYTES + 1)
    except OSError as error:
        raise BadFile(f"cannot be read ({error.strerror})", path=path) from error
    if len(content) > _MOST_BYTES:
        raise BadFile(f"is larger than {_MOST_BYTES // 2**20} MB", path=path)
    top = _Element("", {})
    open_ones = [top]
    seen = 0
    parser = expat.ParserCreate()
    parser.buffer_text = True

    def refuse(*_: object) -> None:
        raise BadFile(
            "declares a document type or entity, which a VRT has no use for and is refused",
            path=path,
            line=parser.CurrentLineNumber,
        )

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal seen
        seen += 1
        if len(open_ones) > _DEEPEST or seen > _MOST_ELEMENTS:
            raise BadFile("nests or holds too many elements", path=path)
        element = _Element(name, attributes)
        open_ones[-1].parts.append(element)
        open_ones.append(element)

    def end(_: str) -> None:
        open_ones.pop()

    def text(piece: str) -> None:
        open_ones[-1].text += piece

    parser.StartDoctypeDeclHandler = refuse
    parser.EntityDeclHandler = refuse
    parser.StartElementHandler = start
    parser.EndElementHandler = end
    parser.CharacterDataHandler = text
    try:
        parser.Parse(content, True)
    except (expat.ExpatError, ValueError, LookupError) as error:
        if isinstance(error, BadFile):
            raise
        raise BadFile(
            "is no whole XML", path=path, line=parser.CurrentLineNumber, remedy="make it anew"
        ) from error
    return top.parts[0]


def _refuse_others(path: Path, element: _Element, known: set[str]) -> None:
    for part in element.parts:
        if part.name not in known:
            raise _too_much(path, quoted(part.name))


def _too_much(path: Path, what: str) -> BadFile:
    return BadFile(
        f"does more than lay tiles side by side ({what})",
        path=path,
        remedy="add its tiles themselves, or save it as a GeoTIFF",
    )


def _numbers(path: Path, text: str, count: int, name: str) -> list[float]:
    try:
        values = [float(word) for word in text.split(",")]
    except ValueError:
        values = []
    if len(values) != count or (count > 1 and not all(map(math.isfinite, values))):
        raise BadFile(f"has a {name} that cannot be read", path=path)
    return values


def _rect(path: Path, rect: _Element) -> Iterator[float]:
    words = ",".join(rect.attributes.get(name, "") for name in ("xOff", "yOff", "xSize", "ySize"))
    yield from _numbers(path, words, 4, rect.name)
