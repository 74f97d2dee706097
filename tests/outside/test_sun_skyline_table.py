"""Refraction against the published formulas, and what it means at a skyline.

Saemundsson (1986, Sky & Telescope 72, 70: that page from memory) and Bennett (1982,
J. Navigation 35, 255–259), both for 1010 hPa and 10 °C; the two agree within 0.1′ (Meeus,
Astronomical Algorithms, ch. 16). The tables are computed from these formulas, not printed in a
book.
"""

import numpy as np
import pytest

from backbearing.models.refraction import air_scale, refraction_deg, standard_air
from backbearing.models.sun import sun_position
from backbearing.models.sunlight import flat_skyline, semidiameter_deg, sunlit_spans
from backbearing.records import Skyline

ROUNDING_ARCMIN = 0.0006


@pytest.mark.parametrize(
    ("true_deg", "arcmin"),
    [
        *((-0.575, 34.444), (0.0, 28.982), (0.5, 25.004), (1.0, 21.744), (2.0, 16.926)),
        *((5.0, 9.674), (10.0, 5.408), (20.0, 2.741), (30.0, 1.746), (45.0, 1.013)),
        *((60.0, 0.585), (90.0, -0.002)),
    ],
)
def test_saemundsson(true_deg: float, arcmin: float) -> None:
    assert refraction_deg(true_deg) * 60.0 == pytest.approx(arcmin, abs=ROUNDING_ARCMIN)


def test_thin_cold_air() -> None:
    lifted = refraction_deg(0.0, air_scale(850.0, -10.0)) * 60.0
    assert lifted == pytest.approx(26.246, abs=ROUNDING_ARCMIN)


def test_bennett_from_the_apparent_altitude_agrees_within_a_tenth_of_a_minute() -> None:
    true = np.linspace(-0.5, 90.0, 500)
    lifted = refraction_deg(true)
    apparent = true + lifted
    bennett = 1.0 / np.tan(np.radians(apparent + 7.31 / (apparent + 4.4)))
    assert np.abs(bennett - lifted * 60.0).max() < 0.1 + 1e-3


@pytest.mark.parametrize(
    ("height_m", "pressure_hpa", "temperature_c"),
    [(0.0, 1013.25, 15.0), (1000.0, 898.75, 8.5), (3000.0, 701.09, -4.5), (5000.0, 540.20, -17.5)],
)
def test_standard_atmosphere(height_m: float, pressure_hpa: float, temperature_c: float) -> None:
    """Tabulated values of ISO 2533:1975, from memory; the table's are for geopotential height."""
    pressure, temperature = standard_air(height_m)
    assert pressure == pytest.approx(pressure_hpa, abs=0.1)
    assert temperature == pytest.approx(temperature_c, abs=0.01)


@pytest.mark.parametrize(
    ("skyline_deg", "true_centre_deg"),
    [
        *((0.0, -0.895), (2.0, 1.408), (5.0, 4.561), (10.0, 9.640), (15.0, 14.671)),
        *((20.0, 19.687), (30.0, 29.704)),
    ],
)
def test_true_altitude_at_first_sun(skyline_deg: float, true_centre_deg: float) -> None:
    """The sun's airless altitude when its upper limb clears a level ridge, semidiameter 0.2666°."""
    flat = flat_skyline()
    ridge = Skyline(
        azimuth_deg=flat.azimuth_deg,
        altitude_deg=np.full(flat.azimuth_deg.shape, skyline_deg),
        distance_m=flat.distance_m,
        reach_m=flat.reach_m,
        basis="a level ridge",
    )
    # early April, when the disc has its mean size
    day = (np.datetime64("2026-04-03T00:00"), np.datetime64("2026-04-04T00:00"))
    ((first, last),) = sunlit_spans(ridge, 40.0, 0.0, *day, pressure_hpa=1010.0, temperature_c=10.0)
    for limb in (first, last):
        sun = sun_position(limb, 40.0, 0.0, refraction=False)
        assert semidiameter_deg(sun.distance_au) == pytest.approx(0.2666, abs=2e-4)
        # rounding of the table, the size of the disc, and 0.1 s of the sun's climb
        assert sun.altitude_deg == pytest.approx(true_centre_deg, abs=0.0005 + 0.0002 + 0.0004)


def test_semidiameter_at_perihelion_and_aphelion() -> None:
    """16.265′ and 15.731′ in 2026 (own computation): 959.63″ at 1 au, value from memory."""
    for day, arcmin in (("2026-01-04", 16.265), ("2026-07-05", 15.731)):
        far = sun_position(np.datetime64(day), 0.0, 0.0).distance_au
        assert semidiameter_deg(far) * 60.0 == pytest.approx(arcmin, abs=0.002)
