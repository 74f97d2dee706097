"""Our UTM and our geodesics outwards give what PROJ and GeographicLib (by pyproj) give."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pyproj import CRS, Geod, Transformer
from pyproj.exceptions import ProjError

from backbearing.places.utm import outwards, projection

LATITUDES = st.floats(-84.0, 84.0)


@settings(max_examples=60, deadline=None)
@given(
    zone=st.integers(1, 60),
    south=st.booleans(),
    latitude=LATITUDES,
    off=st.floats(-12.0, 12.0),  # beyond 8° it is pyproj's own
)
def test_utm_is_that_of_proj_to_a_micrometre(
    zone: int, south: bool, latitude: float, off: float
) -> None:
    crs = f"EPSG:32{7 if south else 6}{zone:02d}"
    longitude = (zone * 6.0 - 183.0 + off + 180.0) % 360.0 - 180.0
    proj = Transformer.from_crs("EPSG:4326", crs, always_xy=True)
    into, geographic = projection(crs)
    assert not geographic
    assert into.transform(longitude, latitude) == pytest.approx(
        proj.transform(longitude, latitude), abs=1e-6, rel=0
    )
    many = into.transform(np.array([longitude, longitude]), np.array([latitude, 0.5]))
    expected = proj.transform(np.array([longitude, longitude]), np.array([latitude, 0.5]))
    assert np.allclose(many, expected, atol=1e-6, rtol=0)


@pytest.mark.parametrize("crs", ["EPSG:4326", "EPSG:32627", "EPSG:32733", "EPSG:2056", "EPSG:4258"])
def test_a_projection_says_whether_it_counts_in_degrees(crs: str) -> None:
    assert projection(crs)[1] is CRS.from_user_input(crs).is_geographic


def test_what_is_no_zone_is_left_to_proj() -> None:
    """EPSG:32661 is polar stereographic, 32699 nothing at all."""
    proj = Transformer.from_crs("EPSG:4326", "EPSG:32661", always_xy=True)
    assert projection("EPSG:32661")[0].transform(10.0, 85.0) == proj.transform(10.0, 85.0)
    with pytest.raises(ProjError, match="32699"):
        projection("EPSG:32699")


def test_from_a_grid_back_to_places() -> None:
    into, _ = projection("EPSG:32627")
    x, y = into.transform(-21.3, 47.1)
    assert into.transform(x, y, direction="INVERSE") == pytest.approx((-21.3, 47.1), abs=1e-11)


@settings(max_examples=60, deadline=None)
@given(
    latitude=st.floats(-89.9, 89.9),
    longitude=st.floats(-180.0, 179.99),
    azimuth=st.floats(0.0, 360.0),
    distance_m=st.floats(0.0, 300_000.0),
)
def test_geodesics_outwards_are_geographiclibs_to_a_tenth_of_a_millimetre(
    latitude: float, longitude: float, azimuth: float, distance_m: float
) -> None:
    geod = Geod(ellps="WGS84")
    lon, lat, _ = geod.fwd(longitude, latitude, azimuth, distance_m)
    own_lat, own_lon = outwards(latitude, longitude, np.array([azimuth]), np.array([distance_m]))
    _, _, apart_m = geod.inv(lon, lat, own_lon[0], own_lat[0])
    assert apart_m < 1e-4
