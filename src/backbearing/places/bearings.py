"""Bearings as people write them → true bearings, by the World Magnetic Model of that date."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from datetime import date
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

from backbearing.errors import BadInput, quoted
from backbearing.records import Bearing

if TYPE_CHECKING:
    from pygeomag import GeoMag

Instrument = Literal["sighting compass", "baseplate", "phone"]

INSTRUMENT_ERROR_DEG: dict[Instrument, float] = {
    # 95 %; common practice, no source
    "sighting compass": 2.0,
    "baseplate": 3.0,
    "phone": 10.0,
}
COMPASSES: tuple[Instrument, ...] = ("sighting compass", "baseplate")  # a phone may show either
NORMAL_95 = 1.96  # from one standard deviation to 95 %

# Standard deviation of the declination: sqrt(a² + (b / H)²) degrees, H in nT. The pairs are
# those pygeomag states for WMM2015, 2020 and 2025 (the last is NOAA NCEI's too).
# None was published with the 2010 model that we know of: the next epoch's stands in.
_DECLINATION_SIGMA = {
    2010: (0.23, 5430.0),
    2015: (0.23, 5430.0),
    2020: (0.26, 5625.0),
    2025: (0.26, 5417.0),
}
_COEFFICIENTS = {
    2010: "wmm/WMM_2010.COF",
    2015: "wmm/WMM_2015v2.COF",
    2020: "wmm/WMM_2020.COF",
    2025: "wmm/WMM_2025.COF",
}
# WMM's own limits: below these the horizontal field is too weak to hold a needle
BLACKOUT_NT = 2000.0
CAUTION_NT = 6000.0

_POINTS = tuple("N,NNE,NE,ENE,E,ESE,SE,SSE,S,SSW,SW,WSW,W,WNW,NW,NNW".split(","))  # noqa: SIM905
# a point of 4, 8 or 16 is meant within half the step to its neighbours
_POINT_ERROR_DEG = {1: 45.0, 2: 22.5, 3: 11.25}
# of what `short_bearing` makes
_FIGURE = re.compile(r"([0-9]+(?:\.[0-9]*)?|\.[0-9]+)([A-Z]*)")
_QUADRANT = re.compile(r"([NS])([0-9]+(?:\.[0-9]*)?)([EW])([MT]?)")
_POINT = re.compile(rf"({'|'.join(sorted(_POINTS, key=len, reverse=True))})([MT]?)")


_DIGITS = "zero one two three four five six seven eight nine".split()  # noqa: SIM905
_DIGIT_OF = {**{word: str(n) for n, word in enumerate(_DIGITS)}, "oh": "0", "niner": "9"}
_SPOKEN = re.compile(rf"(?:\b(?:{'|'.join(_DIGIT_OF)})\b[\s-]*)+", re.IGNORECASE)


def short_bearing(written: str) -> str:
    """`215 degrees magnetic`, `two one five mag`, `215°M`, `south-west` → 215M, SW.

    What is no bearing comes back without its spaces, for `read_bearing` to refuse.
    """
    short = _SPOKEN.sub(
        lambda m: "".join(_DIGIT_OF[word] for word in re.findall(r"[a-z]+", m[0].lower())) + " ",
        written,
    )
    short = re.sub(r"(?i)(?<=\d)\s*(?:[°º˚]|degrees?\b|deg\b\.?)", " ", short)
    short = re.sub(r"(?i)\b(?:north|south|east|west)", lambda m: m[0][0], short)
    short = re.sub(r"(?i)(?<=[ns])(?:east|west)\b", lambda m: m[0][0], short)
    short = re.sub(r"(?i)(?<=[\d\s])(mag(?:netic)?|true)$", lambda m: m[0][0], short.strip())
    # "21 5" stays two figures, "-5" keeps its sign
    return re.sub(r"(?<=[A-Za-z])-(?=[A-Za-z])|(?<!\d)\s+|\s+(?!\d)", "", short).upper()


def true_degrees(angle_deg: float) -> float:
    """An azimuth [deg] brought into 0 ≤ a < 360."""
    turned = angle_deg % 360.0
    return 0.0 if turned == 360.0 else turned


@lru_cache(maxsize=4)
def _model(epoch: int) -> GeoMag:
    from pygeomag import GeoMag

    return GeoMag(coefficients_file=_COEFFICIENTS[epoch])


@lru_cache(maxsize=256)  # a record asks for the same spot again and again; 0.5 ms each
def _field(
    latitude_deg: float, longitude_deg: float, height_m: float | None, on: date, where: str
) -> tuple[float, float, float]:
    """Declination [deg, east positive], its standard deviation [deg] and horizontal field [nT]."""
    if not 2010 <= on.year < 2030:
        raise BadInput(
            f"no magnetic model covers {on.isoformat()} (2010 to 2029 are known)",
            where=where,
            remedy="give the bearing as true, with a T",
        )
    epoch = on.year - on.year % 5
    days = (date(on.year + 1, 1, 1) - date(on.year, 1, 1)).days
    year = on.year + (on.timetuple().tm_yday - 1) / days
    # models hold from 1 km below to 850 km above the sea
    height_km = min(max((height_m or 0.0) / 1000.0, -1.0), 850.0)
    result = _model(epoch).calculate(
        glat=latitude_deg, glon=longitude_deg, alt=height_km, time=year
    )
    constant, field_term = _DECLINATION_SIGMA[epoch]
    sigma_deg = math.hypot(constant, field_term / max(result.h, 1.0))
    return float(result.d), min(sigma_deg, 180.0), float(result.h)


def declination_deg(
    latitude_deg: float,
    longitude_deg: float,
    height_m: float | None,
    on: date,
    *,
    where: str = "declination",
) -> tuple[float, float]:
    """Magnetic declination [deg, east positive] and its standard deviation [deg].

    World Magnetic Model of the epoch that covers the date (2010, 2015v2, 2020, 2025), with the
    error model published with it; rock and iron nearby can do more than that. A height of None
    is taken as sea level (0.001° per 100 m or so).
    Raises BadInput outside 2010–2029 and in the blackout zones round the magnetic poles.
    """
    value_deg, sigma_deg, horizontal_nt = _field(latitude_deg, longitude_deg, height_m, on, where)
    if horizontal_nt < BLACKOUT_NT:
        raise BadInput(
            f"a compass cannot be trusted there: the horizontal field is {horizontal_nt:.0f} nT, "
            f"below {BLACKOUT_NT:.0f}",
            where=where,
            remedy="give the bearing as true, with a T",
        )
    return value_deg, sigma_deg


def read_bearing(
    text: str,
    *,
    latitude_deg: float,
    longitude_deg: float,
    height_m: float | None = None,
    on: date,
    instrument: Instrument | None = None,
    error_deg: float | None = None,
    where: str = "bearing",
) -> Bearing:
    """Which true bearing a written one is, and how far it may be off.

    text: "215", "215T", "215M", "215° mag", "SW", "S35W". A figure without T or M is taken as
    magnetic where a compass is named as the instrument, else as true, and the basis says which.
    The 95 % error joins the instrument's (sighting compass where
    none is named) and, for a magnetic one, that of the declination.
    Raises BadInput where it is no bearing, or no declination can be had.
    """
    shown = quoted(text)
    remarks: list[str] = []
    angle_deg, reference, point_error_deg = _read_angle(text, shown, where)
    if error_deg is not None:
        if not (math.isfinite(error_deg) and 0 <= error_deg <= 180):
            raise BadInput(f"bearing error {error_deg:g} is outside 0…180 degrees", where=where)
        own_error_deg = error_deg
    elif point_error_deg is not None:
        own_error_deg = point_error_deg
        remarks.append("assumed: error of half a compass point")
    else:
        own_error_deg = INSTRUMENT_ERROR_DEG[instrument or "sighting compass"]
        if instrument is None:
            remarks.append("assumed: sighting compass")
    if reference == "" and instrument in COMPASSES and point_error_deg is None:
        reference = "M"
        remarks.append(f"assumed: magnetic, as a {instrument} was named and no T or M written")
    elif reference == "":
        remarks.append("assumed: true, as no T or M was written")
    declination = None
    if reference == "M":
        declination, sigma_deg = declination_deg(
            latitude_deg, longitude_deg, height_m, on, where=where
        )
        horizontal_nt = _field(latitude_deg, longitude_deg, height_m, on, where)[2]
        if horizontal_nt < CAUTION_NT:
            remarks.append(f"caution: weak magnetic field, {horizontal_nt:.0f} nT")
        angle_deg += declination
        own_error_deg = math.hypot(own_error_deg, NORMAL_95 * sigma_deg)
    return Bearing(
        true_deg=true_degrees(angle_deg),
        error_deg=min(own_error_deg, 180.0),
        as_written=text.strip(),
        declination_deg=declination,
        basis="; ".join(remarks) or "given",
    )


def _read_angle(text: str, shown: str, where: str) -> tuple[float, str, float | None]:
    """Angle [deg], reference ('T', 'M' or '') and, for a compass point, its error [deg]."""
    short = short_bearing(text.strip().rstrip("."))
    figure = _FIGURE.fullmatch(short)
    if figure is not None and figure[2] in ("", "M", "T"):
        angle_deg = float(figure[1])
        if angle_deg > 360:
            raise BadInput(f"bearing {shown} is above 360 degrees", where=where)
        return angle_deg, figure[2], None
    if figure is not None and figure[2] in ("G", "GRID"):
        raise BadInput(
            f"{shown} is a grid bearing, which needs its grid's convergence",
            where=where,
            remedy="give it as true (T) or magnetic (M)",
        )
    quadrant = _QUADRANT.fullmatch(short)
    if quadrant is not None:
        angle_deg = float(quadrant[2])
        if angle_deg > 90:
            raise BadInput(f"{shown} turns more than 90 degrees from {quadrant[1]}", where=where)
        from_north = angle_deg if quadrant[1] == "N" else 180 - angle_deg
        turned = from_north if quadrant[3] == "E" else 360 - from_north
        return turned, quadrant[4], None
    point = _POINT.fullmatch(short)
    if point is not None:
        return _POINTS.index(point[1]) * 22.5, point[2], _POINT_ERROR_DEG[len(point[1])]
    raise BadInput(
        f"{shown} is not a bearing",
        where=where,
        remedy="write degrees with T (true) or M (magnetic), as '215M', or a compass point",
    )


def back_bearing(bearing: Bearing) -> Bearing:
    """The same line seen from its other end."""
    return replace(
        bearing,
        true_deg=true_degrees(bearing.true_deg + 180.0),
        as_written=f"back bearing of {bearing.as_written}",
    )
