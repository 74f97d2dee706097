"""The colour of the light as a plate sees it, against the eye and the meter.

A plate that sees blue alone gets less of a low sun's light than a meter says, and more of a
blue sky's. Spectra: Planck's law for sky and overcast; for the sun 5000 K at 60° of altitude,
reddened by the air mass (Rayleigh, haze, ozone). The eye: the fit to V(λ) by Wyman, Sloan and
Shirley (2013). Plates: flat windows, an estimate.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.illuminance import illuminance
from backbearing.models.illuminance.airmass import air_mass

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from backbearing.records import EmulsionClass, Floats

# what each sees, in nm; blue-sensitive to the end of bromide
WINDOWS_NM: dict[str, tuple[float, float]] = {
    "ordinary": (380.0, 500.0),
    "ortho": (380.0, 580.0),
    "pan": (380.0, 640.0),
}
SKY_K, OVERCAST_K, HAZY_K, REFERENCE_K = 12000.0, 6500.0, 8000.0, 5500.0
_NM = np.arange(360.0, 781.0, 2.0)
_SUN_K, _SUN_AT_DEG = 5000.0, 60.0
_TESTED_AT_DEG = 45.0  # where the light of a trial was not noted
_LEAST_DOUBT, _DOUBT_SHARE = 0.2, 0.3  # stops; share of the correction (haze alters a low sun)


def planck(kelvin: float, nm: Floats = _NM) -> Floats:
    """Spectral radiance of a black body at these wavelengths, relative."""
    metres = nm * 1e-9
    answer: Floats = metres**-5 / np.expm1(1.438776877e-2 / (metres * kelvin)) * 1e-30
    return answer


def eye(nm: Floats = _NM) -> Floats:
    """V(λ) by the fit of Wyman, Sloan, Shirley (JCGT 2013), within 0.02 of the CIE's."""

    def lobe(middle: float, left: float, right: float) -> Floats:
        return np.exp(-0.5 * ((nm - middle) / np.where(nm < middle, left, right)) ** 2)

    return 0.821 * lobe(568.8, 46.9, 40.5) + 0.286 * lobe(530.9, 16.3, 31.1)


def actinic_ratio(spectrum: Floats, emulsion: EmulsionClass, nm: Floats = _NM) -> float:
    """What a plate sees of a spectrum over what the eye does, 1 for 5500 K."""
    return _ratio(spectrum, emulsion, nm) / (
        _of_reference(emulsion) if nm is _NM else _ratio(planck(REFERENCE_K, nm), emulsion, nm)
    )


def _ratio(light: Floats, emulsion: EmulsionClass, nm: Floats) -> float:
    low, high = WINDOWS_NM[emulsion]
    seen = (nm >= low) & (nm <= high)
    by_eye = _own_eye() if nm is _NM else eye(nm)
    return float(np.trapezoid(light[seen], nm[seen]) / np.trapezoid(light * by_eye, nm))


@lru_cache(maxsize=1)
def _own_eye() -> Floats:
    return eye()


@lru_cache(maxsize=8)
def _of_reference(emulsion: EmulsionClass) -> float:
    return _ratio(planck(REFERENCE_K), emulsion, _NM)


def sunbeam(altitude_deg: float, nm: Floats = _NM) -> Floats:
    """The spectrum of the sun's beam at an altitude, relative."""
    black, depth = _above_air() if nm is _NM else (planck(_SUN_K, nm), _depth(nm))
    air = float(air_mass(max(altitude_deg, 0.0))) - float(air_mass(_SUN_AT_DEG))
    answer: Floats = black * np.exp(-air * depth)
    return answer


@lru_cache(maxsize=1)
def _above_air() -> tuple[Floats, Floats]:
    """What every beam begins with, and by how much an air mass thins it out."""
    return planck(_SUN_K), _depth(_NM)


def _depth(nm: Floats) -> Floats:
    um = nm / 1000.0
    ozone = 0.3 * 0.13 * np.exp(-0.5 * ((nm - 600.0) / 45.0) ** 2)  # Chappuis band, 0.3 atm-cm
    answer: Floats = 0.008735 * um**-4.08 + 0.1 * um**-1.3 + ozone
    return answer


def colour_stops(
    emulsion: EmulsionClass, sun_altitude_deg: float, direct_share: float, *, sky: str = "clear"
) -> float:
    """By how many stops is the plate faster (+) or slower (−) in this light than a meter says?

    direct_share: of the light in lux that is the sun's own, straight or off ground it lights,
    0 … 1; the ground itself is taken as grey. Against 5500 K.
    sky: "clear", "hazy" or "overcast".
    """
    sky_ratio = _of_kelvin({"clear": SKY_K, "hazy": HAZY_K}.get(sky, OVERCAST_K), emulsion)
    if direct_share <= 0.0:
        return float(np.log2(sky_ratio))
    sun_ratio = _of_sun(sun_altitude_deg, emulsion)
    return float(np.log2(direct_share * sun_ratio + (1.0 - direct_share) * sky_ratio))


@lru_cache(maxsize=1024)  # one minute's is asked for each case of its light
def _of_sun(altitude_deg: float, emulsion: EmulsionClass) -> float:
    return actinic_ratio(sunbeam(altitude_deg), emulsion)


@lru_cache(maxsize=16)
def _of_kelvin(kelvin: float, emulsion: EmulsionClass) -> float:
    return actinic_ratio(planck(kelvin), emulsion)


def trial_colour_stops(
    emulsion: EmulsionClass, sun_altitude_deg: float | None, *, shade: bool
) -> float:
    """`colour_stops` of the light in which a speed was found; None: sun at 45°."""
    altitude = _TESTED_AT_DEG if sun_altitude_deg is None else sun_altitude_deg
    if shade:
        return colour_stops(emulsion, altitude, 0.0)
    return colour_stops(emulsion, altitude, sun_share(altitude))


def sun_share(sun_altitude_deg: float) -> float:
    """What share of the light on a face turned to the sun is its own, clear sky, over grass?"""
    up = 1.0 if sun_altitude_deg > 0.0 else 0.0
    light = illuminance(sun_altitude_deg, 180.0, disc_fraction=up)
    return float(np.squeeze(light.disc_share))


def colour_doubt_stops(stops: ArrayLike) -> Floats:
    """How far a correction of so many stops may be off: an estimate, nothing measured."""
    answer: Floats = _LEAST_DOUBT + _DOUBT_SHARE * np.abs(np.asarray(stops, np.float64))
    return answer
