"""ΔT = TT − UT1: how far the even clock of the planets runs ahead of the turning Earth.

A table of our own, because the leap-second file inside erfa warns about every year it does
not list. A wrong second of ΔT moves the sun by 0.04″, so a tenth of a second is ample.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from backbearing.records import Floats

# Year, ΔT [s]. To 1955: the historical curve of Stephenson, Morrison & Hohenkerk (2016,
# Proc. R. Soc. A 472: 20160404). 1960 … 2025: IERS. Later years are that paper's forecast;
# nobody knows them to a second. All read through skyfield's time scale and rounded to 0.1 s.
# fmt: off
_YEAR, _DELTA_T_S = np.array([
    (1800, 18.4), (1810, 15.7), (1820, 16.5), (1830, 10.8), (1840, 7.6), (1850, 9.3),
    (1860, 9.0), (1870, 2.4), (1880, -3.2), (1890, -3.9), (1900, -2.0), (1910, 11.1),
    (1920, 21.6), (1930, 24.4), (1940, 24.4), (1950, 28.9), (1955, 30.4), (1960, 33.1),
    (1965, 35.1), (1970, 39.9), (1975, 45.5), (1980, 50.5), (1985, 54.3), (1990, 56.9),
    (1995, 60.8), (2000, 63.8), (2005, 64.7), (2010, 66.1), (2015, 67.6), (2020, 69.4),
    (2025, 69.1), (2030, 69.1), (2040, 69.7), (2050, 71.4), (2075, 80.4), (2100, 95.9),
    (2125, 117.9), (2150, 146.3), (2175, 180.9), (2201, 223.3),
]).T
# fmt: on


def delta_t_s(days_since_2000: Floats) -> Floats:
    """How many seconds TT is ahead of UT1 at these days since 2000-01-01 0h (any shape).

    Straight lines between table years: within 0.5 s over 1950–2027 and 3 s before, which is
    1e-5° and 4e-5° of the sun's place. Outside 1800–2201 the end value is held.
    """
    answer: Floats = np.interp(2000.0 + days_since_2000 / 365.2425, _YEAR, _DELTA_T_S)
    return answer
