"""Records as column values and back: instants, bearings, wanted light, points of a route.

Written strictly, read tolerantly: a GIS may have put anything into a column, so a value that
cannot be read counts as missing here, and `integrity.check` reports it.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime, time
from typing import Any

from backbearing.records import Bearing, Fault, OtherSky, Sighting, WantedLight, Waypoint

# ---------------------------------------------------------------- single values


def instant_text(instant: datetime) -> str:
    """An aware instant as GeoPackage DATETIME text in UTC with milliseconds.

    Raises ValueError for a naive datetime: attach a zone first.
    """
    if instant.tzinfo is None:
        raise ValueError(f"{instant!r} has no zone; attach one, e.g. .replace(tzinfo=UTC)")
    text = instant.astimezone(UTC).isoformat(timespec="milliseconds")
    return text.replace("+00:00", "Z")


def optional_instant_text(instant: datetime | None) -> str | None:
    return None if instant is None else instant_text(instant)


def read_instant(value: object) -> datetime | None:
    """DATETIME text as an aware instant in UTC, which it is in where it names no zone."""
    if not isinstance(value, str):
        return None
    try:
        instant = datetime.fromisoformat(value.strip().replace("/", "-"))
        if instant.tzinfo is None:
            return instant.replace(tzinfo=UTC)
        return instant.astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def read_text(value: object, default: str = "") -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, bytes):  # a GIS put a blob there
        return value.decode("utf-8", "replace")
    return default if value is None else str(value)


def read_float(value: object) -> float | None:
    if value is None:  # by far the most frequent in a list of subjects
        return None
    if isinstance(value, int | float) and math.isfinite(value):
        return float(value)
    return None


def read_int(value: object) -> int | None:
    return int(value) if isinstance(value, int | float) and math.isfinite(value) else None


def storable(text: str) -> str:
    """Text as SQLite takes it: what is no Unicode (half a surrogate pair) becomes U+FFFD."""
    try:
        text.encode()
    except UnicodeEncodeError:
        return "".join("�" if "\ud800" <= ch <= "\udfff" else ch for ch in text)
    return text


# ---------------------------------------------------------------- JSON columns


def _dump(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def _load(value: object) -> Any:
    if not isinstance(value, str | bytes) or not value:
        return None
    try:
        return json.loads(value)
    except (ValueError, RecursionError):
        return None


def bearing_text(bearing: Bearing | None) -> str | None:
    return None if bearing is None else _dump(_bearing_fields(bearing))


def _bearing_fields(bearing: Bearing) -> dict[str, Any]:
    return {
        "true_deg": bearing.true_deg,
        "error_deg": bearing.error_deg,
        "as_written": storable(bearing.as_written),
        "declination_deg": bearing.declination_deg,
        "basis": storable(bearing.basis),
    }


BEARING_FIELDS = ("true_deg", "error_deg", "as_written", "declination_deg", "basis")
UNKNOWN_BEARING_ERROR_DEG = 10.0  # where a GIS left it out: the widest instrument assumed


def bearing_from(fields: Mapping[str, Any]) -> Bearing | None:
    """A bearing from its five values; None without a direction."""
    true_deg = read_float(fields.get("true_deg"))
    if true_deg is None:
        return None
    error_deg = read_float(fields.get("error_deg"))
    basis = read_text(fields.get("basis"), "given")
    if error_deg is None or error_deg < 0:
        error_deg, basis = UNKNOWN_BEARING_ERROR_DEG, f"{basis}; error assumed"
    return Bearing(
        true_deg=true_deg % 360.0,
        error_deg=error_deg,
        as_written=read_text(fields.get("as_written"), f"{true_deg:g}T"),
        declination_deg=read_float(fields.get("declination_deg")),
        basis=basis,
    )


def read_bearing_text(value: object) -> Bearing | None:
    fields = _load(value)
    return bearing_from(fields) if isinstance(fields, dict) else None


def sightings_text(sightings: Sequence[Sighting]) -> str | None:
    if not sightings:
        return None
    return _dump([{"to": storable(s.to), **_bearing_fields(s.bearing)} for s in sightings])


def read_sightings(value: object) -> tuple[Sighting, ...]:
    rows = _load(value)
    found = []
    for row in rows if isinstance(rows, list) else ():
        bearing = bearing_from(row) if isinstance(row, dict) else None
        if bearing is not None:
            found.append(Sighting(to=read_text(row.get("to")), bearing=bearing))
    return tuple(found)


def wanted_text(wanted: WantedLight | None) -> str | None:
    """Wanted light as JSON with only what is set; local clock times as HH:MM[:SS]."""
    if wanted is None:
        return None
    values: dict[str, Any] = {}
    for name in WantedLight.__dataclass_fields__:
        value = getattr(wanted, name)
        if value is None or value == ():
            continue
        if isinstance(value, time):
            value = value.isoformat()
        elif isinstance(value, OtherSky):
            value = {"earliest": value.earliest.isoformat(), "latest": value.latest.isoformat()}
        values[name] = value
    return _dump(values)


def read_wanted(value: object) -> WantedLight | None:
    """Wanted light from JSON; None where there is none or it makes no sense."""
    values = _load(value)
    if not isinstance(values, dict):
        return None
    try:
        return WantedLight(
            **{name: read(values[name]) for name, read in _WANTED.items() if name in values}
        )
    except (TypeError, ValueError, KeyError, OverflowError):
        return None


def _pair(value: Any) -> tuple[float, float]:
    first, second = value
    return _figure(first), _figure(second)


def _figure(value: Any) -> float:
    if not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError("no figure")
    return float(value)


def _one_of(*known: object) -> Callable[[Any], Any]:
    def read(value: Any) -> Any:
        if value not in known:
            raise ValueError("none of these")
        return value

    return read


def _numbers(first: int, last: int) -> Callable[[Any], tuple[int, ...]]:
    def read(value: Any) -> tuple[int, ...]:
        if not all(isinstance(n, int) and first <= n <= last for n in value):
            raise ValueError("out of range")
        return tuple(value)

    return read


def _other_sky(value: Any) -> OtherSky:
    clock = time.fromisoformat
    return OtherSky(earliest=clock(value["earliest"]), latest=clock(value["latest"]))


_WANTED: dict[str, Callable[[Any], Any]] = {
    "delta_deg": _pair,
    "side": _one_of("left", "right"),
    "sun_altitude_deg": _pair,
    "sun_azimuth_deg": _pair,
    "direct_sun": _one_of(True, False),
    "after_first_sun_min": _pair,
    "before_last_sun_min": _pair,
    "months": _numbers(1, 12),
    "weekdays": _numbers(0, 6),
    "earliest": time.fromisoformat,
    "latest": time.fromisoformat,
    "minimum_min": _figure,
    "other_sky": _other_sky,
}


def observed_text(observed: Mapping[str, str]) -> str | None:
    if not observed:
        return None
    return _dump({storable(key): storable(value) for key, value in observed.items()})


def read_observed(value: object) -> dict[str, str]:
    fields = _load(value)
    if not isinstance(fields, dict):
        return {}
    return {key: read_text(item) for key, item in fields.items()}


def faults_text(faults: Sequence[Fault]) -> str:
    return _dump([[f.line, f.field, storable(f.what), f.action] for f in faults])


def read_faults(value: object) -> tuple[Fault, ...]:
    rows = _load(value)
    return tuple(
        Fault(line=row[0], field=row[1], what=row[2], action=row[3])
        for row in (rows if isinstance(rows, list) else ())
        if isinstance(row, list) and len(row) == 4
    )


_POINT_TEXTS = ("name", "comment", "description", "symbol", "kind")


def route_points_text(points: Sequence[Waypoint]) -> str:
    """What a route's points carry beyond their place: JSON, one object a point, in order.

    The longitude and latitude stand here too, so that after a GIS has added or removed a
    vertex each remaining one is recognised; where the vertex lies is the geometry's to say.
    """
    rows = []
    for point in points:
        row: dict[str, Any] = {"at": [point.longitude_deg, point.latitude_deg]}
        row.update({k: storable(getattr(point, k)) for k in _POINT_TEXTS if getattr(point, k)})
        if point.time is not None:
            row["time"] = instant_text(point.time)
        if point.line is not None:
            row["line"] = point.line
        rows.append(row)
    return _dump(rows)


def read_route_points(
    value: object, vertices: Sequence[tuple[float, float, float | None]]
) -> tuple[Waypoint, ...]:
    """A route's points: places from the geometry's vertices, the rest from the JSON."""
    loaded = _load(value)
    rows = [row for row in loaded if isinstance(row, dict)] if isinstance(loaded, list) else []
    if len(rows) == 1 and len(vertices) == 2 and vertices[0] == vertices[1]:
        vertices = vertices[:1]
    if len(rows) != len(vertices):
        by_place = {tuple(r["at"]): r for r in rows if isinstance(r.get("at"), list)}
        rows = [by_place.get((x, y), {}) for x, y, _ in vertices]
    return tuple(
        Waypoint(
            longitude_deg=x,
            latitude_deg=y,
            height_m=z,
            time=read_instant(row.get("time")),
            name=read_text(row.get("name")),
            comment=read_text(row.get("comment")),
            description=read_text(row.get("description")),
            symbol=read_text(row.get("symbol")),
            kind=read_text(row.get("kind")),
            line=read_int(row.get("line")),
        )
        for (x, y, z), row in zip(vertices, rows, strict=True)
    )
