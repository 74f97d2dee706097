"""Chances of having seen a thing: what must hold for any look."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.models.detection import after_a_miss, chance_seen, seen_again, sweep_width_m
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


@given(
    st.lists(st.tuples(st.floats(0.01, 1.0), st.floats(0.0, 0.99)), min_size=1, max_size=12),
    st.floats(0.01, 1.0),
)
def test_a_miss_moves_chance_to_where_one_looked_least(
    pieces: list[tuple[float, float]], elsewhere: float
) -> None:
    raw = np.array([share for share, _ in pieces])
    seen = np.array([chance for _, chance in pieces])
    whole = raw.sum() + elsewhere
    share, out = after_a_miss(raw / whole, seen, elsewhere / whole)
    assert share.sum() + out == pytest.approx(1.0)
    assert out >= elsewhere / whole - 1e-12
    gained = share / (raw / whole)
    assert np.all(np.diff(gained[np.argsort(seen)]) <= 1e-9)


def test_impossible_numbers_are_refused() -> None:
    with pytest.raises(BadInput, match="above 0"):
        sweep_width_m(0.0)
    with pytest.raises(BadInput, match="below 0"):
        chance_seen(-0.1)
    with pytest.raises(BadInput, match="sum to 1"):
        after_a_miss((0.5, 0.4), (0.1, 0.1))
    with pytest.raises(BadInput, match="0 to 1"):
        after_a_miss((0.5, 0.5), (1.1, 0.1))
    with pytest.raises(BadInput, match="wherever it can be"):
        after_a_miss((0.5, 0.5), (1.0, 1.0))
    with pytest.raises(BadInput, match="worth an effort"):
        best_effort((0.0, 0.5), (1.0, 0.0), 3.0)
    with pytest.raises(BadInput, match="0 or more"):
        best_effort((0.5, 0.5), (1.0, 1.0), -3.0)


def test_no_effort_is_spent_where_there_is_none() -> None:
    assert best_effort((0.5, 0.5), (1.0, 2.0), 0.0) == pytest.approx((0.0, 0.0))
