"""The moon's light on a subject at a minute, apart from twilight, stars and airglow."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.exposure import ev_from_illuminance
from backbearing.plans.brightness import moonlight_of

if TYPE_CHECKING:
    from backbearing.plans.brightness import Scene
    from backbearing.plans.expose.seconds import Seconds, Setup

NIGHT_DEG = -6.0  # with the sun below, the moon is told unasked


@dataclass(frozen=True, slots=True, kw_only=True)
class MoonThen:
    """The moon at a minute and the exposure in its light alone, steady."""

    altitude_deg: float
    azimuth_deg: float
    lit_share: float  # of the moon's disc
    over_skyline: float  # share of the disc
    lux: float
    ev100: float | None  # None: none
    doubt_stops: float
    seconds: Seconds | None  # None: no batch, or too dark


def moon_then(
    scene: Scene, time: np.datetime64, way: Setup | None, *, sky: str, ground: str
) -> MoonThen:
    """How much light does the moon throw on a scene at a minute, and how long must it act?

    Its colour is taken as the sun's at the same altitude. Raises BadInput for an unknown ground.
    """
    found = moonlight_of(scene, np.array([time]), sky=sky, ground=ground)
    light = found.light
    lux, doubt = float(light.total_lux[0]), float(light.doubt_stops[0])
    altitude = float(found.moon_altitude_deg[0])
    ev = float(ev_from_illuminance(lux))
    there = altitude > 0.0 and np.isfinite(ev)
    seconds = None
    if way is not None and there:
        colour = way.colour(altitude, float(light.disc_share[0]), sky)
        seconds = way.seconds(ev, colour, doubt)
    return MoonThen(
        altitude_deg=altitude,
        azimuth_deg=float(found.moon_azimuth_deg[0]),
        lit_share=float(found.illuminated_fraction[0]),
        over_skyline=float(found.disc_fraction[0]),
        lux=lux,
        ev100=ev if there else None,
        doubt_stops=doubt,
        seconds=seconds,
    )
