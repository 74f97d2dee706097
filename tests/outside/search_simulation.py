"""Thousands of hidden places with noisy memories: do the chances that are told come true?

    python -m tests.outside.search_simulation [WORLDS]

prints what README quotes; test_search_simulation.py holds a short run to it. A second word names
one ground (`python -m tests.outside.search_simulation 6000 real`).

A world: a stream of some ground, derived from its heights; a place hidden by the prior on one of
its pieces, elsewhere, or gone; four memories of it, each with a chance of being right. A right one
is off by its error as said, a false one speaks of another place drawn alike. One earlier walk
along a stretch found nothing. Then the next walk is planned, walked, and an even sweep of the same
length beside it under the same luck.
"""

from __future__ import annotations

import os
import sys
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from tests.benchmarks.horizon_rays import jacksboro

from backbearing.models.cluefits import above, below, near, on_bearing
from backbearing.models.drainage import drained_to, gathered, stream_lines
from backbearing.models.leasttime import Ground, least_time
from backbearing.models.likelihood import Clue, Shares, after_looking, prior_shares, with_clues
from backbearing.models.linepieces import LinePieces, line_pieces
from backbearing.models.searchwalk import (
    SearchWalk,
    WalkNodes,
    best_walk,
    even_sweep,
)
from backbearing.models.walking import din_s_per_m

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

GROUNDS = ("valley", "moor", "real")
TIME_S = 3.0 * 3600.0
LOOKING_M_S, SWEEP_M = 1.25 / 3.6, 40.0
WIDTH_M, PIECE_M, TOGETHER = 60.0, 50.0, 4  # pieces looked through in one go
TO_95 = 1.959964


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """A stream of one ground in pieces, and what it takes to walk between groups of them."""

    pieces: LinePieces
    group: Ints  # node of each piece; node 0 is the start
    size: Floats  # of each node
    walk_s: Floats
    rate_per_s: Floats


@dataclass(frozen=True, slots=True, eq=False)
class World:
    """What is remembered, what was thought of it, and where it truly is."""

    truth: int  # piece; −1 elsewhere, −2 gone
    shares: Shares


def heights(name: str) -> tuple[Floats, float]:
    """Ground in square cells: two that are made, and one that is real (SRTM, a sample).

    BACKBEARING_REAL_GROUND names a raster in metres whose middle 100 × 100 cells are the real one.
    """
    other = os.environ.get("BACKBEARING_REAL_GROUND")
    if name == "real" and other:
        import rasterio

        with rasterio.open(other) as raster:
            top, left = (size // 2 - 50 for size in raster.shape)
            window = raster.read(1, window=((top, top + 100), (left, left + 100)))
            return np.asarray(window, dtype=float), float(raster.res[0])
    if name == "real":
        grid = jacksboro()
        return np.asarray(grid.height_m[100:200, 150:250], dtype=float), 90.0
    row, column = np.mgrid[0:100, 0:100].astype(float)
    if name == "valley":
        middle = 50.0 + 12.0 * np.sin(row / 13.0)
        return 4.0 * np.abs(column - middle) + 3.0 * (100.0 - row) + 2.0 * np.sin(column), 40.0
    bumps = 15.0 * np.sin(row / 7.0) * np.cos(column / 9.0)
    return bumps + 0.8 * (100.0 - row) + 0.3 * np.abs(column - 40.0), 40.0


@cache
def stretch(name: str) -> Stretch:
    """The longest stream of a ground, 3 to 6 km of it, and ways between groups of its pieces."""
    height, cell_m = heights(name)
    target = drained_to(height, cell_m)
    course = max(stream_lines(target, gathered(target), least_cells=150), key=len)
    course = course[: int(5_000.0 / cell_m)]
    line_m = np.stack([course[:, 1] * cell_m, -course[:, 0] * cell_m], axis=1)
    pieces = line_pieces(line_m, width_m=WIDTH_M, piece_m=PIECE_M)
    count = len(pieces.side) // 2
    runs = np.arange(count) // TOGETHER
    group = 1 + np.concatenate([runs, runs + runs[-1] + 1])
    nodes = int(group.max()) + 1
    size: Floats = np.bincount(group, weights=pieces.size_m2, minlength=nodes).astype(float)
    x, y = (
        np.bincount(group, weights=each, minlength=nodes)[1:] / np.bincount(group)[1:]
        for each in (pieces.x_m, pieces.y_m)
    )
    rows, columns = (np.clip(np.rint(each / cell_m), 0, 99).astype(int) for each in (-y, x))
    start = (int(np.clip(rows[0] + 8, 0, 99)), int(np.clip(columns[0] + 8, 0, 99)))
    cells = [start, *zip(rows.tolist(), columns.tolist(), strict=True)]
    ground = Ground(
        height_m=height,
        slower=np.full(height.shape, 5.0 / 3.0),
        closed=np.zeros(height.shape, dtype=bool),
        barred=np.zeros(height.shape, dtype=np.uint16),
        cell_x_m=cell_m,
        cell_y_m=cell_m,
    )
    walk_s = np.zeros((nodes, nodes))
    for number, cell in enumerate(cells):
        seconds = least_time(ground, cell, din_s_per_m).seconds
        walk_s[number] = [seconds[other] for other in cells]
    rate = np.zeros(nodes)
    rate[1:] = SWEEP_M * LOOKING_M_S / size[1:]
    return Stretch(pieces, group, size, walk_s, rate)


def world(name: str, rng: np.random.Generator, *, noise: float = 1.0) -> World:
    """One hidden place and what is remembered of it, after an earlier look that found nothing.

    noise: true errors over those that are claimed.
    """
    ground = stretch(name)
    pieces = ground.pieces
    prior = prior_shares(pieces.size_m2)
    while True:
        chances = np.append(prior.pieces, (prior.elsewhere, prior.gone))
        drawn = int(rng.choice(len(chances), p=chances))
        count = len(pieces.side)
        gone = drawn == count + 1
        stood = int(rng.integers(count)) if gone else drawn
        clues, right = _memories(pieces, stood if stood < count else None, rng, noise)
        if drawn == count and any(right):
            continue  # elsewhere is where no right clue can speak of
        thought = with_clues(prior, clues)
        # an earlier walk along a stretch, on both sides, by the same eyes
        first = float(rng.uniform(0.0, pieces.to_m.max() * 0.7))
        walked = (pieces.to_m > first) & (pieces.from_m < first + 800.0)
        seen = np.where(walked, -np.expm1(-rng.uniform(0.3, 1.5)), 0.0)
        if drawn < count and rng.random() < seen[drawn]:
            continue  # it was found then
        truth = -2 if gone else -1 if drawn == count else drawn
        return World(truth, after_looking(thought, seen))


def _memories(
    pieces: LinePieces, stood: int | None, rng: np.random.Generator, noise: float
) -> tuple[list[Clue], list[bool]]:
    """Four memories: how far along, on which side, on which bearing from the end, how near to it.

    Each is right by its chance; a false one tells of some other piece, drawn alike.
    """
    count = len(pieces.side)
    chainage = (pieces.from_m + pieces.to_m) / 2.0
    eye_x, eye_y = float(pieces.x_m.mean()) + 900.0, float(pieces.y_m.mean())
    azimuth = np.degrees(np.arctan2(pieces.x_m - eye_x, pieces.y_m - eye_y))
    away = np.hypot(pieces.x_m - eye_x, pieces.y_m - eye_y)
    clues, right = [], []
    for name in ("along", "side", "bearing", "near"):
        sure = float(rng.uniform(0.5, 0.95))
        true = bool(rng.random() < sure) and stood is not None
        if stood is None:
            true = bool(rng.random() < sure)  # rejected by the caller where it is
        spoken = stood if true and stood is not None else int(rng.integers(count))
        if name == "along":
            error = 300.0
            told = chainage[spoken] + rng.normal(0.0, noise * error / TO_95)
            fits = near(chainage, told, error)
        elif name == "side":
            fits = np.where(pieces.side == pieces.side[spoken], 1.0, 0.0)
        elif name == "bearing":
            told = azimuth[spoken] + rng.normal(0.0, noise * 10.0 / TO_95)
            fits = on_bearing(pieces.x_m, pieces.y_m, eye_x, eye_y, float(told), 10.0)
        else:
            limit, error = float(rng.uniform(away.min(), away.max())), 200.0
            less = away[spoken] + rng.normal(0.0, noise * error / TO_95) < limit
            fits = (below if less else above)(away, limit, error)
        clues.append(Clue(name=name, fits=fits, sure=sure))
        right.append(true)
    return clues, right


def claim(found: World, rng: np.random.Generator) -> tuple[float, bool]:
    """A chance that is told, and whether it came true: that it lies on some likeliest pieces."""
    order = np.argsort(-found.shares.pieces, kind="stable")
    sums = np.cumsum(found.shares.pieces[order])
    told = rng.uniform(0.02, sums[-1])
    inside = order[: int(np.searchsorted(sums, told)) + 1]
    return float(found.shares.pieces[inside].sum()), found.truth in inside.tolist()


def walked(name: str, found: World, rng: np.random.Generator) -> tuple[float, bool, float, bool]:
    """The planned walk's chance and whether it found; the same of an even sweep, by equal luck."""
    ground = stretch(name)
    share: Floats = np.zeros(len(ground.size))
    np.add.at(share, ground.group, found.shares.pieces)
    nodes = WalkNodes(share=share, rate_per_s=ground.rate_per_s, walk_s=ground.walk_s)
    walk = best_walk(nodes, TIME_S, seeds=3)
    even = even_sweep(nodes, ground.size, TIME_S)
    luck = float(rng.random())
    node = int(ground.group[found.truth]) if found.truth >= 0 else 0

    def seen(which: SearchWalk) -> bool:
        looks = dict(zip(which.order, which.look_s, strict=True))
        return bool(luck < -np.expm1(-ground.rate_per_s[node] * looks.get(node, 0.0)))

    return walk.chance, seen(walk), even.chance, seen(even)


def binomial_interval(found: int, of: int, part: float = 0.99) -> tuple[float, float]:
    """Between which chances does what was found make sense (Clopper & Pearson 1934)?"""
    from scipy.stats import binomtest

    interval = binomtest(found, of).proportion_ci(confidence_level=part, method="exact")
    return float(interval.low), float(interval.high)


def by_tenths(told: Floats, came_true: NDArray[np.bool_]) -> list[tuple[float, int, int, float]]:
    """For each tenth of chances told: where it begins, how many, how many true, their mean."""
    found = []
    for tenth in range(10):
        inside = (told >= tenth / 10.0) & (told < (tenth + 1) / 10.0)
        if inside.sum() >= 20:
            number, true = int(inside.sum()), int(came_true[inside].sum())
            found.append((tenth / 10.0, number, true, float(told[inside].mean())))
    return found


def claims(
    worlds: int, *, seed: int, noise: float = 1.0, grounds: tuple[str, ...] = GROUNDS
) -> tuple[Floats, NDArray[np.bool_]]:
    """Chances told in so many worlds on these grounds, and whether they came true."""
    rng = np.random.default_rng(seed)
    names = [grounds[number % len(grounds)] for number in range(worlds)]
    pairs = [claim(world(name, rng, noise=noise), rng) for name in names]
    told, true = zip(*pairs, strict=True)
    return np.array(told), np.array(true)


def walks(
    worlds: int, *, seed: int, grounds: tuple[str, ...] = GROUNDS
) -> tuple[Floats, NDArray[np.bool_], Floats, NDArray[np.bool_]]:
    """Chances of planned walks and even sweeps in so many worlds, and whether they found."""
    rng = np.random.default_rng(seed)
    rows = []
    for number in range(worlds):
        name = grounds[number % len(grounds)]
        rows.append(walked(name, world(name, rng), rng))
    planned, found, even, even_found = (np.array(each) for each in zip(*rows, strict=True))
    return planned, found, even, even_found


def tell(told: Floats, true: NDArray[np.bool_]) -> None:
    for begin, number, came, mean in by_tenths(told, true):
        low, high = binomial_interval(came, number)
        print(
            f"  told {begin:.0%} to {begin + 0.1:.0%} (mean {mean:.3f}): true {came} of {number},"
            f" {came / number:.1%} ({low:.1%} to {high:.1%}, 99 %)"
        )


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    grounds = tuple(sys.argv[2:]) or GROUNDS
    print(f"{count} worlds, a chance told in each:")
    tell(*claims(count, seed=1, grounds=grounds))
    print(f"{count} worlds, errors half as large again as claimed:")
    tell(*claims(count, seed=2, noise=1.5, grounds=grounds))
    trips = max(300, count // 5)
    planned, found, even, even_found = walks(trips, seed=3, grounds=grounds)
    print(f"{trips} walks of {TIME_S / 3600:g} h, the chance told before each:")
    tell(planned, found)
    for name, told, came in (("planned walk", planned, found), ("even sweep", even, even_found)):
        low, high = binomial_interval(int(came.sum()), trips)
        print(
            f"  {name}: told {told.mean():.3f}, found {came.mean():.3f}"
            f" ({low:.3f} to {high:.3f}, 99 %)"
        )
    difference = found.astype(float) - even_found
    spread = 2.576 * difference.std() / np.sqrt(trips)
    print(f"  more found: {difference.mean():.3f} ± {spread:.3f} (99 %)")


if __name__ == "__main__":
    main()
