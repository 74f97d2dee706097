"""Which rasters a path names: a file, the tiles of a VRT, or those of a folder."""

from __future__ import annotations

import os
from pathlib import Path

from backbearing.errors import BadFile
from backbearing.readers.terrain.files import (
    MOST_FILES,
    READ_HERE,
    FoundRaster,
    is_vrt,
    kind_of,
    local_path,
)
from backbearing.readers.terrain.vrt import read_vrt

_ENDINGS = (".tif", ".tiff", ".hgt", ".asc")


def find_rasters(path: Path | str) -> list[FoundRaster]:
    """Which rasters does a path name: a file, the tiles of a VRT, or those of a folder?

    A folder is searched with all below it, links to other folders aside, for names that end
    in .tif, .tiff, .hgt or .asc; a VRT in it is passed over, since its tiles are there.
    Raises BadInput where it is no path of the file system, BadFile where it cannot be used.
    """
    path = local_path(path)
    if path.is_dir():
        return [
            FoundRaster(path=file, kind=kind_of(file), came_with=str(path))
            for file in _in_folder(path)
        ]
    if is_vrt(path):
        return read_vrt(path)
    return [FoundRaster(path=path, kind=kind_of(path))]


def _in_folder(folder: Path) -> list[Path]:
    found: list[Path] = []
    for here, folders, names in os.walk(folder):
        folders.sort()
        found += [Path(here, n) for n in sorted(names) if n.lower().endswith(_ENDINGS)]
        if len(found) > MOST_FILES:
            raise BadFile(
                f"holds more than {MOST_FILES:,} rasters",
                path=folder,
                remedy="give the folder of the area you walk in",
            )
    if not found:
        raise BadFile("holds no elevation raster", path=folder, remedy=f"give {READ_HERE}")
    return found
