"""Seconds on foot for each metre over the ground, by slope: published rules and what slows them.

s/m |╲                    ╱     all are quickest on a slight way down,
    |  ╲ ___         __ ╱       and differ by half: an own pace from own
    |        ╲____╱             tracks is worth more than any of them
    └──────── 0 ────────── slope
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from backbearing.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import ArrayLike

    from backbearing.records import Floats

WalkingRule = Literal["DIN 33466", "Tobler", "Swiss"]
Snow = Literal["none", "firm crust", "ankle", "shin", "knee"]

# Tobler 1993, NCGIA TR 93-1: walking off a path takes five thirds of the time on one.
OFF_PATH_FACTOR = 5.0 / 3.0
# Time in snow that breaks to …, against bare ground; common practice, no source.
SNOW_FACTOR: dict[Snow, float] = {
    "none": 1.0,
    "firm crust": 1.0,
    "ankle": 1.5,
    "shin": 2.0,
    "knee": 3.5,
}
# One's own tracks back: half of what the snow added; common practice, no source.
BROKEN_TRAIL_SHARE = 0.5
# By torch rough ground is walked at 0.6 to 0.8 of the speed, here the middle, and a path at the
# quick end of it; common practice, no source.
ROUGH_NIGHT_FACTOR = 1.0 / 0.7
PATH_NIGHT_FACTOR = 1.0 / 0.8
# Soule & Goldman 1972, as publicly quoted: terrain factors of the load equation.
TERRAIN_FACTOR = {
    "hard road": 1.0,
    "dirt road": 1.1,
    "light brush": 1.2,
    "heavy brush": 1.5,
    "bog": 1.8,
    "loose sand": 2.1,
}

# Swiss signpost formula (G. and S. Weber): minutes a km over slope in tenths; FACTS of the
# federal geoportal's public code. It is a fit: beyond ± 40 % straight lines stand in for it.
_SWISS = (
    *(14.271, 3.6991, 2.5922, -1.4384, 0.32105, 0.81542, -0.090261, -0.20757),
    *(0.010192, 0.028588, -0.00057466, -0.0021842, 1.5176e-5, 8.6894e-5, -1.3584e-7, -1.4026e-6),
)
_SWISS_REACH = 0.4


def din_s_per_m(slope: ArrayLike) -> Floats:
    """How many seconds does a metre take at a slope, by DIN 33466 (the cautious rule)?

    slope: rise over run, any shape, positive uphill. 4 km/h on the level, 300 m/h up, 500 m/h
    down; the longer of the two times and half the shorter.
    """
    slope = np.asarray(slope, dtype=float)
    level = 3600.0 / 4000.0
    upright = np.where(slope >= 0.0, slope * 3600.0 / 300.0, -slope * 3600.0 / 500.0)
    return np.asarray(np.maximum(level, upright) + np.minimum(level, upright) / 2.0)


def tobler_s_per_m(slope: ArrayLike) -> Floats:
    """How many seconds does a metre take at a slope, on a path, by Tobler (NCGIA TR 93-1, 1993)?

    slope: rise over run, any shape, positive uphill.
    """
    slope = np.asarray(slope, dtype=float)
    return np.asarray(3.6 / (6.0 * np.exp(-3.5 * np.abs(slope + 0.05))))


def swiss_s_per_m(slope: ArrayLike) -> Floats:
    """How many seconds does a metre take at a slope, by the polynomial of Swiss signposts?

    slope: rise over run, any shape, positive uphill. A fit over ± 40 %; beyond it 17 minutes a
    kilometre for each tenth up and 9 for each down, as its public code has it. The polynomial
    asks for pieces of 25 to 50 m: noise in shorter ones lengthens the time.
    """
    tenths = np.asarray(slope, dtype=float) * 10.0
    reach = _SWISS_REACH * 10.0
    inside = np.polynomial.polynomial.polyval(np.clip(tenths, -reach, reach), _SWISS)
    minutes = np.where(tenths > reach, 17.0 * tenths, np.where(tenths < -reach, -9.0 * tenths, 0))
    return np.asarray(np.where(np.abs(tenths) > reach, minutes, inside) * 60.0 / 1000.0)


RULES: dict[WalkingRule, Callable[[ArrayLike], Floats]] = {
    "DIN 33466": din_s_per_m,
    "Tobler": tobler_s_per_m,
    "Swiss": swiss_s_per_m,
}


def naismith_s(length_m: ArrayLike, ascent_m: ArrayLike) -> Floats:
    """How long does a walk take by Naismith (1892): 5 km/h and an hour for each 600 m up?"""
    return np.asarray(np.asarray(length_m) / 5000.0 + np.asarray(ascent_m) / 600.0) * 3600.0


def whole_walk_s(length_m: float, ascent_m: float, descent_m: float) -> float:
    """How long does a walk take by DIN 33466, as signposted: from its totals alone?

    Published example: 8 km and 900 m up are 4 hours.
    """
    level = length_m / 4000.0
    upright = ascent_m / 300.0 + descent_m / 500.0
    return (max(level, upright) + min(level, upright) / 2.0) * 3600.0


def snow_factor(snow: Snow, *, own_tracks: bool = False) -> float:
    """By how much does snow lengthen a walk; own_tracks: back in the trail one has broken?

    Raises BadInput for a word that is not one of SNOW_FACTOR.
    """
    if snow not in SNOW_FACTOR:
        known = ", ".join(SNOW_FACTOR)
        raise BadInput(f"no such snow; known are: {known}", where="snow", remedy="use one of them")
    factor = SNOW_FACTOR[snow]
    return 1.0 + (factor - 1.0) * BROKEN_TRAIL_SHARE if own_tracks else factor


def night_factor(*, rough: bool) -> float:
    """By how much does walking by torch lengthen the time, on rough ground or a path?"""
    return ROUGH_NIGHT_FACTOR if rough else PATH_NIGHT_FACTOR


def load_power_w(
    body_kg: float, load_kg: float, terrain: float, speed_m_s: ArrayLike, slope: ArrayLike
) -> Floats:
    """What does carrying a load cost [watts] (Pandolf, Givoni & Goldman 1977)?

    terrain: a factor of TERRAIN_FACTOR. slope: rise over run; not valid downhill.
    """
    speed = np.asarray(speed_m_s, dtype=float)
    grade = np.asarray(slope, dtype=float) * 100.0
    both = body_kg + load_kg
    return np.asarray(
        1.5 * body_kg
        + 2.0 * both * (load_kg / body_kg) ** 2
        + terrain * both * (1.5 * speed**2 + 0.35 * speed * grade)
    )


def load_factor(load_kg: float, *, body_kg: float = 75.0, terrain: float = 1.0) -> float:
    """By how much does a load lengthen a walk on the level, at the power of 5 km/h without?

    That people hold their power is an assumption; published speeds under load scatter by a
    tenth. Raises BadInput for weights below 0, no body, or more load than body.
    """
    if not (body_kg > 0.0 and 0.0 <= load_kg <= body_kg):
        raise BadInput(
            f"a load of {load_kg:g} kg on {body_kg:g} kg",
            where="load",
            remedy="give kilograms, 0 to the weight of the body",
        )
    speed = 5.0 / 3.6
    spare = float(load_power_w(body_kg, 0.0, 1.0, speed, 0.0))
    both = body_kg + load_kg
    spare -= 1.5 * body_kg + 2.0 * both * (load_kg / body_kg) ** 2
    slowest = 0.2 * speed  # where the load alone takes the power, the equation has no answer
    loaded = np.sqrt(max(spare, 0.0) / (terrain * both * 1.5))
    return float(speed / max(float(loaded), slowest))
