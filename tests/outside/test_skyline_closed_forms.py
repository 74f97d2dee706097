"""Skylines of ground whose skyline is known in closed form.

Plane, wall, cone, ring valley and a level plain on a curved Earth; the formula for angle and
drop, tan α = (h − h₀ − (1 − k) D² / 2R) / D, is surveying's usual one with k = 0.13
(common practice, no source).
"""

from __future__ import annotations

import numpy as np
import pytest
from tests.models.ground import LATITUDE, LONGITUDE, Floats, grid_around

from backbearing.models.skyline import skyline

LEVEL = {"refraction_k": 1.0}  # light bends with the Earth: no drop, plain geometry


def test_a_plane_seen_from_its_own_surface_slopes_as_the_plane_does() -> None:
    """Height rises 0.3 eastwards: the skyline is atan(0.3 sin azimuth), and never below level."""
    grid = grid_around(lambda east, north: 1000.0 + 0.3 * east, geodesic=True)
    seen = skyline([grid], LATITUDE, LONGITUDE, eye_height_m=0.0, **LEVEL)
    expected = np.maximum(np.degrees(np.arctan(0.3 * np.sin(np.radians(seen.azimuth_deg)))), 0.0)
    assert seen.altitude_deg == pytest.approx(expected, abs=1e-3)


def test_a_wall_stands_as_its_height_over_its_distance() -> None:
    """A 120 m step 500 m to the north: tan α = (120 − 1.5) cos azimuth / 500."""
    grid = grid_around(lambda east, north: np.where(north >= 495.0, 120.0, 0.0) + 0.0 * east)
    seen = skyline([grid], LATITUDE, LONGITUDE, **LEVEL)
    ahead = np.cos(np.radians(seen.azimuth_deg))
    # the wall's foot is one cell before its top, and its end is seen from 70° off; 85° steep
    facing = ahead > np.cos(np.radians(60.0))
    expected = np.degrees(np.arctan(118.5 * ahead[facing] / 500.0))
    assert seen.altitude_deg[facing] == pytest.approx(expected, abs=0.04)
    assert seen.distance_m[facing] == pytest.approx(500.0 / ahead[facing], rel=0.004)


def test_a_ring_valley_is_the_same_all_round() -> None:
    """A crest 300 m up at 1500 m, round like a torus: tan α = max over r of (h(r) − 1.5) / r."""

    def crest(r: Floats) -> Floats:
        return np.asarray(300.0 * np.exp(-(((r - 1500.0) / 250.0) ** 2)))

    grid = grid_around(lambda east, north: crest(np.hypot(east, north)), geodesic=True)
    seen = skyline([grid], LATITUDE, LONGITUDE, **LEVEL)
    r = np.linspace(100.0, 1900.0, 200_001)
    tangent = (crest(r) - 1.5) / r
    assert seen.altitude_deg == pytest.approx(np.degrees(np.arctan(tangent.max())), abs=0.01)
    assert seen.distance_m == pytest.approx(r[tangent.argmax()], abs=10.0)


def test_a_cone_fills_the_width_that_a_cone_fills() -> None:
    """A cone of slope m, apex H at D: α at β off its axis is where the sight grazes it.

    On its surface h = H − m ρ with ρ the distance from the axis; from (0, h₀) the height along
    a ray at β is H − m √(r² + D² − 2 r D cos β), divided by r and maximised over r.
    """
    apex, far, slope = 400.0, 1200.0, 0.5
    grid = grid_around(
        lambda east, north: np.maximum(apex - slope * np.hypot(east - far, north), 0.0)
    )
    seen = skyline([grid], LATITUDE, LONGITUDE, **LEVEL)
    r = np.linspace(50.0, 2000.0, 40_001)
    for beta in (0.0, 3.0, 10.0, 20.0, 30.0):
        rho = np.sqrt(r**2 + far**2 - 2 * r * far * np.cos(np.radians(beta)))
        expected = np.degrees(np.arctan(((np.maximum(apex - slope * rho, 0.0) - 1.5) / r).max()))
        for azimuth in (90.0 - beta, 90.0 + beta):
            got = seen.altitude_deg[seen.azimuth_deg == azimuth][0]
            assert got == pytest.approx(expected, abs=0.02), (beta, azimuth)


@pytest.mark.parametrize(
    ("distance_m", "drop_k0_m", "drop_k13_m"),
    [
        (5_000.0, 1.96, 1.71),
        (10_000.0, 7.85, 6.83),
        (20_000.0, 31.4, 27.3),
        (50_000.0, 196.0, 171.0),
    ],
)
def test_far_ground_drops_as_the_table_says(
    distance_m: float, drop_k0_m: float, drop_k13_m: float
) -> None:
    """An own list of the curved Earth's drops, read back from the angle of a ring 2000 m high."""
    cell = distance_m / 100.0

    def ring(east: Floats, north: Floats) -> Floats:
        return np.where(np.abs(np.hypot(east, north) - distance_m) < 3 * cell, 2000.0, 0.0)

    grid = grid_around(ring, cell=cell, half_width=110, geodesic=True)
    for k, drop_m in ((0.0, drop_k0_m), (0.13, drop_k13_m)):
        seen = skyline([grid], LATITUDE, LONGITUDE, refraction_k=k, reach_m=1.2 * distance_m)
        ahead = seen.azimuth_deg == 0.0
        at_m = seen.distance_m[ahead]
        down_m = 1998.5 - np.tan(np.radians(seen.altitude_deg[ahead])) * at_m
        # the ring's near edge is up to three cells before its middle; the table has 3 digits
        assert down_m * (distance_m / at_m) ** 2 == pytest.approx(drop_m, rel=0.004, abs=0.01)


@pytest.mark.parametrize("eye_m", [1.5, 20.0])
def test_a_level_plain_on_a_round_earth_dips(eye_m: float) -> None:
    """The horizon of a plain lies √(2 eye (1 − k) / R) below level, √(2 R eye / (1 − k)) away."""
    grid = grid_around(lambda east, north: 800.0 + 0.0 * east, cell=50.0, half_width=400)
    seen = skyline([grid], LATITUDE, LONGITUDE, eye_height_m=eye_m, reach_m=50_000.0)
    curve = (1.0 - 0.13) / 6_371_000.0
    assert seen.altitude_deg == pytest.approx(-np.degrees(np.sqrt(2 * eye_m * curve)), abs=2e-4)
    assert np.median(seen.distance_m) == pytest.approx(np.sqrt(2 * eye_m / curve), rel=0.03)
