"""Hillshade against a published angle of incidence on a tilted plane.

Reda & Andreas, Solar Position Algorithm for Solar Radiation Applications, NREL/TP-560-34302
(2003, rev. 2008), table A5.1: zenith 50.11162°, azimuth 194.34024°, a surface tilted 30° and
turned −10° from south (towards the east: aspect 170°) has the sun at 25.18700°.
"""

import math

import numpy as np
import pytest

from backbearing.models.relief import hillshade
from backbearing.records import Grid


def test_the_worked_examples_surface() -> None:
    y, x = np.mgrid[20:-21:-1, -20:21] * 10.0
    aspect = math.radians(170.0)
    fall = math.tan(math.radians(30.0))
    plane = -fall * (x * math.sin(aspect) + y * math.cos(aspect))
    grid = Grid(
        height_m=plane.astype(np.float32),
        x_first=-200.0,
        y_first=200.0,
        x_step=10.0,
        y_step=-10.0,
        crs="+proj=aeqd +lat_0=39.742476 +lon_0=-105.1786 +datum=WGS84",
        cell_m=10.0,
        vertical_error_m=1.0,
        ground="bare ground",
    )
    shade = hillshade(
        grid, light_azimuth_deg=194.34024, light_altitude_deg=90.0 - 50.11162, exaggerate=1.0
    )
    incidence = np.degrees(np.arccos(np.median(shade)))
    assert incidence == pytest.approx(25.18700, abs=0.002)  # single precision, and the plane's fit
