"""Pieces of ground put together to places that are looked through in one go."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from backbearing.places.coordinates import decimal_text
from backbearing.places.geodesy import inverse
from backbearing.places.words import metres_text
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from backbearing.plans.search.ground import SearchGround
    from backbearing.records import Floats, Place

STRETCH_M = 200.0  # of a line, one side, looked through in one go
BLOCK_M = 120.0  # a side, of cells
_ROUND = "round "
_KNOWN_WITHIN_M = 1_000.0
_WINDS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stations:
    """Places to look through: arrays of one length, the likeliest ground within each put first."""

    names: tuple[str, ...]
    latitude_deg: Floats
    longitude_deg: Floats
    share: Floats
    size_m2: Floats
    seen_chance: Floats  # by looks on record, weighted by share
    sweep_m: Floats  # how wide a strip is swept there


def stations(
    ground: SearchGround,
    share: Floats,
    seen_chance: Floats,
    sweep_m: Floats,
    words: Callable[[NDArray[np.int64]], str],
) -> Stations:
    """Put pieces together: stretches of 200 m on one side of a line, or blocks of 120 m of cells.

    share, seen_chance, sweep_m: (n,) of the pieces. words: names pieces on one side of a line, as
    `naming.Naming` does. A place stands at the mean of its
    pieces, weighted by share. Places without a share are left out.
    """
    group = _stretches(ground) if ground.kind == "line" else _blocks(ground)
    keys, number = np.unique(group, return_inverse=True)
    count = len(keys)
    together = _sums(number, share, count)
    weight = np.where(together[number] > 0.0, share, 1.0)

    def mean(values: Floats) -> Floats:
        return np.asarray(
            _sums(number, values * weight, count) / np.maximum(_sums(number, weight, count), 1e-300)
        )

    x, y = mean(ground.x_m), mean(ground.y_m)
    latitude, longitude = ground.plane.places(x, y)
    size = _sums(number, ground.size_m2, count)
    kept = np.flatnonzero((together > 0.0) & (size > 1.0))
    if ground.kind == "line":
        names = tuple(words(np.flatnonzero(number == each)) for each in kept)
    else:
        names = tuple(
            f"{_ROUND}{decimal_text(float(latitude[each]), float(longitude[each]))}"
            for each in kept
        )
    return Stations(
        names=names,
        latitude_deg=latitude[kept],
        longitude_deg=longitude[kept],
        share=together[kept],
        size_m2=size[kept],
        seen_chance=mean(seen_chance)[kept],
        sweep_m=mean(sweep_m)[kept],
    )


def named_by(found: Stations, known: Sequence[tuple[str, Place]]) -> Stations:
    """The places named by the nearest thing the walker knows: '430 m W of wall hole'.

    Stretches of a line keep their names; so does what lies 1 km or more from all that is known.
    """
    names = list(found.names)
    for at, name in enumerate(names):
        if not known or not name.startswith(_ROUND):
            continue
        azimuth, away = inverse(
            np.array([place.latitude_deg for _, place in known]),
            np.array([place.longitude_deg for _, place in known]),
            np.full(len(known), found.latitude_deg[at]),
            np.full(len(known), found.longitude_deg[at]),
        )
        near = int(np.argmin(away))
        away_m = round(float(away[near]), -1)
        if away_m < _KNOWN_WITHIN_M:
            wind = _WINDS[round(float(azimuth[near]) / 45.0) % 8]
            called = known[near][0]
            names[at] = (
                say("{away} {wind} of {called}", away=metres_text(away_m), wind=wind, called=called)
                if away_m
                else say("at {called}", called=called)
            )
    return replace(found, names=tuple(names))


def _sums(number: NDArray[np.int64], values: Floats, count: int) -> Floats:
    return np.asarray(np.bincount(number, weights=values, minlength=count), dtype=np.float64)


def picked(found: Stations, which: NDArray[np.int64]) -> Stations:
    """Some of the places, in this order."""
    return Stations(
        names=tuple(found.names[each] for each in which.tolist()),
        latitude_deg=found.latitude_deg[which],
        longitude_deg=found.longitude_deg[which],
        share=found.share[which],
        size_m2=found.size_m2[which],
        seen_chance=found.seen_chance[which],
        sweep_m=found.sweep_m[which],
    )


def _stretches(ground: SearchGround) -> NDArray[np.int64]:
    assert ground.from_m is not None  # noqa: S101 - so it is along a line
    assert ground.to_m is not None  # noqa: S101
    assert ground.side is not None  # noqa: S101
    middle = (ground.from_m + ground.to_m) / 2.0
    return np.asarray((middle // STRETCH_M).astype(np.int64) * 2 + (ground.side > 0))


def _blocks(ground: SearchGround) -> NDArray[np.int64]:
    column = np.floor((ground.x_m - ground.x_m.min()) / BLOCK_M).astype(np.int64)
    row = np.floor((ground.y_m.max() - ground.y_m) / BLOCK_M).astype(np.int64)
    return np.asarray(row * (int(column.max()) + 1) + column)
