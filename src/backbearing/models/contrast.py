"""Contrast: how many stops lie between the lit and the shaded side, and from tone to tone.

What a plate must hold runs from the darkest tone that is wanted, in shade, to the lightest, in
sun. Each is light times reflectance, so the two spans add once:

    log2(lit light / shade light)  +  log2(lightest / darkest reflectance)
    `side_stops`, both as the plate sees them     `tones_stops`, of the tones wanted alone

Only tones that someone wants to see drawn count, not all that a wood may hold. With none named
it is the span of a single tone, which lies half in sun and half in shade; with no sun on the
subject there is no lit side, and the tones stand alone.

Reflectances: common practice, rounded; a plate that sees blue alone sees warm tones darker.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection

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


def tones_stops(tones: Collection[str], emulsion: EmulsionClass) -> float:
    """Stops from the darkest to the lightest of these tones under one light; 0 for one or none."""
    stops = [tone_stops(tone, emulsion) for tone in tones]
    return max(stops) - min(stops) if stops else 0.0


def scene_stops(tones: Collection[str], emulsion: EmulsionClass, sides: float | None) -> float:
    """Stops from the darkest of these tones in shade to the lightest in sun.

    sides: as `side_stops`; None where no sun is on the subject. A lit side that the plate sees
    darker than the shaded one (a red sun on a plate that sees blue alone) turns about: then the
    span runs from the darkest tone in sun to the lightest in shade.
    """
    return tones_stops(tones, emulsion) + abs(sides or 0.0)


def side_stops(lit_lux: float, shade_lux: float, lit_colour: float, shade_colour: float) -> float:
    """Stops between the lit and the shaded side; colours as `actinic.colour_stops` of each."""
    if not (lit_lux > 0.0 and shade_lux > 0.0):
        return 0.0
    return math.log2(lit_lux / shade_lux) + lit_colour - shade_colour
