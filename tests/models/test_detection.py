"""Chances of having seen a thing: what must hold for any look."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.models.detection import chance_seen, seen_again, sweep_width_m
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
    both = float(seen_again(looks))
    assert max(looks) - 1e-12 <= both <= sum(looks) + 1e-12
    assert both <= 2.0 * max(looks) + 1e-12
    assert both == pytest.approx(float(seen_again(looks[::-1])))


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
