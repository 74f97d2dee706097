"""UTM and MGRS grid references, read and written; polar ones by UPS."""

from __future__ import annotations

import re
import warnings
from dataclasses import dataclass

from backbearing.errors import BadInput, quoted

_BANDS = "CDEFGHJKLMNPQRSTUVWX"  # 8° each from 80° S; X reaches to 84° N
_NO_ZONES_IN_X = (32, 34, 36)  # round Svalbard their neighbours are wider (from memory)
_FEWEST_POLAR_FIGURES = 4  # `bay`, or `bay 12`, is a name rather than a square of 10 km and more

UTM = re.compile(
    r"""(?P<zone>[0-9]{1,2})?\s*(?P<letter>[A-Za-z]|north|south)[\s,]+
        # fewer figures are degrees, as in '21 E 47 30 N'
        E?\s*(?P<easting>[0-9]{5,}(?:\.[0-9]+)?)\s*(?:m?\s*E)?[\s,]+
        N?\s*(?P<northing>[0-9]+(?:\.[0-9]+)?)\s*(?:m?\s*N)?""",
    re.VERBOSE | re.IGNORECASE,
)
MGRS = re.compile(
    r"(?P<zone>[0-9]{1,2})?\s*(?P<band>[A-Za-z])\s*(?P<square>[A-Za-z]{2})\s*(?P<digits>[0-9 ]*)"
)


@dataclass(frozen=True, slots=True)
class GridPoint:
    """Where a grid reference points, half the diagonal of its square, and what was decided."""

    latitude_deg: float
    longitude_deg: float
    half_diagonal_m: float
    remark: str = ""


def band_of(latitude_deg: float) -> str:
    """The latitude band letter, '' outside UTM (80° S … 84° N)."""
    if not -80 <= latitude_deg <= 84:
        return ""
    return _BANDS[min(int((latitude_deg + 80) // 8), 19)]


def _band_limits(letter: str) -> tuple[float, float]:
    south = _BANDS.index(letter) * 8 - 80
    return south, 84 if letter == "X" else south + 8


def read_utm(text: str, *, where: str = "coordinate") -> GridPoint | None:
    """Where a UTM (or polar UPS) reference points; None where the text is not one.

    The letter after the zone is a latitude band, as in MGRS; `north` and `south` written out
    name the hemisphere, and so does N where the northing does not fit band N (both lie north).
    S is always the band (32–40° N), and the remark says so; where the northing does not fit
    it the reference is refused as ambiguous.
    Raises BadInput naming zone, letter, easting or northing.
    """
    match = UTM.fullmatch(text.strip())
    if match is None:
        return None
    letter = match["letter"].upper()
    easting_m, northing_m = float(match["easting"]), float(match["northing"])
    if match["zone"] is None:
        return _read_ups(letter, easting_m, northing_m, where) if letter in "ABYZ" else None
    zone = int(match["zone"])
    if not 1 <= zone <= 60:
        raise BadInput(f"UTM zone {zone} is outside 1…60", where=where)
    if len(letter) == 1 and letter not in _BANDS:
        raise BadInput(
            f"{letter} is no UTM latitude band",
            where=where,
            remedy="write a band C to X (without I and O), or 'north' or 'south'",
        )
    if letter == "X" and zone in _NO_ZONES_IN_X:
        raise BadInput(
            f"there is no UTM zone {zone}X",
            where=where,
            remedy=f"its ground lies in {zone - 1}X and {zone + 1}X",
        )
    if not 100_000 <= easting_m <= 900_000:
        raise BadInput(
            f"UTM easting {match['easting']} is outside 100000…900000",
            where=where,
            remedy="easting comes before northing",
        )
    if northing_m > 10_000_000:
        raise BadInput(f"UTM northing {match['northing']} is above 10000000", where=where)

    from pyproj import Proj

    south = letter == "SOUTH" or letter < "N"
    grid = Proj(proj="utm", zone=zone, south=south, ellps="WGS84")
    longitude_deg, latitude_deg = grid(easting_m, northing_m, inverse=True)
    remark = ""
    if len(letter) == 1:
        low, high = _band_limits(letter)
        # a metre of rounding may carry a northing over its band's edge
        fits = low - 1e-4 <= latitude_deg <= high + 1e-4
        if letter == "N" and not fits:
            remark = "N read as the northern hemisphere, not as the band 0–8° N"
        elif letter == "S":
            if not fits:
                raise BadInput(
                    f"S in {quoted(text)} may be the band 32–40° N or the southern hemisphere, "
                    f"and northing {match['northing']} is not in that band",
                    where=where,
                    remedy="write the band letter, or 'north' or 'south' in full",
                )
            remark = "S read as the latitude band 32–40° N, not as south"
        elif not fits:
            own = band_of(latitude_deg)
            raise BadInput(
                f"UTM northing {match['northing']} is not in band {letter}"
                + (f" but in {own}" if own else ""),
                where=where,
                remedy="check the band letter and the northing",
            )
    elif not -80.5 <= latitude_deg <= 84.5:
        raise BadInput(f"UTM northing {match['northing']} lies outside 80° S…84° N", where=where)
    off_deg = abs((longitude_deg - (zone * 6 - 183) + 180) % 360 - 180)
    if off_deg > 6.5:  # neighbouring zones overlap in use, and Norway's and Svalbard's are wider
        raise BadInput(f"UTM easting {match['easting']} lies far outside zone {zone}", where=where)
    return GridPoint(latitude_deg, longitude_deg, _half_diagonal(match["easting"]), remark)


def _read_ups(letter: str, easting_m: float, northing_m: float, where: str) -> GridPoint:
    from pyproj import Proj

    for name, value in (("easting", easting_m), ("northing", northing_m)):
        if not 800_000 <= value <= 3_200_000:
            raise BadInput(f"UPS {name} {value:.0f} is outside 800000…3200000", where=where)
    grid = Proj(proj="ups", south=letter in "AB", ellps="WGS84")
    longitude_deg, latitude_deg = grid(easting_m, northing_m, inverse=True)
    return GridPoint(latitude_deg, longitude_deg, 1.0)


def _half_diagonal(figure: str) -> float:
    decimals = len(figure.split(".")[1]) if "." in figure else 0
    return float(0.5 * 2**0.5 * 10.0**-decimals)


def read_mgrs(text: str, *, where: str = "coordinate") -> GridPoint | None:
    """The centre of an MGRS square; None where the text is not one.

    Raises BadInput where digits are uneven or the letters do not fit.
    """
    match = MGRS.fullmatch(text.strip())
    if match is None:
        return None
    digits = match["digits"].replace(" ", "")
    if match["zone"] is None and (
        match["band"].upper() not in "ABYZ" or len(digits) < _FEWEST_POLAR_FIGURES
    ):
        return None
    groups = match["digits"].split()
    if len(digits) % 2 or len(digits) > 10 or (len(groups) == 2 and len(set(map(len, groups))) > 1):
        raise BadInput(
            f"MGRS figures {quoted(match['digits'].strip())} do not halve into two equal parts",
            where=where,
            remedy="give as many figures for one as for the other, at most five each",
        )
    half = len(digits) // 2
    side_m = 10.0 ** (5 - half)
    # the middle of the square, spelt out to the metre
    middle = "".join((part + "5").ljust(5, "0")[:5] for part in (digits[:half], digits[half:]))
    band = match["band"].upper()
    name = f"{match['zone'] or ''}{band}{match['square'].upper()}"
    import mgrs

    try:
        with warnings.catch_warnings():
            # the converter only warns where band and square disagree; that is judged below
            warnings.simplefilter("ignore", RuntimeWarning)
            latitude_deg, longitude_deg = mgrs.MGRS().toLatLon(name + middle)
    except Exception as error:
        raise BadInput(
            f"{quoted(name)} is no MGRS zone, band and square",
            where=where,
            remedy="check the letters after the zone number",
        ) from error
    half_diagonal_m = side_m * 0.5 * 2**0.5
    if match["zone"] is not None:
        low, high = _band_limits(band)
        slack_deg = half_diagonal_m / 111_000  # a square cut by the band's edge keeps its middle
        if not low - slack_deg - 1e-4 <= latitude_deg <= high + slack_deg + 1e-4:
            raise BadInput(
                f"MGRS square {match['square'].upper()} does not lie in band {band}",
                where=where,
                remedy="check the letters after the zone number",
            )
    return GridPoint(latitude_deg, longitude_deg, half_diagonal_m)


def mgrs_text(latitude_deg: float, longitude_deg: float) -> str:
    """The MGRS reference to one metre, "27T WN 00000 05164"."""
    import mgrs

    joined: str = mgrs.MGRS().toMGRS(latitude_deg, longitude_deg)
    return f"{joined[:-12]} {joined[-12:-10]} {joined[-10:-5]} {joined[-5:]}"


def utm_text(latitude_deg: float, longitude_deg: float) -> str:
    """The UTM reference to one metre with its band, "27T 500000 5205164" (UPS at the poles)."""
    from pyproj import Proj

    head = mgrs_text(latitude_deg, longitude_deg).split()[0]
    if head[0].isdigit():
        south = head[-1] < "N"
        grid = Proj(proj="utm", zone=int(head[:-1]), south=south, ellps="WGS84")
    else:
        grid = Proj(proj="ups", south=head in "AB", ellps="WGS84")
    easting_m, northing_m = grid(longitude_deg, latitude_deg)
    return f"{head} {round(easting_m)} {round(northing_m)}"


class UtmGrid:
    """The grid of one UTM zone on WGS 84: metres east and north, and back."""

    def __init__(self, zone: int, *, south: bool) -> None:
        from pyproj import Proj

        self._grid = Proj(proj="utm", zone=zone, south=south, ellps="WGS84")

    def of(self, latitude_deg: float, longitude_deg: float) -> tuple[float, float]:
        """Easting and northing [m] of a place."""
        easting_m, northing_m = self._grid(longitude_deg, latitude_deg)
        return float(easting_m), float(northing_m)

    def spot(self, easting_m: float, northing_m: float) -> tuple[float, float]:
        """Latitude and longitude [degrees] of a point of the grid."""
        longitude_deg, latitude_deg = self._grid(easting_m, northing_m, inverse=True)
        return float(latitude_deg), float(longitude_deg)


def utm_grid(latitude_deg: float, longitude_deg: float) -> UtmGrid | None:
    """The grid that MGRS references at a place are of; None near the poles (UPS)."""
    if not band_of(latitude_deg):
        return None
    zone = int(mgrs_text(latitude_deg, longitude_deg).split()[0][:-1])
    return UtmGrid(zone, south=latitude_deg < 0.0)
