"""Lines over the ground from GeoJSON (RFC 7946): streams, paths, ridges, shores.

A feature's kind is taken from its property `kind`, or from the open map tags `waterway`,
`highway` and `natural`; anything else is 'other'. The rim of an area is a line too: a lake's is
its shore.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import numpy as np

from backbearing.errors import BadFile
from backbearing.readers.faults import Faults
from backbearing.readers.gunzip import pieces
from backbearing.readers.values import one_line
from backbearing.records import LINE_KINDS, GroundLine, LineKind, LinesFile

if TYPE_CHECKING:
    from collections.abc import Iterator

MOST_BYTES = 64 * 1024 * 1024
MOST_POINTS = 2_000_000
LONGEST_NAME = 200

# what people call them
_KIND_OF_WORD: dict[str, LineKind] = {
    **{kind: kind for kind in LINE_KINDS},
    **dict.fromkeys(("brook", "burn", "beck", "creek", "ditch"), "stream"),
    **dict.fromkeys(("lake", "tarn", "pond", "pool", "coast"), "shore"),
    **dict.fromkeys(("trail", "track", "road"), "path"),
    **dict.fromkeys(("cliff", "fence"), "wall"),
    "crest": "ridge",
}
_KIND_OF_TAG: dict[str, dict[str, LineKind]] = {
    "waterway": {
        "stream": "stream",
        "ditch": "stream",
        "drain": "stream",
        "river": "river",
        "canal": "leat",
    },
    "highway": {"path": "path", "track": "path", "footway": "path", "bridleway": "path"},
    "natural": {
        "ridge": "ridge",
        "arete": "ridge",
        "coastline": "shore",
        "water": "shore",
        "cliff": "wall",
    },
}
_LONLAT = ("crs84", "epsg::4326", "epsg:4326")


def looks_like_lines(head: bytes) -> bool:
    """Whether a file that begins like this is GeoJSON, by content and not by name."""
    text = head.lstrip(b"\xef\xbb\xbf \t\r\n")
    return text.startswith(b"{") and any(
        word in head for word in (b'"FeatureCollection"', b'"Feature"', b'LineString"', b'Polygon"')
    )


def read_lines(path: str | Path, *, content: bytes | None = None) -> LinesFile:
    """The lines of a GeoJSON file, as they stand in it.

    content: the file's bytes, where they were read already. A feature with a position that is
    none is dropped and listed as a fault (its number stands for the line); points and features
    without geometry are counted in `others`.

    Raises BadFile where it is no GeoJSON, holds more than MOST_BYTES or MOST_POINTS, is nested
    out of all measure, or names a reference system other than WGS 84.
    """
    path = Path(path)
    raw = bytearray()
    for piece in pieces(path, content):
        raw += piece
        if len(raw) > MOST_BYTES:
            raise BadFile(
                f"holds more than {MOST_BYTES // 1024**2} MB of lines",
                path=path,
                remedy="cut it to the ground you walk",
            )
    try:
        tree = json.loads(raw.decode("utf-8-sig"), parse_constant=_no_number)
    except (UnicodeDecodeError, ValueError, RecursionError) as error:
        line = error.lineno if isinstance(error, json.JSONDecodeError) else None
        raise BadFile(
            "is not whole, plain JSON", path=path, line=line, remedy="export it again as GeoJSON"
        ) from None
    if not isinstance(tree, dict):
        raise _not_geojson(path)
    _must_be_lonlat(tree, path)
    faults, lines, others, points = Faults(), [], 0, 0
    for number, (geometry, properties) in enumerate(_features(tree, path), start=1):
        parts = list(_parts(geometry))
        if not parts:
            others += 1
            continue
        name, kind = _name(properties), _kind(properties)
        for part, is_rim in parts:
            points += len(part) if isinstance(part, list) else 0
            if points > MOST_POINTS:
                raise BadFile(
                    f"holds more than {MOST_POINTS:,} points",
                    path=path,
                    remedy="cut it to the ground you walk",
                )
            positions = _positions(part)
            if positions is None:
                faults.add(number, "coordinates", "is no line of WGS 84 positions", "dropped")
                continue
            shore = is_rim and kind == "other" and properties.get("natural") == "water"
            lines.append(
                GroundLine(
                    name=name,
                    kind="shore" if shore else kind,
                    longitude_deg=positions[:, 0],
                    latitude_deg=positions[:, 1],
                    source=f"feature {number}",
                )
            )
    return LinesFile(lines=tuple(lines), faults=faults.in_order(), others=others)


def _no_number(word: str) -> NoReturn:
    raise ValueError(f"{word} is no number of JSON")


def _not_geojson(path: Path) -> BadFile:
    return BadFile(
        "holds no GeoJSON features",
        path=path,
        remedy="give a FeatureCollection, a Feature or a geometry (RFC 7946)",
    )


def _must_be_lonlat(tree: dict[str, Any], path: Path) -> None:
    """An older file may name a reference system; RFC 7946 has WGS 84 only."""
    crs = tree.get("crs")
    if crs is None:
        return
    named = crs.get("properties") if isinstance(crs, dict) else None
    name = named.get("name") if isinstance(named, dict) else None
    if not (isinstance(name, str) and name.lower().endswith(_LONLAT)):
        raise BadFile(
            "names a reference system other than longitude and latitude of WGS 84",
            path=path,
            remedy="export it again in WGS 84 (EPSG:4326)",
        )


def _features(tree: dict[str, Any], path: Path) -> Iterator[tuple[Any, dict[str, Any]]]:
    kind = tree.get("type")
    if kind == "FeatureCollection" and isinstance(tree.get("features"), list):
        for feature in tree["features"]:
            if not isinstance(feature, dict) or feature.get("type") != "Feature":
                yield None, {}
                continue
            properties = feature.get("properties")
            yield feature.get("geometry"), properties if isinstance(properties, dict) else {}
    elif kind == "Feature":
        properties = tree.get("properties")
        yield tree.get("geometry"), properties if isinstance(properties, dict) else {}
    elif isinstance(tree.get("coordinates"), list) or kind == "GeometryCollection":
        yield tree, {}
    else:
        raise _not_geojson(path)


def _parts(geometry: Any) -> Iterator[tuple[Any, bool]]:
    """The strings of positions in a geometry, and whether each is the rim of an area."""
    if not isinstance(geometry, dict):
        return
    kind, coordinates = geometry.get("type"), geometry.get("coordinates")
    if kind == "GeometryCollection":
        inside = geometry.get("geometries")
        for part in inside if isinstance(inside, list) else ():
            # one level: RFC 7946 advises against more
            if isinstance(part, dict) and part.get("type") != "GeometryCollection":
                yield from _parts(part)
    elif kind == "LineString":
        yield coordinates, False
    elif kind in ("MultiLineString", "Polygon"):
        for part in coordinates if isinstance(coordinates, list) else [None]:
            yield part, kind == "Polygon"
    elif kind == "MultiPolygon":
        for area in coordinates if isinstance(coordinates, list) else [None]:
            for part in area if isinstance(area, list) else [None]:
                yield part, True


def _positions(part: Any) -> np.ndarray[tuple[int, int], np.dtype[np.float64]] | None:
    """(n, 2) longitudes and latitudes, n ≥ 2; None where one is no position."""
    if not isinstance(part, list) or len(part) < 2:
        return None
    found = []
    for position in part:
        if not isinstance(position, list) or len(position) < 2:
            return None
        longitude, latitude = position[0], position[1]
        for number, most in ((longitude, 180.0), (latitude, 90.0)):
            if isinstance(number, bool) or not isinstance(number, int | float):
                return None
            if not abs(number) <= most:  # nan too; an integer may have any number of figures
                return None
        found.append((float(longitude), float(latitude)))
    return np.array(found)


def _name(properties: dict[str, Any]) -> str:
    name = properties.get("name")
    return one_line(name)[:LONGEST_NAME] if isinstance(name, str) else ""


def _kind(properties: dict[str, Any]) -> LineKind:
    own = properties.get("kind")
    if isinstance(own, str) and own.strip().casefold() in _KIND_OF_WORD:
        return _KIND_OF_WORD[own.strip().casefold()]
    for tag, kinds in _KIND_OF_TAG.items():
        value = properties.get(tag)
        if isinstance(value, str) and value in kinds:
            return kinds[value]
    return "other"
