"""What a roof of trees takes. The stops are common practice, no source: pinned, not checked."""

import pytest

from backbearing.errors import BadInput
from backbearing.models.illuminance import CANOPIES, canopy_stops


def test_bare_branches_are_a_third_state_between_open_and_closed() -> None:
    """Sun through them is one to two stops down."""
    stops, error = canopy_stops("leafy", 1)
    assert (stops - error, stops + error) == (1.0, 2.0)
    assert 0.0 < stops < canopy_stops("leafy", 7)[0]


def test_leaves_come_and_go_by_halves() -> None:
    year = [canopy_stops("leafy", month)[0] for month in range(1, 13)]
    assert year == [1.5, 1.5, 1.5, 2.5, 4.0, 4.0, 4.0, 4.0, 4.0, 4.0, 2.5, 1.5]


@pytest.mark.parametrize("canopy", CANOPIES)
def test_the_south_has_its_summer_six_months_on(canopy: str) -> None:
    for month in range(1, 13):
        there = canopy_stops(canopy, (month + 5) % 12 + 1, southern=True)
        assert there == canopy_stops(canopy, month)


def test_trees_with_months_of_their_own() -> None:
    assert canopy_stops("leafy", 4, leaf_months=(4, 5, 6))[0] == 4.0
    assert canopy_stops("leafy", 7, leaf_months=(4, 5, 6))[0] == 2.5
    assert canopy_stops("leafy", 9, leaf_months=(4, 5, 6))[0] == 1.5


def test_evergreens_know_no_season_and_no_canopy_takes_nothing() -> None:
    assert len({canopy_stops("evergreen", month) for month in range(1, 13)}) == 1
    assert canopy_stops("none", 6) == (0.0, 0.0)


@pytest.mark.parametrize(
    ("canopy", "month", "where"),
    [("palm", 6, "canopy"), ("leafy", 0, "month"), ("none", 13, "month")],
)
def test_unknown_trees_and_months_are_refused(canopy: str, month: int, where: str) -> None:
    with pytest.raises(BadInput) as error:
        canopy_stops(canopy, month)
    assert error.value.where == where
