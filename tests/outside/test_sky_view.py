"""Sky view factors against closed forms.

Even sky: Dozier & Frew 1990, IEEE Trans. Geosci. Remote Sens. 28, 963–969, eq. 7b, as public
codes quote it (the paper itself was not at hand). Overcast: CIE standard overcast sky, luminance
(1 + 2 sin h) / 3 of the zenith's. The numbers are computed from these forms (own list).
"""

import numpy as np
import pytest
from numpy.typing import NDArray

from backbearing.models.skyview import sky_view_factor
from backbearing.records import Skyline

ROUNDING = 6e-5  # the closed forms are kept to four or five decimals


def ground(altitude_deg: NDArray[np.float64] | float, step_deg: float = 0.5) -> Skyline:
    azimuth = np.arange(0.0, 360.0, step_deg)
    nothing = np.full(azimuth.shape, np.nan)
    return Skyline(
        azimuth_deg=azimuth,
        altitude_deg=np.broadcast_to(np.asarray(altitude_deg, dtype=float), azimuth.shape),
        distance_m=nothing,
        reach_m=nothing,
        basis="a closed form",
    )


def half(front_deg: float, back_deg: float) -> Skyline:
    """One altitude from 0 to 180 degrees of azimuth, another for the rest."""
    azimuth = np.arange(0.0, 360.0, 0.01)
    return ground(np.where(azimuth < 180.0, front_deg, back_deg), 0.01)


@pytest.mark.parametrize(
    ("skyline_deg", "even", "overcast"),
    [
        *((0.0, 1.0, 1.0), (5.0, 0.9924, 0.9964), (10.0, 0.9698, 0.9841), (15.0, 0.9330, 0.9614)),
        *((20.0, 0.8830, 0.9270), (30.0, 0.7500, 0.8214), (45.0, 0.5000, 0.5837)),
        *((60.0, 0.2500, 0.3074), (90.0, 0.0, 0.0)),
    ],
)
def test_level_ground_under_a_ring(skyline_deg: float, even: float, overcast: float) -> None:
    ring = ground(skyline_deg)
    assert sky_view_factor(ring) == pytest.approx(even, abs=ROUNDING)
    assert sky_view_factor(ring, sky="overcast") == pytest.approx(overcast, abs=ROUNDING)


@pytest.mark.parametrize(
    ("wall_deg", "expected"), [(30.0, 0.875), (45.0, 0.75), (60.0, 0.625), (90.0, 0.5)]
)
def test_a_wall_along_half_the_horizon(wall_deg: float, expected: float) -> None:
    assert sky_view_factor(half(wall_deg, 0.0)) == pytest.approx(expected, abs=ROUNDING)


def test_an_uneven_skyline_is_summed_not_averaged() -> None:
    """0.8536 would be cos² of the mean altitude, 0.6350 the share of solid angle."""
    assert sky_view_factor(half(40.0, 5.0)) == pytest.approx(0.7896, abs=ROUNDING)


@pytest.mark.parametrize("aspect_deg", [0.0, 73.0, 251.0])
@pytest.mark.parametrize(
    ("slope_deg", "expected"), [(10.0, 0.99240), (30.0, 0.93301), (60.0, 0.75), (90.0, 0.5)]
)
def test_an_open_slope_sees_half_of_one_plus_its_cosine(
    slope_deg: float, expected: float, aspect_deg: float
) -> None:
    open_sky = ground(0.0)
    found = sky_view_factor(open_sky, tilt_deg=slope_deg, aspect_deg=aspect_deg)
    assert found == pytest.approx(expected, abs=ROUNDING)


def test_a_wall_facing_a_hillside() -> None:
    assert sky_view_factor(ground(20.0), tilt_deg=90.0, aspect_deg=140.0) == pytest.approx(
        0.28659, abs=ROUNDING
    )


@pytest.mark.parametrize("sky", ["even", "overcast"])
@pytest.mark.parametrize("tilt_deg", [0.0, 25.0, 80.0, 90.0, 110.0, 150.0])
def test_any_tilt_against_the_dome_cut_into_pieces(tilt_deg: float, sky: str) -> None:
    """Brute force over 0.25° pieces of a real-shaped sky, each by its cosine on the face."""
    azimuth = np.arange(0.0, 360.0, 0.5)
    land = ground(12.0 + 10.0 * np.sin(np.radians(azimuth)) + 4.0 * np.sin(np.radians(5 * azimuth)))
    az, alt = (
        np.radians(np.arange(0.125, 360, 0.25))[:, None],
        np.radians(np.arange(0.125, 90, 0.25)),
    )
    over = np.degrees(alt) >= np.interp(np.degrees(az), azimuth, land.altitude_deg, period=360.0)
    tilt, aspect = np.radians(tilt_deg), np.radians(200.0)
    cosine = np.cos(tilt) * np.sin(alt) + np.sin(tilt) * np.cos(alt) * np.cos(az - aspect)
    bright = (1.0 + 2.0 * np.sin(alt)) / 3.0 if sky == "overcast" else np.ones_like(alt)
    piece = bright * np.cos(alt) * np.ones_like(az)
    on_face = (piece * np.maximum(cosine, 0.0))[over].sum()
    on_open_ground = (piece * np.sin(alt)).sum()
    found = sky_view_factor(land, tilt_deg=tilt_deg, aspect_deg=200.0, sky=sky)  # type: ignore[arg-type]
    assert found == pytest.approx(on_face / on_open_ground, abs=1e-3)
