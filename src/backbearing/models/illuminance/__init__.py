"""How much light falls on a subject: sun, sky and ground, the moon, and what trees take.

`airmass` and `level` hold the published curves, `skies` divides them into beam and dome for a
kind of sky, `faces` puts them on a face before some `ground`, `canopy` takes the trees off.
"""

from backbearing.models.illuminance.airmass import air_mass
from backbearing.models.illuminance.canopy import CANOPIES, canopy_stops
from backbearing.models.illuminance.faces import (
    MOON_DOUBT_STOPS,
    Illuminance,
    illuminance,
    moon_illuminance,
)
from backbearing.models.illuminance.ground import GROUNDS, Ground, albedo
from backbearing.models.illuminance.level import (
    STARS_AND_AIRGLOW_LUX,
    moon_level_lux,
    sun_level_lux,
)
from backbearing.models.illuminance.skies import (
    NIGHT_DOUBT_STOPS,
    SKIES,
    OpenScene,
    SkyScenario,
    doubt_stops,
    open_scene,
    scenario,
)

__all__ = [
    "CANOPIES",
    "GROUNDS",
    "MOON_DOUBT_STOPS",
    "NIGHT_DOUBT_STOPS",
    "SKIES",
    "STARS_AND_AIRGLOW_LUX",
    "Ground",
    "Illuminance",
    "OpenScene",
    "SkyScenario",
    "air_mass",
    "albedo",
    "canopy_stops",
    "doubt_stops",
    "illuminance",
    "moon_illuminance",
    "moon_level_lux",
    "open_scene",
    "scenario",
    "sun_level_lux",
]
