"""Aperture scales, new and old: what f-number an engraved mark stands for.

f-number          2.8  4   5.6  8   11  16  22  32  45  64
Uniform System    n = N² / 16:  1 is f/4, 4 is f/8, 16 is f/16, 32 is f/22.6, 64 is f/32
old continental   4.5  6.3  9  12.5  18  25  36: f-numbers by another row of stops
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, quoted
from backbearing.records import ApertureMark

if TYPE_CHECKING:
    from collections.abc import Iterable

    from backbearing.records import ApertureScale, Lens

# whole stops from f/1; the engraved numbers are rounded by custom, the exact ones are powers of √2
_F_NUMBERS = (
    "1",
    "1.4",
    "2",
    "2.8",
    "4",
    "5.6",
    "8",
    "11",
    "16",
    "22",
    "32",
    "45",
    "64",
    "90",
    "128",
)
_UNIFORM = ("1", "2", "4", "8", "16", "32", "64", "128", "256")
_CONTINENTAL = ("3.2", "4.5", "6.3", "9", "12.5", "18", "25", "36", "50", "71")
_WIDEST, _NARROWEST = 0.7, 512.0


def scale_marks(
    scale: ApertureScale, *, widest: float, narrowest: float
) -> tuple[ApertureMark, ...]:
    """The usual marks of a scale between two f-numbers, widest first."""
    rows = {
        "f-number": [(text, math.sqrt(2.0) ** i) for i, text in enumerate(_F_NUMBERS)],
        "uniform system": [(text, 4.0 * math.sqrt(float(text))) for text in _UNIFORM],
        "old continental": [(text, float(text)) for text in _CONTINENTAL],
    }
    slack = 1.02  # engraved numbers are rounded
    return tuple(
        ApertureMark(engraved=text, f_number=number)
        for text, number in rows[scale]
        if widest / slack <= number <= narrowest * slack
    )


def mark_f_number(engraved: str, scale: ApertureScale, *, where: str = "aperture") -> float:
    """What f-number does a mark on a scale stand for?

    engraved: the number as it stands on the lens. An f-number's own mark is taken as the exact
    stop it is named after (11 is 11.31), any other as it reads. Where it begins with f, as
    "f/8", it is an f-number on any scale.
    Raises BadInput for what is no number, or no aperture a lens can have.
    """
    typed = engraved.strip().lower()
    text = typed.removeprefix("f/").removeprefix("f").strip()
    if typed.startswith("f"):
        scale = "f-number"
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        number = math.nan
    if scale == "uniform system":
        number = 4.0 * math.sqrt(number) if number > 0.0 else math.nan
    elif scale == "f-number" and text in _F_NUMBERS:
        number = math.sqrt(2.0) ** _F_NUMBERS.index(text)
    if not _WIDEST <= number <= _NARROWEST:
        raise BadInput(
            f"{quoted(engraved)} is no aperture of the {scale} scale",
            where=where,
            remedy="give the number as it is engraved, above 0",
        )
    return number


def f_number(engraved: str, lens: Lens | None, *, where: str = "aperture") -> ApertureMark:
    """Which aperture is meant by what was typed, on this lens?

    lens: None where none is named; a bare number is an f-number then. On a lens a bare number is
    one of its marks; 'f/…' is an f-number whatever the scale, and the nearest mark's words come
    with it. Between marks anything goes where the lens has no click-stops.

    Raises BadInput for no number, for a bare number that stands on no mark of an old scale, for
    what lies outside the lens's range, and for anything between click-stops.
    """
    typed = engraved.strip()
    if lens is None or not lens.apertures:
        scale: ApertureScale = "f-number" if lens is None else lens.scale
        scale = "f-number" if typed.lower().startswith("f") else scale
        return ApertureMark(engraved=typed, f_number=mark_f_number(typed, scale, where=where))
    marks = lens.apertures
    have = ", ".join(mark.engraved for mark in marks)
    if not typed.lower().startswith("f"):
        for mark in marks:
            if mark.engraved.strip() == typed.replace(",", "."):
                return mark
        if lens.scale != "f-number":
            raise BadInput(
                f"{quoted(typed)} is no mark of {quoted(lens.name)}, whose scale is the "
                f"{lens.scale}",
                where=where,
                remedy=f"give one of {have}, or an f-number as f/…",
            )
    number = mark_f_number(typed, "f-number", where=where)
    nearest = min(marks, key=lambda mark: abs(math.log(mark.f_number / number)))
    if abs(math.log2(nearest.f_number / number)) < 0.06:  # an eighth of a stop: the mark itself
        return nearest
    if not marks[0].f_number * 0.97 <= number <= marks[-1].f_number * 1.03:
        raise BadInput(
            f"f/{number:.3g} is outside what {quoted(lens.name)} has",
            where=where,
            remedy=f"its marks are {have}",
        )
    if lens.click_stops:
        raise BadInput(
            f"f/{number:.3g} lies between click-stops of {quoted(lens.name)}",
            where=where,
            remedy=f"its marks are {have}",
        )
    return ApertureMark(engraved=f"f/{number:.3g}, near {nearest.words}", f_number=number)


def f_number_on_any(
    engraved: str, lenses: Iterable[Lens], *, where: str = "aperture"
) -> ApertureMark:
    """Which aperture is meant by what was typed, where no lens is named?

    Raises BadInput as `f_number` does, and for a bare number that is a mark of another f-number
    on one of these lenses: 32 of the Uniform System is f/22.6.
    """
    typed = engraved.strip().replace(",", ".")
    plain = f_number(engraved, None, where=where)
    for lens in lenses:
        for mark in lens.apertures:
            apart_stops = 2.0 * abs(math.log2(mark.f_number / plain.f_number))
            if mark.engraved.strip() == typed and apart_stops > 0.25:
                raise BadInput(
                    f"{quoted(typed)} is f/{mark.f_number:.3g} on {quoted(lens.name)}, whose "
                    f"scale is the {lens.scale}, and f/{typed} on others",
                    where=where,
                    remedy=f"write f/{typed} or f/{mark.f_number:.3g}",
                )
    return plain
