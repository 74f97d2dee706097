"""Clues and looks over pieces: chances stay chances, no false memory empties the map, and what is
claimed comes true."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.models.likelihood import (
    Clue,
    after_looking,
    clue_weights,
    contradictions,
    prior_shares,
    smallest_ground,
    with_clues,
)

PIECES = 40


def clue(name: str, inside: slice, sure: float = 0.8) -> Clue:
    fits = np.zeros(PIECES)
    fits[inside] = 1.0
    return Clue(name=name, fits=fits, sure=sure)


@st.composite
def clues(draw: st.DrawFn) -> list[Clue]:
    found = []
    for number in range(draw(st.integers(0, 4))):
        seed = draw(st.integers(0, 2**31))
        fits = np.random.default_rng(seed).random(PIECES)
        found.append(Clue(name=f"c{number}", fits=fits, sure=draw(st.floats(0.0, 0.99))))
    return found


@given(clues(), st.floats(0.0, 0.4), st.floats(0.0, 0.4))
def test_chances_sum_to_one_and_every_unsure_clue_leaves_something_everywhere(
    given_clues: list[Clue], elsewhere: float, gone: float
) -> None:
    prior = prior_shares(np.ones(PIECES), elsewhere=elsewhere, gone=gone)
    shares = with_clues(prior, given_clues)
    assert shares.here + shares.elsewhere + shares.gone == pytest.approx(1.0)
    assert (shares.pieces > 0.0).all()
    reversed_ = with_clues(prior, given_clues[::-1])
    assert np.allclose(shares.pieces, reversed_.pieces)


def test_a_clue_that_fits_everywhere_says_nothing_and_one_that_fits_little_says_much() -> None:
    prior = prior_shares(np.ones(PIECES), elsewhere=0.0, gone=0.0)
    everywhere, narrow = clue("everywhere", slice(0, PIECES)), clue("narrow", slice(0, 2))
    assert np.allclose(with_clues(prior, [everywhere]).pieces, prior.pieces)
    # right with 0.8: then in the two pieces; else anywhere, of which they are a twentieth
    expected = 0.8 + 0.2 * 2 / PIECES
    assert with_clues(prior, [narrow]).pieces[:2].sum() == pytest.approx(expected)
    weights = clue_weights(prior, [everywhere, narrow])
    assert weights[0] == pytest.approx(0.0, abs=1e-9)
    assert weights[1] > 2.0


def test_sizes_count_before_anything_is_known() -> None:
    prior = prior_shares([50.0, 100.0, 50.0], elsewhere=0.2, gone=0.0)
    assert prior.pieces == pytest.approx([0.2, 0.4, 0.2])


def test_clues_that_cannot_both_be_true_are_named() -> None:
    prior = prior_shares(np.ones(PIECES), elsewhere=0.0, gone=0.0)
    upper, lower = clue("upper half", slice(0, 20), 1.0), clue("lower half", slice(20, 40), 1.0)
    (pair,) = contradictions(prior, [upper, lower, clue("middle", slice(10, 30))])
    assert pair[:2] == ("upper half", "lower half")
    assert contradictions(prior, [upper, clue("nowhere", slice(0, 0))]) == []
    with pytest.raises(BadInput, match="'upper half' and 'lower half' contradict"):
        with_clues(prior, [upper, lower])
    with pytest.raises(BadInput, match="no piece of the ground fits the clue 'nowhere'"):
        with_clues(prior, [clue("nowhere", slice(0, 0), 1.0)])
    # one that may be wrong speaks for elsewhere, and leaves the map as it was
    some = prior_shares(np.ones(PIECES), elsewhere=0.1, gone=0.0)
    left = with_clues(some, [clue("nowhere", slice(0, 0), 0.8)])
    assert left.elsewhere == pytest.approx(0.1 / (0.1 + 0.9 * 0.2))
    assert left.pieces == pytest.approx(np.full(PIECES, left.pieces[0]))
    # unsure, both are kept
    unsure = [clue("upper half", slice(0, 20), 0.7), clue("lower half", slice(20, 40), 0.7)]
    assert with_clues(prior, unsure).pieces == pytest.approx(prior.pieces)


@given(st.lists(st.floats(0.0, 0.98), min_size=PIECES, max_size=PIECES))
def test_each_look_that_finds_nothing_makes_gone_and_elsewhere_likelier(
    seen: list[float],
) -> None:
    before = with_clues(prior_shares(np.ones(PIECES)), [clue("a", slice(0, 9))])
    after = after_looking(before, seen)
    assert after.here + after.elsewhere + after.gone == pytest.approx(1.0)
    assert after.gone >= before.gone - 1e-12
    assert after.elsewhere >= before.elsewhere - 1e-12
    assert after.gone / after.elsewhere == pytest.approx(before.gone / before.elsewhere)


def test_the_smallest_ground_that_holds_half() -> None:
    shares = with_clues(
        prior_shares(np.ones(PIECES), elsewhere=0.0, gone=0.0), [clue("a", slice(4, 8), 0.9)]
    )
    inside = smallest_ground(shares, np.ones(PIECES), 0.5)
    assert inside[4:8].sum() == inside.sum() == 3  # 0.91 over four pieces
    assert smallest_ground(shares, np.ones(PIECES), 1.0).all()


def test_claimed_chances_come_true() -> None:
    """Thousands of hidden places with noisy clues: of those given a chance, that share is there."""
    rng = np.random.default_rng(8)
    claimed, true = [], []
    prior = prior_shares(np.ones(PIECES), elsewhere=0.0, gone=0.0)
    for _ in range(3000):
        place = rng.integers(PIECES)
        given_clues = []
        for number, sure in enumerate((0.9, 0.7, 0.6)):
            width = int(rng.integers(4, 14))
            at = place if rng.random() < sure else rng.integers(PIECES)
            # a run of pieces that holds `at`, anywhere in it, wrapped round so that none is rare
            first = int(at - rng.integers(width))
            fits = np.zeros(PIECES)
            fits[np.arange(first, first + width) % PIECES] = 1.0
            given_clues.append(Clue(name=str(number), fits=fits, sure=sure))
        shares = with_clues(prior, given_clues).pieces
        ground = smallest_ground(with_clues(prior, given_clues), np.ones(PIECES), 0.75)
        claimed.append(shares[ground].sum())
        true.append(bool(ground[place]))
    # 3000 throws of 0.8 or so: three standard errors are 0.022
    assert np.mean(true) == pytest.approx(np.mean(claimed), abs=0.022)
    assert 0.75 <= np.mean(claimed) <= 0.9


@pytest.mark.parametrize("size", [[], [0.0], [-1.0], [np.nan]])
def test_no_ground_is_refused(size: list[float]) -> None:
    with pytest.raises(BadInput, match="no ground"):
        prior_shares(size)


def test_chances_out_of_bounds_are_refused() -> None:
    with pytest.raises(BadInput):
        prior_shares([1.0], elsewhere=0.6, gone=0.5)
    prior = prior_shares(np.ones(PIECES))
    with pytest.raises(BadInput):
        with_clues(prior, [Clue(name="x", fits=np.full(PIECES, 2.0), sure=0.5)])
    with pytest.raises(BadInput):
        with_clues(prior, [Clue(name="x", fits=np.ones(3), sure=0.5)])
    with pytest.raises(BadInput):
        after_looking(prior, np.full(PIECES, 1.5))
    sure = prior_shares(np.ones(PIECES), elsewhere=0.0, gone=0.0)
    with pytest.raises(BadInput, match="would have been seen"):
        after_looking(sure, np.ones(PIECES))
