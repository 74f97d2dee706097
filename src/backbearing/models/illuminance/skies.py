"""Sun and sky over an open plain, apart: the beam, and what the dome gives.

            sun's altitude   0°          10°        20°                90°
    beam                     127.5 klx · exp(−c · air mass) ─────────────
    dome     twilight ──── level total less the beam ╌ fading ╌ IES sky ──

The beam and the dome by day are those of the Illuminating Engineering Society (IES Recommended
Practice for the Calculation of Daylight Availability, J. IES 13(4), 1984, 381–392; its constants
from memory). Below about 10° published models part by up to a stop, and the IES dome alone
gives more than Circular 171's total; so there the level total is Circular 171's (see `level`),
divided by its own sky condition, and the dome gets what the beam leaves of it. From 10° to 20°
one is faded into the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

import numpy as np

from backbearing.errors import BadInput, quoted
from backbearing.models.arguments import within
from backbearing.models.illuminance.airmass import air_mass
from backbearing.models.illuminance.level import sun_level_lux
from backbearing.models.refraction import standard_air
from backbearing.saying import phrase

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from backbearing.records import Floats

SkyKind = Literal["clear", "hazy", "overcast"]

FADE_FROM_DEG, FADE_TO_DEG = 10.0, 20.0
NIGHT_DOUBT_STOPS = 1.5
_NIGHT_FROM_DEG = -12.0
_BEAM_LUX = 127_500.0
_TABLE_FROM_DEG, _TABLE_STEP_DEG = -18.0, 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class SkyScenario:
    """A kind of sky: what it looks like, its constants and how far it may be off."""

    name: SkyKind
    words: str
    source: str
    extinction: float | None  # of the beam, for each air mass; None where no beam comes through
    dome_klx: tuple[float, float, float]  # a, b, c of the dome: a + b sinᶜ(altitude)
    low_sun_divisor: float  # of Circular 171's clear total
    doubt_low_stops: float  # sun below 10°
    doubt_high_stops: float  # sun above 20°
    view: Literal["even", "overcast"]  # how the dome's brightness is spread


SKIES: dict[str, SkyScenario] = {
    sky.name: sky
    for sky in (
        SkyScenario(
            name="clear",
            words=phrase("clear sky, sharp shadows"),
            source=phrase("IES 1984 clear; Circular 171 below 10°"),
            extinction=0.21,
            dome_klx=(0.8, 15.5, 0.5),
            low_sun_divisor=1.0,
            doubt_low_stops=0.7,
            doubt_high_stops=0.4,
            view="even",
        ),
        SkyScenario(
            name="hazy",
            words=phrase("haze or thin cloud before the sun, soft shadows"),
            source=phrase("IES 1984 partly cloudy; half of Circular 171 below 10°"),
            extinction=0.80,
            dome_klx=(0.3, 45.0, 1.0),
            low_sun_divisor=2.0,
            doubt_low_stops=1.0,
            doubt_high_stops=0.7,
            view="even",
        ),
        SkyScenario(
            name="overcast",
            words=phrase("overcast, no shadows"),
            source=phrase("IES 1984 overcast; a third of Circular 171 below 10°"),
            extinction=None,
            dome_klx=(0.3, 21.0, 1.0),
            low_sun_divisor=3.0,
            doubt_low_stops=1.0,
            doubt_high_stops=1.0,
            view="overcast",
        ),
    )
}


@dataclass(frozen=True, slots=True, eq=False)
class OpenScene:
    """Light on an open plain: arrays of the altitudes' shape [lx]."""

    beam_lux: Floats  # on a face held square to the sun, its whole disc in sight
    dome_lux: Floats  # on level ground, from the whole sky


def scenario(sky: str) -> SkyScenario:
    """The constants of a kind of sky. Raises BadInput for a name that is none."""
    if sky not in SKIES:
        raise BadInput(
            f"{quoted(sky)} is no kind of sky", where="sky", remedy="clear, hazy or overcast"
        )
    return SKIES[sky]


def open_scene(
    apparent_altitude_deg: ArrayLike, sky: str = "clear", height_m: float = 0.0
) -> OpenScene:
    """How much light comes from the sun, and how much from the sky, over an open plain?

    apparent_altitude_deg: of the sun's centre, any shape. height_m: above sea level, for the air
    before the sun (standard atmosphere); the dome is taken as at sea level.
    Read from a table with 0.02° steps, straight lines between. Raises BadInput for an unknown
    sky, or a height out of range.
    """
    height_m = float(within("height_m", height_m, -1_000.0, 100_000.0))
    altitude = np.asarray(apparent_altitude_deg, dtype=np.float64)
    beam, dome = _table(scenario(sky).name, height_m)
    place = np.clip((altitude - _TABLE_FROM_DEG) / _TABLE_STEP_DEG, 0.0, len(beam) - 1.0)
    index = np.minimum(place.astype(np.int64), len(beam) - 2)
    place -= index
    return OpenScene(
        beam_lux=beam[index] + place * (beam[index + 1] - beam[index]),
        dome_lux=dome[index] + place * (dome[index + 1] - dome[index]),
    )


def doubt_stops(apparent_altitude_deg: ArrayLike, sky: str = "clear") -> Floats:
    """By how many stops, either way, may the light on open level ground be off?

    The spread between published models and skies of one name; common practice, no source. From
    −12° to −15° it grows to what a night without moon may be off: airglow comes and goes, and
    the glow of towns is not in it.
    """
    kind = scenario(sky)
    low = low_sun(apparent_altitude_deg)
    by_day = kind.doubt_high_stops + low * (kind.doubt_low_stops - kind.doubt_high_stops)
    night = np.clip((_NIGHT_FROM_DEG - np.asarray(apparent_altitude_deg)) / 3.0, 0.0, 1.0)
    answer: Floats = by_day + night * (NIGHT_DOUBT_STOPS - by_day)
    return answer


@lru_cache(maxsize=64)
def _table(sky: SkyKind, height_m: float) -> tuple[Floats, Floats]:
    """Beam and dome at each step of altitude from −18° to 90°."""
    kind = SKIES[sky]
    altitude = np.arange(_TABLE_FROM_DEG, 90.0 + 0.5 * _TABLE_STEP_DEG, _TABLE_STEP_DEG)
    up = np.maximum(np.sin(np.radians(altitude)), 0.0)
    beam, at_sea_level = np.zeros(altitude.shape), np.zeros(altitude.shape)
    if kind.extinction is not None:
        pressure_hpa = float(standard_air(height_m)[0])
        beam = _BEAM_LUX * np.exp(-kind.extinction * air_mass(altitude, pressure_hpa))
        at_sea_level = _BEAM_LUX * np.exp(-kind.extinction * air_mass(altitude))
    a, b, c = kind.dome_klx
    by_day = 1_000.0 * (a + b * up**c)
    left_over = sun_level_lux(altitude) / kind.low_sun_divisor - at_sea_level * up
    low = low_sun(altitude)
    # past 20° the beam may take more than there is; nothing of that is used
    dome = np.exp(low * np.log(np.maximum(left_over, 1e-9)) + (1.0 - low) * np.log(by_day))
    beam.flags.writeable = dome.flags.writeable = False
    return beam, dome


def low_sun(altitude_deg: ArrayLike) -> Floats:
    """How far do the rules for a low sun hold: 1 up to 10°, 0 from 20° up, smooth between."""
    t = np.clip((FADE_TO_DEG - np.asarray(altitude_deg)) / (FADE_TO_DEG - FADE_FROM_DEG), 0.0, 1.0)
    answer: Floats = t * t * (3.0 - 2.0 * t)
    return answer
