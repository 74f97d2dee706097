"""From how far a subject is just seen, by the kind of ground, and which ground is which.

A range is an estimate of the user's, for all ground or by class. It is kept with the subject, so
that it is typed once. Which class a piece of ground is goes by what is on record:

    trees   where a surface on record stands 2 m or more over the bare ground, and round subjects
            that have trees on record
    water   within 12 m of water on record
    rough   as steep as the walking model calls rough, by the terrain
    open    all the rest
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from backbearing.errors import BadInput, quoted
from backbearing.places.lengths import read_length
from backbearing.places.words import metres_text
from backbearing.plans.approach.legs import ROUGH_DEG
from backbearing.plans.search.ground import heights_at, on_plane
from backbearing.records import (
    FARTHEST_LOOK_M,
    GROUND_CLASSES,
    WATER_KINDS,
    GroundClass,
    SightRange,
)
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from backbearing.notebook import Notebook
    from backbearing.plans.search.ground import SearchGround
    from backbearing.records import Floats, Grid, Subject

TREES_FROM_M = 2.0  # of a surface over bare ground
TREES_REACH_M = 100.0  # of trees on record round a subject, from where they begin
WATER_WITHIN_M = 12.0
_ALONG = (0.1, 0.3, 0.5, 0.7, 0.9)  # of a piece's length, where its ground is looked up
_ACROSS = (1 / 6, 1 / 2, 5 / 6)


def read_sight(text: str, known: SightRange | None = None, *, where: str = "--range") -> SightRange:
    """A range as typed: `30m` for all ground, or by class, `open=40m,trees=12m`.

    known: what classes that are not named keep, 15 m without. Raises BadInput naming the part.
    """
    if "=" not in text:
        return SightRange(open_m=_range_m(text, where))
    found = known or SightRange()
    for part in text.split(","):
        name, sign, length = (each.strip() for each in part.partition("="))
        kind = name.casefold()
        if not sign or kind not in GROUND_CLASSES:
            raise BadInput(
                say("{part} names no ground", part=quoted(part.strip())),
                where=where,
                remedy=say(
                    "write one of {ground_classes} with its range, as 'trees=12m'",
                    ground_classes=", ".join(GROUND_CLASSES),
                ),
            )
        found = found.with_class(kind, _range_m(length, where))
    return found


def _range_m(text: str, where: str) -> float:
    range_m = read_length(text.removeprefix("-"), where=where, most_m=FARTHEST_LOOK_M)
    if text.startswith("-") or not range_m > 0.0:
        raise BadInput(
            say("a range of sight must be above 0 m"), where=where, remedy=say("give metres")
        )
    return range_m


def classes_said() -> str:
    """What makes ground one of trees, by water, or rough."""
    return say(
        "trees: a surface {trees_from_m:g} m over bare ground, or "
        "{trees_reach_m:g} m on from where trees on record begin; by "
        "water: within {water_within_m:g} m; rough: from {rough_deg:g}° by "
        "the terrain",
        trees_from_m=TREES_FROM_M,
        trees_reach_m=TREES_REACH_M,
        water_within_m=WATER_WITHIN_M,
        rough_deg=ROUGH_DEG,
    )


def sight_said(sight: SightRange) -> str:
    """A range in words: `40 m, in trees 12 m`."""
    words = {"trees": say("in trees"), "water": say("by water"), "rough": say("on rough ground")}
    parts = [metres_text(sight.open_m)]
    parts += [
        f"{words[kind]} {metres_text(sight.of(kind))}"
        for kind in GROUND_CLASSES
        if kind != "open" and sight.of(kind) != sight.open_m
    ]
    return ", ".join(parts)


def sight_of(notebook: Notebook, subject: Subject, typed: str | None) -> SightRange:
    """The range for a subject: as typed, else the one kept with it, else 15 m.

    Keeping it is for whoever asks, once all else is well. Raises BadInput naming the option.
    """
    from backbearing.notebook.search import kept_sight

    kept = kept_sight(notebook, subject.id)
    return (kept or SightRange()) if typed is None else read_sight(typed, kept)


def samples(ground: SearchGround, pieces: NDArray[np.intp]) -> tuple[Floats, Floats]:
    """Points (p, k) on the plane that stand for the ground of some pieces (p,): the middle of a
    cell, fifteen points of a piece along a line."""
    if ground.kind == "grid" or ground.line_m is None:
        return ground.x_m[pieces, None], ground.y_m[pieces, None]
    assert ground.from_m is not None  # noqa: S101 - it is along a line
    assert ground.to_m is not None  # noqa: S101
    assert ground.side is not None  # noqa: S101
    begin, end = ground.from_m[pieces, None], ground.to_m[pieces, None]
    chainage = begin + (end - begin) * np.array(_ALONG)
    x, y = points_along(ground.line_m, chainage)
    tx, ty = tangents(ground.line_m, chainage)
    off = ground.side[pieces, None, None] * ground.width_m * np.array(_ACROSS)
    right_x, right_y = x[..., None] + ty[..., None] * off, y[..., None] - tx[..., None] * off
    return right_x.reshape(len(pieces), -1), right_y.reshape(len(pieces), -1)


def points_along(line_m: Floats, chainage_m: Floats) -> tuple[Floats, Floats]:
    """Points of a line (k, 2) at chainages of any shape."""
    way = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line_m, axis=0).T))])
    x, y = (np.interp(chainage_m, way, line_m[:, axis]) for axis in (0, 1))
    return np.asarray(x), np.asarray(y)


def tangents(line_m: Floats, chainage_m: Floats) -> tuple[Floats, Floats]:
    """Which way a line runs at chainages of any shape, over the 10 m before and after: length 1."""
    ahead, behind = (points_along(line_m, chainage_m + step) for step in (10.0, -10.0))
    x, y = ahead[0] - behind[0], ahead[1] - behind[1]
    length = np.maximum(np.hypot(x, y), 1e-9)
    return x / length, y / length


def ranges_m(
    notebook: Notebook, ground: SearchGround, sight: SightRange, grids: Sequence[Grid]
) -> Floats:
    """From how far the subject is just seen on each piece (n,), in the mean of its points."""
    if sight.same_everywhere:
        return np.full(ground.x_m.shape, sight.open_m)
    x, y = samples(ground, np.arange(len(ground.x_m)))
    by_class = np.array([sight.of(kind) for kind in GROUND_CLASSES])
    return np.asarray(by_class[classes(notebook, ground, grids, x, y)].mean(axis=1))


def classes(
    notebook: Notebook, ground: SearchGround, grids: Sequence[Grid], x_m: Floats, y_m: Floats
) -> NDArray[np.intp]:
    """The class of ground at points of any shape on the plane, as numbers in GROUND_CLASSES."""
    x, y = x_m.ravel(), y_m.ravel()
    found = np.zeros(x.shape, dtype=np.intp)
    latitude, longitude = ground.plane.places(x, y)
    number: dict[GroundClass, int] = {kind: at for at, kind in enumerate(GROUND_CLASSES)}
    if grids:
        step = max(grids[0].cell_m, 5.0)
        rise = []
        for dx, dy in ((step, 0.0), (0.0, step)):
            ahead, behind = (
                heights_at(grids, *ground.plane.places(x + sign * dx, y + sign * dy))
                for sign in (1.0, -1.0)
            )
            rise.append((ahead - behind) / (2.0 * step))
        slope = np.degrees(np.arctan(np.hypot(*rise)))
        found[slope >= ROUGH_DEG] = number["rough"]
    found[_by_water(notebook, ground, x, y)] = number["water"]
    found[_in_trees(notebook, ground, grids, x, y, latitude, longitude)] = number["trees"]
    return found.reshape(x_m.shape)


def _by_water(notebook: Notebook, ground: SearchGround, x: Floats, y: Floats) -> Floats:
    from backbearing.notebook.lines import list_lines

    lines = [
        shapely.LineString(on_plane(ground.plane, line))
        for line in list_lines(notebook, WATER_KINDS)
    ]
    if not lines:
        return np.zeros(x.shape, dtype=bool)
    tree = shapely.STRtree(lines)
    near, _ = tree.query(shapely.points(x, y), predicate="dwithin", distance=WATER_WITHIN_M)
    found = np.zeros(x.shape, dtype=bool)
    found[near] = True
    return found


def _in_trees(
    notebook: Notebook,
    ground: SearchGround,
    grids: Sequence[Grid],
    x: Floats,
    y: Floats,
    latitude: Floats,
    longitude: Floats,
) -> NDArray[np.bool_]:
    from backbearing.notebook.subjects import list_subjects
    from backbearing.notebook.surroundings import list_trees

    surface, bare = (
        [grid for grid in grids if grid.ground == kind] for kind in ("surface", "bare ground")
    )
    found = np.zeros(x.shape, dtype=bool)
    if surface and bare:
        over = heights_at(surface, latitude, longitude) - heights_at(bare, latitude, longitude)
        found |= np.nan_to_num(over) >= TREES_FROM_M
    around = {trees.subject_id: trees.beyond_m for trees in list_trees(notebook)}
    for subject in list_subjects(notebook) if around else ():
        if subject.id not in around:
            continue
        beyond_m = around[subject.id]
        at_x, at_y = ground.plane.at(
            np.array(subject.place.latitude_deg), np.array(subject.place.longitude_deg)
        )
        away = np.hypot(x - at_x, y - at_y)
        found |= (away >= beyond_m) & (away <= beyond_m + TREES_REACH_M)
    return found
