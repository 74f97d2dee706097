"""Walking rules against published tables and examples.

Tobler: NCGIA TR 93-1, 1993 (table computed from its formula). DIN 33466: the published example of
8 km and 900 m up in 4 h. Naismith: 1892, as commonly quoted. Swiss signposts: polynomial of
G. and S. Weber as in the federal geoportal's public code (table computed from it). Pandolf, Givoni
& Goldman 1977, J. Appl. Physiol. 43, 577–581, terrain factors of Soule & Goldman 1972 as publicly
quoted. Only the example of DIN 33466 is a printed result; the other figures were computed apart
from this code, with a calculator's own arithmetic.
"""

import pytest

from backbearing.models.walking import (
    OFF_PATH_FACTOR,
    TERRAIN_FACTOR,
    din_s_per_m,
    load_factor,
    load_power_w,
    naismith_s,
    swiss_s_per_m,
    tobler_s_per_m,
    whole_walk_s,
)


@pytest.mark.parametrize(
    ("slope", "on_path_kmh", "off_path_kmh"),
    [
        *((-0.4, 1.763, 1.058), (-0.3, 2.501, 1.501), (-0.2, 3.549, 2.130), (-0.1, 5.037, 3.022)),
        *((-0.05, 6.0, 3.6), (0.0, 5.037, 3.022), (0.05, 4.228, 2.537), (0.1, 3.549, 2.130)),
        *((0.2, 2.501, 1.501), (0.3, 1.763, 1.058), (0.4, 1.242, 0.745)),
    ],
)
def test_tobler(slope: float, on_path_kmh: float, off_path_kmh: float) -> None:
    seconds = float(tobler_s_per_m(slope))
    assert 3.6 / seconds == pytest.approx(on_path_kmh, abs=6e-4)
    assert 3.6 / (seconds * OFF_PATH_FACTOR) == pytest.approx(off_path_kmh, abs=6e-4)


@pytest.mark.parametrize(
    ("slope", "minutes_a_km"),
    [
        *((-0.39, 35.46), (-0.3, 27.52), (-0.2, 19.84), (-0.1, 14.21), (-0.05, 13.24)),
        *((0.0, 14.27), (0.05, 16.63), (0.1, 20.00), (0.2, 32.33), (0.3, 48.79), (0.39, 65.28)),
        (0.45, 76.50),  # beyond the fit: 17 a tenth
    ],
)
def test_swiss_signposts(slope: float, minutes_a_km: float) -> None:
    assert float(swiss_s_per_m(slope)) * 1000.0 / 60.0 == pytest.approx(minutes_a_km, abs=6e-3)


@pytest.mark.parametrize(
    ("km", "up_m", "down_m", "naismith_h", "din_h", "tobler_h", "swiss_h"),
    [
        (10.0, 600.0, 0.0, 3.0, 3.5, 2.449, 2.868),
        (10.0, 0.0, 600.0, 2.0, 3.1, 1.726, 2.213),
        (8.0, 900.0, 0.0, 3.1, 4.0, 2.355, 2.812),
        (5.0, 500.0, 0.0, 1.8333, 2.2917, 1.409, 1.667),
    ],
)
def test_whole_walks_on_one_slope(
    km: float,
    up_m: float,
    down_m: float,
    naismith_h: float,
    din_h: float,
    tobler_h: float,
    swiss_h: float,
) -> None:
    length_m, slope = km * 1000.0, (up_m - down_m) / (km * 1000.0)
    hours = 1.0 / 3600.0
    assert float(naismith_s(length_m, up_m)) * hours == pytest.approx(naismith_h, abs=6e-4)
    assert whole_walk_s(length_m, up_m, down_m) * hours == pytest.approx(din_h, abs=6e-4)
    assert float(din_s_per_m(slope)) * length_m * hours == pytest.approx(din_h, abs=6e-4)
    assert float(tobler_s_per_m(slope)) * length_m * hours == pytest.approx(tobler_h, abs=6e-4)
    assert float(swiss_s_per_m(slope)) * length_m * hours == pytest.approx(swiss_h, abs=6e-4)


@pytest.mark.parametrize(
    ("body_kg", "load_kg", "terrain", "speed_m_s", "slope", "watts"),
    [
        (75.0, 20.0, 1.0, 1.34, 0.0, 381.88),
        (75.0, 20.0, 1.2, 1.0, 0.10, 696.01),
        (80.0, 0.0, 1.0, 1.34, 0.0, 335.47),
        (75.0, 25.0, 1.5, 1.1, 0.05, 695.72),
    ],
)
def test_power_under_load(
    body_kg: float, load_kg: float, terrain: float, speed_m_s: float, slope: float, watts: float
) -> None:
    power = float(load_power_w(body_kg, load_kg, terrain, speed_m_s, slope))
    assert power == pytest.approx(watts, abs=6e-3)


@pytest.mark.parametrize(
    ("load_kg", "speed_shares"),
    [
        (0.0, (1.000, 0.953, 0.913, 0.816, 0.745, 0.690)),
        (10.0, (0.933, 0.889, 0.852, 0.762, 0.695, 0.644)),
        (20.0, (0.860, 0.820, 0.785, 0.703, 0.641, 0.594)),
        (25.0, (0.820, 0.782, 0.749, 0.670, 0.612, 0.566)),
    ],
)
def test_speed_at_equal_power(load_kg: float, speed_shares: tuple[float, ...]) -> None:
    for terrain, share in zip(TERRAIN_FACTOR.values(), speed_shares, strict=True):
        assert 1.0 / load_factor(load_kg, terrain=terrain) == pytest.approx(share, abs=6e-4)
