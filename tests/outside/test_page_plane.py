"""The drawing's projection against PROJ's, on the same sphere.

Source: PROJ's azimuthal equidistant projection (`+proj=aeqd`), through pyproj.
"""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from pyproj import Proj

from backbearing.writers.page.plane import RADIUS_M, Sheet, round_step, sheet_over

latitudes = st.floats(-89.9, 89.9)
longitudes = st.floats(-180.0, 180.0)


@given(latitudes, longitudes, latitudes, longitudes)
def test_a_spot_lies_where_proj_puts_it_and_reads_back(
    latitude0: float, longitude0: float, latitude: float, longitude: float
) -> None:
    sheet = Sheet(centre=(latitude0, longitude0), width=0.0, height=0.0, metres_a_unit=1.0)
    proj = Proj(proj="aeqd", lat_0=latitude0, lon_0=longitude0, R=RADIUS_M)
    east, north = proj(longitude, latitude)
    # at the antipode every direction is the same spot
    assume(east**2 + north**2 < (0.99 * 3.14159 * RADIUS_M) ** 2)
    x, y = sheet.at((latitude, longitude))
    assert (x, -y) == pytest.approx((east, north), abs=0.01)
    assert sheet.at(sheet.spot((x, y))) == pytest.approx((x, y), abs=0.01)


@given(st.lists(st.tuples(st.floats(46.9, 47.1), st.floats(-21.2, -20.9)), min_size=1))
def test_a_sheet_holds_all_its_spots_inside_the_margin(spots: list[tuple[float, float]]) -> None:
    sheet = sheet_over(spots, width=480.0, height=400.0, margin=44.0, least_m=240.0)
    for spot in spots:
        x, y = sheet.at(spot)
        assert 43.9 <= x <= 436.1
        assert 43.9 <= y <= 356.1
    assert sheet.metres_a_unit * sheet.height >= 239.9


@given(st.floats(1e-6, 1e6))
def test_round_steps_are_1_2_or_5_and_never_less(least: float) -> None:
    step = round_step(least)
    assert least * 0.998 <= step <= least * 2.51
    assert f"{step:.0e}"[0] in "125"
