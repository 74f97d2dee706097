"""What bounds the sky at each subject, and how surely: the terrain on record, or a plain."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.doubt import NEAR_CELLS, skyline_error_deg
from backbearing.models.sunlight import flat_skyline
from backbearing.places.words import degrees_text, metres_text
from backbearing.plans.skyline import STEP_DEG, skylines_for

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

    def nearest(self, azimuth_deg: float) -> int:
        """The index of the skyline's azimuth next to one."""
        turned = np.abs((self.skyline.azimuth_deg - azimuth_deg + 180.0) % 360.0 - 180.0)
        return int(np.argmin(turned))

    def edge_words(self, azimuth_deg: float) -> str:
        """What blocks there: 'over ground 340 m away at 148°', '' over a plain or the sea."""
        if self.error_deg is None:
            return ""
        index = self.nearest(azimuth_deg)
        distance_m = float(self.skyline.distance_m[index])
        if not np.isfinite(distance_m):
            return ""
        words = f"over ground {metres_text(distance_m)} away at {degrees_text(azimuth_deg)}"
        cell_m = self.skyline.cell_m
        if cell_m is not None and distance_m < NEAR_CELLS * float(cell_m[index]):
            words += " (nearer than three cells: measure this)"
        return words


FLAT = Sky(skyline=flat_skyline(), error_deg=None)


def skies_of(
    notebook: Notebook, places: Sequence[Place], progress: Callable[[str], None] | None = None
) -> list[Sky]:
    """The sky of each place, from the terrain on record where it reaches there, else flat.

    The position error is met by the skylines of four places around, as far off as it reaches.
    Raises NotebookError.
    """
    from backbearing.notebook.terrain import list_layers

    if not list_layers(notebook):
        return [FLAT] * len(places)
    spots, steps = [], []
    for place in places:
        spots += [(place.latitude_deg, place.longitude_deg), *_around(place)]
        steps += [STEP_DEG, *[_BESIDE_STEP_DEG] * 4]
    seen = skylines_for(notebook, spots, step_deg=steps, progress=progress)
    found = []
    for number in range(len(places)):
        skyline, *moved = seen[5 * number : 5 * number + 5]
        error_deg = None
        if skyline.cell_m is not None:
            known = [other for other in moved if other.cell_m is not None]
            error_deg = skyline_error_deg(skyline, known)
        found.append(Sky(skyline=skyline, error_deg=error_deg))
    return found


def _around(place: Place) -> list[tuple[float, float]]:
    """Four places as far off as the position error reaches: north, east, south, west."""
    from backbearing.places.geodesy import destinations

    return destinations(
        place.latitude_deg, place.longitude_deg, (0.0, 90.0, 180.0, 270.0), place.error_m
    )
