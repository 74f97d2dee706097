"""What bounds the sky at each subject, and how surely: the terrain on record, or a plain."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.doubt import NEAR_CELLS, skyline_error_deg
from backbearing.places.words import degrees_text, metres_text
from backbearing.plans.skyline import skylines_for

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from backbearing.notebook import Notebook
    from backbearing.records import Floats, Place, Skyline

_BESIDE_STEP_DEG = 1.0  # skylines from beside a spot only tell how far its own may shift


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sky:
    """The skyline of a place with its error, 95 %, in each azimuth."""

    skyline: Skyline
    error_deg: Floats | None  # None where the horizon is taken to be flat

    @property
    def ground_known(self) -> bool:
        """Whether the skyline was made from anything but a plain."""
        return self.error_deg is not None

    def edge_words(self, azimuth_deg: float) -> str:
        """What blocks there: 'over ground 340 m away at 148°', '' over a plain or the sea."""
        if self.error_deg is None:
            return ""
        index = _nearest(self.skyline, azimuth_deg)
        distance_m = float(self.skyline.distance_m[index])
        if not np.isfinite(distance_m):
            return ""
        words = f"over ground {metres_text(distance_m)} away at {degrees_text(azimuth_deg)}"
        cell_m = self.skyline.cell_m
        if cell_m is not None and distance_m < NEAR_CELLS * float(cell_m[index]):
            words += " (nearer than three cells: measure this)"
        return words


def skies_of(
    notebook: Notebook, places: Sequence[Place], progress: Callable[[str], None] | None = None
) -> list[Sky]:
    """The sky of each place, from the terrain on record where it reaches there, else flat.

    The position error is met by the skylines of four places around, as far off as it reaches.
    Raises NotebookError.
    """
    skylines = skylines_for(
        notebook, [(p.latitude_deg, p.longitude_deg) for p in places], progress=progress
    )
    around = {
        number: _around(place)
        for number, (place, skyline) in enumerate(zip(places, skylines, strict=True))
        if skyline.cell_m is not None
    }
    beside = iter(
        skylines_for(
            notebook,
            [spot for spots in around.values() for spot in spots],
            step_deg=_BESIDE_STEP_DEG,
            progress=progress,
        )
    )
    found = []
    for number, skyline in enumerate(skylines):
        if number not in around:
            found.append(Sky(skyline=skyline, error_deg=None))
            continue
        moved = [next(beside) for _ in around[number]]
        seen = [other for other in moved if other.cell_m is not None]
        found.append(Sky(skyline=skyline, error_deg=skyline_error_deg(skyline, seen)))
    return found


def _around(place: Place) -> list[tuple[float, float]]:
    """Four places as far off as the position error reaches: north, east, south, west."""
    from backbearing.places.geodesy import destinations

    return destinations(
        place.latitude_deg, place.longitude_deg, (0.0, 90.0, 180.0, 270.0), place.error_m
    )


def _nearest(skyline: Skyline, azimuth_deg: float) -> int:
    turned = np.abs((skyline.azimuth_deg - azimuth_deg + 180.0) % 360.0 - 180.0)
    return int(np.argmin(turned))
