"""Light on a face: smooth through sunset, no darker for a higher sun, and what each part does."""

import math
from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given

from backbearing.errors import BadInput
from backbearing.models.illuminance import (
    GROUNDS,
    SKIES,
    STARS_AND_AIRGLOW_LUX,
    illuminance,
    moon_illuminance,
    open_scene,
)
from backbearing.models.sunlight import disc_fraction, flat_skyline

LARGEST_STEP = 0.02  # of the light, for each hundredth of a degree of altitude
DAY_TO_NIGHT = np.linspace(-18.0, 90.0, 10_801)  # steps of 0.01°
FULL_MOON: dict[str, Any] = {"elongation_deg": 180.0, "distance_km": 384_400.0}

skies = st.sampled_from(sorted(SKIES))
grounds = st.sampled_from(sorted(GROUNDS))
altitudes = st.floats(-18.0, 90.0)
tilts = st.floats(0.0, 180.0)
shares = st.floats(0.0, 1.0)


def open_plain(altitude_deg: Any, **kwargs: Any) -> Any:
    """On a plain: the disc goes down through a flat horizon, as it does."""
    disc = disc_fraction(flat_skyline(), 0.0, altitude_deg)
    return illuminance(altitude_deg, 0.0, disc_fraction=disc, **kwargs).total_lux


@pytest.mark.parametrize("sky", sorted(SKIES))
@pytest.mark.parametrize(
    ("tilt_deg", "off_deg", "height_m"),
    [
        *((0.0, 0.0, 0.0), (0.0, 0.0, 3000.0), (40.0, 0.0, 0.0)),
        *((90.0, 0.0, 0.0), (90.0, 75.0, 0.0), (90.0, 75.0, 3000.0)),
    ],
)
def test_no_jump_from_noon_to_night(
    sky: str, tilt_deg: float, off_deg: float, height_m: float
) -> None:
    """Square to the sun in thin air it would be 3 %: there the disc itself goes down in half a
    degree and takes half of the light with it."""
    lux = open_plain(
        DAY_TO_NIGHT, sky=sky, face_tilt_deg=tilt_deg, face_azimuth_deg=off_deg, height_m=height_m
    )
    assert np.abs(np.diff(np.log(lux))).max() <= np.log1p(LARGEST_STEP)


@pytest.mark.parametrize("ground", ["grass", "fresh snow"])
@pytest.mark.parametrize("sky", sorted(SKIES))
def test_level_ground_is_never_darker_for_a_higher_sun(sky: str, ground: str) -> None:
    lux = open_plain(DAY_TO_NIGHT, sky=sky, face_tilt_deg=0.0, ground=ground)
    assert (np.diff(lux) >= 0.0).all()
    twilight = lux[(DAY_TO_NIGHT > -14.9) & (DAY_TO_NIGHT < 0.0)]
    assert (np.diff(twilight) > 0.0).all()


@given(sky=skies, tilt_deg=tilts, off_deg=st.floats(0.0, 180.0), view=st.floats(0.02, 1.0))
def test_twilight_fades_steadily_on_any_face(
    sky: str, tilt_deg: float, off_deg: float, view: float
) -> None:
    altitude = np.linspace(-18.0, -0.6, 1_741)
    lux = illuminance(
        altitude,
        0.0,
        disc_fraction=0.0,
        face_azimuth_deg=off_deg,
        face_tilt_deg=tilt_deg,
        face_sky_view=view,
        level_sky_view=view,
        sky=sky,
    ).total_lux
    assert (np.diff(lux) >= 0.0).all()
    assert np.abs(np.diff(np.log(lux))).max() <= np.log1p(LARGEST_STEP)


def test_the_night_has_a_floor() -> None:
    """Stars and airglow, about 0.002 lx: Explanatory Supplement to the Astronomical Almanac."""
    lux = open_plain(np.array([-90.0, -40.0, -18.0]), face_tilt_deg=0.0)
    assert lux == pytest.approx(STARS_AND_AIRGLOW_LUX, rel=1e-9)


@given(altitude=altitudes, sky=skies)
def test_level_ground_turns_to_nowhere(altitude: float, sky: str) -> None:
    one, other = (
        illuminance(
            altitude,
            130.0,
            disc_fraction=1.0,
            face_azimuth_deg=face,
            face_tilt_deg=0.0,
            sky=sky,
        )
        for face in (10.0, 250.0)
    )
    scene = open_scene(altitude, sky)
    expected = scene.beam_lux * max(math.sin(math.radians(altitude)), 0.0) + scene.dome_lux
    assert one.total_lux == other.total_lux == pytest.approx(float(expected))
    assert one.ground_lux == 0.0


@given(altitude=st.floats(0.5, 89.0), tilt=tilts, sun=st.floats(0, 359), face=st.floats(0, 359))
def test_the_beam_counts_by_the_true_angle_of_incidence(
    altitude: float, tilt: float, sun: float, face: float
) -> None:
    """The cosine between two unit vectors, worked out from scratch."""

    def towards(azimuth_deg: float, up_deg: float) -> np.ndarray:
        az, up = np.radians(azimuth_deg), np.radians(up_deg)
        return np.array([np.sin(az) * np.cos(up), np.cos(az) * np.cos(up), np.sin(up)])

    found = illuminance(altitude, sun, disc_fraction=0.5, face_azimuth_deg=face, face_tilt_deg=tilt)
    cosine = max(float(towards(sun, altitude) @ towards(face, 90.0 - tilt)), 0.0)
    assert found.direct_lux == pytest.approx(
        0.5 * float(open_scene(altitude).beam_lux) * cosine, rel=1e-9, abs=1e-6
    )


def test_behind_a_skyline_the_sun_is_gone_and_the_sky_is_not() -> None:
    shade = illuminance(
        8.0, 180.0, disc_fraction=0.0, face_azimuth_deg=180.0, face_sky_view=0.3, level_sky_view=0.6
    )
    assert shade.direct_lux == 0.0
    assert shade.sky_lux == pytest.approx(0.3 * float(open_scene(8.0).dome_lux))
    assert shade.ground_lux == pytest.approx(0.7 * 0.2 * 0.6 * float(open_scene(8.0).dome_lux))


def test_sun_on_the_foreground_lights_a_face_in_its_own_shade() -> None:
    lit, unlit = (
        illuminance(
            30.0,
            180.0,
            disc_fraction=0.0,
            foreground_disc_fraction=there,
            face_azimuth_deg=0.0,
            ground="fresh snow",
        )
        for there in (1.0, 0.0)
    )
    from_sun = 0.8 * 0.5 * float(open_scene(30.0).beam_lux) * math.sin(math.radians(30.0))
    assert lit.ground_lux - unlit.ground_lux == pytest.approx(from_sun)
    assert lit.sky_lux == unlit.sky_lux


@given(
    altitude=altitudes,
    disc=shares,
    tilt=tilts,
    view=shares,
    level=shares,
    sky=skies,
    ground=grounds,
)
def test_the_parts_add_up_and_none_is_negative(
    altitude: float, disc: float, tilt: float, view: float, level: float, sky: str, ground: str
) -> None:
    found = illuminance(
        altitude,
        200.0,
        disc_fraction=disc,
        face_azimuth_deg=170.0,
        face_tilt_deg=tilt,
        face_sky_view=view,
        level_sky_view=level,
        sky=sky,
        ground=ground,
    )
    parts = (found.direct_lux, found.sky_lux, found.ground_lux)
    assert all(part >= 0.0 for part in parts)
    assert found.total_lux == pytest.approx(float(sum(parts)))
    assert 0.3 < found.doubt_stops < 1.6


def test_the_stated_doubt_is_wider_for_a_low_sun_and_widest_at_night() -> None:
    assert open_doubt(40.0) == pytest.approx(0.4, abs=0.05)
    for low in (10.0, 0.0, -12.0):
        assert open_doubt(low) == pytest.approx(0.7)
    assert open_doubt(-15.0) == open_doubt(-40.0) == pytest.approx(1.5)
    altitude = np.arange(-18.0, 90.0, 0.01)
    assert np.abs(np.diff(open_doubt(altitude))).max() < 0.003


def open_doubt(altitude_deg: Any) -> Any:
    disc = disc_fraction(flat_skyline(), 0.0, altitude_deg)
    return illuminance(altitude_deg, 0.0, disc_fraction=disc, face_tilt_deg=0.0).doubt_stops


def test_arrays_broadcast() -> None:
    found = illuminance(
        np.array([[5.0], [10.0]]),
        np.array([100.0, 110.0, 120.0]),
        disc_fraction=1.0,
        face_azimuth_deg=np.array([0.0, 90.0, 180.0]),
    )
    for array in (found.total_lux, found.direct_lux, found.sky_lux, found.doubt_stops):
        assert array.shape == (2, 3)


@pytest.mark.parametrize(
    ("changed", "where"),
    [
        ({"sky": "partly"}, "sky"),
        ({"ground": "sand\x1b[2J"}, "ground"),
        ({"disc_fraction": 1.5}, "disc_fraction"),
        ({"disc_fraction": math.nan}, "disc_fraction"),
        ({"face_tilt_deg": -1.0}, "face_tilt_deg"),
        ({"face_sky_view": 2.0}, "face_sky_view"),
        ({"level_sky_view": -0.1}, "level_sky_view"),
        ({"sun_altitude_deg": 91.0}, "sun_altitude_deg"),
        ({"height_m": math.nan}, "height_m"),
    ],
)
def test_bad_arguments_are_named(changed: dict[str, Any], where: str) -> None:
    arguments = {"sun_altitude_deg": 20.0, "sun_azimuth_deg": 180.0, "disc_fraction": 1.0}
    with pytest.raises(BadInput) as error:
        illuminance(**{**arguments, **changed})
    assert error.value.where == where
    assert "\x1b" not in str(error.value)


# ---------------------------------------------------------------- the moon


@pytest.mark.parametrize("tilt_deg", [0.0, 90.0])
def test_moonlight_rises_smoothly_from_nothing(tilt_deg: float) -> None:
    disc = disc_fraction(flat_skyline(), 0.0, DAY_TO_NIGHT)
    lux = moon_illuminance(
        DAY_TO_NIGHT, 0.0, disc_fraction=disc, face_tilt_deg=tilt_deg, **FULL_MOON
    ).total_lux
    with_stars = lux + STARS_AND_AIRGLOW_LUX
    assert np.abs(np.diff(np.log(with_stars))).max() <= np.log1p(LARGEST_STEP)
    assert lux[DAY_TO_NIGHT < -4.0].max() < STARS_AND_AIRGLOW_LUX / 20.0
    if tilt_deg == 0.0:
        assert (np.diff(lux) >= 0.0).all()


def test_moonlight_goes_with_phase_and_distance() -> None:
    def lux(elongation_deg: float, distance_km: float) -> float:
        found = moon_illuminance(
            40.0,
            0.0,
            elongation_deg=elongation_deg,
            distance_km=distance_km,
            disc_fraction=1.0,
            face_tilt_deg=0.0,
        )
        return float(found.total_lux)

    assert lux(180.0, 384_400.0) > lux(150.0, 384_400.0) > lux(60.0, 384_400.0) > 0.0
    near, far = lux(180.0, 357_000.0), lux(180.0, 406_000.0)
    assert near / far == pytest.approx((406.0 / 357.0) ** 2, rel=1e-4)


def test_cloud_takes_the_moons_disc_and_keeps_a_glow() -> None:
    found = moon_illuminance(40.0, 0.0, disc_fraction=1.0, sky="overcast", **FULL_MOON)
    assert found.direct_lux == 0.0
    assert found.sky_lux > 0.0
