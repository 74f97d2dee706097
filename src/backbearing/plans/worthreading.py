"""Which edges of a skyline are worth measuring by hand: those that the wanted light turns on."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.doubt import NEAR_CELLS
from backbearing.models.measured import SPEAKS_FOR_DEG, worth_measuring
from backbearing.models.sunlight import above_skyline_deg
from backbearing.models.wanted import conditions, needs_bearing
from backbearing.models.windows import all_met
from backbearing.places.bearings import declination_deg, true_degrees
from backbearing.plans.light.spot import local_minutes, spots_minutes
from backbearing.plans.standins import camera_line
from backbearing.plans.wanted import wanted_words
from backbearing.saying import say

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.plans.light.sky import Sky
    from backbearing.records import Place, Subject, WantedLight

NEAR_EDGE_DEG = 5.0
_DAYS = 365
_APART_DEG = 8.0  # two readings 15° apart are still one edge
_BIN_DEG = 2.0  # of azimuth; a sighting compass reads no finer
_NEAR_WEIGHT, _TREES_WEIGHT = 3.0, 2.0  # against ground that is known; common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class WorthReading:
    """One direction worth a reading, as it is to be found with a compass."""

    azimuth_deg: float
    compass_deg: float | None  # magnetic; None where no compass holds
    altitude_deg: float  # as it is taken now
    error_deg: float | None  # None over a plain
    comes_from: str  # "plain", "terrain", "trees", "measured"
    near: bool  # nearer than three cells
    minutes: int  # of the wanted light in the coming year with the sun within 5° of the edge
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingSheet:
    """The few azimuths worth a reading at a place, by azimuth, and for which light."""

    name: str
    subject: bool  # whether readings can be put on record there
    light_words: str
    worth: tuple[WorthReading, ...]
    why_none: str  # '' where there are some
    declination_deg: float | None
    on: date


def reading_sheet(
    notebook: Notebook | None,
    name: str,
    place: Place,
    subject: Subject | None,
    sky: Sky,
    *,
    zone: str,
    today: date,
) -> ReadingSheet:
    """Which six to eight azimuths are worth a reading there, for the light wanted?

    Those where the sun stands within 5° of the edge in the wanted light of the coming year, most
    minutes first; an edge nearer than three cells counts three times, tree-tops twice, and what
    was measured already not at all.
    """
    wanted = None if subject is None else subject.wanted
    words = say("any sun")
    facing_deg = None if subject is None else subject.facing_deg
    if wanted is not None:
        words = wanted_words(wanted, facing_deg=facing_deg)
    declination = _declination_deg(place, today)
    local = local_minutes(today, today + timedelta(days=_DAYS - 1), zone)
    (minutes,) = spots_minutes(local, [place], [sky])
    away = above_skyline_deg(sky.skyline, minutes.azimuth_deg, minutes.altitude_deg)
    met = (np.abs(away) <= NEAR_EDGE_DEG) & (minutes.altitude_deg > -1.0)
    if wanted is not None and subject is not None:
        found = conditions(
            minutes,
            *_without_sun(notebook, subject, wanted),
            facing_deg=facing_deg,
        )
        met &= all_met(found, local.inside)
    bins = np.arange(0.0, 360.0, _BIN_DEG)
    index = (np.rint(minutes.azimuth_deg[met] / _BIN_DEG) % len(bins)).astype(np.intp)
    count = np.bincount(index, minlength=len(bins))
    nearest = np.full(len(bins), np.inf)
    np.minimum.at(nearest, index, np.abs(away[met]))
    weight = np.array([_weight(sky, each) for each in bins]) * count
    chosen = worth_measuring(
        bins, near_deg=np.where(count > 0, nearest, 90.0), weight=weight, apart_deg=_APART_DEG
    )
    why_none = "" if len(chosen) else _why_none(words, bool(count.any()))
    return ReadingSheet(
        name=name,
        subject=subject is not None,
        light_words=words,
        worth=tuple(
            _worth(sky, each, int(count[int(each / _BIN_DEG)]), declination)
            for each in chosen.tolist()
        ),
        why_none=why_none,
        declination_deg=declination,
        on=today,
    )


def _without_sun(
    notebook: Notebook | None, subject: Subject, wanted: WantedLight
) -> tuple[WantedLight, float | None]:
    """The wish without sun or shade, which the edge decides, and a bearing to judge it by."""
    from backbearing.notebook.subjects import list_camera_positions

    bearing = camera_line(None, subject.facing_deg)
    for camera in list_camera_positions(notebook, subject.id) if notebook is not None else ():
        bearing = camera_line(camera.bearing, subject.facing_deg)
        if bearing is not None:
            break
    wish = replace(wanted, direct_sun=None, after_first_sun_min=None, before_last_sun_min=None)
    if needs_bearing(wish) and bearing is None:
        wish = replace(wish, delta_deg=None, side=None)
    return wish, None if bearing is None else bearing.true_deg


def _weight(sky: Sky, azimuth_deg: float) -> float:
    index = sky.nearest(azimuth_deg)
    made_by = sky.edge_from(index)
    for reading in sky.readings:  # also one that lies below the terrain and so does not rule
        if abs((reading.azimuth.true_deg - azimuth_deg + 180.0) % 360.0 - 180.0) <= SPEAKS_FOR_DEG:
            return 0.0
    if made_by == "measured":
        return 0.0
    if made_by == "trees":
        return _TREES_WEIGHT
    return _NEAR_WEIGHT if _near(sky, index) else 1.0


def _near(sky: Sky, index: int) -> bool:
    cell_m = sky.skyline.cell_m
    return cell_m is not None and bool(sky.skyline.distance_m[index] < NEAR_CELLS * cell_m[index])


def _worth(sky: Sky, azimuth_deg: float, minutes: int, declination: float | None) -> WorthReading:
    index = sky.nearest(azimuth_deg)
    made_by, near = sky.edge_from(index), _near(sky, index)
    because = {
        "plain": say("no terrain there"),
        "trees": say("tree-tops"),
        "terrain": say("nearer than three cells") if near else "",
        "measured": "",
    }[made_by]
    hours = say("sun near it {hours} a year", hours=_hours(minutes))
    return WorthReading(
        azimuth_deg=azimuth_deg,
        compass_deg=None if declination is None else round(true_degrees(azimuth_deg - declination)),
        altitude_deg=round(float(sky.skyline.altitude_deg[index]), 2),
        error_deg=None if sky.error_deg is None else round(float(sky.error_deg[index]), 2),
        comes_from=made_by,
        near=near,
        minutes=minutes,
        why=f"{because}, {hours}" if because else hours,
    )


def _hours(minutes: int) -> str:
    return f"{minutes} min" if minutes < 120 else f"{minutes / 60:.0f} h"


def _why_none(words: str, measured_all: bool) -> str:
    if measured_all:
        return say("Every edge that {words} turns on has been measured already.", words=words)
    return say(
        "The sun of {words} never comes within {near_edge_deg:.0f}° of the "
        "edge in the coming year, so no reading would tell more.",
        words=words,
        near_edge_deg=NEAR_EDGE_DEG,
    )


def _declination_deg(place: Place, on: date) -> float | None:
    try:
        value, _ = declination_deg(place.latitude_deg, place.longitude_deg, place.height_m, on)
    except BadInput:
        return None
    return round(value, 1)
