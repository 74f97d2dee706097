"""What bounds the sky at each subject, and how surely: ground, trees, edges measured by hand."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from backbearing.models.canopy import BRANCHES_STOPS
from backbearing.models.doubt import NEAR_CELLS, skyline_error_deg
from backbearing.models.illuminance import canopy_stops
from backbearing.models.measured import with_readings
from backbearing.models.sunlight import (
    above_skyline_deg,
    disc_fraction,
    flat_skyline,
    plain_skyline,
)
from backbearing.places.words import degrees_text, metres_text
from backbearing.plans.skyline import NO_FOOTING, STEP_DEG, Footing, skylines_for
from backbearing.saying import say, say_n

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from backbearing.notebook import Notebook
    from backbearing.plans.skyline import MadeSkyline
    from backbearing.records import EdgeReading, Floats, Place, Skyline, Subject, Times, Trees

    Bools = NDArray[np.bool_]

_BESIDE_STEP_DEG = 1.0  # skylines from beside a spot only tell how far its own may shift

EdgeFrom = Literal["plain", "terrain", "trees", "measured"]


def branches_words() -> str:
    """That sun through leafless branches is none."""
    least, most = BRANCHES_STOPS
    return say(
        "sun through leafless branches there, {least:g} to {most:g} stops "
        "down, is not counted as sun",
        least=least,
        most=most,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sky:
    """The skyline of a place with its error, 95 %, in each azimuth.

    Over `skyline` the sun is free. Where trees make it, `ground` is the skyline without them: the
    light that comes between the two is dimmed by them; sun there is not counted as sun.
    """

    skyline: Skyline
    error_deg: Floats | None  # None where the horizon is taken to be flat
    measured: Bools | None = None  # where an edge measured by hand rules
    ground: Skyline | None = None
    trees: Trees | None = None
    readings: tuple[EdgeReading, ...] = ()

    @property
    def ground_known(self) -> bool:
        """Whether the skyline was made from anything but a plain."""
        return self.error_deg is not None

    @property
    def sun_comes_over(self) -> Skyline:
        """What the sun comes over: of a plain the edge at which almanacs count sunrise."""
        plain = not self.ground_known and not self.skyline.altitude_deg.any()
        return _PLAIN if plain else self.skyline

    def nearest(self, azimuth_deg: float) -> int:
        """The index of the skyline's azimuth next to one."""
        turned = np.abs((self.skyline.azimuth_deg - azimuth_deg + 180.0) % 360.0 - 180.0)
        return int(np.argmin(turned))

    def edge_from(self, index: int) -> EdgeFrom:
        """What the edge at one of the skyline's azimuths comes from."""
        if self.measured is not None and self.measured[index]:
            return "measured"
        if self.ground is not None:
            over = self.skyline.altitude_deg[index] - self.ground.altitude_deg[index]
            if over > 0.05:
                return "trees"
        return "plain" if self.skyline.cell_m is None else "terrain"

    def in_leaf(self, month: int) -> bool:
        """Whether the trees let no sun through in a month; true where there are none."""
        return self.trees is None or self.trees.evergreen or month in self.trees.leaf_months

    def tree_stops(self, month: int) -> tuple[float, float]:
        """How many stops the trees take of the light through them in a month, ± how many."""
        if self.ground is None or self.trees is None:
            return 0.0, 0.0
        kind = "evergreen" if self.trees.evergreen else "leafy"
        return canopy_stops(kind, month, leaf_months=self.trees.leaf_months)

    def let_through(self, times: Times) -> tuple[Floats, Floats]:
        """What share of light comes through the trees at these times, and ± how many stops?"""
        by_month = np.array([self.tree_stops(month) for month in range(1, 13)])
        found = by_month[times.astype("datetime64[M]").astype(np.int64) % 12]
        return 2.0 ** -found[..., 0], found[..., 1]

    def through_branches(self, times: Times, azimuth_deg: Floats, limb_deg: Floats) -> Bools:
        """When is the sun behind leafless branches and not behind the ground?

        times: UTC, of any shape, with the azimuth and the upper limb's apparent altitude then.
        """
        if self.ground is None:
            return np.zeros(np.shape(times), dtype=np.bool_)
        leafless = self._leafless(times)
        over_ground = above_skyline_deg(self.ground, azimuth_deg, limb_deg) >= 0.0
        free = above_skyline_deg(self.skyline, azimuth_deg, limb_deg) >= 0.0
        return np.asarray(leafless & over_ground & ~free)

    def disc_free_and_behind(
        self, azimuth_deg: Floats, altitude_deg: Floats, distance_au: Floats
    ) -> tuple[Floats, Floats]:
        """What shares of a disc stand over the skyline, and behind trees over the ground?"""
        free = disc_fraction(self.skyline, azimuth_deg, altitude_deg, distance_au)
        if self.ground is None:
            return free, np.zeros_like(free)
        bare = disc_fraction(self.ground, azimuth_deg, altitude_deg, distance_au)
        return free, np.maximum(bare - free, 0.0)

    def _leafless(self, times: Times) -> Bools:
        month = times.astype("datetime64[M]").astype(np.int64) % 12 + 1
        return np.asarray(np.array([not self.in_leaf(each) for each in range(13)])[month])

    def edge_words(self, azimuth_deg: float, month: int | None = None) -> str:
        """What blocks there: 'over ground 340 m away at 148°', '' over a plain or the sea.

        month: in which the sun is there; with it, trees without leaves are told of.
        """
        index = self.nearest(azimuth_deg)
        made_by = self.edge_from(index)
        at = degrees_text(azimuth_deg)
        if made_by == "measured":
            return say("over an edge measured by hand at {at}", at=at)
        distance_m = float(self.skyline.distance_m[index])
        if self.error_deg is None or not np.isfinite(distance_m):
            return ""
        if made_by == "trees":
            bare = month is not None and not self.in_leaf(month)
            words = say(
                "over tree-tops {distance} away at {at}", distance=metres_text(distance_m), at=at
            )
            return f"{words} ({branches_words()})" if bare else words
        words = say("over ground {distance} away at {at}", distance=metres_text(distance_m), at=at)
        cell_m = self.skyline.cell_m
        if cell_m is not None and distance_m < NEAR_CELLS * float(cell_m[index]):
            words += say(" (nearer than three cells: measure this)")
        return words


FLAT = Sky(skyline=flat_skyline(), error_deg=None)
_PLAIN = plain_skyline()


def skies_of(
    notebook: Notebook,
    places: Sequence[Place],
    progress: Callable[[str], None] | None = None,
    *,
    subjects: Sequence[Subject | None] = (),
    made: list[MadeSkyline] | None = None,
) -> list[Sky]:
    """The sky of each place, from the terrain on record where it reaches there, else flat.

    subjects: which subject stands at each place, or none at all; what was measured there by hand,
    trees around it, and that it lies at the water, count then. made: as `skylines_for` takes it.
    The position error is met by the skylines of four places around, as far off as it reaches.
    Raises NotebookError.
    """
    from backbearing.notebook.surroundings import list_readings, list_trees
    from backbearing.notebook.terrain import list_layers

    whose = list(subjects) or [None] * len(places)
    readings: dict[int | None, list[EdgeReading]] = {}
    trees: dict[int | None, Trees] = {}
    if any(whose):
        only = whose[0].id if len(whose) == 1 and whose[0] is not None else None
        for reading in list_readings(notebook, only):
            readings.setdefault(reading.subject_id, []).append(reading)
        trees = {each.subject_id: each for each in list_trees(notebook, only)}
    ids = [None if each is None else each.id for each in whose]
    if not list_layers(notebook):
        return [_measured(FLAT, readings.get(each, [])) if each else FLAT for each in ids]
    spots: list[tuple[float, float]] = []
    steps: list[float] = []
    footings: list[Footing] = []
    for place, subject, number in zip(places, whose, ids, strict=True):
        here = (place.latitude_deg, place.longitude_deg)
        foot = NO_FOOTING
        if subject is not None and subject.at_water:
            foot = Footing(water=(*here, place.error_m))
        wood = trees.get(number) if number else None
        spots += [here, *_around(place)]
        steps += [STEP_DEG, *[_BESIDE_STEP_DEG] * 4]
        footings += [foot] * 5
        if wood is not None:
            spots.append(here)
            steps.append(STEP_DEG)
            footings.append(replace(foot, trees=(wood.tall_m, wood.beyond_m)))
    seen = iter(
        skylines_for(
            notebook, spots, step_deg=steps, footings=footings, made=made, progress=progress
        )
    )
    found = []
    for number in ids:
        skyline, *moved = (next(seen) for _ in range(5))
        wood = trees.get(number) if number else None
        wooded = next(seen) if wood is not None else None
        sky = _sky(skyline, moved, wooded, wood)
        found.append(_measured(sky, readings.get(number, []) if number else []))
    return found


def _sky(
    skyline: Skyline, moved: Sequence[Skyline], wooded: Skyline | None, trees: Trees | None
) -> Sky:
    """Ground alone, or with the trees on it, and how far the edge may be off."""
    if skyline.cell_m is None:
        return Sky(skyline=skyline, error_deg=None)
    known = [other for other in moved if other.cell_m is not None]
    if wooded is None or wooded.cell_m is None:
        return Sky(skyline=skyline, error_deg=skyline_error_deg(skyline, known))
    shift_deg = skyline_error_deg(replace(skyline, cell_m=None), known)
    return Sky(
        skyline=wooded,
        error_deg=np.hypot(skyline_error_deg(wooded), shift_deg),
        ground=skyline,
        trees=trees,
    )


def _measured(sky: Sky, readings: Sequence[EdgeReading]) -> Sky:
    """The sky with edges measured by hand in it."""
    if not readings:
        return sky

    def measured(skyline: Skyline) -> tuple[Skyline, Floats, Bools]:
        return with_readings(
            skyline,
            sky.error_deg,
            [each.azimuth.true_deg for each in readings],
            [each.altitude_deg for each in readings],
            azimuth_error_deg=[each.azimuth.error_deg for each in readings],
            altitude_error_deg=[each.altitude_error_deg for each in readings],
            replaces=[each.effect == "replaces" for each in readings],
        )

    skyline, error_deg, rules = measured(sky.skyline)
    count = len(readings)
    basis = say_n(
        "{basis}; {number} edge measured by hand",
        "{basis}; {number} edges measured by hand",
        count,
        basis=say(skyline.basis),
    )
    return Sky(
        skyline=replace(skyline, basis=basis),
        error_deg=error_deg,
        measured=rules,
        ground=None if sky.ground is None else measured(sky.ground)[0],
        trees=sky.trees,
        readings=tuple(readings),
    )


def _around(place: Place) -> list[tuple[float, float]]:
    """Four places as far off as the position error reaches: north, east, south, west."""
    from backbearing.places.geodesy import destinations

    return destinations(
        place.latitude_deg, place.longitude_deg, (0.0, 90.0, 180.0, 270.0), place.error_m
    )
