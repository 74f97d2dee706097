"""Chances of having seen a thing: what must hold for any look."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.models.detection import chance_seen, seen_by_looks, sweep_width_m
from backbearing.models.effort import best_effort

COVERAGES = st.lists(st.floats(0.0, 6.0), min_size=1, max_size=8)


@given(st.floats(0.0, 20.0), st.floats(0.0, 5.0), st.sampled_from(["random", "inverse cube"]))
def test_more_looking_never_sees_less_and_never_with_certainty_passed(
    coverage: float,
    more: float,
    law: str,
) -> None:
    less, rest = chance_seen(coverage, law), chance_seen(coverage + more, law)  # type: ignore[arg-type]
    assert 0.0 <= less <= rest <= 1.0
    assert less <= coverage + 1e-12  # no strip is looked at better than wholly


@given(COVERAGES)
def test_the_same_eyes_again_count_less_than_new_ones_and_more_than_none(
    looks: list[float],
) -> None:
    seen = float(together(looks))
    assert chance_seen(max(looks)) - 1e-12 <= seen <= chance_seen(sum(looks)) + 1e-12
    assert seen <= chance_seen(2.0 * max(looks)) + 1e-12
    assert seen == pytest.approx(float(together(looks[::-1])))


def together(looks: list[float], *ways: float) -> float:
    """Looks on one piece of ground, each on a way of −1 (against the line) to 1 (with it)."""
    travel = [[[way, 0.0]] for way in ways] if ways else None
    return float(seen_by_looks([[look] for look in looks], ["random"] * len(looks), travel)[0])


def test_a_look_the_other_way_is_damped_less_than_one_the_same_way_again() -> None:
    """Half of the second coverage counts the same way, three quarters the other way."""
    assert together([0.8, 0.6], 1.0, 1.0) == pytest.approx(float(chance_seen(0.8 + 0.3)))
    assert together([0.8, 0.6], 1.0, -1.0) == pytest.approx(float(chance_seen(0.8 + 0.45)))
    assert together([0.8, 0.6], 1.0, 0.0) == pytest.approx(float(chance_seen(0.8 + 0.375)))


def test_each_look_keeps_its_own_law() -> None:
    """The best one in full, the other by half of its coverage: the chances to miss multiplied."""
    seen = float(seen_by_looks([[1.0], [0.6]], ["inverse cube", "random"])[0])
    missed = (1.0 - float(chance_seen(1.0, "inverse cube"))) * (1.0 - float(chance_seen(0.3)))
    assert seen == pytest.approx(1.0 - missed)
    assert seen > float(seen_by_looks([[1.0], [0.6]], ["random", "random"])[0])


def test_impossible_numbers_are_refused() -> None:
    with pytest.raises(BadInput, match="above 0"):
        sweep_width_m(0.0)
    with pytest.raises(BadInput, match="below 0"):
        chance_seen(-0.1)
    with pytest.raises(BadInput, match="worth an effort"):
        best_effort((0.0, 0.5), (1.0, 0.0), 3.0)
    with pytest.raises(BadInput, match="0 or more"):
        best_effort((0.5, 0.5), (1.0, 1.0), -3.0)


def test_no_effort_is_spent_where_there_is_none() -> None:
    assert best_effort((0.5, 0.5), (1.0, 2.0), 0.0) == pytest.approx((0.0, 0.0))
