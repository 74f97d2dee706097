"""Walking times: what must hold whatever the rule."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.models.walking import RULES, SNOW_FACTOR, load_factor, night_factor, snow_factor


@pytest.mark.parametrize("rule", sorted(RULES))
def test_a_rule_has_no_jump_and_one_quickest_slope(rule: str) -> None:
    slope = np.linspace(-0.39, 0.39, 7801)
    seconds = RULES[rule](slope)  # type: ignore[index]
    assert np.all(seconds > 0.5)
    assert np.max(np.abs(np.diff(seconds)) / seconds[1:]) < 0.01
    quickest = int(np.argmin(seconds))
    assert -0.1 < slope[quickest] <= 0.0
    assert np.all(np.diff(seconds[quickest:]) >= 0.0)


@given(st.floats(0.0, 70.0), st.floats(0.0, 5.0), st.sampled_from([1.0, 1.2, 1.8]))
def test_more_load_is_never_quicker(load_kg: float, more_kg: float, terrain: float) -> None:
    less, more = (load_factor(kg, terrain=terrain) for kg in (load_kg, load_kg + more_kg))
    assert 1.0 <= less <= more or np.isclose(less, 1.0)


def test_ones_own_tracks_back_are_quicker_than_the_way_in_but_no_quicker_than_bare_ground() -> None:
    for snow, factor in SNOW_FACTOR.items():
        back = snow_factor(snow, own_tracks=True)
        assert 1.0 <= back <= factor
        assert factor == 1.0 or back < factor


def test_by_torch_rough_ground_is_slower_than_a_path_and_both_than_by_day() -> None:
    """0.6 to 0.8 of the speed on rough ground (common practice, no source); a path no slower."""
    assert 1.0 < night_factor(rough=False) <= night_factor(rough=True)
    assert 0.6 <= 1.0 / night_factor(rough=True) <= 0.8


@pytest.mark.parametrize(("body_kg", "load_kg"), [(0.0, 0.0), (75.0, -1.0), (75.0, 80.0)])
def test_a_load_that_nobody_carries_is_refused(body_kg: float, load_kg: float) -> None:
    with pytest.raises(BadInput, match="kg"):
        load_factor(load_kg, body_kg=body_kg)


def test_a_word_for_snow_that_is_not_known_is_refused() -> None:
    with pytest.raises(BadInput, match="firm crust"):
        snow_factor("slush")  # type: ignore[arg-type]
