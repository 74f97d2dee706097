"""A bearing taken with an assumed compass is still a bearing taken; a stand-in is named as one."""

from datetime import date

from backbearing.places.bearings import read_bearing
from backbearing.plans.standins import square_to_wall, stood_in


def test_an_assumed_compass_is_no_stand_in() -> None:
    taken = read_bearing("215M", latitude_deg=47.0, longitude_deg=-21.0, on=date(2026, 3, 14))
    assert taken.basis == "assumed: sighting compass"
    assert stood_in(taken) == ""
    assert stood_in(None) == ""


def test_a_wall_that_looks_north_east_is_faced_to_the_south_west() -> None:
    bearing = square_to_wall(35.0)
    assert bearing.true_deg == 215.0
    assert stood_in(bearing) == "back bearing of the facing wall"
