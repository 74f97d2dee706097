"""Contrast: how many stops lie between the lit and the shaded side, and from tone to tone.

Reflectances: common practice, rounded; a plate that sees blue alone sees warm tones darker.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from backbearing.records import EmulsionClass

# reflectance of a tone to each kind of plate: ordinary, ortho, pan
TONES: dict[str, tuple[float, float, float]] = {
    "fresh snow": (0.85, 0.85, 0.85),
    "grey rock": (0.20, 0.20, 0.20),
    "wet rock": (0.07, 0.07, 0.07),
    "bark": (0.07, 0.10, 0.13),
    "needles": (0.03, 0.05, 0.05),
    "autumn leaves": (0.04, 0.12, 0.25),
    "green leaves": (0.04, 0.09, 0.09),
}
_KINDS = ("ordinary", "ortho", "pan")
MIDDLE = 0.18


def tone_stops(tone: str, emulsion: EmulsionClass) -> float:
    """Stops of a tone over (+) or under (−) middle grey, in this plate's colours."""
    return math.log2(TONES[tone][_KINDS.index(emulsion)] / MIDDLE)


def side_stops(lit_lux: float, shade_lux: float, lit_colour: float, shade_colour: float) -> float:
    """Stops between the lit and the shaded side; colours as `actinic.colour_stops` of each."""
    if not (lit_lux > 0.0 and shade_lux > 0.0):
        return 0.0
    return math.log2(lit_lux / shade_lux) + lit_colour - shade_colour
