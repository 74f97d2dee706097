"""Walks of a search: never past their time, near the best there is, and worth more than a sweep."""

from itertools import combinations, pairwise, permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.models.effort import best_effort
from backbearing.models.searchwalk import (
    WalkNodes,
    best_walk,
    chance_by,
    even_sweep,
    found_in_time,
)
from backbearing.models.triedwalk import even_trying, walk_trying

HOUR = 3600.0


def made_ground(seed: int, places: int, *, spread_m: float = 1500.0) -> WalkNodes:
    """A start at 0 and places around it, at 1 m/s in straight lines."""
    rng = np.random.default_rng(seed)
    at = np.vstack([[0.0, 0.0], rng.uniform(-spread_m, spread_m, (places, 2))])
    return WalkNodes(
        share=np.append(0.0, 0.9 * rng.dirichlet(np.full(places, 0.5))),
        rate_per_s=np.append(0.0, rng.uniform(0.5, 2.0, places) / HOUR),
        walk_s=np.hypot(*(at[:, None] - at[None]).transpose(2, 0, 1)),
    )


def exhaustive(ground: WalkNodes, time_s: float) -> float:
    """The best of all sets in all orders."""
    best = 0.0
    places = range(1, len(ground.share))
    for count in range(1, len(ground.share)):
        for chosen in combinations(places, count):
            walking = min(
                sum(ground.walk_s[a, b] for a, b in zip((0, *o), (*o, 0), strict=True))
                for o in permutations(chosen)
            )
            if walking < time_s:
                share, rate = ground.share[list(chosen)], ground.rate_per_s[list(chosen)]
                looks = best_effort(share, rate, time_s - walking)
                best = max(best, float(np.dot(share, -np.expm1(-rate * looks))))
    return best


def test_of_all_walks_over_a_few_places_ours_is_the_best_or_close_to_it() -> None:
    short = []
    for seed in range(60):
        ground = made_ground(seed, 6)
        best = exhaustive(ground, 2.5 * HOUR)
        short.append(1.0 - best_walk(ground, 2.5 * HOUR).chance / best)
    assert min(short) >= -1e-9
    assert np.mean(np.array(short) < 1e-6) >= 0.95  # the very best, mostly
    assert max(short) < 0.02


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 2**31), st.integers(1, 14), st.floats(0.0, 5.0))
def test_a_walk_keeps_its_time_and_its_sums(seed: int, places: int, hours: float) -> None:
    ground, time_s = made_ground(seed, places), hours * HOUR
    walk = best_walk(ground, time_s)
    assert len(set(walk.order)) == len(walk.order)
    assert 0 not in walk.order
    at, now, found = 0, 0.0, 0.0
    for node, arrive_s, look_s in zip(walk.order, walk.arrive_s, walk.look_s, strict=True):
        now += ground.walk_s[at, node]
        assert arrive_s == pytest.approx(now)
        now, at = now + look_s, node
        found += ground.share[node] * -np.expm1(-ground.rate_per_s[node] * look_s)
    now += ground.walk_s[at, 0]
    assert walk.end_s == pytest.approx(now)
    assert walk.end_s <= time_s + 1e-6
    assert walk.chance == pytest.approx(found, abs=1e-12)
    curve = chance_by(ground, walk, np.linspace(0.0, time_s, 50))
    assert (np.diff(curve) >= -1e-12).all()
    assert curve[-1] == pytest.approx(walk.chance, abs=1e-12)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**31), st.floats(0.5, 4.0))
def test_more_time_never_promises_much_less(seed: int, hours: float) -> None:
    """Exactly never for the best walk; ours is found by trying, hence the hair."""
    ground = made_ground(seed, 8)
    less, more = (best_walk(ground, each * HOUR).chance for each in (hours, hours + 0.5))
    assert more >= less - 0.01


def test_the_same_question_gives_the_same_walk() -> None:
    ground = made_ground(5, 12)
    assert best_walk(ground, 3 * HOUR).order == best_walk(ground, 3 * HOUR).order


def test_where_ways_cost_nothing_the_split_is_that_of_charnes_and_cooper() -> None:
    ground = WalkNodes(
        share=np.array([0.0, 0.5, 0.3, 0.2]),
        rate_per_s=np.array([0.0, 0.04, 0.12, 0.05333]) / 1000.0,
        walk_s=np.zeros((4, 4)),
    )
    # the worked example of FACTS 6, a second for a metre: 10, 30 and 60 km
    for total_s, success in ((10e3, 0.2279), (30e3, 0.4870), (60e3, 0.7116)):
        assert best_walk(ground, total_s).chance == pytest.approx(success, abs=1e-4)


def test_a_walk_goes_the_way_round_that_finds_earlier() -> None:
    walk_s = np.array([[0.0, 600, 600], [600, 0, 300], [600, 300, 0]])
    rate = np.array([0.0, 1.0, 1.0]) / HOUR
    for share in ((0.0, 0.5, 0.3), (0.0, 0.3, 0.5)):
        ground = WalkNodes(share=np.array(share), rate_per_s=rate, walk_s=walk_s)
        walk = best_walk(ground, 2.5 * HOUR)
        assert len(walk.order) == 2
        assert walk.order[0] == int(np.argmax(share))


def test_an_even_sweep_finds_no_more() -> None:
    for seed in range(60):
        ground = made_ground(seed, 10, spread_m=1500.0 if seed % 2 else 300.0)
        even = even_sweep(ground, np.append(0.0, np.ones(10)), 3 * HOUR)
        assert even.end_s == pytest.approx(3 * HOUR)
        assert 0.0 < even.chance <= best_walk(ground, 3 * HOUR).chance + 1e-9


def test_an_even_sweep_gives_each_place_the_same_coverage() -> None:
    ground = made_ground(2, 5, spread_m=200.0)
    size = np.append(0.0, 1.0 / ground.rate_per_s[1:])  # sweep width and speed alike everywhere
    even = even_sweep(ground, size, 6 * HOUR)
    coverage = ground.rate_per_s[list(even.order)] * even.look_s
    assert coverage == pytest.approx(coverage[0])
    nearest = int(np.argmin(ground.walk_s[0, 1:])) + 1
    assert even.order[0] == nearest


def two_banks(chance_beyond: float) -> tuple[WalkNodes, np.ndarray]:
    """Start 0, place 1 on this bank, place 2 beyond, passage 3 a quarter of an hour off."""
    shut = np.array(
        [
            [0, 600, np.inf, 900],
            [600, 0, np.inf, 600],
            [np.inf, np.inf, 0, np.inf],
            [900, 600, np.inf, 0],
        ]
    )
    opened = shut.copy()
    opened[3, 2] = opened[2, 3] = 300.0
    opened[0, 2] = opened[2, 0] = 1200.0
    opened[1, 2] = opened[2, 1] = 900.0
    ground = WalkNodes(
        share=np.array([0.0, 0.9 - chance_beyond, chance_beyond, 0.0]),
        rate_per_s=np.array([0.0, 2.0, 2.0, 0.0]) / HOUR,
        walk_s=shut,
    )
    return ground, opened


def test_a_passage_that_looked_blocked_is_tried_where_enough_lies_beyond() -> None:
    ground, opened = two_banks(0.8)
    plain = best_walk(ground, 2.5 * HOUR)
    assert plain.order == (1,)
    tried = walk_trying(ground, opened, 3, 0.35, 2.5 * HOUR)
    assert tried is not None
    assert tried.chance > plain.chance
    assert 2 in tried.if_open.order
    assert 2 not in tried.if_shut.order
    # by hand: what is found before, and both ways on by their chances
    assert tried.chance == pytest.approx(
        tried.before.chance + 0.35 * tried.if_open.chance + 0.65 * tried.if_shut.chance
    )
    assert tried.before.end_s + tried.if_open.end_s <= 2.5 * HOUR + 1e-6
    assert tried.before.end_s + tried.if_shut.end_s <= 2.5 * HOUR + 1e-6


def test_it_is_not_tried_where_little_lies_beyond_nor_without_time() -> None:
    ground, opened = two_banks(0.02)
    tried = walk_trying(ground, opened, 3, 0.35, 2.5 * HOUR)
    assert tried is not None
    assert tried.chance < best_walk(ground, 2.5 * HOUR).chance
    assert walk_trying(ground, opened, 3, 0.35, 0.4 * HOUR) is None


def test_an_open_passage_for_certain_is_as_good_as_none() -> None:
    ground, opened = two_banks(0.6)
    tried = walk_trying(ground, opened, 3, 1.0, 2.5 * HOUR)
    free = WalkNodes(share=ground.share, rate_per_s=ground.rate_per_s, walk_s=opened)
    assert tried is not None
    assert tried.chance == pytest.approx(best_walk(free, 2.5 * HOUR).chance, abs=0.01)


def test_nothing_in_reach_is_a_walk_of_no_stops() -> None:
    ground = made_ground(1, 4, spread_m=1500.0)
    assert best_walk(ground, 60.0).order == ()
    walk_s = np.full((5, 5), np.inf)
    np.fill_diagonal(walk_s, 0.0)
    alone = WalkNodes(share=ground.share, rate_per_s=ground.rate_per_s, walk_s=walk_s)
    assert best_walk(alone, HOUR).chance == 0.0
    assert even_sweep(alone, np.ones(5), HOUR).chance == 0.0


def test_numbers_that_mean_nothing_are_refused() -> None:
    ground = made_ground(1, 3)
    with pytest.raises(BadInput, match="0 or more"):
        best_walk(ground, -1.0)
    with pytest.raises(BadInput, match="belong together"):
        best_walk(WalkNodes(share=ground.share, rate_per_s=np.ones(2), walk_s=ground.walk_s), HOUR)
    with pytest.raises(BadInput, match="outside 0 to 1"):
        walk_trying(ground, ground.walk_s, 1, 1.5, HOUR)


def light_of(seed: int, ground: WalkNodes) -> np.ndarray:
    """Until when a find is in time: dark falls, and one must be home by some time."""
    rng = np.random.default_rng(seed + 1000)
    dark, home = rng.uniform(1.0, 4.0) * HOUR, rng.uniform(2.0, 5.0) * HOUR
    until = np.minimum(dark, home - ground.walk_s[:, 0])
    until[0] = np.inf
    return until


@pytest.mark.parametrize("seed", range(12))
def test_more_time_never_finds_less_in_time(seed: int) -> None:
    ground = made_ground(seed, 6)
    in_time_s = light_of(seed, ground)
    found = []
    for hours in (1.0, 1.5, 2.0, 3.0, 4.0, 6.0):
        walk = best_walk(ground, hours * HOUR, in_time_s=in_time_s)
        found.append(walk.in_time)
        assert walk.end_s <= hours * HOUR + 1e-6
        assert 0.0 <= walk.in_time <= walk.chance + 1e-12
        assert chance_by(ground, walk, hours * HOUR) == pytest.approx(walk.chance)
        for first, then in pairwise(walk.order):
            assert first != then
    assert found == pytest.approx(sorted(found), abs=1e-9)


def test_what_is_in_time_comes_first_and_the_rest_of_the_time_is_used() -> None:
    """Left to itself a long walk looks at the likeliest place last, and too late."""
    better = 0
    for seed in range(12):
        ground = made_ground(seed, 6)
        in_time_s = light_of(seed, ground)
        free = best_walk(ground, 6 * HOUR)
        bound = best_walk(ground, 6 * HOUR, in_time_s=in_time_s)
        less = found_in_time(ground, free, in_time_s)
        assert bound.in_time >= less - 1e-9
        assert bound.chance <= free.chance + 0.01
        better += bound.in_time > less + 0.01
        assert best_walk(ground, 2 * HOUR, in_time_s=np.full(7, np.inf)).order == (
            best_walk(ground, 2 * HOUR).order
        )
    assert better >= 4


def test_where_nothing_is_in_time_it_is_a_walk_all_the_same() -> None:
    ground = made_ground(3, 6)
    never = np.append(np.inf, np.full(6, -np.inf))
    walk = best_walk(ground, 2 * HOUR, in_time_s=never)
    assert walk.in_time == 0.0
    assert walk.chance == best_walk(ground, 2 * HOUR).chance
    assert 0.0 < walk.value < walk.chance


def test_an_even_sweep_may_try_the_passage_too() -> None:
    ground, opened = two_banks(0.8)
    size = np.ones(len(ground.share))
    sure = even_trying(ground, opened, 3, 1.0, size, 2.5 * HOUR)
    some = even_trying(ground, opened, 3, 0.35, size, 2.5 * HOUR)
    none = even_trying(ground, opened, 3, 0.0, size, 2.5 * HOUR)
    assert none < some < sure
    tried = walk_trying(ground, opened, 3, 0.35, 2.5 * HOUR)
    assert tried is not None
    assert some <= tried.chance + 1e-9
    assert even_trying(ground, opened, 3, 1.0, size, 60.0) == 0.0
