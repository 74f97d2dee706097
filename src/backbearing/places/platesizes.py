"""Plate and film sizes as people name them, and as they measure them.

Sizes of the old trade names: standard lists, as publicly quoted. 'Half plate' is two sizes, so it
must be said whose; a holder masks 2 to 4 mm a side, so plate and image are kept apart.
"""

from __future__ import annotations

import re

from backbearing.errors import BadInput, quoted

_IN = 25.4
# long side first, millimetres
PLATE_SIZES_MM: dict[str, tuple[float, float]] = {
    "sixteenth plate": (1.625 * _IN, 1.375 * _IN),
    "ninth plate": (2.5 * _IN, 2.0 * _IN),
    "sixth plate": (3.25 * _IN, 2.75 * _IN),
    "quarter plate": (4.25 * _IN, 3.25 * _IN),
    "half plate uk": (6.5 * _IN, 4.75 * _IN),
    "half plate us": (5.5 * _IN, 4.25 * _IN),
    "whole plate": (8.5 * _IN, 6.5 * _IN),
    "postcard": (5.5 * _IN, 3.25 * _IN),
    "4 x 5 in": (5.0 * _IN, 4.0 * _IN),
    "5 x 7 in": (7.0 * _IN, 5.0 * _IN),
    "8 x 10 in": (10.0 * _IN, 8.0 * _IN),
    "11 x 14 in": (14.0 * _IN, 11.0 * _IN),
    "6.5 x 9 cm": (90.0, 65.0),
    "9 x 12 cm": (120.0, 90.0),
    "10 x 15 cm": (150.0, 100.0),
    "10 x 16 cm": (160.0, 100.0),
    "13 x 18 cm": (180.0, 130.0),
    "18 x 24 cm": (240.0, 180.0),
    "6 x 9 roll": (84.0, 56.0),
    "6 x 12 roll": (112.0, 56.0),
}
_UNITS = {"mm": 1.0, "cm": 10.0, "in": _IN, "inch": _IN, "inches": _IN, '"': _IN, "″": _IN}
_FRACTIONS = {"¼": 0.25, "½": 0.5, "¾": 0.75, "⅛": 0.125, "⅜": 0.375, "⅝": 0.625, "⅞": 0.875}
_NUMBER = r"(\d+(?:[.,]\d+)?(?:\s*[¼½¾⅛⅜⅝⅞])?|\d+\s+\d+/\d+|\d+/\d+|[¼½¾⅛⅜⅝⅞])"
_SIZE = re.compile(
    rf'{_NUMBER}\s*(mm|cm|in|["″])?\s*[x×*]\s*{_NUMBER}\s*(mm|cm|inches|inch|in|["″])'
)
_SMALLEST_MM, _LARGEST_MM = 10.0, 1000.0


def read_plate_size(text: str, *, where: str = "plate") -> tuple[float, float]:
    """Long and short side [mm] of a plate, by name or as '10 x 16 cm', '3¼ × 5½ in', '98 x 158 mm'.

    Raises BadInput for a half plate of no country, a size without a unit, or one no plate has.
    """
    name = " ".join(re.sub(r"(?<=[a-z])-(?=[a-z])", " ", text.lower()).split())
    if name in ("half plate", "1/2 plate", "½ plate"):
        raise BadInput(
            "a half plate is 4¾ × 6½ in in Britain and 4¼ × 5½ in in America",
            where=where,
            remedy="say 'half plate UK' or 'half plate US'",
        )
    if name in PLATE_SIZES_MM:
        return PLATE_SIZES_MM[name]
    found = _SIZE.fullmatch(name)
    if not found:
        raise BadInput(
            f"{quoted(text)} is no size of a plate",
            where=where,
            remedy=f"write it as '10 x 16 cm', or a name: {', '.join(list(PLATE_SIZES_MM)[:8])}, …",
        )
    unit = _UNITS[found[4]]
    sides = sorted((_number(found[1]) * unit, _number(found[3]) * unit), reverse=True)
    if not _SMALLEST_MM <= sides[1] <= sides[0] <= _LARGEST_MM:
        raise BadInput(
            f"{quoted(text)} is no size a plate can have",
            where=where,
            remedy="from 10 mm to 1 m a side; mind the unit",
        )
    return sides[0], sides[1]


def _number(text: str) -> float:
    total = 0.0
    for part in re.findall(r"\d+/\d+|\d+(?:[.,]\d+)?|[¼½¾⅛⅜⅝⅞]", text):
        if "/" in part:
            above, below = part.split("/")
            total += float(above) / float(below) if float(below) else 0.0
        else:
            total += _FRACTIONS.get(part) or float(part.replace(",", "."))
    return total
