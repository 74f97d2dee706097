"""Lengths, angles and spans of time with their units, as people write them."""

from __future__ import annotations

import math
import re

from backbearing.errors import BadInput, quoted

LONGEST_M = 1_000_000.0  # nothing a photographer measures is longer
FARTHEST_CAMERA_M = 100_000.0  # from camera to subject; the farthest summits in sight are nearer
_LONGEST_SPAN_S = 1000 * 3600.0

_METRES = {
    **dict.fromkeys(("", "m", "metre", "metres", "meter", "meters"), 1.0),
    **dict.fromkeys(("km", "kilometre", "kilometres", "kilometer", "kilometers"), 1000.0),
    **dict.fromkeys(("cm", "centimetre", "centimetres"), 0.01),
    **dict.fromkeys(("mm", "millimetre", "millimetres"), 0.001),
    # the international yard and pound agreement of 1959: 1 yd = 0.9144 m exactly
    **dict.fromkeys(("ft", "foot", "feet"), 0.3048),
    **dict.fromkeys(("in", "inch", "inches"), 0.0254),
    **dict.fromkeys(("yd", "yds", "yard", "yards"), 0.9144),
    **dict.fromkeys(("mi", "mile", "miles"), 1609.344),
}
_NUMBER = r"[0-9]+(?:\.[0-9]*)?|\.[0-9]+"
_LENGTH = re.compile(rf"({_NUMBER})\s*([A-Za-z]*)")
_ANGLE = re.compile(rf"([+\-−]?)\s*({_NUMBER})\s*(?:°|º|deg|degrees)?(?:\s*({_NUMBER})\s*['′’])?")
_SPAN = re.compile(rf"({_NUMBER})\s*([A-Za-z]*)\s*")
_SECONDS = {
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), 3600.0),
    **dict.fromkeys(("m", "min", "mins", "minute", "minutes"), 60.0),
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), 1.0),
}


def _refuse_comma(text: str, where: str) -> None:
    if re.search(r"[0-9],[0-9]", text):
        raise BadInput(
            f"the comma in {quoted(text)} may be a decimal comma or part thousands",
            where=where,
            remedy="write decimals with a point and thousands without a mark",
        )


def read_length(text: str, *, where: str = "length", most_m: float = LONGEST_M) -> float:
    """How many metres a written length is; a bare number is metres.

    Raises BadInput for a negative length, one over most_m, an unknown unit or no number.
    """
    _refuse_comma(text, where)
    if text.strip()[:1] in ("-", "−") and _LENGTH.fullmatch(text.strip()[1:].strip()):
        raise BadInput(f"{quoted(text)} must be above 0 m", where=where, remedy="write it unsigned")
    match = _LENGTH.fullmatch(text.strip())
    if match is None or match[2].lower() not in _METRES:
        raise BadInput(
            f"{quoted(text)} is not a length",
            where=where,
            remedy="write a number with m, km, cm, ft, yd or mi, as '8 m'",
        )
    length_m = float(match[1]) * _METRES[match[2].lower()]
    if not length_m <= most_m:
        raise BadInput(f"{quoted(text)} is longer than {most_m / 1000:g} km", where=where)
    return length_m


def read_angle(
    text: str, *, where: str = "angle", low_deg: float = -90.0, high_deg: float = 90.0
) -> float:
    """How many degrees a written angle is: "-6", "38°", "6°30'".

    Raises BadInput where it is no angle or not within low_deg … high_deg.
    """
    _refuse_comma(text, where)
    match = _ANGLE.fullmatch(text.strip())
    if match is None:
        raise BadInput(f"{quoted(text)} is not an angle", where=where, remedy="write degrees")
    minutes = float(match[3]) if match[3] else 0.0
    if minutes >= 60:
        raise BadInput(f"the minutes in {quoted(text)} are not below 60", where=where)
    angle_deg = float(match[2]) + minutes / 60
    if match[1] in ("-", "−"):
        angle_deg = -angle_deg
    if not low_deg <= angle_deg <= high_deg:
        raise BadInput(f"{quoted(text)} is outside {low_deg:g}…{high_deg:g} degrees", where=where)
    return angle_deg + 0.0


def read_duration_s(text: str, *, where: str = "duration") -> float:
    """How many seconds a written span is: "2h30", "20 min", "45s", "1h05m10s".

    Raises BadInput for a bare number or a clock form, which may mean two things.
    """
    _refuse_comma(text, where)
    remedy = "write it with units, as '2h30', '20 min' or '45 s'"
    rest, total_s, unit_before_s = text.strip(), 0.0, math.inf
    while rest:
        match = _SPAN.match(rest)
        # after hours a bare figure is minutes, as in '2h30'
        bare_minutes = match is not None and match[2] == "" and unit_before_s == 3600.0
        unit_s = 60.0 if bare_minutes else _SECONDS.get(match[2].lower() if match else "", 0.0)
        if match is None or not 0 < unit_s < unit_before_s:
            raise BadInput(f"{quoted(text)} is not a span of time", where=where, remedy=remedy)
        figure = float(match[1])
        if figure >= 60 and unit_before_s < math.inf:
            raise BadInput(f"{match[1]} in {quoted(text)} is not below 60", where=where)
        total_s += figure * unit_s
        unit_before_s = unit_s
        rest = rest[match.end() :]
    if not total_s <= _LONGEST_SPAN_S:
        raise BadInput(f"{quoted(text)} is longer than 1000 hours", where=where)
    if unit_before_s == math.inf:
        raise BadInput("no span of time is given", where=where, remedy=remedy)
    return total_s
