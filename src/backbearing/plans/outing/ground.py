"""What a way's legs are like to be on: how much sky, which trees, where steepest or wettest."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from backbearing.models.illuminance import canopy_stops
from backbearing.models.pointsun import heights_from, ray_distances_m, ray_starts
from backbearing.models.skyview import sky_view_factor
from backbearing.models.usablelight import usable_sun_altitude_deg
from backbearing.places.geodesy import inverse
from backbearing.plans.skyline import skylines_for
from backbearing.plans.terraingrids import grids_round
from backbearing.records import WATER_KINDS

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from backbearing.notebook import Notebook
    from backbearing.records import Floats, Grid, Leg, Place, Skyline, Trees

SKYLINE_STEP_DEG = 2.0
TREES_REACH_M = 300.0  # around a subject with trees on record they are taken to stand on the way
_LOOKED_M = 1_500.0  # so far ground is looked at to find a leg's darkest place
_AROUND = 24  # directions for that
_APART_M = 40.0  # of the places on a leg that are looked at
_SAME_M = 25.0  # places so near have one skyline


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LegGround:
    """Two places of a leg: the one with least light, and the one where ice would stay."""

    sky_view: float
    trees: Trees | None
    darkest: tuple[float, float]  # latitude, longitude
    foot: tuple[float, float]
    foot_what: Literal["steepest ground", "water crossing"]
    foot_share: float  # of the leg's way, from its beginning
    foot_skyline: Skyline | None  # None where no terrain is known

    def stops(self, month: int) -> float:
        """What trees take in a month, at the dark end."""
        if self.trees is None:
            return 0.0
        kind = "evergreen" if self.trees.evergreen else "leafy"
        return sum(canopy_stops(kind, month, leaf_months=self.trees.leaf_months))

    def usable_sun_deg(self, month: int) -> float:
        """The sun's altitude from which on there is usable light, in a month."""
        return usable_sun_altitude_deg(self.sky_view, canopy_stops=self.stops(month))


def grounds_of(
    notebook: Notebook,
    legs: Sequence[Leg],
    progress: Callable[[str], None] | None = None,
) -> list[LegGround]:
    """What are these legs like to be on?

    The place with least sky is found among places 40 m apart by rays over ground within 1.5 km,
    and its skyline then worked out as far as the terrain reaches (kept in the notebook where it
    may be written). Without terrain the sky is taken as open. Raises NotebookError.
    """
    if not legs:
        return []
    walked = [_walked(leg) for leg in legs]
    grids = _grids(notebook, walked)
    canopies = _canopies(notebook)
    chosen: list[tuple[tuple[float, float], tuple[float, float]]] = []
    about = []
    for leg, (latitude, longitude) in zip(legs, walked, strict=True):
        sky = sky_seen(grids, latitude, longitude)
        trees = [_trees_at(canopies, *spot) for spot in zip(latitude, longitude, strict=True)]
        darkness = sky * np.array([0.05 if each is not None else 1.0 for each in trees])
        dark = int(np.argmin(darkness))
        crossing = _crossing(notebook, leg) if leg.water else None
        foot = crossing or leg.steepest_at or leg.line[len(leg.line) // 2]
        foot_at = _nearest(latitude, longitude, *foot)
        darkest = float(latitude[dark]), float(longitude[dark])
        chosen.append((darkest, foot))
        share = foot_at / max(1, len(latitude) - 1)
        about.append((trees[dark], crossing is not None, share))
    spots = _merged([spot for pair in chosen for spot in pair])
    places = list(dict.fromkeys(spots.values()))
    skylines = dict(
        zip(
            places,
            skylines_for(notebook, places, step_deg=SKYLINE_STEP_DEG, progress=progress),
            strict=True,
        )
    )
    found = []
    for (darkest, foot), (canopy, wet, share) in zip(chosen, about, strict=True):
        over, by_foot = skylines[spots[darkest]], skylines[spots[foot]]
        found.append(
            LegGround(
                sky_view=sky_view_factor(over),
                trees=canopy,
                darkest=darkest,
                foot=foot,
                foot_what="water crossing" if wet else "steepest ground",
                foot_share=share,
                foot_skyline=by_foot if by_foot.cell_m is not None else None,
            )
        )
    return found


def _walked(leg: Leg) -> tuple[Floats, Floats]:
    """Places on a leg about 40 m apart, its ends among them."""
    points = np.array(leg.line, dtype=np.float64).reshape(-1, 2)
    every = max(1, round(_APART_M / max(leg.length_m / max(1, len(points) - 1), 1.0)))
    kept = np.append(np.arange(0, len(points) - 1, every), len(points) - 1)
    return points[kept, 0], points[kept, 1]


def _grids(notebook: Notebook, walked: Sequence[tuple[Floats, Floats]]) -> tuple[Grid, ...]:
    latitude = np.concatenate([each for each, _ in walked])
    longitude = np.concatenate([each for _, each in walked])
    middle = float(latitude[len(latitude) // 2]), float(longitude[len(longitude) // 2])
    far_m = max(
        float(inverse(*middle, float(lat), float(lon))[1])
        for lat, lon in zip(latitude[::8], longitude[::8], strict=True)
    )
    grids, _ = grids_round(notebook, *middle, far_m + 8 * _APART_M + _LOOKED_M)
    return grids


def sky_seen(grids: Sequence[Grid], latitude: Floats, longitude: Floats) -> Floats:
    """The share of an open plain's skylight at places (n,), as ground within 1.5 km leaves it."""
    if not grids:
        return np.ones(latitude.shape)
    distance = ray_distances_m(grids[0].cell_m, _LOOKED_M)[::2]
    up = []
    starts = ray_starts(grids, latitude, longitude)
    here = heights_from(starts, 0.0, np.zeros(1))[0]
    for azimuth in np.arange(_AROUND) * (360.0 / _AROUND):
        there = heights_from(starts, float(azimuth), distance)
        rise = np.fmax.reduce((there - here) / distance[:, None], axis=0, initial=0.0)
        up.append(np.arctan(np.nan_to_num(rise)))
    answer: Floats = np.mean(np.cos(up) ** 2, axis=0)
    return answer


def _canopies(notebook: Notebook) -> list[tuple[Place, Trees]]:
    from backbearing.notebook.subjects import list_subjects
    from backbearing.notebook.surroundings import list_trees

    trees = list_trees(notebook)
    if not trees:
        return []
    places = {subject.id: subject.place for subject in list_subjects(notebook)}
    return [(places[each.subject_id], each) for each in trees if each.subject_id in places]


def _trees_at(
    canopies: Sequence[tuple[Place, Trees]], latitude: float, longitude: float
) -> Trees | None:
    for place, trees in canopies:
        away_m = inverse(place.latitude_deg, place.longitude_deg, float(latitude), float(longitude))
        if trees.beyond_m <= away_m[1] <= TREES_REACH_M:
            return trees
    return None


def _crossing(notebook: Notebook, leg: Leg) -> tuple[float, float] | None:
    """Where a leg first meets water on record."""
    from shapely import LineString, get_coordinates

    from backbearing.notebook.lines import list_lines

    if len(leg.line) < 2:
        return None
    walked = np.array(leg.line, dtype=np.float64)
    zero_deg = float(walked[0, 1])  # a line over the antimeridian is still one line

    def drawn(latitude_deg: Floats, longitude_deg: Floats) -> LineString:
        away = np.unwrap(longitude_deg - zero_deg, period=360.0)
        away += np.round(-away[0] / 360.0) * 360.0
        return LineString(np.stack([latitude_deg, away], axis=1))

    way = drawn(walked[:, 0], walked[:, 1])
    for line in list_lines(notebook, WATER_KINDS):
        met = get_coordinates(way.intersection(drawn(line.latitude_deg, line.longitude_deg)))
        if len(met):
            east = (float(met[0, 1]) + zero_deg + 540.0) % 360.0 - 180.0
            return float(met[0, 0]), east
    return None


def _nearest(latitude: Floats, longitude: Floats, lat: float, lon: float) -> int:
    east = ((longitude - lon + 540.0) % 360.0 - 180.0) * np.cos(np.radians(lat))
    return int(np.argmin(np.hypot(latitude - lat, east)))


def _merged(spots: Sequence[tuple[float, float]]) -> dict[tuple[float, float], tuple[float, float]]:
    """Each spot's stand-in: the first that lies within 25 m."""
    found: dict[tuple[float, float], tuple[float, float]] = {}
    kept: list[tuple[float, float]] = []
    for spot in spots:
        near = next((each for each in kept if inverse(*each, *spot)[1] <= _SAME_M), None)
        if near is None:
            kept.append(spot)
        found[spot] = near or spot
    return found
