"""Any coordinate as people write it → a Place; and a Place back into each notation."""

from __future__ import annotations

import math
import re

from backbearing.errors import BackbearingError, BadInput, quoted
from backbearing.places.degrees import LONGEST_TEXT, plain_marks, read_pair
from backbearing.places.grids import UTM, mgrs_text, read_mgrs, read_utm, utm_text
from backbearing.places.lengths import read_length
from backbearing.places.words import whole_error_m
from backbearing.records import POSITION_ERROR_M, Place, SkyOpenness

__all__ = [
    "SKY_WORDS",
    "decimal_text",
    "dms_text",
    "geo_text",
    "looks_like_coordinate",
    "mgrs_text",
    "read_coordinate",
    "utm_text",
]

SKY_WORDS: dict[SkyOpenness, str] = {
    "open": "assumed: open sky",
    "trees": "assumed: trees",
    "walls": "assumed: under walls",
    "memory": "assumed: pin from memory",
}
_METRES_PER_DEGREE = 111_320.0  # of latitude, near enough for a rounding error
_ERROR_SUFFIX = re.compile(r"^(?P<rest>.+?)\s*(?:±|\+/-|\+-)\s*(?P<error>[0-9].*)$")

# RFC 5870 section 3.3: geo:lat,lon[,alt][;crs=…][;u=…][;name[=value]…]
_NUM = r"-?[0-9]+(?:\.[0-9]+)?"
_GEO = re.compile(
    rf"geo:(?P<lat>{_NUM}),(?P<lon>{_NUM})(?:,(?P<alt>{_NUM}))?(?P<parameters>(?:;[^;]*)*)",
    re.IGNORECASE,
)
_PARAMETER = re.compile(
    r"(?P<name>[A-Za-z0-9-]+)(?:=(?P<value>(?:[A-Za-z0-9\[\]:&+$\-_.!~*'()]|%[0-9A-Fa-f]{2})+))?"
)


def read_coordinate(
    text: str,
    *,
    where: str = "coordinate",
    sky: SkyOpenness | None = None,
    error_m: float | None = None,
) -> Place:
    """Which place a written coordinate names, and how far it may be off.

    text: decimal degrees with sign or N/S/E/W, degrees and minutes (and seconds), UTM, MGRS or
    a geo: URI (RFC 5870); it may end in '± 12 m'. sky: how open the sky was, for the error where
    none is given. error_m: 95 % radius [m], if given. A coordinate written more coarsely than the
    assumed error carries its own rounding instead.
    Raises BadInput naming the part that is ambiguous, malformed or out of range.
    """
    if len(text) > LONGEST_TEXT:
        raise BadInput(f"longer than {LONGEST_TEXT} characters", where=where)
    remark = "typed"
    suffix = _ERROR_SUFFIX.match(text)
    if suffix is not None:
        text = suffix["rest"]
        written_error_m: float | None = read_length(suffix["error"], where=f"{where} error")
    else:
        written_error_m = None
    if text.strip().lower().startswith("geo:"):
        latitude_deg, longitude_deg, height, uncertainty_m, rounding_m = _read_geo(text, where)
        written_error_m = uncertainty_m if written_error_m is None else written_error_m
        # RFC 5870 counts heights from the ellipsoid, tens of metres from those above the sea
        if height:
            remark = f"typed; {height} m above the ellipsoid left out"
        coarse = "assumed: no finer than written"
    else:
        plain = plain_marks(text)
        grid = read_utm(plain, where=where) or read_mgrs(plain, where=where)
        if grid is not None:
            latitude_deg, longitude_deg = grid.latitude_deg, grid.longitude_deg
            rounding_m, coarse = grid.half_diagonal_m, "assumed: somewhere in the grid square"
            remark = f"typed; {grid.remark}" if grid.remark else "typed"
        else:
            pair = read_pair(text, where=where)
            latitude_deg, longitude_deg = pair.latitude_deg, pair.longitude_deg
            rounding_m = _rounding_m(
                latitude_deg, pair.latitude_half_unit_deg, pair.longitude_half_unit_deg
            )
            coarse = "assumed: no finer than written"
    given = error_m if error_m is not None else written_error_m
    if given is not None:
        if not (math.isfinite(given) and given >= 0):
            raise BadInput(f"position error {given} is not a length", where=where)
        error, basis = given, "given"
    else:
        error, basis = POSITION_ERROR_M[sky or "open"], SKY_WORDS[sky or "open"]
        if rounding_m > error:
            error, basis = rounding_m, coarse
    return Place(
        latitude_deg=latitude_deg,
        longitude_deg=-180.0 if longitude_deg == 180 else longitude_deg,
        error_m=error,
        error_basis=basis,
        source=remark,
    )


def _rounding_m(latitude_deg: float, half_latitude_deg: float, half_longitude_deg: float) -> float:
    """Half the diagonal [m] of the box that a coordinate of so many digits stands for."""
    east_m = half_longitude_deg * _METRES_PER_DEGREE * math.cos(math.radians(latitude_deg))
    return math.hypot(half_latitude_deg * _METRES_PER_DEGREE, east_m)


def _read_geo(text: str, where: str) -> tuple[float, float, str, float | None, float]:
    """Latitude, longitude, height as written, uncertainty and rounding of a geo: URI."""
    match = _GEO.fullmatch(text.strip())
    if match is None:
        raise BadInput(
            f"{quoted(text)} is not a geo: URI",
            where=where,
            remedy="write geo:47.0123,-21.0456 or geo:47.0123,-21.0456;u=10, no spaces",
        )
    uncertainty_m = None
    seen: list[str] = []
    for item in match["parameters"].split(";")[1:]:
        parameter = _PARAMETER.fullmatch(item)
        if parameter is None:
            raise BadInput(f"parameter {quoted(item)} of the geo: URI is malformed", where=where)
        name, value = parameter["name"].lower(), parameter["value"]
        if name in seen:
            raise BadInput(f"parameter {quoted(name)} stands twice in the geo: URI", where=where)
        if name == "crs":
            if seen:
                raise BadInput("crs must be the first parameter of a geo: URI", where=where)
            if (value or "").lower() != "wgs84":
                raise BadInput(
                    f"reference system {quoted(value or '')} is not known",
                    where=where,
                    remedy="only crs=wgs84 can be read",
                )
        elif name == "u":
            if seen not in ([], ["crs"]):
                raise BadInput("u must stand before other parameters of a geo: URI", where=where)
            if re.fullmatch(r"[0-9]+(?:\.[0-9]+)?", value or "") is None:
                raise BadInput(
                    f"uncertainty u={quoted(value or '')} of the geo: URI is no number of metres",
                    where=where,
                )
            uncertainty_m = read_length(value or "", where=where)
        seen.append(name)
    # the same range check, the same swap hint, as for a typed pair
    pair = read_pair(f"{match['lat']}, {match['lon']}", where=where)
    rounding_m = _rounding_m(
        pair.latitude_deg, pair.latitude_half_unit_deg, pair.longitude_half_unit_deg
    )
    return pair.latitude_deg, pair.longitude_deg, match["alt"] or "", uncertainty_m, rounding_m


def looks_like_coordinate(text: str) -> bool:
    """Whether a text is meant as a coordinate rather than a name, even if it is a bad one."""
    if len(text) > LONGEST_TEXT:
        return False
    stripped = text.strip()
    if stripped.lower().startswith("geo:"):
        return True
    try:
        read_coordinate(stripped)
    except BackbearingError:
        if UTM.fullmatch(plain_marks(stripped)):
            return True
        # a bad coordinate: nothing but figures, marks and N S E W, and at least two figures
        bare = re.sub(r"[NSEWnsewOo°'\":,;/+\-.\s0-9]", "", plain_marks(stripped))
        return not bare and len(re.findall(r"[0-9]+", stripped)) >= 2
    return True


def _wrapped(longitude_deg: float) -> float:
    return (longitude_deg + 180.0) % 360.0 - 180.0


def decimal_text(latitude_deg: float, longitude_deg: float) -> str:
    """Decimal degrees to 0.1 m or so, "47.012345, -21.045678"."""
    text = f"{latitude_deg:.6f}, {_wrapped(longitude_deg):.6f}"
    return text.replace("-0.000000", "0.000000")


def dms_text(latitude_deg: float, longitude_deg: float) -> str:
    """Degrees, minutes and seconds to 3 m or so, 47°00'44.4"N 21°02'44.4"W."""
    parts = []
    for value, letters in ((latitude_deg, "NS"), (_wrapped(longitude_deg), "EW")):
        tenths = round(abs(value) * 36_000)  # whole tenths of a second, so that 59.96 carries
        minutes, tenth = divmod(tenths, 600)
        degrees, minute = divmod(minutes, 60)
        letter = letters[value < 0]
        parts.append(f"{degrees}°{minute:02d}'{tenth // 10:02d}.{tenth % 10}\"{letter}")
    return " ".join(parts)


def geo_text(place: Place) -> str:
    """A geo: URI with the place's error (RFC 5870); no height, which counts otherwise there."""
    pair = decimal_text(place.latitude_deg, place.longitude_deg).replace(" ", "")
    return f"geo:{pair};u={whole_error_m(place.error_m)}"
