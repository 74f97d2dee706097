"""Cross bearings of a search: the worked table of FACTS 6, by clues as they are kept."""

from __future__ import annotations

from math import hypot

import numpy as np
import pytest

from backbearing.plans.search.crossing import crossed
from backbearing.plans.search.ground import SearchGround, round_place
from backbearing.records import MemoryClue, Place

HERE = Place(latitude_deg=47.0, longitude_deg=-21.0, error_m=0.0, error_basis="given")
GROUND = round_place(HERE, 100.0)


def bearing(x_m: float, y_m: float, true_deg: float) -> MemoryClue:
    """± 2° is one standard deviation there; a clue keeps 95 %."""
    latitude, longitude = GROUND.plane.places(np.array(x_m), np.array(y_m))
    place = Place(
        latitude_deg=float(latitude), longitude_deg=float(longitude), error_m=0.0, error_basis=""
    )
    return MemoryClue(
        kind="on a bearing", words="", sure=0.8, place=place, low=true_deg, error=2.0 * 1.959964
    )


@pytest.mark.parametrize(
    ("bearings", "at", "axes", "shallow"),
    [
        ([(0, 0, 45), (1000, 0, 315)], (500, 500), (60.4, 60.4), False),
        ([(0, 0, 20), (300, 0, 5)], (394.9, 1085.1), (519.5, 68.3), True),
        ([(0, 0, 45), (1000, 0, 315), (500, -800, 0)], (500, 500), (60.4, 53.1), False),
    ],
)
def test_bearings_cross_in_the_ellipse_of_the_table(
    bearings: list[tuple[float, float, float]],
    at: tuple[float, float],
    axes: tuple[float, float],
    shallow: bool,
) -> None:
    found, why = crossed([bearing(*each) for each in bearings], GROUND)
    assert found is not None, why
    x, y = at_metres(GROUND, found.latitude_deg, found.longitude_deg)
    assert hypot(x - at[0], y - at[1]) < 0.5
    assert (found.long_axis_m, found.short_axis_m) == pytest.approx(axes, abs=0.15)
    assert found.shallow == shallow
    assert ("too flatly" in found.words) == shallow


def test_one_bearing_crosses_nothing_and_what_cannot_cross_is_said() -> None:
    assert crossed([bearing(0, 0, 45)], GROUND) == (None, "")
    found, why = crossed([bearing(0, 0, 225), bearing(1000, 0, 315)], GROUND)
    assert found is None
    assert "behind" in why


def at_metres(ground: SearchGround, latitude: float, longitude: float) -> tuple[float, float]:
    x, y = ground.plane.at(np.array([latitude]), np.array([longitude]))
    return float(x[0]), float(y[0])
