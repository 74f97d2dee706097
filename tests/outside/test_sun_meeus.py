"""The sun's apparent place against Jean Meeus, "Astronomical Algorithms", chapter 25.

Example 25.b (2nd ed. 1998) gives results of the complete VSOP87 theory for 1992-10-13 0h TD;
25.a and the series are his low-accuracy theory, good to 0.01°.
"""

import erfa
import numpy as np
import pytest
from numpy.typing import NDArray

from backbearing.models.deltat import delta_t_s
from backbearing.models.sun import apparent_sun, sun_position

EXAMPLE = (2_448_908.5, 0.0)
Floats = NDArray[np.float64]


def right_ascension_and_declination(tt1: Floats, tt2: Floats) -> tuple[Floats, Floats]:
    """Ours [°], counted from the true equinox of date as the book does."""
    x, y, z = np.moveaxis(apparent_sun(tt1, tt2), -1, 0)
    from_origin = np.degrees(np.arctan2(y, x) - erfa.eo06a(tt1, tt2))
    return np.mod(from_origin, 360.0), np.degrees(np.arctan2(z, np.hypot(x, y)))


def longitude_and_latitude(ra_deg: Floats, dec_deg: Floats) -> tuple[Floats, Floats]:
    """Of the true ecliptic of date [°]."""
    _, nutation = erfa.nut06a(*EXAMPLE)
    eps = erfa.obl06(*EXAMPLE) + nutation
    a, d = np.radians(ra_deg), np.radians(dec_deg)
    y = np.sin(a) * np.cos(eps) + np.tan(d) * np.sin(eps)
    beta = np.arcsin(np.sin(d) * np.cos(eps) - np.cos(d) * np.sin(eps) * np.sin(a))
    return np.mod(np.degrees(np.arctan2(y, np.cos(a))), 360.0), np.degrees(beta)


def meeus_low_accuracy(jde: Floats) -> tuple[Floats, Floats, Floats]:
    """Right ascension, declination [°] and distance [au] by the formulas of chapter 25."""
    t = (jde - 2_451_545.0) / 36_525.0
    l0 = 280.46646 + 36_000.76983 * t + 0.0003032 * t**2
    m = np.radians(357.52911 + 35_999.05029 * t - 0.0001537 * t**2)
    e = 0.016708634 - 0.000042037 * t - 0.0000001267 * t**2
    c = (
        (1.914602 - 0.004817 * t - 0.000014 * t**2) * np.sin(m)
        + (0.019993 - 0.000101 * t) * np.sin(2 * m)
        + 0.000289 * np.sin(3 * m)
    )
    distance = 1.000001018 * (1 - e**2) / (1 + e * np.cos(m + np.radians(c)))
    node = np.radians(125.04 - 1_934.136 * t)
    lam = np.radians(l0 + c - 0.00569 - 0.00478 * np.sin(node))
    eps0 = 23.0 + 26.0 / 60.0 + (21.448 - 46.8150 * t - 0.00059 * t**2 + 0.001813 * t**3) / 3600.0
    eps = np.radians(eps0 + 0.00256 * np.cos(node))
    ra = np.degrees(np.arctan2(np.cos(eps) * np.sin(lam), np.cos(lam)))
    return np.mod(ra, 360.0), np.degrees(np.arcsin(np.sin(eps) * np.sin(lam))), distance


def test_example_25b_high_accuracy() -> None:
    # 0.1″: the book's nutation and equinox are the IAU 1976/1980 ones, ours 2000
    arcsecond = 1.0 / 3600.0
    ra, dec = right_ascension_and_declination(*map(np.asarray, EXAMPLE))
    assert ra == pytest.approx(15.0 * (13 + 13 / 60 + 30.749 / 3600), abs=0.1 * arcsecond)
    assert dec == pytest.approx(-(7 + 47 / 60 + 1.74 / 3600), abs=0.1 * arcsecond)
    lon, lat = longitude_and_latitude(ra, dec)
    assert lon == pytest.approx(199 + 54 / 60 + 21.56 / 3600, abs=0.1 * arcsecond)
    assert lat == pytest.approx(0.72 * arcsecond, abs=0.1 * arcsecond)
    assert np.linalg.norm(apparent_sun(*EXAMPLE)) == pytest.approx(0.99760853, abs=2e-8)


def test_example_25a_low_accuracy() -> None:
    ra, dec = right_ascension_and_declination(*map(np.asarray, EXAMPLE))
    assert ra == pytest.approx(15.0 * (13 + 13 / 60 + 31.4 / 3600), abs=0.01)
    assert dec == pytest.approx(-(7 + 47 / 60 + 6 / 3600), abs=0.01)
    assert longitude_and_latitude(ra, dec)[0] == pytest.approx(199.90895, abs=0.01)


def test_the_formulas_above_are_the_books() -> None:
    """His own printed result, so that the sweep below rests on more than our typing."""
    ra, dec, distance = meeus_low_accuracy(np.asarray(2_448_908.5))
    assert ra == pytest.approx(198.38083, abs=6e-6)
    assert dec == pytest.approx(-7.78507, abs=6e-6)
    assert distance == pytest.approx(0.99766, abs=6e-6)


def test_every_year_the_sun_is_offered_for() -> None:
    """1800 to 2199, where SOFA's series is used beyond the 1900–2100 it was fitted to."""
    days = np.arange(-73_000.0, 73_000.0, 37.3)
    tt = days + delta_t_s(days) / 86_400.0
    ra, dec = right_ascension_and_declination(np.full(days.shape, 2_451_544.5), tt)
    their_ra, their_dec, _ = meeus_low_accuracy(2_451_544.5 + tt)
    apart = np.abs((ra - their_ra + 180.0) % 360.0 - 180.0) * np.cos(np.radians(dec))
    fitted = (days > -36_525.0) & (days < 36_525.0)
    assert np.percentile(apart, 99) < 0.01  # his figure; single days of his series pass it
    assert apart[~fitted].max() <= apart[fitted].max()  # so ours is no worse out there
    assert np.abs(dec - their_dec).max() < 0.01


def test_equation_of_time_of_example_28a() -> None:
    """+13 m 42.6 s on the same day at 0h TD, 59 s before 0h UT: the sun is ahead of the clock."""
    before_0h = 59
    when = np.datetime64("1992-10-13T00:00:00") - np.timedelta64(before_0h, "s")
    sun = sun_position(when, 0.0, 180.0, refraction=False)  # at local noon, on the equator
    east = np.cos(np.radians(sun.altitude_deg)) * np.sin(np.radians(sun.azimuth_deg))
    up = np.sin(np.radians(sun.altitude_deg))
    past_meridian_min = 4.0 * np.degrees(np.arctan2(-east, up))
    assert past_meridian_min + before_0h / 60.0 == pytest.approx(13 + 42.6 / 60, abs=0.01)
