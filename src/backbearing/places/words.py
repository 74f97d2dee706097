"""How positions, bearings and their errors are worded, wherever they are shown."""

from __future__ import annotations

from math import ceil
from typing import TYPE_CHECKING

from backbearing.saying import figure, say

if TYPE_CHECKING:
    from datetime import date

    from backbearing.records import Bearing, Place


def metres_text(metres: float) -> str:
    """`8 m`, `740 m`, `1.2 km`, `2 km`, `12 km`: as exact as a walker uses it."""
    if metres < 9.95:
        return figure(f"{metres:.1f}".rstrip("0").rstrip(".")) + " m"
    if metres < 999.5:
        return f"{metres:.0f} m"
    return figure(f"{metres / 1000:.{1 if metres < 9950 else 0}f}".removesuffix(".0")) + " km"


def size_text(metres: float, error_m: float | None = None) -> str:
    """`7.1 m ± 0.9 m`, `37 m ± 4 m`: never finer than its error, which is rounded up."""
    if error_m is None:
        return metres_text(metres)
    if error_m > 0.9:
        return f"{metres:.0f} m ± {whole_error_m(error_m)} m"
    return figure(f"{metres:.1f} m ± {ceil(error_m * 10 - 1e-6) / 10:g} m")


def degrees_text(azimuth_deg: float) -> str:
    """A direction in whole degrees, 000 to 359, so that 7° is not read as 70°."""
    return f"{round(azimuth_deg) % 360:03d}°"


def sun_stands_text(altitude_deg: float) -> str:
    """`15° up`; below the horizon it says so."""
    degrees = round(altitude_deg)
    return (
        say("{degrees}° up", degrees=degrees)
        if degrees >= 0
        else say("{degrees}° below the horizon", degrees=-degrees)
    )


def whole_error_m(error_m: float) -> int:
    """A position error in whole metres, never less than it is."""
    return ceil(error_m - 1e-6)


def error_text(place: Place) -> str:
    """`± 18 m (given)`, or `± 41 m: …` where what it rests on has brackets of its own."""
    text, basis = f"± {metres_text(whole_error_m(place.error_m))}", say(place.error_basis)
    return f"{text}: {basis}" if "(" in basis else f"{text} ({basis})"


def bearing_error_text(bearing: Bearing) -> str:
    """`± 2°`, `± 10°`: in whole degrees, up from a quarter over, as no compass is read finer."""
    return f"± {max(ceil(bearing.error_deg - 0.25), min(ceil(bearing.error_deg), 1))}°"


def bearing_text(bearing: Bearing, on: date | None = None) -> str:
    """`209° true ± 2° (215M, declination 6.0° W, assumed: sighting compass)`.

    on: the day of the declination, where that is to be said.
    """
    made_from = [bearing.as_written] if bearing.as_written else []
    if bearing.declination_deg is not None:
        side = "E" if bearing.declination_deg >= 0 else "W"
        day = say(" on {on}", on=on.isoformat()) if on else ""
        made_from.append(
            say(
                "declination {declination_deg:.1f}° {side}{day}",
                declination_deg=abs(bearing.declination_deg),
                side=say(side),
                day=day,
            )
        )
    if bearing.basis not in ("", "given"):
        made_from.append("; ".join(map(say, bearing.basis.split("; "))))
    text = say(
        "{true} true {bearing_error}",
        true=degrees_text(bearing.true_deg),
        bearing_error=bearing_error_text(bearing),
    )
    return f"{text} ({', '.join(made_from)})" if made_from else text


def offset_basis(place: Place, bearing: Bearing, distance_m: float, along: str) -> str:
    """What the error of an offset place rests on, part by part; offsets of offsets in a row.

    along: what is known of the distance, after its figure: `paced ± 0.8 m`.
    """
    if place.error_basis.startswith("place ± "):
        start = f"{place.error_basis}, then "
    else:
        start = f"place ± {metres_text(whole_error_m(place.error_m))}{_told(place.error_basis)}, "
    turned = "" if bearing.basis == "given" else _told(bearing.basis)
    written = bearing.as_written or f"{degrees_text(bearing.true_deg)} true"
    return (
        f"{start}{written} {bearing_error_text(bearing)}{turned}, {metres_text(distance_m)} {along}"
    )


def _told(basis: str) -> str:
    """What stands behind a figure, after it: ` given`, ` assumed (under walls)`."""
    if basis == "given":
        return " given"
    word, colon, rest = basis.partition("assumed: ")
    if colon and not word:
        return f" assumed ({rest.replace('; assumed: ', '; ')})"
    return f" ({basis})"
