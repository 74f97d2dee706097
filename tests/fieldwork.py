"""A day in the field, made for tests: a walk with a stop, waypoints, a notebook that holds them.

The walk goes due north from START at 1.2 m/s, one fix every ten seconds from 14:00 to 15:00
UTC on 14 March 2026, and stands from 14:30 to 14:40. The clock there is UTC − 1 (Azores).
"""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from backbearing.models.walk import summarise
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.settings import set_setting
from backbearing.notebook.tracks import store_original, store_track, store_waypoint
from backbearing.records import Original, Segment, Track, Waypoint

START = (47.0, -21.0)
BEGAN = datetime(2026, 3, 14, 14, tzinfo=UTC)
STOOD_FROM, STOOD_TO = BEGAN + timedelta(minutes=30), BEGAN + timedelta(minutes=40)
METRES_PER_DEGREE_NORTH = 111_170.0  # of the meridian at 47°, within 20 m over a degree
WALKED_BEFORE_STOP_M = 1800 * 1.2
STOOD_AT = (START[0] + WALKED_BEFORE_STOP_M / METRES_PER_DEGREE_NORTH, START[1])


def walk(*, shift: timedelta = timedelta(), east_deg: float = 0.0, noise_m: float = 3.0) -> Track:
    """The walk, at another time or farther east, its stop scattered by `noise_m` per axis."""
    seconds = np.arange(0, 3601, 10)
    moving = seconds - np.clip(seconds - 1800, 0, 600)
    north_m = 1.2 * moving
    noise = np.random.default_rng(7).normal(0, noise_m, (2, seconds.size))
    standing = (seconds >= 1800) & (seconds <= 2400)
    latitude = START[0] + (north_m + noise[0] * standing) / METRES_PER_DEGREE_NORTH
    longitude = START[1] + east_deg + noise[1] * standing / 76_000.0
    began = np.datetime64((BEGAN + shift).replace(tzinfo=None), "ms")
    segment = Segment(
        longitude_deg=longitude,
        latitude_deg=latitude,
        height_m=np.full(seconds.size, 120.0),
        time=began + seconds.astype("timedelta64[s]"),
    )
    return Track(name="to the quarry", segments=(segment,))


def put_walk(notebook: Notebook, track: Track) -> int:
    """Store a walk as if imported; its number."""
    with notebook.writing():
        return store_track(notebook, _original(notebook), track, summarise(track))


def put_waypoint(
    notebook: Notebook,
    name: str,
    latitude_deg: float,
    longitude_deg: float,
    *,
    time: datetime | None = None,
) -> int:
    """Store a waypoint as if imported; its number."""
    waypoint = Waypoint(
        name=name,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        height_m=90.0,
        time=time,
    )
    with notebook.writing():
        return store_waypoint(notebook, _original(notebook), waypoint)


def _original(notebook: Notebook) -> int:
    count = notebook.connection.execute("SELECT count(*) FROM originals").fetchone()[0]
    return store_original(
        notebook,
        Original(sha256=f"{count:064x}", file_name="walk.gpx", media="gpx", content=b"<gpx/>"),
    )


def field_notebook(path: Path) -> Notebook:
    """A notebook in the Azores' time with one walk (track 1) in it; the caller closes it."""
    notebook = open_notebook(path, create=True)
    notebook.__enter__()
    with notebook.writing():
        set_setting(notebook, "zone", "Atlantic/Azores")
    put_walk(notebook, walk())
    return notebook
